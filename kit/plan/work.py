"""Minutes at the hives and what a day's batteries hold, from the closed forms of `kit.calc` and the user's own pace."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.effort import Crew, Pace, minutes_a_hive, visit_minutes
from kit.calc.ranges import Band
from kit.calc.supply import Battery, Inverter, Sublimator, doses_per_charge
from kit.constants import effort, plan
from kit.constants.treatment_words import BY_WORD, SUBLIMATION
from kit.season.machines.charges import known_health_pct
from kit.season.machines.uses import uses

if TYPE_CHECKING:
    from kit.records.records import Records

PACE_LIMITS = (0.4, 3.0)
"""Beyond these the recorded minutes are taken for those of something else."""


class Hands(NamedTuple):
    """Who works with what, and how their minutes compare with the closed form's.

    Parameters
    ----------
    crew : Crew
        People, machines, hives sealed at a time.
    own_pace : float
        Recorded minutes of sublimation visits over the closed form's, 1 when none are recorded.
    paced_on : int
        Visits that stand behind it.
    """

    crew: Crew
    own_pace: float
    paced_on: int


class Kept(NamedTuple):
    """A battery with what hangs on it, and the doses one charge of it gives; `item` '' for one nobody recorded."""

    item: str
    battery: Battery
    inverter: Inverter
    sublimator: Sublimator
    doses: Band


class Charge(NamedTuple):
    """Doses one charge gives and how many batteries there are; `basis` says where it is from.

    Parameters
    ----------
    doses : Band
        Of one charge, the mean of the batteries [1].
    batteries : int
        That are kept.
    basis, limit : str
        Where the doses are from; what ends a charge.
    kept : tuple of Kept
        Each battery, the one that carries most hives first; empty when none is recorded.
    vehicle : Kept or None
        The vehicle's own battery, which must start the engine again.
    air_c, minutes_per_colony : float
        Air [°C] and pace [min] that the doses are for.
    """

    doses: Band
    batteries: int
    basis: str
    limit: str
    kept: tuple[Kept, ...] = ()
    vehicle: Kept | None = None
    air_c: float = math.nan
    minutes_per_colony: float = math.nan

    @property
    def best(self) -> Band:
        """Doses of the battery that is taken first [1]."""
        return self.kept[0].doses if self.kept else self.doses

    def needed(self, hives: int, *, poor: bool = False) -> int:
        """Charged batteries for a day's hives, the best one first; by the middle, or by the 5 % point.

        Where fewer are kept than are needed, the last one's doses are counted on for the others.
        """
        each = [one.doses.p05 if poor else one.doses.p50 for one in self.kept]
        each = each or [self.doses.p05 if poor else self.doses.p50]
        left, n = float(hives), 0
        while left > 0:
            left -= max(each[min(n, len(each) - 1)], 1.0)
            n += 1
        return n


def hands_of(records: Records, trips: pd.DataFrame, rounds: pd.DataFrame) -> Hands:
    """The crew of the settings and gear at the pace of the visits whose clock was written down."""
    gear = records.tables["gear"]
    machines = max(1, int((gear["kind"] == "sublimator").sum()))
    crew = Crew(records.settings.people, min(machines, records.settings.people), records.settings.group_size)
    given = rounds[rounds["treatment"] == SUBLIMATION][["apiary", "date"]].drop_duplicates()
    given = given.astype({"date": "datetime64[us]"})
    mine = trips.astype({"date": "datetime64[us]"}).merge(given, on=["apiary", "date"])
    by_clock = mine["minutes_basis"].eq("recorded") & (mine["minutes"] > 0)
    mine = mine[by_clock & (mine["colonies_done"] > 0)]
    ratios = [_ratio(row, crew) for row in mine.to_dict("records")]
    if not ratios:
        return Hands(crew, 1.0, 0)
    return Hands(crew, float(np.clip(np.median(ratios), *PACE_LIMITS)), len(ratios))


def _ratio(row: Mapping[Any, Any], crew: Crew) -> float:
    there = crew if pd.isna(row["people"]) else Crew(max(1, int(row["people"])), crew.machines, crew.group_size)
    return float(row["minutes"]) / visit_minutes(int(row["colonies_done"]), crew=there).total


def minutes_at(word: str, hives: int, carry_min: float, hands: Hands) -> float:
    """One visit from leaving the vehicle to being back at it [min]."""
    if word == SUBLIMATION:
        return hands.own_pace * visit_minutes(hives, crew=hands.crew).total + 2 * carry_min
    per_hive = BY_WORD[word].hive_min
    return effort.FIXED_MIN.value + 2 * carry_min + hives * per_hive.value / hands.crew.people


def charge_of(records: Records, hands: Hands, *, air_c: float, seed: int) -> Charge:
    """What the batteries of `gear` give, or a battery as the trade has it when none is recorded."""
    gear = records.tables["gear"]
    pace = minutes_a_hive(Pace(), hands.crew) * hands.own_pace
    health = known_health_pct(records, uses(records))

    def kept(item: str, battery: Battery) -> tuple[Kept, str]:
        objects = battery, _inverter(gear), _sublimator(gear)
        found = doses_per_charge(*objects, air_c=air_c, minutes_per_colony=pace, seed=seed)
        return Kept(item, *objects, Band(found.p05, found.p50, found.p95)), found.limit

    vehicle, _ = kept(*_vehicle(gear))
    both = [kept(str(row.item), _battery(row, health)) for row in gear[gear["kind"] == "battery"].itertuples()]
    if not both:
        trade = plan.TRADE_DOSES_PER_CHARGE
        doses, basis = Band(trade.low, trade.value, trade.high), "trade practice, no battery is recorded"
        return Charge(doses, 1, basis, "", vehicle=vehicle, air_c=air_c, minutes_per_colony=pace)
    mean = Band(*(float(np.mean([one.doses[k] for one, _ in both])) for k in range(3)))
    which = "your battery" if len(both) == 1 else f"the mean of your {len(both)} batteries"
    best = tuple(sorted((one for one, _ in both), key=lambda one: (-one.doses.p05, one.item)))
    basis = f"{which}, by label, age and cold as ranges"
    return Charge(mean, len(both), basis, both[0][1], best, vehicle, air_c, pace)


def _vehicle(gear: pd.DataFrame) -> tuple[str, Battery]:
    """The vehicle's own battery: of the sheet when it says, else as the trade has it."""
    rows = gear[(gear["kind"] == "vehicle") & gear["amp_hours"].notna()]
    if rows.empty:
        return "", Battery(starts_vehicle=True)
    return str(rows["item"].iloc[-1]), Battery(rated_ah=float(rows["amp_hours"].iloc[-1]), starts_vehicle=True)


