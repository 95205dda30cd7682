"""Heads of each apiary over the winter: what went in, came out, died of what, and where figures do not add up."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

import pandas as pd

if TYPE_CHECKING:
    from kit.records.records import Records

UNKNOWN = "unknown"
DIED = ("died", "queenless", "disaster")
AUTUMN = ((9, 1), (10, 1), (11, 30))
"""First day, best day and last day of the autumn heads, month and day."""
SPRING_FROM = (1, 15)
LEAVE = ("united", "moved", "sold")
COME = ("split", "moved", "bought", "swarm")


@dataclass(frozen=True)
class Heads:
    """One apiary's winter.

    Parameters
    ----------
    apiary : str
        Its id.
    wintered, came_out : int or None
        Hives at the autumn and at the spring heads; None where not recorded.
    lost : int or None
        Hives lost between them; None unless both are recorded.
    causes : mapping
        Deaths by cause between them, or since the autumn heads while there is no spring look.
    before_winter : int
        Deaths written down from the season's start until the autumn heads.
    conflicts : tuple of str
        Sentences where heads do not add up.
    """

    apiary: str
    wintered: int | None
    came_out: int | None
    lost: int | None
    causes: dict[str, int] = field(default_factory=dict)
    before_winter: int = 0
    conflicts: tuple[str, ...] = ()

    @property
    def missing(self) -> str | None:
        """`autumn`, `spring` or `both` where heads are not recorded."""
        if self.wintered is None:
            return "both" if self.came_out is None else "autumn"
        return "spring" if self.came_out is None else None


def heads_of(records: Records, apiary: str) -> Heads:
    """The winter of one apiary by its head counts, its dead hives and the stays of its numbered colonies."""
    rows = _rows(records, apiary)
    first = records.season.start.year
    best = pd.Timestamp(date(first, *AUTUMN[1]))
    autumn = _near(rows, pd.Timestamp(date(first, *AUTUMN[0])), best, pd.Timestamp(date(first, *AUTUMN[2])))
    spring = _last(rows, pd.Timestamp(date(first + 1, *SPRING_FROM)))
    numbered = _by_stays(records, apiary, best)
    wintered = autumn[1] if autumn else numbered[0]
    came_out = spring[1] if spring else numbered[1]
    went_in = autumn[0] if autumn else best
    until = spring[0] if spring else pd.Timestamp(records.as_of)
    causes = _deaths(records, rows, apiary, went_in, until)
    before = sum(
        _deaths(records, rows, apiary, pd.Timestamp(records.season.start) - pd.Timedelta(days=1), went_in).values()
    )
    found = _lost(wintered, came_out, _moved(records, apiary, went_in, until), causes)
    return Heads(apiary, wintered, came_out, found[0], found[1], before, (*found[2], *_done_conflicts(rows)))


def _lost(
    wintered: int | None, came_out: int | None, moved: int, causes: Counter[str]
) -> tuple[int | None, dict[str, int], tuple[str, ...]]:
    """Lost by the heads, deaths by cause with the unexplained as unknown, and what does not add up."""
    named = sum(causes.values())
    if wintered is None or came_out is None:
        return None, dict(causes), ()
    gone = wintered + moved - came_out
    by_events = f" and {abs(moved)} {'came' if moved > 0 else 'left'} by the events" if moved else ""
    if gone < 0:
        what = f"{wintered} went in{by_events}, yet {came_out} came out"
        return min(named, wintered), dict(causes), (what,)
    if named > gone:
        out = f"{came_out} came out, which is {gone} lost, yet {named} are written down as dead"
        what = f"{wintered} went in{by_events} and {out}"
        return min(gone, wintered), dict(causes), (what,)
    if gone > named:
        causes = causes + Counter({UNKNOWN: gone - named})
    return min(gone, wintered), dict(causes), ()


def _rows(records: Records, apiary: str) -> pd.DataFrame:
    rows = records.heads[records.heads["apiary"] == apiary]
    start, end = pd.Timestamp(records.season.start), pd.Timestamp(min(records.as_of, records.season.end))
    rows = rows[(rows["date"] >= start) & (rows["date"] <= end)]
    return rows.sort_values(["date", "from_file", "from_row"], kind="stable")


def _near(
    rows: pd.DataFrame, first: pd.Timestamp, best: pd.Timestamp, last: pd.Timestamp
) -> tuple[pd.Timestamp, int] | None:
    inside = rows[(rows["date"] >= first) & (rows["date"] <= last) & rows["standing"].notna()]
    if inside.empty:
        return None
    away = (inside["date"] - best).abs()
    row = inside.loc[away == away.min()].iloc[-1]
    return row["date"], int(row["standing"])


def _last(rows: pd.DataFrame, first: pd.Timestamp) -> tuple[pd.Timestamp, int] | None:
    inside = rows[(rows["date"] >= first) & rows["standing"].notna()]
    if inside.empty:
        return None
    return inside["date"].iloc[-1], int(inside["standing"].iloc[-1])


def _by_stays(records: Records, apiary: str, autumn: pd.Timestamp) -> tuple[int | None, int | None]:
    """Heads by the stays of numbered colonies, where every hive of the apiary has a number."""
    stays = records.tables["colonies"]
    stays = stays[stays["apiary"] == apiary]
    as_of = pd.Timestamp(records.as_of)
    hives = records.hives(apiary, autumn.date())
    there = _standing(stays, autumn)
    if not there or as_of < autumn or (hives is not None and hives != there):
        return None, None
    over = as_of >= pd.Timestamp(date(records.season.start.year + 1, *SPRING_FROM))
    return there, _standing(stays, min(as_of, pd.Timestamp(records.season.end))) if over else None


def _standing(stays: pd.DataFrame, on: pd.Timestamp) -> int:
    inside = stays["from"].isna() | (stays["from"] <= on)
    return int(stays.loc[inside & (stays["to"].isna() | (stays["to"] > on)), "colony"].nunique())


def _deaths(
    records: Records, rows: pd.DataFrame, apiary: str, after: pd.Timestamp, until: pd.Timestamp
) -> Counter[str]:
    """Deaths by cause in (after, until]: in a gap between visits the log's dead and the numbered are the same."""
    visits = sorted({*rows.loc[(rows["date"] > after) & (rows["date"] <= until), "date"], until})
    stays = records.tables["colonies"]
    stays = stays[(stays["apiary"] == apiary) & stays["outcome"].isin(DIED)]
    total: Counter[str] = Counter()
    before = after
    for visit in visits:
        logged = _logged(rows[rows["date"] == visit])
        known = stays[(stays["to"] > before) & (stays["to"] <= visit)]
        named = Counter(_cause(row) for row in known[["outcome", "cause"]].to_dict("records"))
        total += _same(named, logged)
        before = visit
    return total


