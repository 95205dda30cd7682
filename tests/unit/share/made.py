"""Invented seasons with a private word in every place where a keeper may type, and packs made of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from kit.calc.travel import Place
from kit.records import words
from kit.report.share.draft import draft
from kit.report.share.form import REGION, Choices, choose
from kit.report.share.keys import Keys
from kit.report.share.member import Member, member_of
from kit.report.share.pack import Pack, pack_of
from kit.report.share.reading import read_content
from kit.season.findings import Findings

ACCESS = ("all weather", "dry ground", "on foot", "")
NAN = float("nan")
CAUSES = ("mites", "starved", "queen")


@dataclass(frozen=True)
class Season:
    """One invented keeper's season."""

    review: Findings
    where: dict[str, Place | None]
    access: dict[str, str]
    keys: Keys
    private: tuple[str, ...]

    def pack(self, choices: Choices | None = None) -> Pack:
        return pack_of(draft(self.review, self.where, self.access, choices or choose()), self.keys)

    @cached_property
    def member(self) -> Member:
        """Of a pack that tells its region, as many do once an association has asked for it."""
        return member_of(read_content(self.pack(choose(squares=REGION)).content))


def season(seed: int, *, apiaries: int = 0, hives: list[int] | None = None, weeks: int = 52) -> Season:
    """An invented keeper with some apiaries of some hives; every free text is a private word of theirs alone."""
    rng = np.random.default_rng([seed, 77])
    tell = _Teller(rng)
    sizes = hives or rng.integers(2, 30, apiaries or int(rng.integers(2, 9))).tolist()
    names = [tell("apiary") for _ in sizes]
    corner = rng.uniform((50.2, -4.0), (54.8, 0.9))
    where = {name: Place(*(corner + rng.uniform(-0.3, 0.3, 2)).round(5).tolist()) for name in names}
    tables = {
        "loads": _loads(rng, names, sizes, weeks), "efficacy": _efficacy(rng, names, sizes, tell),
        "timing": _timing(rng, names, tell), "losses": _losses(rng, names, sizes, tell),
        "effort": _effort(rng, names), "rounds": _rounds(rng, names, sizes, tell),
        "label_breaches": _breaches(tell), "medicine_record": _record(tell), "heads": _heads(names, tell),
    }  # fmt: skip
    facts: dict[str, Any] = {
        "keeper": tell("keeper"), "season": 2025, "as_of": "2026-03-31", "load_method": "count by count",
        "certainty": "fair", "counted_apiaries": names[: max(1, len(names) // 2)], "currency": "GBP",
        "expected_loss_p05": 8.0, "expected_loss_p50": 14.0, "expected_loss_p95": 25.0,
    }  # fmt: skip
    by_apiary = {name: {"name": tell("name"), "hives": size} for name, size in zip(names, sizes, strict=True)}
    access = {name: str(rng.choice(ACCESS)) for name in names}
    exact = [f"{degrees:.{n}f}" for place in where.values() for degrees in place for n in (4, 5)]
    keys = Keys(rng.bytes(16).hex(), rng.bytes(32).hex())
    review = Findings(facts, by_apiary, tables)
    return Season(review, where, access, keys, (*tell.told, *exact, keys.secret))


class _Teller:
    """Private words, each once."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng, self.told = rng, list[str]()

    def __call__(self, kind: str) -> str:
        self.told.append(f"{kind}-{self.rng.bytes(6).hex()}")
        return self.told[-1]


def _band(rng: np.random.Generator, name: str, middle: float, most: float = 1e9) -> dict[str, float]:
    low, high = middle * rng.uniform(0.3, 0.9), min(middle * rng.uniform(1.1, 3.0), most)
    return {f"{name}_p05": low, f"{name}_p50": middle, f"{name}_p95": max(high, middle)}


def _loads(rng: np.random.Generator, names: list[str], sizes: list[int], weeks: int) -> pd.DataFrame:
    days = pd.date_range("2025-04-01", periods=weeks, freq="7D")
    shape = 0.1 + np.abs(np.sin(np.arange(weeks) / 12)) * rng.uniform(1, 5)
    rows = [
        {"date": day, "apiary": name, "scope": "apiary", "colony": "", "hives": size}
        | _band(rng, "mites", 300 * level) | _band(rng, "per_100_bees", level)
        for name, size in zip(names, sizes, strict=True)
        for day, level in zip(days, shape * rng.lognormal(0, 0.4), strict=True)
    ]  # fmt: skip
    return pd.DataFrame(rows)


def _efficacy(rng: np.random.Generator, names: list[str], sizes: list[int], tell: _Teller) -> pd.DataFrame:
    rows = []
    for name, size in zip(names, sizes, strict=True):
        for word in ("amitraz strips", "oxalic sublimation", tell("treatment")):
            middle = rng.uniform(60, 97)
            rows.append(
                {"apiary": name, "scope": "apiary", "colony": tell("colony"), "hives": size, "treatment": word,
                 "start": pd.Timestamp("2025-08-03") + pd.Timedelta(days=int(rng.integers(0, 60))),
                 "basis": tell("basis"), "counted": bool(rng.random() < 0.8),
                 "efficacy_p05": middle - rng.uniform(5, 25), "efficacy_p50": middle,
                 "efficacy_p95": middle + (99.9 - middle) * 0.8}
            )  # fmt: skip
    return pd.DataFrame(rows)


def _timing(rng: np.random.Generator, names: list[str], tell: _Teller) -> pd.DataFrame:
    late = rng.choice([-10, -3, 0, 9, 16, 30], len(names))
    by = pd.Timestamp("2025-08-15")
    return pd.DataFrame(
        {"apiary": names, "treatment": "amitraz strips", "treat_by": by,
         "treated_on": [by + pd.Timedelta(days=int(days)) for days in late],
         "days_late": late.astype(float), "why_late": [rng.choice(["ground", "", tell("why")]) for _ in names]}
    )  # fmt: skip


def _losses(rng: np.random.Generator, names: list[str], sizes: list[int], tell: _Teller) -> pd.DataFrame:
    rows = []
    for name, size in zip(names, sizes, strict=True):
        causes = (*CAUSES, tell("cause"))
        dead = rng.multinomial(int(rng.binomial(size, rng.beta(1, 5))), [0.6, 0.2, 0.1, 0.1]).tolist()
        rows.append({"apiary": name, "cause": "all", "wintered": float(size), "lost": float(sum(dead))})
        rows += [{"apiary": name, "cause": cause, "wintered": float(size), "lost": float(k)}
                 for cause, k in zip(causes, dead, strict=True) if k]  # fmt: skip
    return pd.DataFrame(rows).assign(expected_pct_p05=8.0, expected_pct_p50=14.0, expected_pct_p95=25.0)


def _effort(rng: np.random.Generator, names: list[str]) -> pd.DataFrame:
    rows = [{"apiary": name, "task": task, "hours": rng.uniform(2, 20), "cost": 123.45, "trips": 4}
            for name in names for task in ("driving", "treating")]  # fmt: skip
    return pd.DataFrame(rows)


def _rounds(rng: np.random.Generator, names: list[str], sizes: list[int], tell: _Teller) -> pd.DataFrame:
    rows = [{"apiary": name, "treatment": "oxalic sublimation", "done": float(size), "dose_g": 2.0,
             "product": tell("product"), "sublimator": tell("gear"), "from_file": tell("file")}
            for name, size in zip(names, sizes, strict=True)]  # fmt: skip
    return pd.DataFrame(rows)


def _breaches(tell: _Teller) -> pd.DataFrame:
    return pd.DataFrame([{"product": tell("product"), "season": 2025, "limit": "dose", "lines": 2, "what": tell("w")}])


def _record(tell: _Teller) -> pd.DataFrame:
    return pd.DataFrame(
        [{"batch": tell("batch"), "supplier": tell("supplier"), "missing": "batch", "notes": tell("n")}]
    )


def _heads(names: list[str], tell: _Teller) -> pd.DataFrame:
    return pd.DataFrame([{"apiary": name, "notes": tell("notes"), "wrong": words.WRONG[0]} for name in names])
