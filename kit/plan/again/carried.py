"""A series begun by an earlier plan is carried on to the rounds planned then, within what its label still leaves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from kit.constants.treatment_words import OXALIC, STAYS_DAYS
from kit.plan.again.done import Series
from kit.plan.labels import label_for, needs_label
from kit.plan.programme.programmes import trade_gaps
from kit.plan.programme.wishes import Cut, Wanted


def carried_on(
    treatments: Sequence[Wanted], done: Sequence[Series], last: pd.DataFrame, labels: pd.DataFrame
) -> list[Wanted]:
    """Treatments chosen, each series begun in the place of what its window would hold by the new choice."""
    found = list(treatments)
    for one in done:
        there = [wish for wish in found if (wish.apiary, wish.window) == (one.apiary, one.window)]
        chosen = next((wish for wish in there if wish.word == one.word), None)
        begun = _begun(one, chosen, last, labels)
        if begun is None:
            continue
        old = chosen or next(iter(there), None)
        found = [begun if wish is old else wish for wish in found] if old else [*found, begun]
    return found


def _begun(one: Series, chosen: Wanted | None, last: pd.DataFrame, labels: pd.DataFrame) -> Wanted | None:
    """A series as it was planned before; None for a slow treatment and for one that was not planned."""
    planned = last[
        (last["apiary"] == one.apiary) & (last["window"] == one.window) & (last["treatment"] == one.word)
    ].sort_values(["part", "date"])
    if one.word in STAYS_DAYS or planned.empty:
        return None
    rounds = int(planned["rounds"].iloc[0])
    if chosen is not None:
        return replace(chosen, rounds=rounds, allowed=min(max(chosen.allowed, len(one.rounds)), rounds))
    product = one.product or str(planned["product"].iloc[0])
    label = label_for(labels, one.word, product) if needs_label(one.word) else None
    free = one.word not in OXALIC or (label is not None and label.max_rounds is not None)
    dose = planned["dose_g"].iloc[0]
    return Wanted(
        one.apiary, one.word, one.window, product, rounds, _gaps(planned), "begun this season", "recorded",
        dose_g=None if pd.isna(dose) else float(dose), label=label, allowed=rounds if free else len(one.rounds),
    )  # fmt: skip


def _gaps(planned: pd.DataFrame) -> tuple[int, int]:
    """Least and most days between two rounds, as planned before, else as the trade has it."""
    part = planned[planned["part"] == planned["part"].iloc[0]].set_index("round")
    for number in part.index:
        if number - 1 in part.index:
            least, most = (part.loc[number, end] - part.loc[number - 1, "date"] for end in ("not_before", "not_after"))
            return least.days, most.days
    return trade_gaps()


def within_labels(treatments: Sequence[Wanted], done: Sequence[Series]) -> tuple[list[Wanted], list[Cut]]:
    """What is left as far as labels allow oxalic rounds a year beside those given, what is begun first; and cuts."""
    given = Counter({one.apiary: 0 for one in done})
    for one in done:
        given[one.apiary] += len(one.rounds) if one.word in OXALIC else 0
    found: list[Wanted] = []
    cuts: list[Cut] = []
    for wish in sorted(treatments, key=lambda wish: wish.begun is None):
        own = len(wish.begun.rounds) if wish.begun else 0
        most = wish.label.max_rounds if wish.label is not None and _counted(wish, given) else None
        rounds = wish.rounds if most is None else min(wish.rounds, max(most - given[wish.apiary] + own, wish.done))
        given[wish.apiary] += max(rounds - own, 0) if wish.word in OXALIC else 0
        if rounds < wish.rounds:
            said = f"{wish.visits} rounds wanted, the label leaves {rounds - wish.done}"
            cuts.append(Cut(wish.apiary, wish.word, wish.window, said))
            wish = replace(wish, rounds=rounds, allowed=min(wish.allowed, rounds))
        found += [wish] if wish.visits else []
    return found, cuts


def _counted(wish: Wanted, given: Counter[str]) -> bool:
    """Whether a label's rounds are counted once more: oxalic ones where something is done this season."""
    return wish.word in OXALIC and wish.apiary in given
