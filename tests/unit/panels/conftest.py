"""What panels begin with, without a season read: two apiaries, a series, its mites, and no records."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from kit.panels.own import Own
from kit.season.findings import Findings

ROUND = {"apiary": "MILL", "treatment": "oxalic sublimation", "treatment_no": 1.0, "seal": "good", "dose_g": 1.8}


@pytest.fixture
def own() -> Own:
    rounds = pd.DataFrame([ROUND | {"date": day} for day in pd.to_datetime(["2025-08-10", "2025-08-16", "2025-08-22"])])
    loads = pd.DataFrame(
        {
            "date": pd.to_datetime(["2025-04-01", "2025-08-09"]), "apiary": "MILL", "scope": "apiary",
            "mites_p05": [5.0, 300.0], "mites_p50": [20.0, 900.0], "mites_p95": [80.0, 2700.0],
        }
    )  # fmt: skip
    facts: dict[str, Any] = {"season_start": "2025-04-01"}
    review = Findings(facts, {"MILL": {"hives": 12}, "WEIR": {"hives": None}}, {"rounds": rounds, "loads": loads})
    settings = {
        "winter_bees_from": "2025-08-15", "winter_bees_to": "2025-10-10", "treat_above_pct": 2.0,
        "winter_limit_pct": 2.0, "jurisdiction": "eu", "currency": "EUR",
    }  # fmt: skip
    return Own("The numbers are made up.", settings, None, lambda: (review, None))
