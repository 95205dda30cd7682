"""The lines of a visit sheet to write on: the columns of `log`, words to circle where words are asked for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from kit.constants.treatment_words import OXALIC, TAKEN_OUT
from kit.records.words import (
    CAUSES,
    COULD_NOT,
    STRIPS_IN,
    STRIPS_OUT,
    SUBLIMATION,
    TRAYS_IN,
    TRAYS_READ,
    WHY_LATE,
    WRONG,
    YES_NO,
)

Row = Mapping[Any, Any]


class Line(NamedTuple):
    """One column of the log: what stands beside its name, and the words to circle, () for a line to write on."""

    name: str
    help: str = ""
    words: tuple[str, ...] = ()


def lines_of(visit: Row, *, mesh: bool) -> tuple[Line, ...]:
    """The columns of `log` for a planned visit, in its order.

    Parameters
    ----------
    visit : mapping
        A row of the table `visits`.
    mesh : bool
        Whether trays seal the floor.

    Examples
    --------
    >>> visit = {"treatment": "oxalic sublimation", "deed": "treat", "round": 2.0}
    >>> next(line.words for line in lines_of(visit, mesh=True) if line.name == "did")
    ('oxalic sublimation 2; trays read', 'could not')
    """
    return (
        Line("date"),
        Line("who"),
        Line("standing", "hives alive"),
        Line("did", words=(_did(visit, mesh=mesh), COULD_NOT)),
        Line("done", "hives treated"),
        Line("dead", "found dead since the last visit"),
        Line("weak", "hives"),
        Line("cause", "of the dead", CAUSES),
        Line("light", "hives"),
        Line("trays", "mites each, or none, few, many"),
        Line("tray_days", "days they lay"),
        Line("crumbs", "of fresh cappings", YES_NO),
        Line("seals_out"),
        Line("seals_in"),
        Line("notes"),
        Line("wrong", words=WRONG),
        Line("why_late", words=WHY_LATE),
    )


def _did(visit: Row, *, mesh: bool) -> str:
    """What the log will say was done, when all goes as planned."""
    word = str(visit["treatment"])
    if word in TAKEN_OUT:
        return f"{word}; {STRIPS_OUT if visit['deed'] == 'take out' else STRIPS_IN}"
    numbered = f"{word} {visit['round']:g}" if word in OXALIC else word
    if word != SUBLIMATION or not mesh:
        return numbered
    return f"{numbered}; {TRAYS_IN if visit['round'] == 1 else TRAYS_READ}"
