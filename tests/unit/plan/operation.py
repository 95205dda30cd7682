"""A small invented operation as sheets, and the parts of its review that a plan reads, made by hand."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pandas as pd

from kit.plan.make import make
from kit.records.load import load
from kit.records.records import Records
from kit.season.findings import Findings
from kit.season.rounds import rounds

SHEETS: dict[str, str] = {
    "settings": "setting,value\nkeeper,A. Keeper\nwork_hours_per_day,6\nwork_days,Mon-Sat\nbase_latitude,52.0\n"
    "base_longitude,-1.0\ntreat_by,08-31\n",
    "apiaries": "apiary,latitude,longitude,access,drive_min,carry_min,hives,floor,supply_dry,supply_wet\n"
    "ASH,52.10,-1.05,all weather,20,1,14,mesh,battery,battery\n"
    "BIRCH,52.11,-1.02,dry ground,22,3,10,mesh,vehicle,battery\n"
    "CEDAR,51.90,-1.20,on foot,35,9,18,solid,battery,battery\n"
    "DAMSON,,,all weather,15,2,6,mesh,,\n",
    "log": "date,apiary,did,standing,done\n"
    "2025-08-25,ASH,oxalic sublimation 1,14,14\n2025-08-31,ASH,oxalic sublimation 2,14,14\n"
    "2025-09-06,ASH,oxalic sublimation 3,14,14\n2025-12-20,ASH,oxalic sublimation,14,14\n"
    "2025-08-20,BIRCH,amitraz strips; strips in,10,10\n2025-10-08,BIRCH,strips out,10,10\n"
    "2025-12-21,BIRCH,oxalic sublimation,10,10\n"
    "2025-09-20,CEDAR,oxalic sublimation 1,18,18\n2025-09-26,CEDAR,oxalic sublimation 2,18,18\n"
    "2025-10-01,DAMSON,heads,6,\n",
    "crops": "apiary,crop,supers_on,supers_off\n"
    "ASH,clover,2025-05-01,2025-08-05\nCEDAR,heather,2025-08-01,2025-09-10\n",
    "labels": "product,active,authorised,strength_mg_per_g,max_dose,dose_unit,max_rounds_per_year,brood_free_only,"
    "supers_allowed,read_on\n"
    "oxalic powder,oxalic acid dihydrate,yes,886,2.3,g product per hive,4,no,no,2025-06-01\n"
    "strips A,amitraz,yes,,,,2,no,no,2025-06-01\n",
    "treatments": "date,apiary,colonies,treatment,product,dose,unit,round\n"
    "2025-08-25,ASH,all,oxalic sublimation,oxalic powder,2.3,g,1\n"
    "2025-09-20,CEDAR,all,oxalic sublimation,oxalic powder,2.3,g,1\n",
    "gear": "item,kind,type,volts,amp_hours,watts,expires,cost\nB1,battery,deep cycle,12,65,,,90\n"
    "S1,sublimator,holds heat,230,,200,,\nF1,mask filter,,,,,2026-07-01,\n",
}


def records_of(folder: Path, season: int | None = 2025, **sheets: str | None) -> Records:
    """Read the operation with some sheets replaced, or left out where None."""
    for name, text in (SHEETS | sheets).items():
        if text is not None:
            (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return load(folder, season=season, today=date(2026, 3, 31))


def review_of(records: Records) -> Findings:
    """The tables of a review that a plan reads."""
    numbers = dict.fromkeys(("minutes", "people", "colonies_done"), "float64")
    trips = pd.DataFrame(columns=["apiary", "date", "minutes_basis", *numbers]).astype(
        {"date": "datetime64[us]", **numbers}
    )
    return Findings({}, {}, {"rounds": rounds(records), "trips": trips})


def plan_of(**sheets: str | None) -> Findings:
    """The plan with some sheets replaced; made once for each set of sheets, so nobody may change it."""
    return _planned(tuple(sorted(sheets.items())))


@cache
def _planned(sheets: tuple[tuple[str, str | None], ...]) -> Findings:
    with TemporaryDirectory() as folder:
        records = records_of(Path(folder), **dict(sheets))
        return make(records, review_of(records), seed=1)
