"""Wishes as far as labels allow: rounds a year, dose, and brood; without an entry one oxalic round is allowed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from kit.constants.treatment_words import OXALIC
from kit.plan.ahead import WINDOWS
from kit.plan.labels import Read, authorised_for, needs_label
from kit.plan.programme.wishes import IN_SPLITS, Cut, Wanted


def under_labels(treatments: Sequence[Wanted], read: Read) -> tuple[list[Wanted], list[Cut]]:
    """One apiary's wishes as far as labels go, in the order of the year, and what they took away."""
    found: list[Wanted] = []
    cuts: list[Cut] = []
    given: Counter[str] = Counter()
    for wish in sorted(treatments, key=lambda t: WINDOWS.index(t.window)):
        product = authorised_for(read, wish.word, wish.product)
        if product != wish.product:
            said = f"{wish.product} is not authorised: {product} instead"
            cuts.append(Cut(wish.apiary, wish.word, wish.window, said, product))
            wish = replace(wish, product=product)
        label = read(wish.word, wish.product) if needs_label(wish.word) else None
        if label is not None and label.brood_free_only and _among_brood(wish):
            cuts.append(Cut(wish.apiary, wish.word, wish.window, "the label wants no brood: not in the main season"))
            continue
        kept = _limited(replace(wish, label=label, product=wish.product or (label.product if label else "")), given)
        if kept.rounds < wish.rounds:
            cuts.append(
                Cut(wish.apiary, wish.word, wish.window, f"{wish.rounds} rounds wanted, the label leaves {kept.rounds}")
            )
        if kept.dose_g is not None and wish.dose_g is not None and kept.dose_g < wish.dose_g - 1e-9:
            cuts.append(
                Cut(
                    wish.apiary,
                    wish.word,
                    wish.window,
                    f"dose {wish.dose_g:g} g crystals, the label allows {kept.dose_g:g} g",
                )
            )
        found += [kept] if kept.rounds else []
    return found, cuts


def _among_brood(wish: Wanted) -> bool:
    return wish.window in ("spring", "main") and wish.basis != IN_SPLITS


def _limited(wish: Wanted, given: Counter[str]) -> Wanted:
    """Rounds and dose within the label; `given` counts oxalic rounds of the season so far, however given."""
    label = wish.label
    if wish.word not in OXALIC:
        return replace(_amount_within(wish), allowed=wish.rounds)
    dose = wish.dose_g
    if label is not None and label.max_crystals_g is not None:
        dose = label.max_crystals_g if dose is None else min(dose, label.max_crystals_g)
    if label is not None and label.max_rounds is not None:
        left = max(0, min(wish.rounds, label.max_rounds - given["oxalic"]))
        given["oxalic"] += left
        return replace(wish, rounds=left, allowed=left, dose_g=dose)
    allowed = 1 if given["oxalic"] == 0 else 0
    given["oxalic"] += wish.rounds
    return replace(wish, allowed=min(allowed, wish.rounds), dose_g=dose)


def _amount_within(wish: Wanted) -> Wanted:
    label = wish.label
    if label is None or label.max_amount is None:
        return wish
    if wish.amount is None:
        return replace(wish, amount=label.max_amount, unit=label.amount_unit)
    return replace(wish, amount=min(wish.amount, label.max_amount)) if wish.unit == label.amount_unit else wish


def missing_labels(treatments: Sequence[Wanted]) -> list[str]:
    """Treatments wanted without an entry, or without its number of rounds, each once."""

    def lacks(t: Wanted) -> bool:
        return needs_label(t.word) and (t.label is None or (t.word in OXALIC and t.label.max_rounds is None))

    return sorted({t.word for t in treatments if lacks(t)})
