"""Programmes that could be run at each apiary, the chosen one first, with work, acid and money."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.plan.labels import OXALIC
from kit.plan.mends import Setting
from kit.plan.programmes import Wanted, trade_programme, under_labels
from kit.plan.sites import Site
from kit.plan.work import minutes_at
from kit.season.findings import Findings

if TYPE_CHECKING:
    from kit.records.load import Records

PROGRAMME_COLUMNS = [
    "apiary",
    "programme",
    "chosen",
    "basis",
    "treatments",
    "rounds",
    "interval_days",
    "visits",
    "minutes",
    "acid_g",
    "cost",
    "chance_pct",
    "loss_pct_p05",
    "loss_pct_p50",
    "loss_pct_p95",
    "grade",
    "given_up",
]


def programmes_table(records: Records, review: Findings, setting: Setting) -> pd.DataFrame:
    """One row for each apiary and programme; `minutes` are those at the hives and of driving there and back alone."""
    rows = []
    for site in setting.ground.sites:
        chosen = [t for t in setting.treatments if t.apiary == site.apiary]
        rows += [_row(name, wishes, site, setting) for name, wishes in _candidates(chosen, site, records)]
    return pd.DataFrame(rows, columns=PROGRAMME_COLUMNS)


def _candidates(chosen: Sequence[Wanted], site: Site, records: Records) -> list[tuple[str, list[Wanted]]]:
    from dataclasses import replace

    trade, _ = under_labels([replace(t, apiary=site.apiary) for t in trade_programme()], records.tables["labels"])
    found = [("chosen", list(chosen)), ("trade practice", trade)]
    if any(t.window == "winter" for t in chosen):
        found.append(("without the winter round", [t for t in chosen if t.window != "winter"]))
    else:
        winter = [t for t in trade if t.window == "winter"]
        found.append(("with a winter round", [*chosen, *winter]))
    main = [t for t in chosen if t.window == "main"]
    found += [("main treatment alone", main)] if main and len(main) < len(chosen) else []
    kinds: dict[tuple[Any, ...], tuple[str, list[Wanted]]] = {}
    for name, wishes in found:
        kinds.setdefault(tuple((t.word, t.window, t.rounds, t.gaps) for t in wishes), (name, wishes))
    return list(kinds.values())


def _row(name: str, wishes: Sequence[Wanted], site: Site, setting: Setting) -> dict[str, Any]:
    means, ground = setting.means, setting.ground
    drive = 2 * float(ground.roads.minutes[0, ground.index(site.apiary) + 1])
    visits = sum(t.visits for t in wishes)
    there = sum(t.visits * minutes_at(t.word, site.hives, site.carry_min, means.hands) for t in wishes)
    doses = [t.rounds * site.hives * (math.nan if t.dose_g is None else t.dose_g) for t in wishes if t.word in OXALIC]
    labour = means.labour_per_hour / 60 * means.hands.crew.people
    bases = list(dict.fromkeys(t.basis for t in wishes))
    gaps = [(t.gaps[0] + t.gaps[1]) / 2 for t in wishes if t.rounds > 1]
    return {
        "apiary": site.apiary,
        "programme": _named(wishes) if name == "chosen" else name,
        "chosen": "yes" if name == "chosen" else "no",
        "basis": "; ".join(bases),
        "treatments": _named(wishes),
        "rounds": sum(t.rounds for t in wishes),
        "interval_days": gaps[0] if gaps else math.nan,
        "visits": visits,
        "minutes": there + visits * drive,
        "acid_g": sum(doses) if doses else 0.0,
        "cost": there * labour + visits * drive * means.money_per_min,
        "chance_pct": math.nan, "loss_pct_p05": math.nan, "loss_pct_p50": math.nan, "loss_pct_p95": math.nan,
        "grade": "; ".join(dict.fromkeys(t.grade for t in wishes)),
        "given_up": "",
    }  # fmt: skip


def _named(wishes: Sequence[Wanted]) -> str:
    def one(t: Wanted) -> str:
        return f"{t.word} × {t.rounds} ({t.window})" if t.rounds > 1 else f"{t.word} ({t.window})"

    return ", ".join(one(t) for t in wishes) or "nothing"
