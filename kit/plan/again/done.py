"""What is done of the season planned, and what is left: a treatment begun goes on from the day it was given."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from kit.constants import plan
from kit.constants.treatment_words import OXALIC, STAYS_DAYS
from kit.plan.ahead import Ahead, day_of, window_of
from kit.plan.programme.wishes import KNOWN, Begun, Reached, Wanted
from kit.records.season import Season
from kit.season.rounds import rounds

if TYPE_CHECKING:
    from kit.records.records import Records

Visits = tuple[tuple[Reached, ...], ...]
WITHIN_DAYS = 28
"""A treatment begun so many days from the day it was planned for is the one that was planned."""


class Series(NamedTuple):
    """One treatment recorded at one apiary in the season planned.

    Parameters
    ----------
    apiary, word, window, product : str
        Where, what, in which window of the year, with what.
    rounds : tuple of tuple of Reached
        Each round's days, with the share of the hives done by each.
    out : date or None
        The day a slow one came out.
    dose_g : float or None
        Crystals a hive [g].
    """

    apiary: str
    word: str
    window: str
    product: str
    rounds: Visits
    out: date | None = None
    dose_g: float | None = None

    @property
    def visits(self) -> Visits:
        """Days of the visits it took."""
        if self.word not in STAYS_DAYS:
            return self.rounds
        return self.rounds if self.out is None else (*self.rounds, (Reached(self.out, 1.0),))

    @property
    def in_parts(self) -> bool:
        """Whether it was an oxalic round in spring at no more than half of the hives: parts split off."""
        reached = max(visit[-1].share for visit in self.rounds)
        return self.word in OXALIC and self.window == "spring" and reached <= 0.5

    @property
    def first(self) -> date:
        """The day it began."""
        return self.rounds[0][0].day

    @property
    def last(self) -> date:
        """The day of its last visit."""
        return self.visits[-1][-1].day


class SoFar(NamedTuple):
    """The season planned so far: what is done of it, and by apiary the programme of an earlier plan, in full."""

    done: Sequence[Series] = ()
    programmes: Mapping[str, str] = MappingProxyType({})

    def at(self, apiary: str) -> list[Series]:
        """What is done at one apiary."""
        return [one for one in self.done if one.apiary == apiary]


NOTHING_YET = SoFar()


def done_of(records: Records, ahead: Ahead, planned: pd.DataFrame) -> tuple[Series, ...]:
    """The treatments recorded in the season planned, by apiary and in the order of their days.

    One that an earlier plan held in another window than its day says, within `WITHIN_DAYS`, belongs to that window.
    """
    if records.as_of < ahead.start:
        return ()
    given = rounds(replace(records, season=Season(ahead.label, ahead.start, ahead.end)))
    given = given[given["treatment"].isin(KNOWN)]
    found = (one for apiary in records.apiaries for one in _at(given[given["apiary"] == apiary], apiary, ahead))
    return tuple(_as_planned(one, planned) for one in found)


def _at(given: pd.DataFrame, apiary: str, ahead: Ahead) -> list[Series]:
    found: list[Series] = []
    for group in sorted(_treatments(given), key=lambda rows: rows[0]["date"]):
        word, visits = str(group[0]["treatment"]), _visits(group)
        first = not any(one.window == "main" for one in found)
        window = window_of(visits[0][0].day, ahead.start, first=first, rounds=len(visits))
        products = [str(row["product"]) for row in group if row["product"]]
        doses = [float(row["dose_g"]) for row in group if not pd.isna(row["dose_g"])]
        out = day_of(group[0]["removed"]) if word in STAYS_DAYS else None
        dose = doses[-1] if doses else None
        found.append(Series(apiary, word, window, products[-1] if products else "", visits, out, dose))
    return found


Row = Mapping[Any, Any]


def _treatments(given: pd.DataFrame) -> list[list[Row]]:
    """Rows of one treatment each; those that follow on sooner than a next round can are of the same one."""
    found: list[list[Row]] = []
    for _, rows in given.groupby("treatment", sort=True):
        for row in rows.sort_values("date", kind="stable").to_dict("records"):
            last = found[-1][-1] if found and found[-1][-1]["treatment"] == row["treatment"] else None
            same = last is not None and (last["treatment_no"] == row["treatment_no"] or _days(last, row) < _LEAST)
            found = [*found[:-1], [*found[-1], row]] if same else [*found, [row]]
    return found


_LEAST = int(plan.INTERVAL_LEAST_DAYS.value)


def _days(before: Row, after: Row) -> int:
    return int((after["date"] - before["date"]).days)


def _visits(group: Sequence[Row]) -> Visits:
    """Days of each round with the share done by each; what is placed is one visit however many days it took."""
    found: list[list[Reached]] = []
    for row in group:
        share = _share(row)
        by_then = found[-1][-1].share if found else 0.0
        soon = bool(found) and (row["date"].date() - found[-1][0].day).days < _LEAST
        goes_on = bool(found) and by_then < 1 and (soon or row["treatment"] in STAYS_DAYS)
        one = Reached(row["date"].date(), min(by_then + share, 1.0) if goes_on else share)
        found = [*found[:-1], [*found[-1], one]] if goes_on else [*found, [one]]
    placed = group[0]["treatment"] in STAYS_DAYS
    return tuple(tuple(visit) for visit in (found[:1] if placed else found))


def _share(row: Row) -> float:
    """Of the hives standing, those done; all of them where either was not written down."""
    done, standing = float(row["done"]), float(row["standing"])
    return min(done / standing, 1.0) if standing > 0 and done >= 0 else 1.0


def _as_planned(one: Series, planned: pd.DataFrame) -> Series:
    mine = planned[
        (planned["apiary"] == one.apiary) & (planned["treatment"] == one.word) & (planned["deed"] == "treat")
    ]
    mine = mine[mine["round"] == 1]
    if mine.empty:
        return one
    away = (mine["date"] - pd.Timestamp(one.first)).dt.days.abs()
    nearest = int(away.to_numpy().argmin())
    return one._replace(window=str(mine["window"].iloc[nearest])) if away.iloc[nearest] <= WITHIN_DAYS else one


def begun_mains(done: Sequence[Series]) -> dict[str, date]:
    """First day of the main treatment by apiary, where it has begun."""
    return {one.apiary: one.first for one in reversed(done) if one.window == "main"}


def one_part(_: Wanted) -> int:
    """An apiary worked as a whole."""
    return 1


def left_to_do(
    treatments: Iterable[Wanted], done: Sequence[Series], parts_of: Callable[[Wanted], int] = one_part
) -> list[Wanted]:
    """What is still to be done: less what is done, going on where it stands; what is in place comes out again.

    A window served with another treatment than the one wanted is served.

    Parameters
    ----------
    treatments : iterable of Wanted
        Wishes not begun.
    done : sequence of Series
        What the records hold.
    parts_of : callable
        Parts in which an apiary is worked in a treatment.
    """
    wishes = list(treatments)
    served = {(one.apiary, one.window): one for one in reversed(done)}
    same = {(wish.apiary, wish.window, wish.word) for wish in wishes}
    found: list[Wanted] = []
    for wish in wishes:
        one = served.get((wish.apiary, wish.window))
        if one is not None and one.word != wish.word and (one.apiary, one.window, one.word) in same:
            one = None
        if one is not None:
            del served[one.apiary, one.window]
        rest = wish if one is None else _rest(wish, one, parts_of(wish)) if one.word == wish.word else _to_take_out(one)
        found += [rest] if rest is not None else []
    return found + [rest for one in served.values() if (rest := _to_take_out(one)) is not None]


def over(done: Sequence[Series], left: Sequence[Wanted]) -> list[Series]:
    """What of it nothing is left to do of."""
    going = {(wish.apiary, wish.window, wish.word) for wish in left if wish.begun}
    return [one for one in done if (one.apiary, one.window, one.word) not in going]


def _rest(wish: Wanted, one: Series, parts: int) -> Wanted | None:
    """What is left of a wish; nothing of one for some of the hives only, which the records name no further."""
    if wish.hives is not None:
        return None
    rest = replace(wish, begun=Begun(one.visits, parts), product=one.product or wish.product)
    return rest if rest.visits > 0 else None


def _to_take_out(one: Series) -> Wanted | None:
    """The visit that takes a slow treatment out again; None where nothing is in."""
    if one.word not in STAYS_DAYS or one.out is not None:
        return None
    least, most = (int(days.value) for days in STAYS_DAYS[one.word])
    return Wanted(
        one.apiary, one.word, one.window, one.product, 1, (least, most), "begun this season", "recorded",
        allowed=1, begun=Begun.on(one.first),
    )  # fmt: skip
