"""A pooled report in sentences: for the committee, and one for a member about that member alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd
from scipy.special import expit

from kit.calc.pooling import pool_random, shrunk
from kit.report.charts.phrases import day, number
from kit.report.share.form import ALL, OTHER
from kit.report.share.groups import ELSEWHERE, UNTOLD
from kit.report.share.member import Member
from kit.report.share.places import square_words
from kit.report.share.pool_late import CLASSES, IN_TIME, LATE
from kit.report.words.winter import SURVIVORS
from kit.season.findings import Findings

CANNOT = (
    "Members who send packs choose themselves; good record keepers, and perhaps the luckier ones, are more of them "
    "than of all.",
    "A kill is read by the kit's model, and its bands lean on the same assumptions for every member, so the pool is "
    "somewhat too sure of itself.",
    "Late and in time are not drawn by lot. Late apiaries are often those behind soft ground or under a late crop, "
    "which may cost colonies by itself; the table by access shows how far that goes, and no further.",
    "It cannot say which treatment is the best, because members chose theirs for reasons of place and season that no "
    "pack holds.",
    "Causes of death are what keepers wrote down; nobody examined the hives.",
)
"""What the pool cannot say, whatever its numbers."""


def pooled_sentences(pool: Findings) -> list[tuple[str, str]]:
    """Sentences that open the report, each with the anchor of the section it stands on."""
    made = [_who(pool), _lost(pool), _cause(pool), _late(pool), _kill(pool), _load(pool), _hours(pool)]
    return [one for one in made if one is not None]


def place_words(square: str) -> str:
    """A region of a report: a square of 1 degree by its south-west corner, or what stands for several.

    Examples
    --------
    >>> place_words("52 -2"), place_words("elsewhere"), place_words("all")
    ('from 52° N 2° W', 'other regions together', 'all members')
    """
    together = {ALL: "all members", ELSEWHERE: "other regions together", UNTOLD: UNTOLD}
    return together.get(square) or square_words(square)


def no_regions(pool: Findings) -> str:
    """Why nothing is told by region, and what would change it."""
    facts = pool.facts
    who = {None: "Too few members told a place", 0: "No member told a place"}.get(
        facts["placed"], f"{facts['placed']} of {facts['members']} members told a place, too few from any one region"
    )
    return (
        f"{who}, so nothing is told by region. Packs tell none unless their keepers ask for it: season share --squares "
        "region, or --among with a list of members by region and size, which tells it only where enough are alike."
    )


def no_groups(pool: Findings) -> str:
    """That no group by region and size can be named."""
    return (
        f"No region told here holds {pool.facts['minimum']} members of one class of size, or naming one would give "
        "away another; the next packs tell a place only where their keepers tick it."
    )


def standing(member: Member, members: Sequence[Member], pool: Findings) -> str:
    """One sentence for a member: where they stand among the others, by what the report tells and no more."""
    said = [_loss_standing(member, pool), *_kill_standing(member, members, pool), _late_standing(member, members, pool)]
    told = [part for part in said if part]
    if not told:
        return "The report holds too few members to say where you stand."
    return f"Of {pool.facts['members']} members, you: {'; '.join(told)}."


def _who(pool: Findings) -> tuple[str, str]:
    facts = pool.facts
    hives = f" with {_about(pool)}{number(facts['hives'])} hives" if facts["hives"] else ""
    counted = (
        f"; mites were counted in {number(facts['counted_pct'])} % of their apiaries" if facts["counted_pct"] else ""
    )
    return f"{facts['members']} members{hives} sent their season {facts['season']}{counted}.", "who"


def _lost(pool: Findings) -> tuple[str, str] | None:
    facts = pool.facts
    if facts["lost_pct"] is None:
        return None
    low, high = number(facts["lost_pct_low"]), number(facts["lost_pct_high"])
    return (
        f"They lost {number(facts['lost_pct'])} % of {_about(pool)}{number(facts['wintered'])} hives wintered ({low} "
        f"to {high} %, allowing for luck).",
        "losses",
    )


def _cause(pool: Findings) -> tuple[str, str] | None:
    causes = pool.tables["losses"]
    causes = causes[~causes["cause"].isin([ALL, OTHER, "unknown"])]
    if causes.empty:
        return None
    top: Any = causes.sort_values("lost", ascending=False, kind="stable").iloc[0]
    of = f"{_about(pool)}{number(top['lost'])} of {number(pool.facts['lost'])} hives lost"
    return f"Most were put down to {top['cause']}: {of}, by {top['members']} members.", "losses"


def _late(pool: Findings) -> tuple[str, str] | None:
    table = pool.tables["lateness"]
    rows: Any = table[table["access"] == ALL].set_index("late")
    late_ones = [LATE, *(name for name, _, _ in reversed(CLASSES[1:]))]
    latest = next((name for name in late_ones if name in rows.index), None)
    if latest is None or IN_TIME not in rows.index:
        return None
    late, rest = rows.loc[latest], rows.loc[IN_TIME]
    apart = late["loss_pct_low"] > rest["loss_pct_high"] or rest["loss_pct_low"] > late["loss_pct_high"]
    within = "" if apart else ", which may be luck"
    return (
        f"Apiaries treated {latest} lost {_loss(late)}, those treated in time {_loss(rest)}{within}; ground and crop "
        f"differ too. {SURVIVORS}",
        "late",
    )


def _kill(pool: Findings) -> tuple[str, str] | None:
    table = pool.tables["kills"]
    table = table[table["treatment"] != OTHER]
    if table.empty:
        return None
    best: Any = table.sort_values("members", ascending=False, kind="stable").iloc[0]
    return (
        f"{str(best['treatment']).capitalize()}, counted by {best['members']} members, typically killed about "
        f"{number(best['typical'])} % of the mites{_new(best, ' %')}.",
        "kill",
    )


def _load(pool: Findings) -> tuple[str, str] | None:
    table = pool.tables["loads"]
    table = table[table["region"] == ALL]
    if table.empty:
        return None
    top: Any = table.sort_values("typical", ascending=False, kind="stable").iloc[0]
    typically = f"typically at {number(top['typical'])} per 100 bees{_new(top, '')}"
    return f"Mites peaked in {week_words(top['week'])}, {typically}.", "loads"


def _hours(pool: Findings) -> tuple[str, str] | None:
    table: Any = pool.tables["work"].set_index("what")
    if "all work" not in table.index:
        return None
    whole = table.loc["all work"]
    return f"A hive typically took {number(whole['typical'])} hours over the season{_new(whole, '')}.", "work"


def week_words(week: str) -> str:
    """An ISO week by its Monday.

    Examples
    --------
    >>> week_words("2025-W35")
    'the week of 25 Aug 2025'
    """
    return f"the week of {day(pd.to_datetime(week + '-1', format='%G-W%V-%u'))}"


def _about(pool: Findings) -> str:
    """Before a number of hives that rests on classes."""
    return "about " if pool.facts["in_classes"] else ""


def _loss(row: Any) -> str:
    return f"{number(row['loss_pct'])} % ({number(row['loss_pct_low'])} to {number(row['loss_pct_high'])})"


def _new(row: Any, unit: str) -> str:
    """What a new member may expect, where that can be said."""
    if pd.isna(row["new_p05"]):
        return ""
    return f"; a new member may expect {number(row['new_p05'])} to {number(row['new_p95'])}{unit}"


def _loss_standing(member: Member, pool: Findings) -> str:
    if not member.wintered or member.lost is None or pool.facts["lost_pct"] is None:
        return ""
    own = number(100 * member.lost / member.wintered)
    return f"lost {own} % of your hives where all lost {number(pool.facts['lost_pct'])} %"


def _kill_standing(member: Member, members: Sequence[Member], pool: Findings) -> list[str]:
    table: Any = pool.tables["kills"].set_index("treatment")
    said = []
    for word, own in member.kills.items():
        if word in table.index:
            found = [m.kills[word] for m in members if word in m.kills]
            whole = pool_random([one.value for one in found], [one.error for one in found])
            drawn = float(shrunk([own.value], [own.error], whole)[0])
            about = number(_pct(drawn))
            what = "other treatments" if word == OTHER else word
            said.append(f"killed about {about} % with {what}, typical {number(table.at[word, 'typical'])} %")
    return said


def _late_standing(member: Member, members: Sequence[Member], pool: Findings) -> str:
    if not member.late or pool.tables["lateness"].empty:
        return ""
    own = _mean_late(member)
    others = [_mean_late(other) for other in members if other.late and other is not member]
    return f"treated later than {sum(one < own for one in others)} of {len(others)} others"


def _mean_late(member: Member) -> float:
    return float(pd.Series([late.weeks_late for late in member.late]).mean())


def _pct(logit: float) -> float:
    return float(100 * expit(logit))
