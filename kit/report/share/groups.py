"""Members in groups that may be published: too small ones are put together until nobody stands in one alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from kit.calc.suppression import hidden_parts, one_dominates, too_few
from kit.report.share.classes import OPERATIONS, class_of, size_words
from kit.report.share.form import ALL
from kit.report.share.member import Member

ELSEWHERE, UNTOLD = "elsewhere", "place not told"
"""Regions of few members together; members whose packs tell none."""
P_PCT = 10.0
"""A sum is left out when its second largest member could work out the largest within so much [%] (assumed)."""
SIZES = tuple((one.least, one.most) for one in OPERATIONS)
"""Classes of hives of an operation; packs that tell no number tell one of these."""

Grouped = dict[str, list[Member]]


def by_region(members: Sequence[Member], *, minimum: int) -> Grouped:
    """Members by their square of 1 degree, the small ones together as `elsewhere`, those who told none apart."""
    return put_together(members, lambda member: member.place or UNTOLD, minimum=minimum)


def regions_told(regions: Iterable[str]) -> bool:
    """Whether any of these groups is a region that can be named."""
    return any(region not in (ALL, ELSEWHERE, UNTOLD) for region in regions)


def put_together(members: Sequence[Member], key: Callable[[Member], str], *, minimum: int) -> Grouped:
    """Members by a key; those of keys too small to stand go into one group with what would give them away.

    The groups part the members, so that any total less any groups is again a union of groups, none below the minimum.
    """
    groups: Grouped = {}
    for member in members:
        groups.setdefault(key(member), []).append(member)
    names = sorted(groups)
    hidden = {names[at] for at in hidden_parts([len(groups[name]) for name in names], minimum=minimum)}
    together = [member for name in sorted(hidden) for member in groups[name]]
    shown = {name: groups[name] for name in names if name not in hidden}
    name = ELSEWHERE if shown else ALL
    return shown | ({name: together} if len(together) >= minimum else {})


def by_size(members: Sequence[Member], *, minimum: int) -> Grouped:
    """Members by classes of hives, neighbours joined from the smallest up until each class is large enough."""
    classes = [(low, high, [m for m in members if low <= m.hives <= high]) for low, high in SIZES]
    joined: list[tuple[int, int, list[Member]]] = []
    for low, high, found in classes:
        if joined and len(joined[-1][2]) < minimum:
            before = joined.pop()
            low, found = before[0], [*before[2], *found]
        joined.append((low, high, found))
    if len(joined) > 1 and len(joined[-1][2]) < minimum:
        low, _, before_last = joined[-2]
        joined[-2:] = [(low, joined[-1][1], [*before_last, *joined[-1][2]])]
    return {_size(low, high): found for low, high, found in joined if len(found) >= minimum}


def standing_out(members: Sequence[Member], *, minimum: int) -> int:
    """Members whose region and hives, known to somebody, would be matched by fewer packs than the minimum.

    A pack that tells no place is matched wherever its keeper is, by the class of size alone.
    """
    told = Counter((member.place, class_of(max(member.hives, 1))) for member in members)
    matched = {one: count + told["", one[1]] * bool(one[0]) for one, count in told.items()}
    return sum(count for one, count in told.items() if matched[one] < minimum)


def may_be_told(contributions: Sequence[float], *, minimum: int) -> bool:
    """Whether a sum over members may stand: enough of them, and none of whom another could work out the part."""
    counted = [x for x in contributions if x > 0]
    return not too_few([len(contributions)], minimum=minimum)[0] and not one_dominates(counted, p_pct=P_PCT)


def _size(low: int, high: int) -> str:
    if (low, high) == (SIZES[0][0], SIZES[-1][1]):
        return "all sizes together"
    return size_words(low, high)