def _battery(row: object, health: Mapping[str, float]) -> Battery:
    """As the gear sheet has it, at the health it showed when it ran out."""
    ah, kind, volts = (getattr(row, name) for name in ("amp_hours", "type", "volts"))
    battery = Battery(type=str(kind) or "starter")
    battery = replace(battery, health_pct=health.get(str(getattr(row, "item", "")), battery.health_pct))
    battery = battery if pd.isna(ah) else replace(battery, rated_ah=float(ah))
    return battery if pd.isna(volts) else replace(battery, volts=float(volts))


def _inverter(gear: pd.DataFrame) -> Inverter:
    rows = gear[gear["kind"] == "inverter"]
    watts, efficiency, idle = (_middle(rows[name]) for name in ("watts", "efficiency_pct", "idle_watts"))
    usual = Inverter()
    return replace(
        usual,
        watts=usual.watts if watts is None else watts,
        efficiency_pct=usual.efficiency_pct if efficiency is None else efficiency,
        idle_w=usual.idle_w if idle is None else idle,
    )


def _sublimator(gear: pd.DataFrame) -> Sublimator:
    rows = gear[gear["kind"] == "sublimator"]
    warm_up, watts, spoon = (_middle(rows[name]) for name in ("warm_up_min", "watts", "spoon_g"))
    given = {"warm_up_s": None if warm_up is None else warm_up * 60, "watts": watts, "dose_g": spoon}
    return Sublimator(**{name: value for name, value in given.items() if value is not None})


def _middle(values: pd.Series) -> float | None:
    return None if values.dropna().empty else float(values.median())
