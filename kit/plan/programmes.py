"""What to do at each apiary next season: as last season where something was recorded, else as the trade does it.

The label has the last word: what it forbids is cut and said; without an entry for the rounds it allows, one oxalic
round may enter the calendar and the others are worked out under "if your label or vet allows it".
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.constants import plan
from kit.plan.ahead import Ahead, day_of, window_of
from kit.plan.labels import IF_ALLOWED, OXALIC, Label, label_for, needs_label

if TYPE_CHECKING:
    from kit.records.records import Records

_PLACED = {
    "amitraz strips": (plan.STRIPS_LEAST_DAYS, plan.STRIPS_MOST_DAYS),
    "pyrethroid strips": (plan.STRIPS_LEAST_DAYS, plan.STRIPS_MOST_DAYS),
    "thymol": (plan.THYMOL_LEAST_DAYS, plan.THYMOL_MOST_DAYS),
    "formic acid": (plan.FORMIC_LEAST_DAYS, plan.FORMIC_MOST_DAYS),
    "queen caging": (plan.CAGED_LEAST_DAYS, plan.CAGED_MOST_DAYS),
    "brood break": (plan.CAGED_LEAST_DAYS, plan.CAGED_MOST_DAYS),
}
KNOWN = (*OXALIC, *_PLACED, "drone brood removal")
"""Words a plan can be made for."""


@dataclass(frozen=True)
class Wanted:
    """One treatment at one apiary.

    Parameters
    ----------
    apiary, word, window, product : str
        Where, what, in which window of the year, with which product ('' when not recorded).
    rounds, allowed : int
        Rounds worked out, and those of them the calendar may hold.
    gaps : tuple of int
        Least and most days between visits.
    basis, grade : str
        Where rounds and interval are from.
    dose_g : float or None
        Oxalic crystals (OAD) a hive and round [g], never above the label's.
    amount : float or None
        Of another product a hive, in `unit`, never above the label's.
    unit : str
        Of the amount: strips, ml, trays, g.
    last_start : date or None
        First day of it last season.
    label : Label or None
        The entry it falls under.
    nth : int
        Which one of its kind in its window.
    """

    apiary: str
    word: str
    window: str
    product: str
    rounds: int
    gaps: tuple[int, int]
    basis: str
    grade: str
    dose_g: float | None = None
    amount: float | None = None
    unit: str = ""
    last_start: date | None = None
    label: Label | None = None
    allowed: int = 0
    nth: int = 1

    @property
    def placed(self) -> bool:
        """Whether it stays in the hive and must be taken out on another visit."""
        return self.word in _PLACED

    @property
    def visits(self) -> int:
        """Visits it takes."""
        return 2 if self.placed else self.rounds

    @property
    def condition(self) -> str:
        """ "" or the words under which its later rounds stand."""
        return IF_ALLOWED if self.allowed < self.rounds else ""


@dataclass(frozen=True)
class Cut:
    """What a label took away."""

    apiary: str
    treatment: str
    what: str


def wanted(records: Records, rounds: pd.DataFrame, ahead: Ahead) -> tuple[list[Wanted], list[Cut]]:
    """Treatments of the season planned, by apiary, and what labels took away.

    Parameters
    ----------
    records : Records
        Of the season reviewed.
    rounds : DataFrame
        The review's table of rounds.
    ahead : Ahead
        The season planned.
    """
    past = {apiary: last_season(rounds, apiary, records.season.start) for apiary in records.apiaries}
    usual = _usual([treatment for treatments in past.values() for treatment in treatments])
    doses = _usual_doses(rounds)
    labels = records.tables["labels"]
    found: list[Wanted] = []
    cuts: list[Cut] = []
    for apiary in records.apiaries:
        treatments = past[apiary] or []
        if not any(t.window == "main" for t in treatments):
            treatments = [replace(t, apiary=apiary) for t in usual if t.window == "main" or not treatments] + treatments
        dosed = [t if t.dose_g is not None else replace(t, dose_g=doses.get(t.word)) for t in treatments]
        kept, lost = under_labels(_counted(dosed), labels)
        found += kept
        cuts += lost
    return found, cuts


def _usual_doses(rounds: pd.DataFrame) -> dict[str, float]:
    """The middle dose of each treatment where doses are recorded, crystals [g]."""
    middle = rounds.dropna(subset=["dose_g"]).groupby("treatment")["dose_g"].median()
    return {str(word): float(dose) for word, dose in middle.items()}


def _counted(treatments: Sequence[Wanted]) -> list[Wanted]:
    """The same with a number where one word comes twice in a window."""
    seen: Counter[tuple[str, str]] = Counter()
    found = []
    for wish in treatments:
        seen[wish.word, wish.window] += 1
        found.append(replace(wish, nth=seen[wish.word, wish.window]))
    return found


def last_season(rounds: pd.DataFrame, apiary: str, season_start: date) -> list[Wanted]:
    """The treatments of one apiary last season as wishes for the next, in the order of the year."""
    mine = rounds[(rounds["apiary"] == apiary) & rounds["treatment"].isin(KNOWN)]
    groups = [group.sort_values("date") for _, group in mine.groupby("treatment_no", sort=True)]
    found: list[Wanted] = []
    for group in sorted(groups, key=lambda g: g["date"].iloc[0]):
        start = pd.Timestamp(group["date"].iloc[0]).date()
        first = not any(t.window == "main" for t in found)
        found.append(
            _as_wish(group, apiary, window_of(start, season_start, first=first, rounds=len(set(group["date"]))), start)
        )
    return found


def _as_wish(group: pd.DataFrame, apiary: str, window: str, start: date) -> Wanted:
    word = str(group["treatment"].iloc[0])
    products = [text for text in group["product"] if text]
    doses = group["dose_g"].dropna()
    days = sorted(set(group["date"]))
    return Wanted(
        apiary=apiary,
        word=word,
        window=window,
        product=products[-1] if products else "",
        rounds=1 if word in _PLACED else len(days),
        gaps=_gaps(word, days, group["removed"].iloc[0] if word in _PLACED else None),
        basis="as last season",
        grade="recorded",
        dose_g=float(doses.median()) if len(doses) else None,
        **_amount(group, word),
        last_start=start,
    )


def _amount(group: pd.DataFrame, word: str) -> dict[str, Any]:
    """How much of another product than oxalic acid a hive got, in the unit last written."""
    given = group[(group["unit"] != "")].dropna(subset=["dose"])
    if word in OXALIC or given.empty:
        return {}
    unit = str(given["unit"].iloc[-1])
    return {"amount": float(given.loc[given["unit"] == unit, "dose"].median()), "unit": unit}


def _gaps(word: str, days: Sequence[pd.Timestamp], removed: object) -> tuple[int, int]:
    if word in _PLACED:
        least, most = (int(c.value) for c in _PLACED[word])
        out = day_of(removed) if removed is not None else None
        in_place = (out - days[0].date()).days if out else least
        return (in_place, max(in_place, most)) if least <= in_place <= most else (least, most)
    if len(days) < 2:
        return _trade_gaps()
    usual = int(np.median([(b - a).days for a, b in itertools.pairwise(days)]))
    middle = min(max(usual, int(plan.INTERVAL_LEAST_DAYS.value)), int(plan.INTERVAL_MOST_DAYS.value))
    bend = int(plan.BEND_DAYS.value)
    return max(middle - bend, int(plan.INTERVAL_LEAST_DAYS.value)), min(
        middle + bend, int(plan.INTERVAL_MOST_DAYS.value)
    )


def _trade_gaps() -> tuple[int, int]:
    middle, bend = int(plan.INTERVAL_DAYS.value), int(plan.BEND_DAYS.value)
    return middle - bend, middle + bend


def _usual(treatments: Sequence[Wanted]) -> list[Wanted]:
    """What most apiaries got, window by window; the trade's programme where nothing is recorded."""
    found = []
    for window in ("main", "autumn", "winter"):
        mine = [t for t in treatments if t.window == window]
        if mine:
            word = Counter(t.word for t in mine).most_common(1)[0][0]
            like = [t for t in mine if t.word == word]
            most = max(like, key=lambda t: (Counter(x.rounds for x in like)[t.rounds], t.rounds))
            found.append(replace(most, basis="as at your other apiaries", last_start=None))
    if any(t.window == "main" for t in found):
        return found
    missing = [t for t in trade_programme() if t.window not in {f.window for f in found}]
    return [*missing, *found]


