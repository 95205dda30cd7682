"""What the plan knows of each apiary: hives, ways, carrying, power and floor, with what had to be guessed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from kit.calc.grid import place_of_grid
from kit.calc.travel import Place, Roads, Stop, roads
from kit.constants import plan
from kit.errors import ValidityError
from kit.plan.ahead import Ahead, SupersOff, Window, supers_off
from kit.plan.splits import Splits, splits_of

if TYPE_CHECKING:
    from kit.records.records import Records


WET = ("autumn", "winter")
"""Windows of the year in which soft ground is reckoned with."""


class Site(NamedTuple):
    """One apiary.

    Parameters
    ----------
    apiary : str
        Its id.
    hives : int
        The plan counts on; `hives_known` None when not recorded.
    hives_basis : str
        Where the number is from.
    carry_min : float
        Vehicle to hives, one way, where the vehicle cannot reach them [min].
    access, supply_dry, supply_wet, floor, emergency, grid_ref : str
        As recorded, '' when not.
    off : SupersOff
        The day supers come off.
    broodless : Window or None
        Days for a winter round by the odds of brood; None takes the usual ones.
    splits : Splits or None
        Those of the season planned.
    """

    apiary: str
    hives: int
    hives_known: int | None
    hives_basis: str
    carry_min: float
    access: str
    supply_dry: str
    supply_wet: str
    floor: str
    emergency: str
    grid_ref: str
    off: SupersOff
    broodless: Window | None = None
    splits: Splits | None = None

    def carry(self, window: str) -> float:
        """Vehicle to hives, one way: nothing where it stands at the hives, on dry ground until autumn [min]."""
        drives_in = self.access == "all weather" or (self.access == "dry ground" and window not in WET)
        return 0.0 if drives_in else self.carry_min

    def supply(self, window: str) -> str:
        """What gives power there: the wet-ground supply from autumn on, the dry one before; '' when not recorded."""
        wet = window in WET and self.access != "all weather"
        first, second = (self.supply_wet, self.supply_dry) if wet else (self.supply_dry, self.supply_wet)
        return first or second


class Ground(NamedTuple):
    """All sites, the ways between them (node i + 1 is site i), and sentences on what was guessed."""

    sites: tuple[Site, ...]
    roads: Roads
    guesses: tuple[str, ...]

    def at(self, apiary: str) -> int:
        """Position of a site."""
        return next(i for i, site in enumerate(self.sites) if site.apiary == apiary)


def ground_of(records: Records, rounds: pd.DataFrame, ahead: Ahead) -> Ground:
    """Every apiary of the sheet as the plan sees it."""
    table = records.tables["apiaries"]
    rows = {str(row["apiary"]): row for _, row in table.iterrows()}
    known = {apiary: _hives(records, rows.get(apiary), apiary) for apiary in records.apiaries}
    recorded = [hives for hives, _ in known.values() if hives]
    usual = round(float(np.median(recorded))) if recorded else int(plan.HIVES.value)
    off, splits = supers_off(records, rounds, ahead), splits_of(records, ahead, records.apiaries)
    sites = tuple(
        _site(rows.get(a), a, known[a], usual, off[a])._replace(splits=splits[a])
        for a in records.apiaries
        if known[a][0] != 0
    )
    stops, unread = _stops(rows, sites)
    base = _base(records)
    ways = roads(base, stops)
    assumed = _no_drive(sites, stops, base, ways)
    return Ground(sites, ways, (*unread, *assumed, *_guesses(sites, ways, base, usual)))


def _hives(records: Records, row: Any, apiary: str) -> tuple[int | None, str]:
    standing = records.hives(apiary, records.as_of)
    if standing is not None:
        return int(standing), "hives standing by the last records"
    if row is not None and not pd.isna(row["hives"]):
        return int(row["hives"]), "the usual number in apiaries"
    return None, "not recorded"


def _site(row: Any, apiary: str, known: tuple[int | None, str], usual: int, off: SupersOff) -> Site:
    def text(name: str) -> str:
        return "" if row is None else str(row[name])

    carry = 0.0 if row is None or pd.isna(row["carry_min"]) else float(row["carry_min"])
    hives, basis = known
    return Site(
        apiary=apiary,
        hives=hives or usual,
        hives_known=hives,
        hives_basis=basis,
        carry_min=carry,
        access=text("access"),
        supply_dry=text("supply_dry"),
        supply_wet=text("supply_wet"),
        floor=text("floor"),
        emergency=text("emergency"),
        grid_ref=text("grid_ref"),
        off=off,
    )


def _stops(rows: dict[str, Any], sites: tuple[Site, ...]) -> tuple[list[Stop], list[str]]:
    stops, unread = [], []
    for site in sites:
        row = rows.get(site.apiary)
        try:
            place = None if row is None else _place(row)
        except ValidityError as error:
            place = None
            unread.append(f"{site.apiary}: {error}; its ways go by the base")
        drive = None if row is None or pd.isna(row["drive_min"]) else float(row["drive_min"])
        stops.append(Stop(place, drive))
    return stops, unread


def _place(row: Any) -> Place | None:
    if not pd.isna(row["latitude"]) and not pd.isna(row["longitude"]):
        return Place(float(row["latitude"]), float(row["longitude"]))
    return place_of_grid(str(row["grid_ref"])) if row["grid_ref"] else None


def _base(records: Records) -> Place | None:
    latitude, longitude = records.settings.base_latitude, records.settings.base_longitude
    return None if latitude is None or longitude is None else Place(latitude, longitude)


def _no_drive(sites: tuple[Site, ...], stops: list[Stop], base: Place | None, ways: Roads) -> list[str]:
    unknown = [i for i, stop in enumerate(stops) if stop.drive_min is None and (stop.place is None or base is None)]
    if not unknown:
        return []
    names = ", ".join(sites[n].apiary for n in unknown)
    return [f"No drive recorded for {names}: {ways.minutes[0, unknown[0] + 1]:.0f} minutes one way are assumed."]


def _guesses(sites: tuple[Site, ...], ways: Roads, base: Place | None, usual: int) -> list[str]:
    said = []
    unknown = [site.apiary for site in sites if site.hives_known is None]
    if unknown:
        said.append(f"Hives not recorded at {', '.join(unknown)}: {usual} each are assumed.")
    if ways.guessed and len(sites) > 1:
        said.append(
            f"No place recorded for {', '.join(sites[n].apiary for n in ways.guessed)}: the ways from there to other "
            "apiaries go by the base, so a day's order of driving is a guess."
        )
    if base is None and any(i not in ways.guessed for i in range(len(sites))):
        said.append(f"No base place recorded: {ways.km_per_h:g} km/h is assumed between apiaries.")
    by_default = [site for site in sites if site.off.basis == "default"]
    if by_default:
        names = ", ".join(site.apiary for site in by_default)
        said.append(f"Supers off not recorded for {names}: {by_default[0].off.day:%-d %B} is assumed.")
    by_treatment = [site.apiary for site in sites if site.off.basis == "last season's treatment"]
    if by_treatment:
        said.append(f"Supers off not recorded for {', '.join(by_treatment)}: they were off when treating began.")
    return said
