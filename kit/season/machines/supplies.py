"""The gear sheet as machines, batteries and inverters, and which of them fed which visit."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from kit.calc.battery import Battery
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator
from kit.constants import heat

if TYPE_CHECKING:
    from kit.records.records import Records

SUPPLY_WORDS = ("battery", "vehicle", "generator", "mains")
DIRECT_V = 30.0
"""A sublimator made for fewer volts than this hangs on a battery directly; one for more needs an inverter or mains."""


class SupplyUsed(NamedTuple):
    """What fed a machine on a visit.

    Parameters
    ----------
    item : str
        Of the sheet `gear`; '' when only the kind is known.
    kind : str
        battery, vehicle, generator or mains; '' when not recorded.
    """

    item: str
    kind: str

    def behind_inverter(self, machine: Sublimator) -> bool:
        """Whether an inverter stands between: battery or vehicle, and a machine made for mains volts."""
        return self.kind in ("battery", "vehicle") and machine.rated_v > DIRECT_V

    @property
    def said(self) -> str:
        """As a reader would say it."""
        if not self.kind:
            return "supply not recorded"
        return f"{self.kind} {self.item}" if self.item and self.item != self.kind else self.kind


def gear_row(records: Records, item: str) -> dict[str, Any]:
    """The last row of an item in the gear sheet, empty when it is not there; ids match without regard to case."""
    gear = records.tables["gear"]
    found = gear[gear["item"].str.casefold() == item.casefold()] if item else gear.iloc[:0]
    return {str(name): value for name, value in found.iloc[-1].items()} if len(found) else {}


def only_item(records: Records, kind: str) -> str:
    """The item of a kind when the sheet holds exactly one, else ''."""
    gear = records.tables["gear"]
    found = gear.loc[gear["kind"] == kind, "item"].unique()
    return str(found[0]) if len(found) == 1 else ""


def sublimator(records: Records, item: str, *, usual_dose_g: float = math.nan) -> Sublimator:
    """A machine as the gear sheet has it; what is not there is the trade's usual.

    Its printed seconds are taken to be meant for `usual_dose_g` (crystals), its usual dose, when that is known.
    """
    row = gear_row(records, item)
    watts = _number(row, "watts", heat.HEATER_W.value)
    rise = heat.HOLD_C.value - heat.WARM_UP_FROM_C.value
    dose = usual_dose_g if usual_dose_g > 0 else _number(row, "spoon_g", heat.DOSE_G.value)
    pan = row.get("type") == "pan"
    return Sublimator(
        watts=watts,
        warm_up_s=60 * _number(row, "warm_up_min", heat.WARM_UP_S.value / 60),
        expel_s=_number(row, "expel_s", heat.EXPEL_S.value),
        dose_g=dose,
        loss_w_per_k=min(heat.LOSS_W_PER_K.value, 0.6 * watts / rise),
        cool_down_min=_number(row, "cool_down_min", 2.0 if pan else 0.0),
        rated_v=_number(row, "volts", 12.0 if pan else 230.0),
    )


def battery(records: Records, item: str) -> Battery:
    """A battery as the gear sheet has it; what is not there is the trade's usual."""
    row, usual = gear_row(records, item), Battery()
    return Battery(
        rated_ah=_number(row, "amp_hours", usual.rated_ah),
        type=str(row.get("type") or usual.type),
        volts=_number(row, "volts", usual.volts),
        starts_vehicle=row.get("kind") == "vehicle",
    )


def inverter(records: Records) -> Inverter:
    """The inverter of the gear sheet when it is the only one, else the trade's usual."""
    row, usual = gear_row(records, only_item(records, "inverter")), Inverter()
    return Inverter(
        watts=_number(row, "watts", usual.watts),
        efficiency_pct=_number(row, "efficiency_pct", usual.efficiency_pct),
        idle_w=_number(row, "idle_watts", usual.idle_w),
    )


def supply_used(records: Records, apiary: str, item: str, ground: str) -> SupplyUsed:
    """What fed a visit: the item written down, else the apiary's supply for that ground."""
    kind = str(gear_row(records, item).get("kind", ""))
    if kind in SUPPLY_WORDS:
        return SupplyUsed(item, kind)
    if item.casefold() in SUPPLY_WORDS:
        return SupplyUsed("", item.casefold())
    sheet = records.tables["apiaries"]
    place = sheet[sheet["apiary"] == apiary]
    column = "supply_wet" if ground in ("soft", "flooded") else "supply_dry"
    return SupplyUsed(item, str(place[column].iloc[-1]) if len(place) else "")


def battery_item(records: Records, used: SupplyUsed) -> str:
    """The battery behind a supply: the one named, or the only one there is; '' when it cannot be told."""
    if used.kind != "battery":
        return ""
    named = gear_row(records, used.item).get("kind") == "battery"
    return used.item if named else only_item(records, "battery")


def _number(row: dict[str, Any], name: str, usual: float) -> float:
    value = row.get(name)
    return usual if value is None or pd.isna(value) or value <= 0 else float(value)
