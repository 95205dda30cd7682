"""The panel "power and warm-up": what a charge gives, how it goes through a visit, and what a slow dose means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from kit.calc.battery import TYPES, Battery
from kit.calc.causes import Timing, rank_causes
from kit.calc.discharge import discharge
from kit.calc.doses import DosesPerCharge, charges_needed_for, doses_per_charge
from kit.calc.effort import Pace
from kit.calc.inverter import Cable, Inverter
from kit.calc.sublimator import Sublimator
from kit.constants import heat
from kit.constants import supply as k
from kit.errors import ValidityError
from kit.panels.fields import Choice, Number, Values
from kit.panels.own import FREE, Own, own
from kit.panels.panel import Answer, Panel, Question, Words
from kit.panels.power_chart import charge_chart, warm_up_chart
from kit.season.supplies import battery, inverter, sublimator
from kit.season.uses import uses

NOTEBOOK = "try_power"
STEP_S = 5.0
BEHIND = " on "
ASSUMES = (
    "The battery is full at the start; cold, age, current and the machine's own loss to the air are drawn as ranges.",
    "An inverter between battery and machine: the heater has its full power until the inverter cuts out.",
    "The first dose goes in when the chamber is hot; the chamber stays on through the visit.",
    "The curve of the charge is that of the middle of every range; the doses are the range.",
    "Causes of a slow dose: each fault that is possible there is believed alike at first; your times move the belief.",
)


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
        assumes=ASSUMES,
        data=mine.own.said,
        source="gear",
        jurisdiction=mine.own.jurisdiction,
    )
    return Panel(question, given)


@dataclass(frozen=True)
class Gear:
    """The gear that the controls stand for."""

    battery: Battery
    inverter: Inverter
    sublimator: Sublimator


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
        gears = [(pair, pair) for pair in self.gears()] + [("the trade's usual gear", FREE)]
        kinds = [(kind, kind) for kind in TYPES]
        return (
            Choice("gear", "Gear", gears, "machine and battery of your gear sheet"),
            Number("rated_ah", "Battery", "Ah printed", 5, 300, 1, "what is carried to hives"),
            Choice("battery_type", "Battery type", kinds, "starter where you do not know"),
            Number("health_pct", "Left of it by age", "% of printed", 20, 110, 1, "under 20 it is scrap"),
            Number("air_c", "Air", "°C", -20, 40, 1, "what the formulas hold for"),
            Number("inverter_w", "Inverter", "W", 50, 3000, 10, "below the machine's watts it trips"),
            Number("efficiency_pct", "Inverter's efficiency", "%", 40, 100, 1, "cheap ones under 85"),
            Number("idle_w", "Inverter's own use", "W", 0, 60, 1, "while it is on"),
            Number("cable_mm2", "Leads", "mm² copper", 0.5, 120, 0.5, "the table of copper sizes"),
            Number("cable_m", "Leads, out and back", "m", 0, 30, 0.5, "thin and long cut out early"),
            Number("watts", "Machine", "W", 20, 800, 5, "as on its plate"),
            Number("warm_up_min", "Its warm-up in good order", "min", 0.5, 30, 0.5, "from cold air to hot"),
            Number("expel_s", "A dose in good order", "s", 3, 180, 1, "15 to 25 is the trade's usual"),
            Number("dose_g", "Dose", "g crystals", 0.2, 4, 0.05, "the label decides"),
            Number("minutes_per_colony", "From dose to dose", "min", 0.5, 15, 0.25, "walking and sealing with it"),
            Number("hives", "Hives in the visit", "", 1, 100, 1, "before it is charged again", whole=True),
            Number("seen_s", "A dose you timed", "s", 3, 300, 1, "to ask what a slow one means"),
        )

    def recorded(self, gear: str) -> Values:
        """A pair of the gear sheet as it is recorded; the trade's usual where nothing is."""
        pairs = self.gears()
        pair = "" if gear == FREE else gear or next(iter(pairs), "")
        machine, cell = pair.split(BEHIND) if pair else ("", "")
        kept = self._kept(machine, cell)
        mine = self.times[self.times["sublimator"] == machine]["expel_s"].dropna()
        return {
            "gear": pair or FREE, "rated_ah": kept.battery.rated_ah, "health_pct": kept.battery.health_pct,
            "battery_type": kept.battery.type if kept.battery.type in TYPES else "starter", "air_c": 8,
            "inverter_w": kept.inverter.watts, "efficiency_pct": kept.inverter.efficiency_pct,
            "idle_w": kept.inverter.idle_w, "cable_mm2": kept.inverter.leads.mm2,
            "cable_m": kept.inverter.leads.length_m, "watts": kept.sublimator.watts,
            "warm_up_min": kept.sublimator.warm_up_s / 60, "expel_s": kept.sublimator.expel_s,
            "dose_g": kept.sublimator.dose_g, "minutes_per_colony": Pace().per_colony_min, "hives": 20,
            "seen_s": float(mine.iloc[-1]) if len(mine) else 2 * kept.sublimator.expel_s,
        }  # fmt: skip

    def _kept(self, machine: str, cell: str) -> Gear:
        records = self.own.records
        if records is None or not machine:
            return Gear(Battery(), Inverter(), Sublimator())
        return Gear(battery(records, cell), inverter(records), sublimator(records, machine))

    def answers(self, values: Values) -> Iterator[Answer]:
        """Sentences, the charge through the visit, and the warm-up with the times recorded."""
        gear, pace = gear_of(values), values["minutes_per_colony"]
        doses = doses_per_charge(
            gear.battery, gear.inverter, gear.sublimator, air_c=values["air_c"], minutes_per_colony=pace
        )
        yield Answer("words", _words(doses, values))
        visit = discharge(
            gear.battery, gear.inverter, gear.sublimator, air_c=values["air_c"], minutes_per_colony=pace,
            colonies=values["hives"], step_s=STEP_S,
        )  # fmt: skip
        yield Answer("charge", charge_chart(visit, gear.battery, doses))
        yield Answer("warm_up", warm_up_chart(gear.sublimator, values["air_c"], self._times(values)))
        yield Answer("slow", _slow(values, gear))

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
    watts = values["watts"]
    rise = heat.HOLD_C.value - heat.WARM_UP_FROM_C.value
    return Gear(
        Battery(rated_ah=values["rated_ah"], type=values["battery_type"], health_pct=values["health_pct"]),
        Inverter(values["inverter_w"], values["efficiency_pct"], values["idle_w"], k.CUT_OUT_V.value, leads),
        Sublimator(
            watts=watts, warm_up_s=60 * values["warm_up_min"], expel_s=values["expel_s"], dose_g=values["dose_g"],
            loss_w_per_k=min(heat.LOSS_W_PER_K.value, 0.6 * watts / rise),
        ),
    )  # fmt: skip


