"""Many members' packs as one set of findings: loads, kills, lateness, losses, work, and who they stand for.

Facts

==================  ===================================================================================================
members             in the pool; `in_classes`: of these, those who told hives in classes only
season              start year; `minimum`: smallest group of members told
placed              members who told a place; None where they are too few to say how many
hives, apiaries     over all members; `counted_pct`: share of the apiaries in which mites were counted
lost_pct            and `lost_pct_low`, `lost_pct_high`, `wintered`, `lost`, `lost_members`; None where they may not be
                    told
left_out            sentences on what the groups were too small for
==================  ===================================================================================================

Tables: `members` (`group members hives`), `regions` (`region members hives`), `crossed` (`region group members`),
`loads` (`region week members`, the typical member's `per_100_bees` with the interval of the typical one `_low _high`,
and `_p05 _p95` of a new member's), `kills` (`treatment members`, `efficacy` likewise, `spread`), `losses` (`cause
members wintered lost loss_pct _low _high`), `lateness` (`late access members apiaries wintered lost loss_pct _low
_high`; `late` for all late ones where the classes apart are too small), `work` (`what unit members`, `typical`
likewise). Numbers carry three significant digits: finer ones tell single members.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import pandas as pd

from kit.calc.losses import loss_rate
from kit.report.share.classes import OPERATIONS, size_words
from kit.report.share.crossed import crossed
from kit.report.share.form import ALL, OTHER
from kit.report.share.groups import by_region, by_size, may_be_told
from kit.report.share.member import Member
from kit.report.share.pool_late import lateness
from kit.report.share.pool_means import kills, loads, work
from kit.report.share.told import Told, gives_away_hives, told_sums
from kit.season.findings import Findings

DIGITS = 3


class PooledPacks(NamedTuple):
    """A pool's findings, and which sums of whose parts they tell; the latter is not to be published."""

    findings: Findings
    told: Told


def pool(members: Sequence[Member], season: int, *, minimum: int) -> Findings:
    """The findings of a pool; otherwise as `pool_told`."""
    return pool_told(members, season, minimum=minimum).findings


def pool_told(members: Sequence[Member], season: int, *, minimum: int) -> PooledPacks:
    """The findings of a pool, and what they tell of whom.

    Parameters
    ----------
    members : sequence of Member
        Of one season, one for each operation.
    season : int
        Start year.
    minimum : int
        Smallest group of members that may be told.
    """
    ordered = sorted(members, key=lambda member: member.operation)
    regions, sizes = by_region(ordered, minimum=minimum), by_size(ordered, minimum=minimum)
    losses, whole = _losses(ordered, minimum)
    late, why_not = lateness(ordered, minimum=minimum)
    both, why_not_both = crossed(regions, sizes, minimum=minimum)
    tables = {
        "members": _counted("group", sizes, minimum),
        "regions": _counted("region", regions, minimum),
        "crossed": both,
        "loads": loads(ordered, regions, minimum=minimum),
        "kills": kills(ordered, minimum=minimum),
        "losses": losses,
        "lateness": late,
        "work": work(ordered, minimum=minimum),
    }
    groups = {"members": sizes, "regions": regions}
    if gives_away_hives(ordered, groups, tables, minimum=minimum):
        tables["regions"] = tables["regions"].assign(hives=float("nan"))
    apiaries = sum(member.apiaries for member in ordered)
    if _few_apart(ordered, minimum):
        tables = {
            name: table.assign(hives=float("nan")) if "hives" in table else table for name, table in tables.items()
        }
    facts: dict[str, Any] = {
        "season": season,
        "minimum": minimum,
        "members": len(ordered),
        "in_classes": sum(not member.exact for member in ordered),
        "placed": _placed(ordered, minimum),
        "hives": None if _few_apart(ordered, minimum) else _sum_told([m.hives for m in ordered], minimum),
        "apiaries": _sum_told([m.apiaries for m in ordered], minimum),
        "counted_pct": short(100 * sum(m.counted for m in ordered) / apiaries) if apiaries else None,
        **whole,
        "left_out": [*_left_out(ordered, tables, minimum), *why_not, *why_not_both],
    }
    found = Findings(facts, {}, {name: rounded(table) for name, table in tables.items()})
    return PooledPacks(found, told_sums(ordered, groups, tables))


def rounded(table: pd.DataFrame) -> pd.DataFrame:
    """Numbers that are not counts with three significant digits."""
    fine = [c for c in table if pd.api.types.is_float_dtype(table[c]) and c not in ("wintered", "lost", "hives")]
    return table.assign(**{str(c): table[c].map(short) for c in fine}).reset_index(drop=True)


def short(value: float) -> float:
    """No finer than three significant digits."""
    return value if pd.isna(value) else float(f"{value:.{DIGITS}g}")


