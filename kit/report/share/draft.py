"""What a member's pack would hold: the tables chosen, with the small apiaries and whatever gives them away left out.

The apiaries still bear their own names here; `pack` puts the random keys in their place. Words that are not the record
sheets' own become `other`: nothing a member typed passes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any

import pandas as pd

from kit.calc.travel import Place
from kit.errors import CannotGoOnError
from kit.report.share import form, places
from kit.report.share.alike import squares_told
from kit.report.share.classes import CLASSES, OPERATIONS, HiveClass, apportioned, class_of, in_class, in_proportion
from kit.report.share.form import ALL, COUNTED, MODEL, OTHER, Choices
from kit.report.share.hidden import Part, hidden_apiaries
from kit.report.write import csv_text
from kit.season.findings import Findings

DIGITS = 3
"""Significant digits of a number of a pack: finer ones tell nothing and would mark a pack out."""
BAND = ("p05", "p50", "p95")


@dataclass(frozen=True)
class Draft:
    """The tables before keys are put in.

    Parameters
    ----------
    season : int
        Start year.
    week : str
        ISO week of the last day of the records.
    method : str
        How loads were read.
    tables : mapping of DataFrame
        By name, in the pack's columns, apiaries by their own ids.
    hidden : int
        Apiaries left out.
    choices : Choices
        As ticked; `totals_only` also when the apiaries had to go together.
    squares : str
        What places are told by, one of `form.SQUARES`.
    size : HiveClass
        The class of the operation's hives.
    """

    season: int
    week: str
    method: str
    tables: Mapping[str, pd.DataFrame]
    hidden: int
    choices: Choices
    squares: str
    size: HiveClass

    @cached_property
    def digest(self) -> str:
        """Of everything in it: the same inputs and choices give the same."""
        whole = {name: csv_text(table) for name, table in self.tables.items()}
        ticked = [list(self.choices.tables), self.choices.minimum, self.choices.exact]
        told = [self.season, self.week, self.method, self.hidden, *ticked]
        return hashlib.sha256(json.dumps([told, whole], sort_keys=True).encode()).hexdigest()


def draft(review: Findings, where: Mapping[str, Place | None], access: Mapping[str, str], choices: Choices) -> Draft:
    """The draft of a season's pack.

    Parameters
    ----------
    review : Findings
        Whole.
    where : mapping
        Apiary to place, None when not recorded.
    access : mapping
        Apiary to the word for how a vehicle gets there.
    choices : Choices
        What may go.

    Raises
    ------
    CannotGoOnError
        When the operation has fewer hives than the smallest group.
    """
    parts = _parts(review)
    hives = {part.apiary: part.hives or 0 for part in parts}
    if sum(hives.values()) < choices.minimum:
        raise CannotGoOnError(
            f"{sum(hives.values())} hives are recorded, fewer than the smallest group of {choices.minimum}: "
            "nothing can be shared that would not be about single hives"
        )
    here = places.region(where, hives, form.REGION)
    squares = squares_told(choices, here, sum(hives.values()))
    hidden = hidden_apiaries(parts, minimum=choices.minimum)
    if choices.totals_only or len(hidden) == len(parts):
        hidden, choices = tuple(hives), replace(choices, totals_only=True)
    source = _Source(review, where, access, parts, frozenset(hidden), choices, squares)
    tables = {
        name: _plain(source.told(MAKERS[name](source)), name)
        for name in choices.tables
        if not (choices.totals_only and name == "apiaries")
    }
    facts = review.facts
    method = str(facts["load_method"])
    season, week, size = int(facts["season"]), _week(facts["as_of"]), class_of(sum(hives.values()))
    return Draft(season, week, method, tables, len(hidden), choices, squares, size)


@dataclass(frozen=True)
class _Source:
    review: Findings
    where: Mapping[str, Place | None]
    access: Mapping[str, str]
    parts: tuple[Part, ...]
    hidden: frozenset[str]
    choices: Choices
    squares: str

    @property
    def hives(self) -> int:
        """Of the whole operation."""
        return sum(part.hives or 0 for part in self.parts)

    def told(self, rows: pd.DataFrame) -> pd.DataFrame:
        """Hives in classes unless ticked."""
        return rows if self.choices.exact else _in_classes(rows)

    @property
    def shown(self) -> list[Part]:
        return [part for part in self.parts if part.apiary not in self.hidden]

    def rows(self, name: str) -> pd.DataFrame:
        """The rows of whole apiaries; of the hidden ones none."""
        table = self.review.tables[name]
        table = table[table["scope"] == "apiary"] if "scope" in table else table
        return table[table["apiary"].isin([part.apiary for part in self.shown])]

    def counted(self, apiary: str) -> bool:
        return apiary in self.review.facts.get("counted_apiaries", [])


def _parts(review: Findings) -> tuple[Part, ...]:
    losses = review.tables["losses"]
    whole = losses[losses["cause"] == ALL].drop_duplicates("apiary").set_index("apiary")
    made = []
    for apiary, facts in review.apiary_facts.items():
        wintered, lost = (_whole(whole.at[apiary, c]) if apiary in whole.index else None for c in ("wintered", "lost"))
        known = wintered is not None and lost is not None and wintered > 0
        made.append(
            Part(apiary, wintered or _whole(facts.get("hives")), wintered if known else None, lost if known else None)
        )
    return tuple(made)


def _operation(source: _Source) -> pd.DataFrame:
    facts, hives = source.review.facts, {part.apiary: part.hives or 0 for part in source.parts}
    row = [
        places.region(source.where, hives, source.squares), source.hives, len(hives),
        len(facts.get("counted_apiaries", [])),
        _word(facts["certainty"], form.GRADES, "rough"),
    ]  # fmt: skip
    return pd.DataFrame([row], columns=form.TABLES["operation"].columns)


def _apiaries(source: _Source) -> pd.DataFrame:
    hives = {part.apiary: part.hives or 0 for part in source.shown}
    cells = places.squares(source.where, hives, source.squares)
    rows = [[a, cells[a], n, _word(source.access.get(a, ""), form.ACCESS, "")] for a, n in hives.items()]
    return pd.DataFrame(rows, columns=form.TABLES["apiaries"].columns)


def _loads(source: _Source) -> pd.DataFrame:
    """The first reckoned day of each week."""
    rows = source.rows("loads")
    if not source.shown:
        rows = _together(source)
    rows = rows.dropna(subset=["per_100_bees_p50"]).sort_values(["apiary", "date"], kind="stable")
    rows = rows.assign(week=rows["date"].map(_week), basis=rows["apiary"].map(source.counted).map(_basis))
    return rows.drop_duplicates(["apiary", "week"])


def _together(source: _Source) -> pd.DataFrame:
    """All apiaries as one: their points averaged by hives, as if all were wrong the same way (the widest band)."""
    table = source.review.tables["loads"]
    table = table[(table["scope"] == "apiary") & table["hives"].gt(0)].dropna(subset=["per_100_bees_p50"])
    weekly = table.assign(week=table["date"].map(_week)).drop_duplicates(["apiary", "week"])
    points = [f"{what}_{end}" for what in ("mites", "per_100_bees") for end in BAND]
    shares = weekly[points].mul(weekly["hives"], axis=0).groupby(weekly["week"]).sum()
    mean = shares.div(weekly.groupby("week")["hives"].sum(), axis=0)
    return mean.assign(date=weekly.groupby("week")["date"].min(), apiary=ALL).reset_index(drop=True)


def _kills(source: _Source) -> pd.DataFrame:
    rows = source.rows("efficacy").dropna(subset=["efficacy_p50", "start"])
    return rows.assign(
        treatment=rows["treatment"].map(lambda word: _word(word, form.TREATMENTS, OTHER)),
        week=rows["start"].map(_week),
        basis=rows["counted"].map(_basis),
    )


def _timing(source: _Source) -> pd.DataFrame:
    rows = source.rows("timing").dropna(subset=["treated_on", "treat_by"])
    weeks = [_weeks_between(by, on) for by, on in zip(rows["treat_by"], rows["treated_on"], strict=True)]
    return rows.assign(
        weeks_late=pd.Series(weeks, index=rows.index, dtype=float),
        treatment=rows["treatment"].map(lambda word: _word(word, form.TREATMENTS, OTHER)),
        why_late=rows["why_late"].map(lambda word: _word(word, form.WHY_LATE, OTHER) if word else ""),
    )


def _losses(source: _Source) -> pd.DataFrame:
    """The whole by cause, the apiaries shown over all causes."""
    known = [part for part in source.parts if part.wintered is not None]
    if not known:
        return pd.DataFrame(columns=form.TABLES["losses"].columns)
    wintered, lost = sum(part.wintered or 0 for part in known), sum(part.lost or 0 for part in known)
    facts = source.review.facts
    expected = {f"expected_pct_{end}": facts.get(f"expected_loss_{end}") for end in BAND}
    rows: list[dict[str, Any]] = [{"apiary": ALL, "cause": ALL, "wintered": wintered, "lost": lost} | expected]
    by_cause = source.review.tables["losses"]
    by_cause = by_cause[by_cause["apiary"].isin([p.apiary for p in known]) & (by_cause["cause"] != ALL)]
    words = by_cause["cause"].map(lambda word: _word(word, form.CAUSES, OTHER))
    for cause, dead in by_cause.groupby(words)["lost"].sum().items():
        rows.append({"apiary": ALL, "cause": cause, "wintered": wintered, "lost": dead})
    single = source.rows("losses")
    single = single[(single["cause"] == ALL) & single["apiary"].isin([p.apiary for p in known])]
    return pd.concat([pd.DataFrame(rows), single], ignore_index=True)


def _in_classes(rows: pd.DataFrame) -> pd.DataFrame:
    """Hives, and hives wintered, as the middle of their class; of the lost as large a share, and as large by cause."""
    if "hives" in rows:
        classes = CLASSES if "apiary" in rows else OPERATIONS
        rows = rows.assign(hives=rows["hives"].map(lambda hives: in_class(hives, classes)))
    if "wintered" not in rows or rows.empty:
        return rows
    return pd.concat([_losses_in_class(of_one) for _, of_one in rows.groupby("apiary", sort=False)])


def _losses_in_class(rows: pd.DataFrame) -> pd.DataFrame:
    """The rows of all causes, and of each cause, of one apiary or of the whole."""
    whole = rows[rows["cause"] == ALL].iloc[0]
    wintered, lost = int(whole["wintered"]), int(whole["lost"])
    told = in_class(wintered, OPERATIONS if whole["apiary"] == ALL else CLASSES)
    dead = {cause: int(k) for cause, k in zip(rows["cause"], rows["lost"], strict=True) if cause != ALL}
    shares = apportioned(list(dead.values()), in_proportion(sum(dead.values()), wintered, told))
    by_cause = dict(zip(dead, shares, strict=True)) | {ALL: in_proportion(lost, wintered, told)}
    return rows.assign(wintered=told, lost=rows["cause"].map(by_cause))


def _effort(source: _Source) -> pd.DataFrame:
    effort = source.review.tables["effort"]
    words = effort["task"].map(lambda word: _word(word, form.TASKS, OTHER))
    spent = pd.DataFrame(effort.groupby(words)["hours"].sum()).reset_index(names="task")
    return spent.assign(hours_a_hive=spent["hours"] / source.hives)[spent["hours"] > 0]


def _doses(source: _Source) -> pd.DataFrame:
    rounds = source.review.tables["rounds"]
    words = rounds["treatment"].map(lambda word: _word(word, form.TREATMENTS, OTHER))
    weighed = rounds["done"].where(rounds["dose_g"].notna())
    given = rounds.assign(treatment=words, weighed=weighed, crystals_g=rounds["done"] * rounds["dose_g"])
    by_kind = given.groupby("treatment")
    sums = pd.DataFrame(by_kind[["done", "weighed", "crystals_g"]].sum(min_count=1)).assign(rounds=by_kind.size())
    told = {
        "doses_a_hive": (sums["done"] / source.hives).round(1),
        "crystals_g": (sums["crystals_g"] / sums["weighed"]).round(1),
    }
    return pd.DataFrame(sums.assign(**told).reset_index())


def _compliance(source: _Source) -> pd.DataFrame:
    breaches = source.review.tables.get("label_breaches", pd.DataFrame(columns=["limit", "lines", "season"]))
    breaches = breaches[breaches["season"] == source.review.facts["season"]]
    words = breaches["limit"].map(lambda word: _word(word, form.LIMITS, OTHER))
    rows = pd.DataFrame(breaches.groupby(words)["lines"].sum().reset_index())
    record = source.review.tables.get("medicine_record", pd.DataFrame(columns=["missing"]))
    lacking = int(record["missing"].fillna("").ne("").sum())
    return pd.concat([rows, pd.DataFrame([{"limit": OTHER, "lines": lacking}])], ignore_index=True)


MAKERS: dict[str, Callable[[_Source], pd.DataFrame]] = {
    "operation": _operation, "apiaries": _apiaries, "loads": _loads, "kills": _kills, "timing": _timing,
    "losses": _losses, "effort": _effort, "doses": _doses, "compliance": _compliance,
}  # fmt: skip


def _plain(rows: pd.DataFrame, name: str) -> pd.DataFrame:
    """In the columns of the pack and no other, numbers no finer than they are known."""
    fields = form.TABLES[name].fields
    made = {f.name: rows[f.name] if f.name in rows else pd.Series(index=rows.index, dtype=object) for f in fields}
    for field in fields:
        column = made[field.name]
        if field.kind == "number":
            made[field.name] = pd.to_numeric(column).map(_short)
        elif field.kind == "whole":
            made[field.name] = pd.to_numeric(column).round()
        else:
            made[field.name] = column.fillna("").astype("str")
    return pd.DataFrame(made).reset_index(drop=True)


def _short(value: float) -> float:
    return value if pd.isna(value) else float(f"{value:.{DIGITS}g}")


def _whole(value: Any) -> int | None:
    return None if value is None or pd.isna(value) else round(float(value))


def _word(text: object, allowed: tuple[str, ...], otherwise: str) -> str:
    """The record sheets' own words pass, nothing else does."""
    return str(text) if text in allowed else otherwise


def _basis(counted: object) -> str:
    return COUNTED if counted else MODEL


def _week(day: date | pd.Timestamp | str) -> str:
    year, week, _ = pd.Timestamp(day).isocalendar()
    return f"{year}-W{week:02d}"


def _weeks_between(first: pd.Timestamp, second: pd.Timestamp) -> int:
    """Whole ISO weeks from one day's to the other's: the week may be known, the day not."""
    mondays = [day - pd.Timedelta(days=day.weekday()) for day in (first, second)]
    return (mondays[1] - mondays[0]).days // 7
