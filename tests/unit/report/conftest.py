"""A small invented operation as Findings, with the columns the rooms agreed on: three apiaries, one late."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from kit.season.findings import Findings
from tests.unit.words.facts import APIARY_NOTHING, NOTHING, PLAN, PLAN_APIARY

APIARIES = ("Far Meadow", "Mill Lane", "Top Field")
RISK = {"Far Meadow": 6.0, "Mill Lane": 2.0, "Top Field": 1.2}


def frame(columns: str, *rows: tuple[Any, ...]) -> pd.DataFrame:
    """Rows under the columns named in one string; dates as datetime64."""
    table = pd.DataFrame(rows, columns=columns.split())
    for column in table.columns.intersection(
        ["date", "removed", "start", "end", "treated_on", "treat_by", "from", "to"]
    ):
        table[column] = pd.to_datetime(table[column])
    return table


def band(name: str) -> str:
    return " ".join(f"{name}_{point}" for point in ("p05", "p50", "p95"))


def loads() -> pd.DataFrame:
    rows = []
    for apiary, top in RISK.items():
        for n, date in enumerate(pd.date_range("2025-04-01", "2026-03-31", freq="7D")):
            middle = top * float(np.exp(-(((n - 24) / 9) ** 2))) * (0.15 if n > 24 else 1) + 0.05
            per = (middle / 2, middle, middle * 2)
            rows.append((date, apiary, "", "apiary", 8, *(100 * v for v in per), *per, 2025))
            if apiary == "Far Meadow":
                rows += [
                    (date, apiary, c, "colony", 1, *(100 * k * v for v in per), *(k * v for v in per), 2025)
                    for c, k in (("F1", 0.7), ("F2", 1.6))
                ]
    columns = f"date apiary colony scope hives {band('mites')} {band('per_100_bees')} season"
    return frame(columns, *rows)


def rounds() -> pd.DataFrame:
    columns = (
        "apiary treatment treatment_no round date removed standing done product dose unit dose_g seal "
        "air_c wind expel_s "
        "sublimator wrong why_late supers_on from_file from_row"
    )
    days = {
        "Far Meadow": ("2025-09-20", "2025-09-26"),
        "Mill Lane": ("2025-08-12", "2025-08-18"),
        "Top Field": ("2025-08-14",),
    }
    return frame(
        columns,
        *(
            (
                a,
                "oxalic sublimation",
                1,
                n,
                d,
                None,
                8,
                8,
                "crystals",
                2.3,
                "g",
                2.3,
                "good",
                14,
                "calm",
                20,
                "S1",
                "",
                "",
                "no",
                "log.csv",
                7,
            )
            for a, dates in days.items()
            for n, d in enumerate(dates, 1)
        ),
        (
            "Top Field",
            "amitraz strips",
            2,
            1,
            "2025-09-01",
            "2025-10-20",
            8,
            8,
            "strips",
            2,
            "strips",
            np.nan,
            "",
            14,
            "",
            np.nan,
            "",
            "",
            "",
            "no",
            "log.csv",
            9,
        ),
    )


def strength() -> pd.DataFrame:
    """A hive of 30 thousand bees at midsummer and hardly any brood in December."""
    rows = [
        (date, apiary, what, *(top * height * factor for factor in (0.7, 1.0, 1.3)), 3)
        for apiary in APIARIES
        for what, top in (("bees", 30.0), ("capped brood", 20.0))
        for n, date in enumerate(pd.date_range("2025-04-01", "2026-03-31", freq="7D"))
        for height in [0.1 + 0.9 * float(np.cos(np.pi * (n - 11) / 52) ** 2)]
    ]
    return frame("date apiary what thousand_p05 thousand_p50 thousand_p95 looks", *rows)


def review_tables() -> dict[str, pd.DataFrame]:
    per, mites = band("per_100_bees"), band("mites")
    return {
        "problems": frame(
            "file row column value problem remedy",
            ("log.csv", 12, "date", "31/02/2025", "is no date", "write it as 2025-02-28"),
        ),
        "loads": loads(),
        "strength": strength(),
        "efficacy": frame(
            f"apiary colony scope hives treatment start end rounds {band('efficacy')} basis",
            (
                "Far Meadow",
                "",
                "apiary",
                8,
                "oxalic sublimation",
                "2025-09-20",
                "2025-09-26",
                2,
                40.0,
                62.0,
                80.0,
                "board before and after",
            ),
            (
                "Mill Lane",
                "",
                "apiary",
                8,
                "oxalic sublimation",
                "2025-08-12",
                "2025-08-18",
                2,
                70.0,
                88.0,
                95.0,
                "model only",
            ),
        ),
        "timing": frame(
            f"apiary treatment treated_on treat_by days_late why_late {band('extra_mites')} "
            f"{band('extra_loss_pct')} {band('extra_cost')} {band('extra_colonies')}",
            (
                "Far Meadow",
                "oxalic sublimation",
                "2025-09-20",
                "2025-08-20",
                31.0,
                "ground",
                *(100.0, 300.0, 700.0),
                *(1.0, 6.0, 14.0),
                *(10.0, 90.0, 210.0),
                *(0.4, 1.6, 4.0),
            ),
            ("Mill Lane", "oxalic sublimation", "2025-08-12", "2025-08-20", -8.0, "", *[np.nan] * 12),
            ("Top Field", "oxalic sublimation", "2025-08-14", "2025-08-20", -6.0, "", *[np.nan] * 12),
        ),
        "on_time": frame(
            f"date apiary {band('per_100_bees')}",
            ("2025-08-20", "Far Meadow", 1.5, 3.0, 6.0),
            ("2025-09-10", "Far Meadow", 0.2, 0.4, 0.8),
        ),
        "losses": frame(
            f"apiary cause wintered lost loss_pct loss_pct_low loss_pct_high {band('expected_pct')}",
            ("", "all", 24, 5, 20.8, 9.0, 40.0, 8.0, 14.0, 26.0),
            ("", "mites", 24, 4, 16.7, 6.0, 36.0, *[np.nan] * 3),
            ("", "queen", 24, 1, 4.2, 0.5, 20.0, *[np.nan] * 3),
            ("Far Meadow", "all", 8, 4, 50.0, 21.0, 78.0, *[np.nan] * 3),
            ("Mill Lane", "all", 8, 1, 12.5, 2.0, 47.0, *[np.nan] * 3),
            ("Top Field", "all", 8, 0, 0.0, 0.0, 32.0, *[np.nan] * 3),
        ),
        "effort": frame(
            "apiary task hours money",
            *((a, t, h, 20 * h) for a in APIARIES for t, h in (("driving", 6.0), ("treating", 4.5))),
        ),
        "gear": frame(
            "item kind what recorded expected_low expected_high unit cause check",
            ("S1", "sublimator", "warm-up", 9.0, 5.0, 6.0, "min", "scale", "clean the chamber"),
        ),
        "today": frame(
            f"apiary due from to reason {band('load')} {band('wait_cost')} next_count",
            (
                "Far Meadow",
                "count",
                "2026-04-01",
                "2026-04-14",
                "no count since autumn",
                20.0,
                60.0,
                180.0,
                0.0,
                5.0,
                20.0,
                "three trays",
            ),
        ),
        "medicine_record": frame(
            "date event product apiary quantity missing",
            ("2025-08-12", "given", "crystals", "Mill Lane", "18.4 g", "batch"),
        ),
        "heads": frame(
            "date apiary standing done dead cause weak light why_late wrong notes from_file from_row",
            ("2025-10-01", "Far Meadow", 8.0, np.nan, np.nan, "", np.nan, np.nan, "", "", "", "log.csv", 3),
            ("2026-03-20", "Far Meadow", 4.0, np.nan, 4.0, "mites", np.nan, np.nan, "", "", "", "log.csv", 4),
        ),
        "rounds": rounds(),
        "readings": frame(
            f"date apiary colony method mites level days bees per_day {mites} {per} after_treatment reading "
            f"from_file from_row",
            (
                "2025-09-18",
                "Far Meadow",
                "F2",
                "board",
                140.0,
                "",
                4.0,
                np.nan,
                35.0,
                1200.0,
                2400.0,
                4800.0,
                3.0,
                6.0,
                12.0,
                False,
                "daily drop",
                "counts.csv",
                3,
            ),
        ),
        "trips": frame(
            "date apiary minutes drive_min carry_min people colonies_done supply ground wrong wasted "
            "from_file from_row",
            ("2025-09-10", "Far Meadow", 60.0, 25.0, 5.0, 1.0, 0.0, "", "flooded", "ground", True, "log.csv", 5),
        ),
        "open_points": frame(
            "apiary kind what since remedy",
            ("Top Field", "record gap", "batch of the strips", "2025-09-01", "write it down"),
        ),
        "causes": frame(
            "apiary of treatment rank cause evidence check",
            (
                "Far Meadow",
                "kill",
                "oxalic sublimation",
                1,
                "brood",
                "crumbs on the tray",
                "go again after the last cell has opened",
            ),
        ),
    }


@pytest.fixture(scope="session")
def review() -> Findings:
    facts = NOTHING | {
        "keeper": "Invented & Sons", "apiaries": list(APIARIES), "problems": 1, "remarks": 0, "hives": 19,
        "wintered": 24, "came_out": 19,
        "lost": 5, "lost_pct": 20.8, "lost_pct_low": 9.0, "lost_pct_high": 40.0, "winter_over": True, "trips": 9,
        "lost_by_cause": [{"cause": "mites", "lost": 4}, {"cause": "queen", "lost": 1}], "hours": 31.5,
    }  # fmt: skip
    apiary = {
        "wintered": 8, "came_out": 4, "lost": 4, "lost_pct": 50.0, "lost_pct_low": 21.0, "lost_pct_high": 78.0,
        "lost_by_cause": [{"cause": "mites", "lost": 4}], "heads_missing": None, "treatment": "oxalic sublimation",
    }  # fmt: skip
    by_apiary = {a: APIARY_NOTHING | apiary | {"apiary": a, "name": f"{a} <b>"} for a in APIARIES}
    return Findings(facts, by_apiary, review_tables())


@pytest.fixture(scope="session")
def plan() -> Findings:
    visits = (
        "visit_id apiary date not_before not_after round rounds treatment colonies drive_min carry_min minutes supply "
        "doses_per_charge_p05 charges dose_g note"
    )
    calendar = "date apiary event treatment round rounds not_before not_after order uid note"
    dates = [
        (a, pd.Timestamp(f"2026-08-{10 + 5 * n + 6 * r:02d}"), r + 1) for n, a in enumerate(APIARIES) for r in range(2)
    ]
    tables = {
        "programmes": frame(
            "apiary programme chosen chance_pct given_up",
            *((a, "two rounds", True, 70.0 + n, "a third round") for n, a in enumerate(APIARIES)),
        ),
        "mends": frame(
            "mend cost apiaries_late apiaries_saved late_days late_days_saved colonies_saved hours "
            "hours_saved money_saved worth_it note",
            ("a second battery", 120.0, 2, 1, 9.0, 5.0, 0.6, 40.0, 3.0, 150.0, True, ""),
        ),
        "calendar": frame(
            calendar,
            *(
                (
                    d,
                    a,
                    "treat",
                    "oxalic sublimation",
                    r,
                    2,
                    d - pd.Timedelta(days=1),
                    d + pd.Timedelta(days=2),
                    1,
                    f"{a}{r}",
                    "",
                )
                for a, d, r in dates
            ),
        ),
        "shopping": frame(
            "product treatment needed in_hand to_buy unit expires leftover note",
            ("crystals", "oxalic sublimation", 110.0, 60.0, 50.0, "g", None, 0.0, ""),
        ),
        "visits": frame(
            visits,
            *(
                (f"V{n}", a, d, d, d, r, 2, "oxalic sublimation", 8, 20.0, 2.0, 60.0, "battery", 30.0, 1.0, 2.3, "")
                for n, (a, d, r) in enumerate(dates)
            ),
        ),
        "kit": frame(
            "visit_id apiary date item count note",
            *((f"V{n}", a, d, "seals", 4, "count them back") for n, (a, d, _) in enumerate(dates)),
        ),
        "left_out": frame("apiary why remedy"),
        "weather_odds": frame(
            "from to access workable_pct cold_pct windy_pct wet_pct soft_pct working_days workable_days days_out basis",
            *(
                (
                    pd.Timestamp(first),
                    pd.Timestamp(last),
                    access,
                    chance,
                    0.0,
                    30.0,
                    24.0,
                    18.0,
                    10,
                    5.0,
                    2,
                    "the climate",
                )
                for first, last, access, chance in (
                    ("2026-08-01", "2026-08-15", "any other", 52.8),
                    ("2026-08-01", "2026-08-15", "dry ground, driven in", 46.8),
                    ("2026-12-16", "2026-12-31", "any other", 35.8),
                    ("2026-12-16", "2026-12-31", "dry ground, driven in", 31.0),
                )
            ),
        ),
        "days": frame("date apiaries minutes minutes_free", *((d, a, 100.0, 380.0) for a, d, _ in dates)),
    }
    facts = PLAN | {"season": 2026, "date_that_matters": "2026-08-20", "apiaries": list(APIARIES)}
    return Findings(facts, dict.fromkeys(APIARIES, PLAN_APIARY), tables)
