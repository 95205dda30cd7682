"""What is done of the season planned, and what is left: a treatment begun goes on from the day it was given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from kit.plan.ahead import Ahead, day_of, window_of
from kit.plan.wishes import KNOWN, PLACED, Begun, Wanted
from kit.records.season import Season
from kit.season.rounds import rounds

if TYPE_CHECKING:
    from kit.records.records import Records


class Series(NamedTuple):
    """One treatment recorded at one apiary in the season planned: its days, and the day it came out if it did."""

    apiary: str
    word: str
    window: str
    product: str
    days: tuple[date, ...]
    out: date | None

    @property
    def visits(self) -> tuple[date, ...]:
        """Days of the visits it took."""
        if self.word not in PLACED:
            return self.days
        return self.days[:1] if self.out is None else (self.days[0], self.out)


def done_of(records: Records, ahead: Ahead) -> tuple[Series, ...]:
    """The treatments recorded in the season planned, by apiary and in the order of their days."""
    if records.as_of < ahead.start:
        return ()
    given = rounds(replace(records, season=Season(ahead.label, ahead.start, ahead.end)))
    given = given[given["treatment"].isin(KNOWN)]
    return tuple(one for apiary in records.apiaries for one in _at(given[given["apiary"] == apiary], apiary, ahead))


def _at(given: pd.DataFrame, apiary: str, ahead: Ahead) -> list[Series]:
    groups = [group.sort_values("date") for _, group in given.groupby("treatment_no", sort=True)]
    found: list[Series] = []
    for group in sorted(groups, key=lambda g: g["date"].iloc[0]):
        days = tuple(dict.fromkeys(day.date() for day in group["date"]))
        first = not any(one.window == "main" for one in found)
        window = window_of(days[0], ahead.start, first=first, rounds=len(days))
        products = [text for text in group["product"] if text]
        word = str(group["treatment"].iloc[0])
        out = day_of(group["removed"].iloc[0]) if word in PLACED else None
        found.append(Series(apiary, word, window, products[-1] if products else "", days, out))
    return found


def begun_mains(done: Sequence[Series]) -> dict[str, date]:
    """First day of the main treatment by apiary, where it has begun."""
    return {one.apiary: one.days[0] for one in reversed(done) if one.window == "main"}


def left_to_do(treatments: Sequence[Wanted], done: Sequence[Series]) -> list[Wanted]:
    """What is still to be done: less what is done, going on where it stands; what is in place comes out again.

    A window served with another treatment than the one wanted is served.
    """
    served = {(one.apiary, one.window): one for one in reversed(done)}
    same = {(wish.apiary, wish.window, wish.word) for wish in treatments}
    found: list[Wanted] = []
    for wish in treatments:
        one = served.get((wish.apiary, wish.window))
        if one is not None and one.word != wish.word and (one.apiary, one.window, one.word) in same:
            one = None
        if one is not None:
            del served[one.apiary, one.window]
        rest = wish if one is None else _rest(wish, one) if one.word == wish.word else _to_take_out(one)
        found += [rest] if rest is not None else []
    return found + [rest for one in served.values() if (rest := _to_take_out(one)) is not None]


def _rest(wish: Wanted, one: Series) -> Wanted | None:
    rest = replace(wish, begun=Begun(len(one.visits), one.days[0], one.visits[-1]), product=one.product or wish.product)
    return rest if rest.visits > 0 else None


def _to_take_out(one: Series) -> Wanted | None:
    """The visit that takes a slow treatment out again; None where nothing is in."""
    if one.word not in PLACED or one.out is not None:
        return None
    least, most = (int(days.value) for days in PLACED[one.word])
    begun = Begun(1, one.days[0], one.days[0])
    return Wanted(
        one.apiary, one.word, one.window, one.product, 1, (least, most), "begun this season", "recorded",
        allowed=1, begun=begun,
    )  # fmt: skip


CHANGE_COLUMNS = ["apiary", "treatment", "round", "change", "was", "now", "why"]


class Planned(NamedTuple):
    """What an earlier plan is compared with: visits by key, wishes' last days done by the same, and the day it is."""

    visits: pd.DataFrame
    done: Sequence[Series]
    as_of: date


def last_dates(last: pd.DataFrame) -> dict[str, date]:
    """Dates of an earlier plan's visits by their keys."""
    return {str(key): day.date() for key, day in zip(last["visit_id"], last["date"], strict=True)}


def changes_table(last: pd.DataFrame, planned: Planned) -> pd.DataFrame:
    """One row for each visit that is done, moved, new or no longer planned against an earlier plan."""
    was, now = ({row["visit_id"]: row for row in table.to_dict("records")} for table in (last, planned.visits))
    rows = [_change(row, now.get(key), planned) for key, row in was.items()]
    rows += [
        _told(row, "new", None, row["date"], "not in the plan before") for key, row in now.items() if key not in was
    ]
    table = pd.DataFrame([row for row in rows if row], columns=CHANGE_COLUMNS)
    return table.astype({"was": "datetime64[us]", "now": "datetime64[us]"})


def _change(was: Mapping[Any, Any], now: Mapping[Any, Any] | None, planned: Planned) -> dict[str, Any] | None:
    day = pd.Timestamp(was["date"]).date()
    mine = [one for one in planned.done if (one.apiary, one.window) == (was["apiary"], was["window"])]
    number = _number(was)
    for one in mine:
        if one.word == was["treatment"] and number <= len(one.visits):
            return _told(was, "done", day, one.visits[number - 1], _how_far(day, one.visits[number - 1]))
    if now is not None:
        then = pd.Timestamp(now["date"]).date()
        return None if then == day else _told(was, "moved", day, then, _why_moved(was, mine, planned.as_of))
    other = next((one for one in mine if one.word != was["treatment"]), None)
    why = f"{other.word} was given instead on {other.days[0]}" if other else "it is no longer wanted or finds no day"
    return _told(was, "no longer planned", day, None, why)


def _number(row: Mapping[Any, Any]) -> int:
    """Which visit of its treatment: the second of a slow one takes it out."""
    return 2 if row["deed"] == "take out" else int(float(str(row["round"])))


def _how_far(was: date, done: date) -> str:
    days = (done - was).days
    return "on its day" if days == 0 else f"{abs(days)} day{'s' * (abs(days) > 1)} {'later' if days > 0 else 'earlier'}"


def _why_moved(was: Mapping[Any, Any], mine: Sequence[Series], as_of: date) -> str:
    begun = next((one for one in mine if one.word == was["treatment"]), None)
    if begun is not None:
        return f"its gap is counted from the visit of {begun.visits[-1]}"
    if pd.Timestamp(was["date"]).date() <= as_of:
        return "no line of the records says that it was done on its day"
    return "another day now costs less: what is done, days, supers or weather have changed"


def _told(row: Mapping[Any, Any], change: str, was: object, now: object, why: str) -> dict[str, Any]:
    same = {name: row[name] for name in ("apiary", "treatment", "round")}
    return same | {"change": change, "was": was, "now": now, "why": why}


def changes_facts(table: pd.DataFrame, visits: pd.DataFrame) -> dict[str, Any]:
    """How many visits are done, moved, new, no longer planned, and how many stay on their day."""
    count = {name: int((table["change"] == name).sum()) for name in ("done", "moved", "new")}
    count["dropped"] = int((table["change"] == "no longer planned").sum())
    return count | {"stay": len(visits) - count["moved"] - count["new"]}
