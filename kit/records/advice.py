"""The three things most worth writing down next, from what these records lack."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

import pandas as pd

from kit.records.cross_treated import LONGEST_STRIPS_DAYS
from kit.records.records import Records
from kit.records.words import STRIPS, SUBLIMATION


def worth_writing(records: Records, count: int = 3) -> list[str]:
    """The most worthwhile things to write down next, best first; each names what and where.

    What the law or a dead hive hangs on comes first, then what most changes the answers.
    """
    found = (advice(records) for advice in _BEST_FIRST)
    return [text for text in found if text][:count]


def _rows_aside(records: Records) -> str:
    aside = int(records.account["set_aside"].sum())
    return (
        f"Mend the {aside} {_rows(aside)} set aside above: they were written down and count for nothing."
        if aside
        else ""
    )


def _strips(records: Records) -> str:
    placed = records.tables["treatments"]
    late = pd.Timestamp(records.as_of) - pd.Timedelta(days=LONGEST_STRIPS_DAYS)
    still = placed[placed["treatment"].isin(STRIPS) & placed["removed"].isna() & (placed["date"] < late)]
    places = _some(still["apiary"])
    return (
        f"The day the strips came out at {places}, in log as strips out: they are still in by these records."
        if places
        else ""
    )


def _heads(records: Records) -> str:
    counted = records.in_season("heads")
    counted = counted[counted["standing"].notna()]
    lacking = [a for a in records.apiaries if a not in set(counted["apiary"])]
    where = "every apiary" if len(lacking) == len(records.apiaries) else _some(lacking)
    return f"Heads at {where}: hives standing in autumn and at the first look in spring." if lacking else ""


def _late(records: Records) -> str:
    heads, by = records.in_season("heads"), pd.Timestamp(records.settings.treat_by)
    treated = records.in_season("treatments")
    first = treated[treated["date"] >= pd.Timestamp(date(by.year, 7, 1))].groupby("apiary")["date"].min()
    late = first[first > by].index
    said = heads.loc[heads["why_late"] != "", "apiary"]
    places = _some([apiary for apiary in late if apiary not in set(said)])
    return f"Why {places} was late: one word under why_late in log." if places else ""


def _counts(records: Records) -> str:
    boards = records.in_season("counts")
    lacking = [a for a in records.apiaries if a not in set(boards["apiary"])]
    if not lacking:
        return ""
    where = "an apiary" if len(lacking) == len(records.apiaries) else f"at {_some(lacking)}"
    return f"Mites on three trays {where}, at a round and again at the next: no extra trip, under trays in log."


def _labels(records: Records) -> str:
    used = (records.in_season("treatments")["treatment"] == SUBLIMATION).any()
    known = len(records.tables["labels"])
    text = "What the label of your oxalic product allows, in labels: without it no second round is planned."
    return text if used and not known else ""


def _medicine(records: Records) -> str:
    used = records.in_season("treatments")
    lacking = used[(used["product"] == "") | (used["batch"] == "")]
    text = "Product and batch of each treatment, in treatments: the medicine record lacks them {} times."
    return text.format(len(lacking)) if len(lacking) else ""


def _crops(records: Records) -> str:
    lacking = [a for a in records.apiaries if a not in set(records.in_season("crops")["apiary"])]
    where = "each apiary" if len(lacking) == len(records.apiaries) else _some(lacking)
    return f"Supers on and supers off at {where}, in crops: they decide when treating is open." if lacking else ""


def _drives(records: Records) -> str:
    lacking = records.tables["apiaries"].loc[lambda rows: rows["drive_min"].isna(), "apiary"]
    places = _some(lacking)
    return f"Minutes to drive to {places}, in apiaries: every plan of days leans on them." if places else ""


def _early_trays(_: Records) -> str:
    return "An early tray on three hives an apiary in spring: the cheapest number of the year."


_BEST_FIRST: tuple[Callable[[Records], str], ...] = (
    _rows_aside,
    _strips,
    _heads,
    _counts,
    _labels,
    _medicine,
    _crops,
    _drives,
    _late,
    _early_trays,
)


def _rows(count: int) -> str:
    return "row" if count == 1 else "rows"


def _some(names: Iterable[str]) -> str:
    """Up to four names, the rest counted."""
    listed = list(dict.fromkeys(names))
    more = len(listed) - 4
    return ", ".join(listed[:4]) + (f" and {more} more" if more > 0 else "")
