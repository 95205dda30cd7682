"""The panel "power and warm-up": what a charge gives, how it goes through a visit, and what a slow dose means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from kit.calc.battery import TYPES, Battery
from kit.calc.causes import RankedCause, Timing, rank_causes
from kit.calc.discharge import discharge
from kit.calc.doses import DosesPerCharge, doses_per_charge
from kit.calc.effort import Pace
from kit.calc.inverter import Cable, Inverter
from kit.calc.slowed import AtPower, at_power, behind_leads, doses_on_leads
from kit.calc.sublimator import Sublimator
from kit.calc.supply import Direct, Generator, InverterSupply, Mains, Supply, power_at_heater_w
from kit.constants import heat
from kit.constants import supply as k
from kit.errors import ValidityError
from kit.panels.fields import Choice, Number, Values
from kit.panels.own import FREE, Own, own
from kit.panels.panel import Answer, Panel, Question
from kit.panels.power_chart import charge_chart, warm_up_chart
from kit.panels.power_words import slow, words
from kit.report.show import Note
from kit.report.words.trying import Said, all_of, control, trying
from kit.season.machines.supplies import DIRECT_V, battery, inverter, sublimator
from kit.season.machines.uses import uses

NOTEBOOK = "try_power"
STEP_S = 5.0
BEHIND = " on "
INVERTER, LEADS, GENERATOR, MAINS = "inverter", "leads", "generator", "mains"
SUPPLIES = (INVERTER, LEADS, GENERATOR, MAINS)
ONLY_OF_BATTERIES = frozenset({"rated_ah", "battery_type", "health_pct", "cable_mm2", "cable_m"})
ONLY_OF_INVERTERS = frozenset({"inverter_w", "efficiency_pct", "idle_w"})
UNUSED = {
    INVERTER: frozenset({"volts_pct", "generator_w"}),
    LEADS: frozenset({"volts_pct", "generator_w"}) | ONLY_OF_INVERTERS,
    GENERATOR: ONLY_OF_BATTERIES | ONLY_OF_INVERTERS,
    MAINS: ONLY_OF_BATTERIES | ONLY_OF_INVERTERS | {"generator_w"},
}
"""Controls that a supply has no use for."""
ON_LEADS_V = 12.0


def panel(given: Mapping[str, Any]) -> Panel:
    """The panel; `given` are the notebook's parameters by name, and may hold other names.

    Raises
    ------
    CannotGoOnError
        When the folder cannot be read.
    """
    mine = Mine(own(given.get("folder", "")))
    question = Question(
        notebook=NOTEBOOK,
        context={"folder": given.get("folder", "")},
        fields=mine.fields(),
        recorded=mine.recorded,
        refused=refused,
        answers=mine.answers,
        assumes=all_of("power_assumes"),
        data=mine.own.said,
        source="gear",
        hidden=lambda values: UNUSED[values["supply"]],
        jurisdiction=mine.own.jurisdiction,
    )
    return Panel(question, given)


@dataclass(frozen=True)
class Gear:
    """The gear that the controls stand for."""

    battery: Battery
    inverter: Inverter
    sublimator: Sublimator
    supply: Supply

    @property
    def power_w(self) -> float:
        """What reaches the heater [W]."""
        volts = self.battery.volts / k.BATTERY_V.value * k.WORKING_V.value
        return power_at_heater_w(self.supply, self.sublimator, supply_v=volts)


@dataclass
class Mine:
    """The panel's questions to what is recorded."""

    own: Own

    def gears(self) -> list[str]:
        """Each machine of the gear sheet on each battery, as "S1 on B1"; those used together first."""
        if self.own.records is None:
            return []
        gear = self.own.records.tables["gear"]
        items = {kind: gear.loc[gear["kind"] == kind, "item"].unique() for kind in ("sublimator", "battery")}
        pairs = [f"{machine}{BEHIND}{cell}" for machine in items["sublimator"] for cell in items["battery"]]
        together = [f"{m}{BEHIND}{b}" for m, b in zip(self.times["sublimator"], self.times["supply_item"], strict=True)]
        return sorted(pairs, key=lambda pair: -together.count(pair))

    @cached_property
    def times(self) -> pd.DataFrame:
        """Each use of a machine that was recorded."""
        if self.own.records is None:
            return pd.DataFrame(
                columns=["date", "apiary", "sublimator", "supply_item", "warm_up_min", "expel_s", "air_c"]
            )
        return uses(self.own.records)

    def fields(self) -> tuple[Any, ...]:
        """The controls."""
        say = trying()
        gears = [(pair, pair) for pair in self.gears()] + [(say("power.usual_gear"), FREE)]
        kinds = [(kind, kind) for kind in TYPES]
        supplies = [(say(f"power.by_{supply}"), supply) for supply in SUPPLIES]
        return (
            Choice("gear", _said("gear"), gears),
            Choice("supply", _said("supply"), supplies),
            Number("rated_ah", _said("rated_ah"), 5, 300, 1),
            Choice("battery_type", _said("battery_type"), kinds),
            Number("volts_pct", _said("volts_pct"), 50, 110, 1),
            Number("generator_w", _said("generator_w"), 50, 10_000, 50),
            Number("air_c", _said("air_c"), -20, 40, 1),
            Number("minutes_per_colony", _said("minutes_per_colony"), 0.5, 15, 0.25),
            Number("hives", _said("hives"), 1, 100, 1, whole=True),
            Number("seen_s", _said("seen_s"), 3, 300, 1),
            Number("seen_min", _said("seen_min"), 0, 60, 0.5),
            Number("health_pct", _said("health_pct"), 20, 110, 1, more=True),
            Number("inverter_w", _said("inverter_w"), 50, 3000, 10, more=True),
            Number("efficiency_pct", _said("efficiency_pct"), 40, 100, 1, more=True),
            Number("idle_w", _said("idle_w"), 0, 60, 1, more=True),
            Number("cable_mm2", _said("cable_mm2"), 0.5, 120, 0.5, more=True),
            Number("cable_m", _said("cable_m"), 0, 30, 0.5, more=True),
            Number("watts", _said("watts"), 20, 800, 5, more=True),
            Number("warm_up_min", _said("warm_up_min"), 0.5, 30, 0.5, more=True),
            Number("expel_s", _said("expel_s"), 3, 180, 1, more=True),
            Number("dose_g", _said("dose_g"), 0.2, 4, 0.05, more=True),
        )

    def recorded(self, gear: str) -> Values:
        """A pair of the gear sheet as it is recorded; the trade's usual where nothing is."""
        pairs = self.gears()
        pair = "" if gear == FREE else gear or next(iter(pairs), "")
        machine, cell = pair.split(BEHIND) if pair else ("", "")
        kept = self._kept(machine, cell)
        mine = self.times[self.times["sublimator"] == machine]
        doses, warm_ups = mine["expel_s"].dropna(), mine["warm_up_min"].dropna()
        return {
            "gear": pair or FREE, "supply": LEADS if kept.sublimator.rated_v <= DIRECT_V else INVERTER,
            "volts_pct": 100.0, "generator_w": Generator().watts,
            "rated_ah": kept.battery.rated_ah, "health_pct": kept.battery.health_pct,
            "battery_type": kept.battery.type if kept.battery.type in TYPES else "starter", "air_c": 8,
            "inverter_w": kept.inverter.watts, "efficiency_pct": kept.inverter.efficiency_pct,
            "idle_w": kept.inverter.idle_w, "cable_mm2": kept.inverter.leads.mm2,
            "cable_m": kept.inverter.leads.length_m, "watts": kept.sublimator.watts,
            "warm_up_min": kept.sublimator.warm_up_s / 60, "expel_s": kept.sublimator.expel_s,
            "dose_g": kept.sublimator.dose_g, "minutes_per_colony": Pace().per_colony_min, "hives": 20,
            "seen_s": float(doses.iloc[-1]) if len(doses) else 2 * kept.sublimator.expel_s,
            "seen_min": float(warm_ups.iloc[-1]) if len(warm_ups) else 0.0,
        }  # fmt: skip

    def _kept(self, machine: str, cell: str) -> Gear:
        records = self.own.records
        if records is None or not machine:
            return Gear(Battery(), Inverter(), Sublimator(), InverterSupply())
        kept = battery(records, cell), inverter(records), sublimator(records, machine)
        return Gear(*kept, InverterSupply(*kept[:2]))

    def answers(self, values: Values) -> Iterator[Answer]:
        """Sentences, the charge through the visit, the warm-up with the times recorded, and what a slow dose means."""
        gear = gear_of(values)
        now = at_power(
            gear.sublimator, gear.power_w, air_c=values["air_c"], minutes_per_colony=values["minutes_per_colony"]
        )
        doses = doses_of(gear, now, values)
        yield Answer("words", words(values, now, doses, gear.sublimator))
        yield Answer("charge", _charge(gear, doses, values))
        seen = self._times(values)
        yield Answer("warm_up", warm_up_chart(gear.sublimator, now, values["air_c"], seen, values["seen_min"]))
        yield Answer("slow", slow(values, _causes(values, gear)))

    def _times(self, values: Values) -> pd.DataFrame:
        machine = values["gear"].split(BEHIND)[0]
        times = self.times
        mine: pd.DataFrame = times[(times["sublimator"] == machine) & times["warm_up_min"].notna()]
        return mine


