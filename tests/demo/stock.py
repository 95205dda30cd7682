"""Medicines bought to match what was used, labels, gear, settings."""

from __future__ import annotations

import math
from datetime import date

from tests.demo import year
from tests.demo.details import OXALIC, dose_g
from tests.demo.world import World

Row = dict[str, str]
SHOP = {"supplier": "Example Hive Supplies", "supplier_address": "1 Sample Street, Exampleton"}
VET = {"supplier": "Sample Farm Vets", "supplier_address": "2 Sample Street, Exampleton"}

SETTINGS_MINIMUM = [("season_start", "2025-04-01"), ("season_end", "2026-03-31"), ("keeper", "Wenna Thistlecroft"),
                    ("treat_by", "08-15")]  # fmt: skip
SETTINGS_FULL = [
    ("keeper", "Wenna Thistlecroft"), ("season_start", "2025-04-01"), ("season_end", "2026-03-31"),
    ("currency", "GBP"), ("labour_per_hour", "18"), ("vehicle_per_hour", "14"), ("colony_value", "220"),
    ("work_hours_per_day", "6.5"), ("work_days", "Mon-Sat"), ("people", "1"), ("last_supers_off", "08-12"),
    ("winter_bees_from", "08-15"), ("winter_bees_to", "10-10"), ("treat_by", "08-15"), ("treat_above_pct", "2"),
    ("winter_limit_pct", "2"), ("min_air_c", "5"), ("max_wind", "light"), ("group_size", "4"), ("few_max", "20"),
    ("date_order", "dmy"), ("jurisdiction", "gb"), ("base_latitude", "52.62"), ("base_longitude", "-0.95"),
]  # fmt: skip

LABELS = [
    {"product": OXALIC, "active": "oxalic acid dihydrate", "authorised": "yes", "strength_mg_per_g": "886",
     "max_dose": "2.3", "dose_unit": "g product per hive", "max_rounds_per_year": "4", "brood_free_only": "no",
     "supers_allowed": "no", "min_c": "3", "withdrawal_days": "0", "read_on": "2024-10-20"},
    {"product": "amitraz strips B", "active": "amitraz", "authorised": "yes", "max_dose": "2",
     "dose_unit": "strips per hive", "max_rounds_per_year": "2", "brood_free_only": "no", "supers_allowed": "no",
     "withdrawal_days": "0", "read_on": "2024-07-28"},
    {"product": "formic acid D", "active": "formic acid", "authorised": "vet", "max_dose": "140",
     "dose_unit": "ml per hive", "max_rounds_per_year": "2", "brood_free_only": "no", "supers_allowed": "no",
     "min_c": "10", "max_c": "30", "withdrawal_days": "0", "read_on": "2025-07-30"},
]  # fmt: skip

GEAR = [
    {"item": "S1", "kind": "sublimator", "type": "holds heat", "volts": "230", "watts": "200", "warm_up_min": "6",
     "expel_s": "20", "spoon_g": "2.3", "cost": "320", "bought": "2024-01-15"},
    {"item": "S2", "kind": "sublimator", "type": "holds heat", "volts": "230", "watts": "200", "warm_up_min": "6",
     "expel_s": "20", "spoon_g": "2.3", "cost": "290", "bought": "2018-09-01", "notes": "never serviced"},
    {"item": "B1", "kind": "battery", "type": "deep cycle", "volts": "12", "amp_hours": "100", "cost": "140",
     "bought": "2023-09-02"},
    {"item": "B2", "kind": "battery", "type": "starter", "volts": "12", "amp_hours": "65", "cost": "70",
     "bought": "2017-03-11", "notes": "out of the old van"},
    {"item": "I1", "kind": "inverter", "volts": "230", "watts": "500", "idle_watts": "8", "efficiency_pct": "87",
     "cost": "85", "bought": "2023-09-02"},
    {"item": "G1", "kind": "generator", "volts": "230", "watts": "400", "cost": "110", "bought": "2016-05-20",
     "notes": "second hand"},
    {"item": "C1", "kind": "charger", "volts": "12", "watts": "120", "bought": "2023-09-02"},
    {"item": "F1", "kind": "mask filter", "opened": "2025-10-30", "expires": "2026-04-30", "cost": "24"},
    {"item": "T1", "kind": "face fit", "opened": "2024-02-10", "expires": "2026-02-10", "cost": "45"},
    {"item": "V1", "kind": "vehicle", "bought": "2019-06-01"},
]  # fmt: skip