def _logged(rows: pd.DataFrame) -> Counter[str]:
    found: Counter[str] = Counter()
    for row in rows.to_dict("records"):
        dead = 0 if pd.isna(row["dead"]) else int(row["dead"])
        words = [word.strip() for word in str(row["cause"]).split(";") if word.strip()]
        if len(words) == dead:
            found.update(words)
        elif dead:
            found[" or ".join(words) or UNKNOWN] += dead
    return found


def _same(named: Counter[str], logged: Counter[str]) -> Counter[str]:
    """The deaths of one gap told twice: numbered ones first, then what the log knows beyond them."""
    beyond = sum(logged.values()) - sum(named.values())
    if beyond <= 0:
        return named
    rest = logged - named
    taken: Counter[str] = Counter()
    for cause, dead in sorted(rest.items(), key=lambda item: (item[0] == UNKNOWN, item[0])):
        taken[cause] = min(dead, beyond - sum(taken.values()))
    return named + taken


def _cause(row: Any) -> str:
    fallback = {"queenless": "queen"}.get(str(row["outcome"]), UNKNOWN)
    return str(row["cause"]) or fallback


def _moved(records: Records, apiary: str, after: pd.Timestamp, until: pd.Timestamp) -> int:
    """Hives that came (positive) or left by the events in (after, until]."""
    events = records.tables["events"]
    inside = events[(events["date"] > after) & (events["date"] <= until)]
    hives = inside["hives"].fillna(1)
    came = hives[inside["kind"].isin(COME) & (inside["to"] == apiary)].sum()
    left = hives[inside["kind"].isin(LEAVE) & (inside["from"] == apiary)].sum()
    return int(came - left)


def _done_conflicts(rows: pd.DataFrame) -> list[str]:
    wrong = rows[rows["done"] > rows["standing"]]
    return [
        f"on {r['date']:%Y-%m-%d} {r['done']:.0f} were treated of {r['standing']:.0f} standing"
        for r in wrong.to_dict("records")
    ]
