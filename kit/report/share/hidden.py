"""Which apiaries of an operation to leave out: those below the smallest group, and those that would give them away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kit.calc.suppression import hidden_parts


class Part(NamedTuple):
    """An apiary's hives; `wintered` and `lost` None where heads are not both recorded."""

    apiary: str
    hives: int | None
    wintered: int | None
    lost: int | None


def hidden_apiaries(parts: Sequence[Part], *, minimum: int) -> tuple[str, ...]:
    """Apiaries to leave out of every table of a pack alike.

    The totals of the operation are told, so what is left out must not follow from them: of those left out at least two
    have known hives, together at least the minimum, and the same holds of those whose losses are known; nor may it
    follow that none, or all, of their hives died. Otherwise the smallest apiary left joins them, to the last.
    """
    hidden = {parts[n].apiary for n in hidden_parts([part.hives or 1 for part in parts], minimum=minimum)}
    rest = sorted((p for p in parts if p.apiary not in hidden), key=lambda p: (p.hives or 0, p.apiary))
    while hidden and rest and not _safe([p for p in parts if p.apiary in hidden], rest, minimum):
        hidden.add(rest.pop(0).apiary)
    return tuple(part.apiary for part in parts if part.apiary in hidden)


def _safe(hidden: Sequence[Part], rest: Sequence[Part], minimum: int) -> bool:
    known = [p.hives for p in hidden if p.hives]
    wintered = [p.wintered for p in hidden if p.wintered is not None]
    lost = sum(p.lost or 0 for p in hidden if p.wintered is not None)
    if not _enough(known, minimum) or not _enough(wintered, minimum):
        return False
    others = sum(p.lost or 0 for p in rest if p.wintered is not None)
    some_died = not wintered or 0 < lost < sum(wintered)
    return some_died or (lost == 0 and others == 0)


def _enough(sizes: Sequence[int], minimum: int) -> bool:
    return not sizes or (len(sizes) >= 2 and sum(sizes) >= minimum)
