"""Treatments that speak against the heads, the colonies, the supers, or the day their strips should have come out."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from kit.records.corrections import in_force
from kit.records.problems import Problem
from kit.records.records import COUNT_HOLDS_DAYS, Records
from kit.records.tables import ORIGIN
from kit.records.texts import holds
from kit.records.typed import each, problems_of, shown
from kit.records.words import ALL, TAKEN_OUT

LONGEST_STRIPS_DAYS = 70
"""Strips are in for six to eight weeks, thymol and formic acid less (common practice); after ten it is asked."""

FRESH_COUNT_DAYS = 60
"""Within so many days of a head count more hives are a contradiction, not splits that nobody wrote down (assumed)."""


def treated_wrongly(records: Records) -> Iterator[Problem]:
    """A problem on each treatment that cannot be so, or was not ended."""
    counted = records.heads.dropna(subset=["standing"])[["date", "apiary", "standing"]]
    counted = counted.assign(counted_on=counted["date"]).sort_values("date", kind="stable")
    yield from _more_done_than_standing(records)
    yield from _more_treated_than_counted(records, counted)
    yield from _treated_without_hives(records, counted)
    yield from _lists_without_colonies(records)
    yield from _supers_against_the_label(records)
    yield from _never_taken_out(records)


def _more_done_than_standing(records: Records) -> Iterator[Problem]:
    log = records.tables["log"]
    rows = log[log["done"] > log["standing"]]
    wrong = (f"more hives treated than the {shown(standing)} standing" for standing in rows["standing"])
    yield from problems_of(rows, "done", wrong, "correct one of the two")


def _more_treated_than_counted(records: Records, counted: pd.DataFrame) -> Iterator[Problem]:
    """More hives treated, or colonies listed, than the last head count and the events since leave there."""
    log, listed = records.tables["log"], records.written("treatments", "date", "apiary", "colonies")
    done = log.loc[log["done"].notna() & log["standing"].isna(), ["date", "apiary", "done", *_PLACE]]
    listed = listed[~holds(listed["colonies"], ALL)]
    yield from _beyond_the_count(done.assign(treated=done["done"]), "done", counted, records)
    ids = listed["colonies"].str.count(";") + 1.0
    yield from _beyond_the_count(listed.assign(treated=ids), "colonies", counted, records)


def _beyond_the_count(rows: pd.DataFrame, column: str, counted: pd.DataFrame, records: Records) -> Iterator[Problem]:
    """Rows with more hives `treated` than the last count, where that is fresh, and the events since leave there."""
    if rows.empty or counted.empty:
        return
    met = _with_last_count(rows, counted, FRESH_COUNT_DAYS)
    met = met[met["standing"].notna()]
    expected = met["standing"] + records.came_and_went(met["apiary"], met["counted_on"], met["date"])
    beyond = met["treated"] > expected
    parts = zip(met["treated"][beyond], expected[beyond], met["counted_on"][beyond], strict=True)
    wrong = (
        f"{shown(hives)} hives treated, though the heads of {shown(day)} with the events since make {shown(there)}"
        for hives, there, day in parts
    )
    yield from problems_of(met[beyond], column, wrong, "correct one of them, or write the splits and moves in events")


def _treated_without_hives(records: Records, counted: pd.DataFrame) -> Iterator[Problem]:
    treated = records.tables["treatments"][["date", "apiary", *_PLACE]]
    if not (counted["standing"] == 0).any() or treated.empty:
        return
    met = _with_last_count(treated, counted, COUNT_HOLDS_DAYS)
    wrong = "treated although the last head count found no hives there"
    yield from problems_of(met[met["standing"] == 0], "apiary", wrong, "check the apiary or the heads")


def _lists_without_colonies(records: Records) -> Iterator[Problem]:
    """Colonies listed for a treatment that had left the apiary by then."""
    stays = records.tables["colonies"]
    gone = {(row.colony, row.apiary): row.to for row in each(stays.dropna(subset=["to"]))}
    treated = records.written("treatments", "date", "apiary", "colonies")
    for row in each(treated[~holds(treated["colonies"], ALL)]):
        late = [one for one in row.colonies.split(";") if gone.get((one, row.apiary), row.date) < row.date]
        if late:
            wrong = f"no longer there on that day: {', '.join(late)}; used as written"
            yield Problem(row.from_file, int(row.from_row), "colonies", row.colonies, wrong, "check the list")


def _supers_against_the_label(records: Records) -> Iterator[Problem]:
    """Treatments with supers on, by their own row or by `crops`, with a product whose label forbids it."""
    labels = records.tables["labels"]
    forbidding = labels.loc[labels["supers_allowed"] == "no", "product"]
    if forbidding.empty:
        return
    treated = records.written("treatments", "date", "apiary", "product", "supers_on", "removed")
    treated = treated[treated["product"].isin(set(forbidding))]
    said = holds(treated["supers_on"], "yes")
    wrong = (f"supers were on, which the label of {product} forbids" for product in treated["product"][said])
    yield from problems_of(treated[said], "supers_on", wrong, "read the label again")
    yield from _supers_by_crops(treated[~said], records.tables["crops"])


def _supers_by_crops(treated: pd.DataFrame, crops: pd.DataFrame) -> Iterator[Problem]:
    crops = crops.dropna(subset=["supers_on"])[["apiary", "supers_on", "supers_off", *_PLACE]]
    met = treated.merge(crops, on="apiary", suffixes=("", "_crops"))
    off = met["supers_off"].fillna(met["supers_on_crops"] + pd.offsets.YearEnd())  # off by winter where nobody wrote it
    together = (met["date"] < off) & (met["supers_on_crops"] <= met["removed"].fillna(met["date"]))
    met = met[together].drop_duplicates(list(_PLACE))
    parts = zip(met["supers_on_crops"], met["from_file_crops"], met["from_row_crops"], met["product"], strict=True)
    wrong = (
        f"supers were on from {shown(day)} by {file} row {row}, which the label of {product} forbids"
        for day, file, row, product in parts
    )
    yield from problems_of(met, "supers_on", wrong, "read the label again, or correct one of the two")


def _never_taken_out(records: Records) -> Iterator[Problem]:
    placed = records.tables["treatments"]
    placed = in_force(placed[placed["treatment"].isin(TAKEN_OUT)])
    late = pd.Timestamp(records.as_of) - pd.Timedelta(days=LONGEST_STRIPS_DAYS)
    still = placed[placed["removed"].isna() & (placed["date"] < late)]
    days = (pd.Timestamp(records.as_of) - still["date"]).dt.days
    wrong = (f"never taken out by these records, {count} days after it was placed" for count in days)
    remedy = "take it out, and write strips out in log or the day under removed"
    yield from problems_of(still, "removed", wrong, remedy)


_PLACE = ORIGIN[:2]


def _with_last_count(rows: pd.DataFrame, counted: pd.DataFrame, days: int) -> pd.DataFrame:
    """Rows with the last head count of their apiary up to their day, no older than so many days."""
    rows = rows.sort_values("date", kind="stable")
    return pd.merge_asof(rows, counted, on="date", by="apiary", tolerance=pd.Timedelta(days=days))