def gear_of(values: Values) -> Gear:
    """The gear that the controls stand for.

    Raises
    ------
    ValidityError
        For numbers that no machine could have together.
    """
    leads = Cable(values["cable_mm2"], values["cable_m"])
    watts, direct = values["watts"], values["supply"] == LEADS
    rise = heat.HOLD_C.value - heat.WARM_UP_FROM_C.value
    cell = Battery(rated_ah=values["rated_ah"], type=values["battery_type"], health_pct=values["health_pct"])
    between = Inverter(values["inverter_w"], values["efficiency_pct"], values["idle_w"], k.CUT_OUT_V.value, leads)
    machine = Sublimator(
        watts=watts, warm_up_s=60 * values["warm_up_min"], expel_s=values["expel_s"], dose_g=values["dose_g"],
        loss_w_per_k=min(heat.LOSS_W_PER_K.value, 0.6 * watts / rise), rated_v=ON_LEADS_V if direct else 230.0,
    )  # fmt: skip
    supplies: dict[str, Supply] = {
        INVERTER: InverterSupply(cell, between),
        LEADS: Direct(cell, leads),
        GENERATOR: Generator(values["generator_w"], values["volts_pct"]),
        MAINS: Mains(values["volts_pct"]),
    }
    return Gear(cell, between, machine, supplies[values["supply"]])


