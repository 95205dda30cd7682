"""The rounds of an apiary as the law of the mites takes them: days, usual effect, and the hives that received them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from kit.calc.brood import BroodYear
from kit.calc.treatments import SOURCED, Effect, Treatment, effect
from kit.constants import reading
from kit.constants import treatments as law
from kit.constants.treatment_words import LAYING_STOPS, OXALIC, WORKS_DAYS
from kit.records.corrections import in_force
from kit.season.rounds import last_in_place
from kit.season.units import COLONY, Unit, colonies_named
from kit.season.usual import Array

if TYPE_CHECKING:
    from kit.records.records import Records


@dataclass(frozen=True)
class Given:
    """One round, or one placing, at one apiary.

    Parameters
    ----------
    treatment_no : int
        The treatment it belongs to.
    dose : Treatment
        As the law takes it.
    effect : Effect
        What it does in a full colony on that day.
    share : ndarray, shape (units,)
        Share of each unit's hives that received it [1].
    seal : str
        As recorded, '' where it is not.
    """

    treatment_no: int
    dose: Treatment
    effect: Effect
    share: Array
    seal: str = "good"

    @property
    def treatment(self) -> str:
        """The treatment word."""
        return self.dose.word

    @property
    def stops_laying(self) -> bool:
        """Whether it works by the queen's laying alone."""
        return self.dose.word in LAYING_STOPS

    def on(self, day: date) -> Given:
        """The same round begun on another day, in the bees of that day."""
        end = None if self.dose.until is None else day + (self.dose.until - self.dose.day)
        dose = replace(self.dose, day=day, until=end)
        return replace(self, dose=dose, effect=_effect(dose, self._calm))

    @property
    def _calm(self) -> float:
        """The part of the hazard that wind left: the law leaves wind out."""
        plain = effect(self.dose, _bees(self.dose.day)).kill
        return float(np.log1p(-self.effect.kill) / np.log1p(-plain)) if 0 < plain < 1 else 1.0


def given(records: Records, rounds: pd.DataFrame, units: Sequence[Unit], last: date) -> list[Given]:
    """The rounds of one apiary's `rounds` table that do something to mites by the law, in order of date.

    `units` are those of that apiary; `last` is the last day of the season. Words the law does not know make no entry.
    """
    ordered = rounds.sort_values(["date", "treatment"], kind="stable").to_dict("records")
    found = [_given(records, row, units, last) for row in ordered if row["treatment"] in SOURCED]
    return [one for one in found if one.stops_laying or any(value > 0 for value in _kills(one.effect))]


def meant(dose: Treatment, share: Sequence[float] = (1.0,)) -> Given:
    """A round as it is meant to be given: in calm air, in the one hive there is, or in these shares of several."""
    return Given(1, dose, _effect(dose, 1.0), np.array(share))


def _given(records: Records, row: Any, units: Sequence[Unit], last: date) -> Given:
    dose = _dose(row, last)
    windy = row["wind"] in ("breezy", "windy") and row["treatment"] in OXALIC
    calm = reading.WINDY.value / 100 if windy else 1.0
    share = treated_share(records, row, units)
    return Given(int(row["treatment_no"]), dose, _effect(dose, calm), share, str(row["seal"]))


def _effect(dose: Treatment, calm: float) -> Effect:
    plain = effect(dose, _bees(dose.day))
    return plain._replace(kill=-np.expm1(calm * np.log1p(-min(float(plain.kill), 0.999))))


def _kills(one: Effect) -> tuple[float, ...]:
    return float(one.kill), float(one.daily), float(one.worker_cells), float(one.drone_cells)


def _bees(day: date) -> float:
    return float(BroodYear().curves(day, 1).adults[0])


def _dose(row: Any, last: date) -> Treatment:
    """A recorded value outside what the law knows is taken at the end of its range."""
    word, day = str(row["treatment"]), row["date"].date()
    until = last_in_place(row, pd.Timestamp(last)).date() if word in WORKS_DAYS else None
    dose = row["dose_g"]
    return Treatment(
        word,
        day,
        dose_g=None if pd.isna(dose) or word not in OXALIC else float(np.clip(dose, 0, law.MAX_DOSE_G.value)),
        seal=str(row["seal"]) or "good",
        until=until if until is not None and until > day else None,
        air_c=None if pd.isna(row["air_c"]) else float(np.clip(row["air_c"], -40, 50)),
    )


def treated_share(records: Records, row: Any, units: Sequence[Unit]) -> Array:
    """Share of each unit's hives that received a round, shape (units,) [1]: an unknown part where `done` is short.

    A colony that was moved received the rounds of the apiary at which it stood that day.
    """
    table = in_force(records.tables["treatments"])
    same = (
        (table["apiary"] == row["apiary"]) & (table["date"] == row["date"]) & (table["treatment"] == row["treatment"])
    )
    lists = list(table.loc[same, "colonies"])
    named = {one for text in lists for one in colonies_named(str(text))}
    everyone = any(text in ("", "all") for text in lists)
    part = row["done"] / row["standing"] if row["standing"] > 0 and not pd.isna(row["done"]) else 1.0
    for_all = float(np.clip(part, 0, 1)) if everyone else 0.0
    on_site = [_on_site(unit, row) for unit in units]
    each = [1.0 if u.scope == COLONY and u.colony in named else for_all for u in units]
    return np.asarray(np.array(each) * np.array(on_site, dtype=float))


def _on_site(unit: Unit, row: Any) -> bool:
    if not unit.path:
        return bool(unit.apiary == row["apiary"])
    return unit.stands(row["date"].date(), str(row["apiary"]))


def rounds_of(rounds: pd.DataFrame, units: Sequence[Unit]) -> pd.DataFrame:
    """The rows of `rounds` at the units' apiary, then those that moved colonies received elsewhere.

    The latter carry treatment numbers below 0, for they are no treatments of this apiary.
    """
    own = rounds[rounds["apiary"] == units[0].apiary]
    away = [unit for unit in units if unit.elsewhere]
    met = [any(u.stands(on.date(), a) for u in away) for on, a in zip(rounds["date"], rounds["apiary"], strict=True)]
    there = rounds[np.array(met, dtype=bool) & (rounds["apiary"] != units[0].apiary)]
    if there.empty:
        return own
    return pd.concat([own, there.assign(treatment_no=-np.arange(1, len(there) + 1))])
