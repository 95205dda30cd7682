"""What to do at each apiary next season: as last season where something was recorded, else as the trade does it.

The label has the last word: what it forbids is cut and said; without an entry for the rounds it allows, one oxalic
round may enter the calendar and the others are worked out under "if your label or vet allows it".
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.constants import plan
from kit.constants.treatment_words import OXALIC, STAYS_DAYS
from kit.plan.ahead import Ahead, a_year_on, day_of, window_of
from kit.plan.labels import Read, needs_label, reader
from kit.plan.programme.allowed import under_labels
from kit.plan.programme.wishes import IN_SPLITS, KNOWN, Cut, Wanted
from kit.plan.splits import Splits, splits_of

if TYPE_CHECKING:
    from kit.records.records import Records


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
    doses, products = usual_doses(rounds), usual_products(rounds)
    labels = reader(records.tables["labels"])
    found: list[Wanted] = []
    cuts: list[Cut] = []
    parted = splits_of(records, ahead, records.apiaries)
    for apiary in records.apiaries:
        treatments = [_in_splits(t, parted[apiary], rounds) for t in past[apiary]]
        if not any(t.window == "main" for t in treatments):
            treatments = [replace(t, apiary=apiary) for t in usual if t.window == "main" or not treatments] + treatments
        filled = [
            replace(
                t,
                dose_g=doses.get(t.word) if t.dose_g is None else t.dose_g,
                product=t.product or products.get(t.word, ""),
            )
            for t in treatments
        ]
        kept, lost = under_labels(counted(filled), labels)
        found += kept if any(t.window == "main" for t in kept) else [*_other_main(apiary, past, labels), *kept]
        cuts += lost
    return found, cuts


def _in_splits(wish: Wanted, splits: Splits, rounds: pd.DataFrame) -> Wanted:
    """An oxalic round given in the parts split off, as one for them; any other treatment as it is."""
    if not (splits.anyway and wish.word in OXALIC and wish.window == "spring" and wish.last_start):
        return wish
    opens, closes = splits.free
    at = rounds[(rounds["apiary"] == wish.apiary) & (rounds["date"] == pd.Timestamp(wish.last_start))]
    few = bool((at["done"] <= at["standing"] / 2).all())
    in_time = opens <= a_year_on(wish.last_start) <= closes
    return replace(wish, basis=IN_SPLITS, hives=splits.parts) if few and in_time else wish


def _other_main(apiary: str, past: Mapping[str, list[Wanted]], labels: Read) -> list[Wanted]:
    """A main treatment that other apiaries got and whose label allows it; none where no label was read."""
    mains = [t for treatments in past.values() for t in treatments if t.window == "main"]
    for word, _ in Counter(t.word for t in mains).most_common():
        like = next(t for t in mains if t.word == word)
        kept, _ = under_labels(
            [replace(like, apiary=apiary, basis="as at your other apiaries", last_start=None)], labels
        )
        if kept and (kept[0].label is not None or not needs_label(word)):
            return kept
    return []


def usual_doses(rounds: pd.DataFrame) -> dict[str, float]:
    """The middle dose of each treatment where doses are recorded, crystals [g]."""
    middle = rounds.dropna(subset=["dose_g"]).groupby("treatment")["dose_g"].median()
    return {str(word): float(dose) for word, dose in middle.items()}


def usual_products(rounds: pd.DataFrame) -> dict[str, str]:
    """The product most often written beside each treatment."""
    named = rounds[rounds["product"] != ""]
    return {str(word): str(part.mode().iloc[0]) for word, part in named.groupby("treatment")["product"]}


def counted(treatments: Sequence[Wanted]) -> list[Wanted]:
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
        rounds=1 if word in STAYS_DAYS else len(days),
        gaps=_gaps(word, days, group["removed"].iloc[0] if word in STAYS_DAYS else None),
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
    if word in STAYS_DAYS:
        least, most = (int(c.value) for c in STAYS_DAYS[word])
        out = day_of(removed) if removed is not None else None
        in_place = (out - days[0].date()).days if out else least
        return (in_place, max(in_place, most)) if least <= in_place <= most else (least, most)
    if len(days) < 2:
        return trade_gaps()
    usual = int(np.median([(b - a).days for a, b in itertools.pairwise(days)]))
    middle = min(max(usual, int(plan.INTERVAL_LEAST_DAYS.value)), int(plan.INTERVAL_MOST_DAYS.value))
    bend = int(plan.BEND_DAYS.value)
    return max(middle - bend, int(plan.INTERVAL_LEAST_DAYS.value)), min(
        middle + bend, int(plan.INTERVAL_MOST_DAYS.value)
    )


def trade_gaps() -> tuple[int, int]:
    """Least and most days between two rounds of a series, as the trade has it."""
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
        wish("oxalic sublimation", "autumn", int(plan.SERIES_ROUNDS.value), trade_gaps()),
        wish("oxalic sublimation", "winter", 1, trade_gaps()),
    ]