def trade_programme() -> list[Wanted]:
    """The trade: a slow treatment when supers are off, a series as brood tails off, one round without brood."""

    def wish(word: str, window: str, rounds: int, gaps: tuple[int, int]) -> Wanted:
        return Wanted("", word, window, "", rounds, gaps, "trade practice", "common practice")

    strips = int(plan.STRIPS_LEAST_DAYS.value), int(plan.STRIPS_MOST_DAYS.value)
    return [
        wish("amitraz strips", "main", 1, strips),
        wish("oxalic sublimation", "autumn", int(plan.SERIES_ROUNDS.value), _trade_gaps()),
        wish("oxalic sublimation", "winter", 1, _trade_gaps()),
    ]


def under_labels(treatments: Sequence[Wanted], labels: pd.DataFrame) -> tuple[list[Wanted], list[Cut]]:
    """One apiary's wishes as far as labels go, in the order of the year, and what they took away."""
    found: list[Wanted] = []
    cuts: list[Cut] = []
    given: Counter[str] = Counter()
    for wish in sorted(treatments, key=lambda t: ("spring", "main", "autumn", "winter").index(t.window)):
        label = label_for(labels, wish.word, wish.product) if needs_label(wish.word) else None
        if label is not None and label.brood_free_only and wish.window in ("spring", "main"):
            cuts.append(Cut(wish.apiary, wish.word, "the label wants no brood: not in the main season"))
            continue
        kept = _limited(replace(wish, label=label, product=wish.product or (label.product if label else "")), given)
        if kept.rounds < wish.rounds:
            cuts.append(Cut(wish.apiary, wish.word, f"{wish.rounds} rounds wanted, the label leaves {kept.rounds}"))
        if kept.dose_g is not None and wish.dose_g is not None and kept.dose_g < wish.dose_g - 1e-9:
            cuts.append(
                Cut(wish.apiary, wish.word, f"dose {wish.dose_g:g} g crystals, the label allows {kept.dose_g:g} g")
            )
        found += [kept] if kept.rounds else []
    return found, cuts


