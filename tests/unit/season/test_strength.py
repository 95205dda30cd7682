"""How strong the hives were: looks at frames move it, none leaves the usual year, no hive leaves no row."""

from __future__ import annotations

import pandas as pd
import pytest

from kit.season.review import review
from kit.season.strength import COLUMNS
from tests.unit.season.sheets import records

WHEN = [f"2025-{month:02d}-15" for month in range(4, 10)]
FRAMES = {"WEAK": 5, "STRONG": 14, "UNSEEN": None}


def _looks(apiary: str, frames: int | None) -> list[dict[str, object]]:
    colony = {"apiary": apiary, "colony": f"{apiary}1"}
    return [colony | {"date": on, "bee_frames": frames} for on in WHEN if frames is not None]


@pytest.fixture(scope="module")
def table() -> pd.DataFrame:
    colonies = [{"colony": f"{apiary}1", "apiary": apiary} for apiary in FRAMES]
    looks = [look for apiary, frames in FRAMES.items() for look in _looks(apiary, frames)]
    return review(records(dict.fromkeys(FRAMES, 1), colonies=colonies, inspections=looks), seed=1).tables["strength"]


def middle(table: pd.DataFrame, apiary: str, what: str, point: str = "p50") -> pd.Series:
    rows = table[(table["apiary"] == apiary) & (table["what"] == what)]
    return rows.set_index("date")[f"thousand_{point}"]


def test_bees_follow_the_frames_seen(table: pd.DataFrame) -> None:
    """2,000 bees on a frame (Imdorf et al. 2008): 10 and 28 thousand; one person's frames may be a quarter off."""
    june = slice("2025-06-01", "2025-08-31")
    weak, strong = (middle(table, apiary, "bees")[june].mean() for apiary in ("WEAK", "STRONG"))
    assert 7.5 < weak < 17 and 21 < strong < 36
    assert weak < middle(table, "UNSEEN", "bees")[june].mean()


def test_looks_narrow_the_band_and_are_counted(table: pd.DataFrame) -> None:
    width = {
        apiary: float((middle(table, apiary, "bees", "p95") / middle(table, apiary, "bees", "p05")).median())
        for apiary in FRAMES
    }
    assert width["STRONG"] < width["UNSEEN"]
    assert table.groupby("apiary")["looks"].first().to_dict() == {"WEAK": 6, "STRONG": 6, "UNSEEN": 0}


def test_a_usual_colony_is_largest_in_summer_and_almost_without_brood_in_december(table: pd.DataFrame) -> None:
    """Common practice, no source: 20 to 60 thousand bees at midsummer, little brood at New Year."""
    bees, brood = middle(table, "UNSEEN", "bees"), middle(table, "UNSEEN", "capped brood")
    assert pd.Timestamp(bees.idxmax()).month in (6, 7) and 20 < bees.max() < 60
    assert pd.Timestamp(brood.idxmin()).month in (11, 12, 1) and brood.min() < 0.1 * brood.max()


def test_where_no_hive_stood_there_is_no_row() -> None:
    stays = [{"colony": "A1", "apiary": "A", "from": "2025-04-01", "to": "2025-06-30"}]
    table = review(records({"A": 1}, colonies=stays), seed=1).tables["strength"]
    assert list(table.columns) == COLUMNS
    assert table["date"].max() <= pd.Timestamp(2025, 6, 30)
