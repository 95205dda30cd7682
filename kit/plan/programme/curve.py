"""The loss curve that a plan goes by: the usual one, or the one the review refitted to own deaths by mites."""

from __future__ import annotations

from typing import NamedTuple

from kit.calc.losses import LossCurve
from kit.constants import losses as known
from kit.season.findings import Findings
from kit.season.loss_curve import NUMBERS, OTHER_CAUSES

OWN = "own_p50"


class Loss(NamedTuple):
    """Loss by mites as a curve, and by all other causes [%]."""

    curve: LossCurve
    background_pct: float


USUAL = Loss(LossCurve(), known.BACKGROUND.value)


def loss_of(review: Findings) -> Loss:
    """The middle of what own deaths made likely where they were enough, else the usual curve."""
    if not review.facts.get("loss_curve", {}).get("refitted"):
        return USUAL
    own = review.tables["loss_curve"].set_index("number")[OWN]
    return Loss(LossCurve(**{name: float(own[text]) for name, text, _ in NUMBERS}), float(own[OTHER_CAUSES]))