def refused(values: Values) -> Mapping[str, str]:
    """Gear that cannot work together."""
    say, needed = trying(), f"{values['watts']:g}"
    if values["supply"] == INVERTER and values["watts"] > values["inverter_w"]:
        return {"inverter_w": say("power.trips", small=f"{values['inverter_w']:g}", needed=needed)}
    if values["supply"] == GENERATOR and values["watts"] > values["generator_w"]:
        return {"generator_w": say("power.stalls", small=f"{values['generator_w']:g}", needed=needed)}
    if 60 * values["minutes_per_colony"] < values["expel_s"]:
        return {"minutes_per_colony": say("power.too_fast")}
    try:
        np.asarray(gear_of(values).sublimator.chamber.heat_capacity_j_per_k)
    except ValidityError as error:
        return {"watts": say("power.impossible", error=error)}
    return {}


def doses_of(gear: Gear, now: AtPower, values: Values) -> DosesPerCharge | None:
    """Doses of a charge; None where no battery is drawn on, or the machine never gets hot."""
    air, pace = values["air_c"], values["minutes_per_colony"]
    if not now.works or not isinstance(gear.supply, InverterSupply | Direct):
        return None
    if isinstance(gear.supply, Direct):
        with suppress(ValidityError):
            return doses_on_leads(gear.supply, gear.sublimator, air_c=air, minutes_per_colony=pace)
        return None
    return doses_per_charge(gear.battery, gear.inverter, gear.sublimator, air_c=air, minutes_per_colony=pace)


def _charge(gear: Gear, doses: DosesPerCharge | None, values: Values) -> Any:
    """The charge through the visit, or why there is none to draw."""
    if doses is None:
        drawn = isinstance(gear.supply, InverterSupply | Direct)
        return Note(trying()("power.too_weak" if drawn else "power.no_battery"))
    between, machine = gear.inverter, gear.sublimator
    if isinstance(gear.supply, Direct):
        between, machine = behind_leads(gear.supply, machine)
    visit = discharge(
        gear.battery, between, machine, air_c=values["air_c"], minutes_per_colony=values["minutes_per_colony"],
        colonies=values["hives"], step_s=STEP_S,
    )  # fmt: skip
    return charge_chart(visit, gear.battery, doses)


def _causes(values: Values, gear: Gear) -> tuple[RankedCause, ...]:
    timing = Timing(
        expel_s=values["seen_s"], warm_up_min=values["seen_min"] or None, dose_g=values["dose_g"],
        air_c=values["air_c"],
    )  # fmt: skip
    behind, leads = values["supply"] == INVERTER, values["supply"] == LEADS
    return rank_causes([timing], gear.sublimator, behind_inverter=behind, direct_leads=leads)


def _said(name: str) -> Said:
    return control("power", name)
