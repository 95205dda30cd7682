"""By what a keeper may be recognised in a pack, said to that keeper: the place, and the number of hives."""

from __future__ import annotations

from kit.report.share.classes import size_words
from kit.report.share.draft import Draft
from kit.report.share.form import DEGREE, GRID, NOWHERE, REGION, Choices
from kit.report.share.places import region_of, square_words

SAID = {
    REGION: "Your region is told, the square of one degree",
    DEGREE: "Places are told by squares of 0.1 degree, the operation's by one of one degree",
    GRID: "Places are told by squares of 10 km of the national grid, the operation's by one of 100 km",
}


def place_told(draft: Draft) -> str:
    """Whether and how places are told, why, and what that takes.

    Parameters
    ----------
    draft : Draft
        What would go.
    """
    square = str(draft.tables["operation"]["place"].iloc[0])
    if draft.squares == NOWHERE:
        return f"No place is told{_why_not(draft.choices)}."
    if not square:
        return "No place is told, because none is recorded."
    where = f"{SAID[draft.squares]} ({square_words(square)})"
    return f"{where}{_why(draft, square_words(region_of(square)))}."


def hives_told(draft: Draft) -> str:
    """How numbers of hives are told."""
    if draft.choices.exact:
        return (
            "Numbers of hives are as counted, because you ticked it: whoever holds this pack and knows how many you "
            "have may recognise you in it."
        )
    return (
        f"Numbers of hives are the middle of their class (yours: {_size(draft)}), and hives lost are in proportion, "
        "so that nobody is recognised by the number."
    )


def _why_not(choices: Choices) -> str:
    if choices.among is not None and not (choices.exact and choices.squares is None):
        return (
            f", because the table given with --among has no group of at least {choices.minimum} in your region with "
            "as many hives as you"
        )
    if choices.squares == NOWHERE:
        return ", as you chose"
    if choices.exact:
        return (
            ", because with the number of hives as counted it would name you; --squares region, degree or grid tells "
            "it all the same"
        )
    return (
        ": with it, whoever knows where you are and how many hives you have might find your pack. --among FILE "
        "(crossed.csv of your association's last report) tells your region where enough are like you; --squares "
        "region, degree or grid tells it all the same"
    )


def _why(draft: Draft, region: str) -> str:
    least, size = draft.choices.minimum, _size(draft)
    finer = "" if draft.squares == REGION else "; the smaller squares say more than that"
    if draft.choices.among is not None:
        return f", because at least {least} members there have {size}{finer}"
    return (
        f", because you ticked it: whoever knows where you are and how many hives you have may find your pack, unless "
        f"at least {least - 1} others with {size} send theirs and tell the same square of one degree, {region}{finer}"
    )


def _size(draft: Draft) -> str:
    return size_words(draft.size.least, draft.size.most)