def _placed(members: Sequence[Member], minimum: int) -> int | None:
    placed = sum(bool(member.place) for member in members)
    return placed if not 0 < placed < minimum else None


def _counted(name: str, groups: dict[str, list[Member]], minimum: int) -> pd.DataFrame:
    """Members of each group and their hives; where one group's may not be told, a second goes with it."""
    hives = {key: _sum_told([m.hives for m in found], minimum) for key, found in groups.items()}
    told = {key: number for key, number in hives.items() if number is not None}
    if len(told) == len(hives) - 1 and told:
        hives[min(told, key=lambda key: (told[key], key))] = None
    rows = [[key, len(found), hives[key]] for key, found in groups.items()]
    return pd.DataFrame(rows, columns=[name, "members", "hives"]).astype({"hives": float})


def _few_apart(members: Sequence[Member], minimum: int) -> bool:
    """Whether all hives, less the hives wintered that the losses tell, are those of a few members."""
    return 0 < sum(m.hives != m.wintered for m in members) < minimum


def _sum_told(values: Sequence[int], minimum: int) -> int | None:
    return sum(values) if may_be_told(values, minimum=minimum) else None


def _losses(members: Sequence[Member], minimum: int) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Overall and by cause; causes of too few members stand together as `other`."""
    known = [(m, m.wintered, m.lost) for m in members if m.wintered and m.lost is not None]
    columns = ["cause", "members", "wintered", "lost", "loss_pct", "loss_pct_low", "loss_pct_high"]
    wintered, lost = [n for _, n, _ in known], [k for _, _, k in known]
    if not known or not (may_be_told(wintered, minimum=minimum) and may_be_told(lost, minimum=minimum)):
        return pd.DataFrame(columns=columns), dict.fromkeys(WHOLE)
    rate = loss_rate(wintered, lost)
    rows: list[list[Any]] = [[ALL, len(known), sum(wintered), sum(lost), rate.loss_pct, *rate.interval_pct]]
    for cause, dead in _causes([m for m, _, _ in known], minimum).items():
        one = loss_rate(wintered, [min(k, n) for k, n in zip(dead, wintered, strict=True)])
        rows.append([cause, sum(k > 0 for k in dead), sum(wintered), one.lost, one.loss_pct, *one.interval_pct])
    low, high = rate.interval_pct
    whole = (short(rate.loss_pct), short(low), short(high), rate.wintered, rate.lost, len(known))
    return pd.DataFrame(rows, columns=columns), dict(zip(WHOLE, whole, strict=True))


WHOLE = ("lost_pct", "lost_pct_low", "lost_pct_high", "wintered", "lost", "lost_members")


def _causes(members: Sequence[Member], minimum: int) -> dict[str, list[int]]:
    """Cause to each member's dead; the others in sum, and with them as many causes as it takes to tell it."""
    names = sorted({cause for m in members for cause in m.causes} - {OTHER})
    dead = {cause: [m.causes.get(cause, 0) for m in members] for cause in names}
    told = {cause: each for cause, each in dead.items() if _may_stand(each, minimum)}
    rest = [max(0, (m.lost or 0) - sum(each[at] for each in told.values())) for at, m in enumerate(members)]
    for cause in sorted(told, key=lambda c: (sum(told[c]), c)):
        if not any(rest) or _may_stand(rest, minimum):
            break
        rest = [a + b for a, b in zip(rest, told.pop(cause), strict=True)]
    ordered = dict(sorted(told.items(), key=lambda pair: (-sum(pair[1]), pair[0])))
    return ordered | ({OTHER: rest} if any(rest) and _may_stand(rest, minimum) else {})


def _may_stand(each: Sequence[int], minimum: int) -> bool:
    """Told when enough members had any, and none of them nearly all."""
    return may_be_told([x for x in each if x > 0], minimum=minimum) and any(each)


def _largest() -> str:
    top = OPERATIONS[-1]
    return f"those with {size_words(top.least, top.most)} as {top.middle}"


def _left_out(members: Sequence[Member], tables: dict[str, pd.DataFrame], minimum: int) -> list[str]:
    said = []
    if rough := sum(not member.exact for member in members):
        said.append(
            f"Hives of {rough} members are told as the middle of a class, {_largest()}, so sums of hives are about "
            "right and no more."
        )
    treatments = {word for m in members for word in m.kills} - set(tables["kills"]["treatment"])
    if treatments:
        said.append(
            f"Treatments whose kill is left out, each counted by fewer than {minimum} members, {len(treatments)}."
        )
    if tables["losses"].empty and any(m.wintered for m in members):
        said.append("Losses are left out; too few members told them, or one of them holds nearly all the hives.")
    places = {m.place for m in members if m.place} - set(tables["regions"]["region"])
    if places:
        said.append(f"Regions not told apart, with fewer than {minimum} members each, {len(places)}.")
    if tables["work"].empty:
        said.append("Hours are left out; too few members told them.")
    return said