def _limited(wish: Wanted, given: Counter[str]) -> Wanted:
    """Rounds and dose within the label; `given` counts oxalic rounds of the season so far, however given."""
    label = wish.label
    if wish.word not in OXALIC:
        return replace(_amount_within(wish), allowed=wish.rounds)
    dose = wish.dose_g
    if label is not None and label.max_crystals_g is not None:
        dose = label.max_crystals_g if dose is None else min(dose, label.max_crystals_g)
    if label is not None and label.max_rounds is not None:
        left = max(0, min(wish.rounds, label.max_rounds - given["oxalic"]))
        given["oxalic"] += left
        return replace(wish, rounds=left, allowed=left, dose_g=dose)
    allowed = 1 if given["oxalic"] == 0 else 0
    given["oxalic"] += wish.rounds
    return replace(wish, allowed=min(allowed, wish.rounds), dose_g=dose)


def _amount_within(wish: Wanted) -> Wanted:
    label = wish.label
    if label is None or label.max_amount is None:
        return wish
    if wish.amount is None:
        return replace(wish, amount=label.max_amount, unit=label.amount_unit)
    return replace(wish, amount=min(wish.amount, label.max_amount)) if wish.unit == label.amount_unit else wish


def missing_labels(treatments: Sequence[Wanted]) -> list[str]:
    """Treatments wanted without an entry, or without its number of rounds, each once."""

    def lacks(t: Wanted) -> bool:
        return needs_label(t.word) and (t.label is None or (t.word in OXALIC and t.label.max_rounds is None))

    return sorted({t.word for t in treatments if lacks(t)})


def by_apiary(treatments: Sequence[Wanted]) -> Mapping[str, list[Wanted]]:
    """The treatments of each apiary."""
    found: dict[str, list[Wanted]] = {}
    for treatment in treatments:
        found.setdefault(treatment.apiary, []).append(treatment)
    return found
