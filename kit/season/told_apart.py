"""Can the records tell what lateness did from what crop and ground did?

Late apiaries are often late for a reason that also kills.
"""

from __future__ import annotations

from collections.abc import Sequence

from kit.calc.losses import loss_rate
from kit.season.heads import Heads
from kit.season.parts import Parts

FEWEST = 2
"""Apiaries wanted on either side."""
REACHED = {
    "dry ground": "is reached on dry ground only",
    "on foot": "is reached on foot only",
    "all weather": "is reached in all weather",
}
"""A way in, as what an apiary is said to share with others."""


def told_apart(parts: Parts) -> tuple[bool | None, str]:
    """The verdict and its reason in words; None when there is nothing to compare."""
    timing = parts.tables["timing"]
    late_names = set(timing.loc[timing["days_late"] > 0, "apiary"])
    late = [h for h in parts.heads if h.apiary in late_names]
    rest = [h for h in parts.heads if h.apiary not in late_names]
    if not late or not rest:
        return None, "all apiaries were late" if late else "no apiary was late"
    known_late, known_rest = _known(late), _known(rest)
    if len(known_late) < FEWEST or len(known_rest) < FEWEST:
        return False, f"heads of {len(known_late)} late and {len(known_rest)} other apiaries are too few to compare"
    shared = _confounded(parts, {h.apiary for h in known_late}, {h.apiary for h in known_rest})
    if shared:
        return False, f"every late apiary, and no other, {shared}: that may kill as well"
    return _apart(known_late, known_rest)


def _known(heads: Sequence[Heads]) -> list[Heads]:
    return [h for h in heads if h.lost is not None and h.wintered]


def _apart(late: Sequence[Heads], rest: Sequence[Heads]) -> tuple[bool, str]:
    rates = [loss_rate([h.wintered or 0 for h in side], [h.lost or 0 for h in side]) for side in (late, rest)]
    apart = rates[0].interval_pct[0] > rates[1].interval_pct[1]
    said = [f"{r.interval_pct[0]:.0f} to {r.interval_pct[1]:.0f} %" for r in rates]
    if apart:
        return (
            True,
            f"late apiaries lost {said[0]}, the rest {said[1]}",
        )
    return False, f"the intervals overlap (late {said[0]}, the rest {said[1]})"


def _confounded(parts: Parts, late: set[str], rest: set[str]) -> str:
    """What all late apiaries and no other have in common, as words; '' when nothing recorded."""
    access = parts.records.tables["apiaries"].set_index("apiary")["access"].to_dict()
    ground = {access.get(a, "") for a in late}
    if len(ground) == 1 and ground != {""} and not ground & {access.get(a, "") for a in rest}:
        return REACHED.get(reached := ground.pop(), f"is reached by {reached}")
    crops = parts.records.in_season("crops")
    of = {a: set(crops.loc[crops["apiary"] == a, "crop"]) - {""} for a in late | rest}
    common = set.intersection(*(of[a] for a in late)) - set.union(*(of[a] for a in rest))
    return f"stands at {sorted(common)[0]}" if common else ""