def refused(values: Values) -> Mapping[str, str]:
    """Gear that cannot work together."""
    if values["watts"] > values["inverter_w"]:
        small, needed = f"{values['inverter_w']:g} W", f"{values['watts']:g} W"
        return {"inverter_w": f"Inverter: {small} cannot feed a machine of {needed}; it trips."}
    if 60 * values["minutes_per_colony"] < values["expel_s"]:
        return {"minutes_per_colony": "From dose to dose: shorter than the dose itself takes."}
    try:
        np.asarray(gear_of(values).sublimator.chamber.heat_capacity_j_per_k)
    except ValidityError as error:
        return {"watts": f"Machine: {error}."}
    return {}


def _words(doses: DosesPerCharge, values: Values) -> Words:
    minds = [doses.caution] if doses.caution else []
    if doses.p05 < 1:
        said = "In its poor case it does not give a single dose: take other gear."
    else:
        full = charges_needed_for(values["hives"], doses.p05)
        said = f"For {values['hives']} hives be sure of {full} full {'battery' if full == 1 else 'batteries'}."
    return Words(
        [
            f"A full charge gives about {doses.p50:.0f} doses, likely {doses.p05:.0f} to {doses.p95:.0f}.",
            f"{said} What ends the charge, in {doses.limit_pct:.0f} % of cases: {doses.limit}.",
        ],
        minds,
    )


def _slow(values: Values, gear: Gear) -> Words:
    timing = Timing(expel_s=values["seen_s"], warm_up_min=None, dose_g=values["dose_g"], air_c=values["air_c"])
    ranked = rank_causes([timing], gear.sublimator, behind_inverter=True)[:3]
    first = f"A dose of {values['seen_s']:g} s where {values['expel_s']:g} s is in order:"
    return Words([first, *(f"{cause.cause}, {cause.share_pct:.0f} %: {cause.check}" for cause in ranked)])
