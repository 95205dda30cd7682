r"""What a treatment does to mites, day by day.

.. math::
    k &= k_{max}\,\bigl(1-e^{-(d/d_0)^p}\bigr)\,\max(1, A/A_0)^{-r} \\
    d &= \text{dose}\cdot\text{seal}\,/\,(A/A_0)^{v} \\
    k_u &= k \cdot \min\bigl(1, \max(0, (R-u)/F)\bigr)

On its day, at midday, a round kills the share :math:`k` of the mites on bees; a mite that leaves its cell or arrives
:math:`u` days later still meets :math:`k_u` (averaged over the day), one that left it earlier that day meets :math:`k`.
A mite that lived through the round is not killed again by the residue, so that without brood one round kills exactly
the published share. Slow treatments kill a share of the mites on bees each day they are
in place, some also in capped cells.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kit import checks
from kit.calc.actions import SOURCED, Action, default_action
from kit.calc.brood import BroodYear
from kit.constants import treatments as c
from kit.constants.treatment_words import LAYING_STOPS
from kit.errors import ValidityError

__all__ = [
    "SOURCED",
    "Action",
    "Effect",
    "Treatment",
    "default_action",
    "effect",
    "effect_rows",
    "year_with",
]

FloatArray = NDArray[np.float64]

SEALS = ("good", "fair", "poor")


@dataclass(frozen=True, slots=True)
class Treatment:
    """One round, or one placing of a slow treatment, in one colony.

    Parameters
    ----------
    word : str
        A treatment word of the record sheets, or "other".
    day : date
        The day of the round or placing.
    dose_g : float or None
        Crystals of oxalic acid dihydrate in the hive [g]; None takes the usual dose.
    seal : str
        good, fair or poor.
    until : date or None
        The day a slow treatment came off, or a queen was released; None takes the usual stay.
    air_c : float or None
        Air temperature [degC]; None leaves the kill as in good weather.
    kill_pct : float or None
        Kill of the mites on bees on the day [%], in place of that of dose, seal and colony.
    tested : bool
        True when the mites were tested and are susceptible (strips).
    resistant_pct : float or None
        Share of the kill that resistance takes [%], in place of what is assumed of the product.
    extrapolate : bool
        True allows a dose beyond the sourced range.

    Raises
    ------
    ValidityError
        For an unknown word or seal, a dose that is negative, NaN or beyond 4 g, or an end not after the day.

    Examples
    --------
    >>> Treatment("oxalic sublimation", date(2025, 12, 20), dose_g=50)
    Traceback (most recent call last):
    kit.errors.ValidityError: dose_g must be between 0 and 4: got 50; give grams of crystals a hive, or extrapolate=True
    """

    word: str
    day: date
    dose_g: float | None = None
    seal: str = "good"
    until: date | None = None
    air_c: float | None = None
    kill_pct: float | None = None
    tested: bool = False
    resistant_pct: float | None = None
    extrapolate: bool = False

    def __post_init__(self) -> None:
        default_action(self.word)
        if self.seal not in SEALS:
            raise ValidityError(f"seal must be good, fair or poor: got {self.seal!r}")
        if self.until is not None and self.until <= self.day:
            raise ValidityError(f"until must be after the day {self.day}: got {self.until}")
        if self.dose_g is not None:
            _checked_dose(self.dose_g, self.extrapolate)
        if self.air_c is not None:
            checks.within("air_c", self.air_c, -40, 50)
        if self.kill_pct is not None:
            checks.within("kill_pct", self.kill_pct, 0, 100)
        if self.resistant_pct is not None:
            checks.within("resistant_pct", self.resistant_pct, 0, 100)

    @property
    def end(self) -> date:
        """The first day after it: the day it came off, or the usual stay."""
        if self.until is not None:
            return self.until
        return self.day + timedelta(days=round(float(np.mean(default_action(self.word).days))))


class Effect(NamedTuple):
    """What a treatment does in the law of the mites; each a number or an array of draws of shape (n,)."""

    kill: float | FloatArray
    """Share of the mites on bees killed on the day [1]."""
    active_days: float | FloatArray
    """Days until the residue kills no more [d]; a mite out u days later meets kill × (active_days − u) / fade_days."""
    fade_days: float | FloatArray
    """Days over which the residue fades [d]."""
    daily: float | FloatArray
    """Share of the mites on bees killed each day in place [1/d]."""
    worker_cells: float | FloatArray
    """Share of the mites in capped worker cells killed each day in place [1/d]."""
    drone_cells: float | FloatArray
    """Share of the mites in capped drone cells killed, or cut out, each day in place [1/d]."""


def effect(treatment: Treatment, adults: float, action: Action | None = None) -> Effect:
    """The effect of a treatment in a colony of so many bees.

    Parameters
    ----------
    treatment : Treatment
        The round or placing.
    adults : float
        Adult bees on that day [1].
    action : Action, optional
        Drawn numbers in place of the central ones.

    Returns
    -------
    Effect
        Scalars, or arrays of shape (n,) where the action holds draws.

    References
    ----------
    toufailia2015, gregorc2001, buchler2020

    Examples
    --------
    >>> day = date(2025, 12, 20)
    >>> [round(100 * float(effect(Treatment("oxalic sublimation", day, dose_g=g), 12_000).kill)) for g in (0.56, 1.125)]
    [81, 97]
    """
    a = action or default_action(treatment.word)
    crowd = checks.positive("adults", adults) / c.WINTER_BEES.value
    left = _weather(treatment, a) * (1 - _resistant(treatment, a))
    kill = _dose_kill(treatment, a, crowd) * left
    if treatment.kill_pct is not None:
        kill = treatment.kill_pct / 100
    return Effect(kill, a.active_days, a.active_days, a.daily * left, a.worker_cells * left, a.drone_cells * left)


def effect_rows(
    treatments: Sequence[Treatment], start: date, adults: FloatArray, actions: Mapping[str, Action] | None = None
) -> tuple[NDArray[np.int64], FloatArray]:
    """Treatments as the arrays that the law of the mites takes.

    Parameters
    ----------
    treatments : sequence of Treatment
        Those that act through the queen's laying have no effect here.
    start : date
        Day 0.
    adults : ndarray, shape (days,)
        Adult bees by day [1].
    actions : mapping, optional
        Drawn numbers by treatment word, fields of shape (n,).

    Returns
    -------
    when : ndarray of int, shape (n, k, 2)
        First day and first day after, as indices from `start`.
    effects : ndarray, shape (n, k, 6)
        The fields of `Effect`. n is 1 without draws.

    Raises
    ------
    ValidityError
        For a treatment before `start`.
    """
    when = np.zeros((len(treatments), 2), dtype=np.int64)
    rows: list[list[FloatArray]] = []
    for k, treatment in enumerate(treatments):
        when[k] = _indices(treatment, start)
        bees_then = float(adults[min(int(when[k, 0]), len(adults) - 1)])
        found = effect(treatment, bees_then, (actions or {}).get(treatment.word))
        rows.append([np.atleast_1d(np.asarray(value, dtype=float)) for value in found])
    n = max((len(value) for row in rows for value in row), default=1)
    effects = np.empty((n, len(rows), len(Effect._fields)))
    for k, row in enumerate(rows):
        effects[:, k, :] = np.stack([np.broadcast_to(value, n) for value in row], axis=-1)
    return np.broadcast_to(when, (n, *when.shape)).copy(), effects


def year_with(year: BroodYear, treatments: Sequence[Treatment]) -> BroodYear:
    """The year in which queens are caged, and brood breaks made, as the treatments say.

    Parameters
    ----------
    year : BroodYear
        The bees without them.
    treatments : sequence of Treatment
        Words that do not act through the queen's laying change nothing.

    Returns
    -------
    BroodYear
        With a laying stop for each of them.
    """
    for treatment in treatments:
        if treatment.word in LAYING_STOPS:
            year = year.without_laying(treatment.day, treatment.end)
    return year


def _indices(treatment: Treatment, start: date) -> tuple[int, int]:
    if treatment.day < start:
        raise ValidityError(f"{treatment.word} on {treatment.day} must not be before the start {start}")
    return (treatment.day - start).days, (treatment.end - start).days


def _checked_dose(dose_g: float, extrapolate: bool) -> None:
    checks.not_negative("dose_g", dose_g)
    if dose_g > c.MAX_DOSE_G.value and not extrapolate:
        most = f"{c.MAX_DOSE_G.value:g}"
        raise ValidityError(
            f"dose_g must be between 0 and {most}: got {dose_g!r}; give grams of crystals a hive, or extrapolate=True"
        )


def _dose_kill(treatment: Treatment, a: Action, crowd: float) -> float | FloatArray:
    stays = {"good": 1.0, "fair": a.seal_fair, "poor": a.seal_poor}[treatment.seal]
    dose = (a.usual_g if treatment.dose_g is None else treatment.dose_g) * stays / crowd**a.dilution
    share = a.most * (1 - np.exp(-((dose / a.dose_at_g) ** a.shape))) * max(1.0, crowd) ** -np.asarray(a.reach)
    return np.clip(share, 0.0, 1.0)


def _resistant(treatment: Treatment, a: Action) -> float | FloatArray:
    if treatment.resistant_pct is not None:
        return treatment.resistant_pct / 100
    return 0.0 if treatment.tested else a.resistant


def _weather(treatment: Treatment, a: Action) -> float | FloatArray:
    if treatment.air_c is None:
        return 1.0
    return np.clip(1 - a.cold * np.maximum(0.0, a.warm_c - treatment.air_c), 0.0, 1.0)