def used(world: World, season: int) -> dict[str, float]:
    """What went into hives in a season by product: grams, strips, trays, ml; log-only rounds counted too."""
    total: dict[str, float] = {}
    placed = year.MAIN_2024 if season == 2024 else year.MAIN_2025
    for apiary, when in placed.items():
        main = year.MAIN[season][apiary]
        total[main.product] = total.get(main.product, 0.0) + main.dose * len(world.standing(apiary, when))
    rounds = year.ROUNDS_2024 if season == 2024 else (*year.ROUNDS_2025, year.WINTER_2026)
    for n, dates in enumerate(rounds, 1):
        for apiary, when in dates.items():
            hives = len(world.standing(apiary, when))
            if apiary == "ASH" and season == 2025 and n in year.ASH_DONE:
                hives = min(hives, year.ASH_DONE[n])
            total[OXALIC] = total.get(OXALIC, 0.0) + dose_g(apiary, season, n) * hives
    return total


def medicines(world: World) -> list[Row]:
    """Purchases that cover what was used, batch by batch, and disposals of used strips and old powder."""
    u24, u25 = used(world, 2024), used(world, 2025)
    tubs24 = math.ceil((u24[OXALIC] + 70) / 350)
    packs24, packs25 = (math.ceil(u["amitraz strips B"] / 10) for u in (u24, u25))
    left24 = 350 * tubs24 - u24[OXALIC]
    old = sum(dose_g("HOME", 2025, n) * len(world.standing("HOME", year.ROUNDS_2025[n - 1]["HOME"])) for n in (1, 2))
    tubs25 = math.ceil((u25[OXALIC] - old) / 350)
    returned = u25["amitraz strips B"] - 2 * len(world.standing("ROOK", date(2025, 11, 22)))
    trays, pads = math.ceil(u25["thymol trays C"] / 10) * 10, math.ceil(u25["formic acid D"] / 1000) * 1000
    return [
        _bought("2024-07-20", "amitraz strips B", "amitraz", "AM-4410", "2026-06-30", 10 * packs24, "strips",
                29 * packs24, VET, "folder 2024, receipt 3"),
        _bought("2024-10-12", OXALIC, "oxalic acid dihydrate", "OX-2311", "2025-09-30", 350 * tubs24, "g",
                38 * tubs24, SHOP, "folder 2024, receipt 5"),
        {"date": "2024-10-12", "event": "disposed", "product": "amitraz strips B", "active": "amitraz",
         "batch": "AM-4410", "quantity": f"{u24['amitraz strips B']:g}", "unit": "strips",
         "how_disposed": "used strips, returned", "where_disposed": "Sample Farm Vets", "written_on": "2024-10-12"},
        _bought("2025-07-18", "amitraz strips B", "amitraz", "AM-5233", "2027-03-31", 10 * packs25, "strips",
                31 * packs25, VET, "folder 2025, receipt 2"),
        _bought("2025-07-18", "thymol trays C", "thymol", "TH-118", "2026-12-31", trays, "trays", 2 * trays, SHOP,
                "folder 2025, receipt 3"),
        _bought("2025-07-30", "formic acid D", "formic acid", "", "2027-01-31", pads, "ml", 64,
                {"supplier": "Sample Farm Vets", "supplier_address": "", "prescriber": "the vet there"}, ""),
        _bought("2025-10-11", OXALIC, "oxalic acid dihydrate", "OX-2507", "2027-10-31", 350 * tubs25, "g",
                41 * tubs25, SHOP, "folder 2025, receipt 6"),
        {"date": "2025-11-22", "event": "disposed", "product": "amitraz strips B", "active": "amitraz",
         "batch": "AM-5233", "quantity": f"{returned:g}",
         "unit": "strips", "how_disposed": "used strips, returned", "where_disposed": "Sample Farm Vets",
         "written_on": "2025-11-22"},
        {"date": "2026-02-12", "event": "disposed", "product": OXALIC, "active": "oxalic acid dihydrate",
         "batch": "OX-2311", "quantity": f"{left24 - old:g}", "unit": "g", "how_disposed": "past its date, returned",
         "where_disposed": "Example Hive Supplies", "written_on": "2026-02-12"},
    ]  # fmt: skip


def _bought(day: str, product: str, active: str, batch: str, expiry: str, quantity: int, unit: str, cost: int,
            shop: Row, evidence: str) -> Row:  # fmt: skip
    return {"date": day, "event": "bought", "product": product, "active": active, "batch": batch, "expiry": expiry,
            "quantity": str(quantity), "unit": unit, "cost": str(cost), "evidence": evidence,
            "written_on": day} | shop  # fmt: skip
