"""Each season begins with the mites that the one before left, hive by hive, where anything was counted in it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from kit.records.load import load
from kit.records.records import Records
from kit.season import fit
from kit.season.fit import places, read_season
from kit.season.loads import loads
from kit.season.posterior import traits as t
from kit.season.posterior.place import Place
from kit.season.remembered import Remembered, remembered, year_before
from kit.season.review import review
from kit.season.rounds import rounds
from kit.season.usual import usual_year
from tests.simulator import score
from tests.simulator.operations import KINDS, operation
from tests.simulator.sheets import write
from tests.unit.season.sheets import boards, records, series

MANY = boards("A", "A1", ("2024-06-10", 15, 7), ("2024-10-20", 300, 7), ("2024-11-10", 200, 7), ("2025-03-25", 30, 7))
FEW = boards("A", "A2", ("2024-06-10", 3, 7), ("2024-10-20", 4, 7), ("2024-11-10", 2, 7), ("2025-03-25", 0, 7))
BOTH = [{"colony": "A1", "apiary": "A"}, {"colony": "A2", "apiary": "A"}]


def two_hives(**more: Any) -> Records:
    """Two hives of which one ended the season before with many mites, and nothing was counted since."""
    return records({"A": 2}, **{"colonies": BOTH, "counts": MANY + FEW, **more})


def at_start(given: Records) -> pd.DataFrame:
    """Bands of each colony's mites on the season's first day."""
    table = loads(given, rounds(given), read_season(given, rounds(given), seed=1))
    first = table[(table["date"] == table["date"].min()) & (table["scope"] == "colony")]
    return first.set_index("colony")


def alone(given: Records) -> Records:
    """The same records without anything counted before the season."""
    counts = given.tables["counts"]
    kept = counts[counts["date"] >= pd.Timestamp(given.season.start)].reset_index(drop=True)
    return replace(given, tables={**given.tables, "counts": kept})


def log_width(row: pd.Series[float]) -> float:
    return float(np.log(max(row["mites_p95"], 1) / max(row["mites_p05"], 0.5)))


def test_a_hive_that_went_out_of_the_season_before_with_many_mites_begins_with_many() -> None:
    after, without = at_start(two_hives()), at_start(alone(two_hives()))
    assert after.loc["A1", "mites_p05"] > after.loc["A2", "mites_p95"]
    assert without.loc["A1", "mites_p05"] < without.loc["A2", "mites_p50"] < without.loc["A1", "mites_p95"]
    assert log_width(after.loc["A1"]) < 0.7 * log_width(without.loc["A1"])


def test_a_winter_treatment_of_the_season_before_is_felt_in_spring() -> None:
    treated = at_start(two_hives(treatments=series("A", date(2024, 12, 20), rounds=2)))
    untreated = at_start(two_hives(counts=MANY[:3] + FEW[:3]))
    treated_uncounted = at_start(
        two_hives(counts=MANY[:3] + FEW[:3], treatments=series("A", date(2024, 12, 20), rounds=2))
    )
    assert treated_uncounted.loc["A1", "mites_p50"] < untreated.loc["A1", "mites_p50"] / 4
    assert treated.loc["A1", "mites_p50"] > treated_uncounted.loc["A1", "mites_p50"]  # the March board found many


def test_where_nothing_was_counted_the_year_before_nothing_changes() -> None:
    given = alone(two_hives(treatments=series("A", date(2024, 12, 20))))
    assert year_before(given) is None
    assert read_season(given, rounds(given), seed=1).after is None


def test_an_apiary_first_written_about_in_autumn_is_not_built_on_for_it_may_have_been_treated_before() -> None:
    late = two_hives(counts=MANY[1:] + FEW[1:])
    assert year_before(late) is None
    with_another = two_hives(counts=[*MANY[1:], *FEW[1:], *boards("B", "B1", ("2024-06-10", 15, 7))])
    assert {apiary for apiary, _ in _before(with_another).log_mites} == {"B"}


def test_a_dead_hives_number_given_to_another_inherits_nothing_and_a_moved_hive_keeps_its_own() -> None:
    colonies = [
        {"colony": "A1", "apiary": "A", "from": "2023-04-01", "to": "2025-01-15", "outcome": "died"},
        {"colony": "A1", "apiary": "A", "from": "2025-05-20"},
        {"colony": "A2", "apiary": "A", "from": "2023-04-01", "to": "2025-04-01", "outcome": "moved"},
        {"colony": "A2", "apiary": "B", "from": "2025-04-01"},
    ]
    given = records({"A": 2, "B": 1}, colonies=_dated(colonies), counts=MANY + FEW)
    before = _before(given)
    found = {place.apiary: place.hives for place in _places(given)}
    by_colony = {unit.colony: n for n, unit in enumerate(found["A"].units)}
    assert found["A"].left is None or not found["A"].left.known[by_colony["A1"]]
    moved = found["B"]
    assert moved.left is not None and moved.left.known.tolist() == [True]
    assert moved.centre[0, t.START] == before.log_mites["A", "A2"].mean()


def test_a_part_begins_with_its_parents_mites() -> None:
    colonies = [*BOTH, {"colony": "A3", "apiary": "A", "from": "2025-05-20"}]
    split = [{"date": date(2025, 5, 20), "kind": "split", "from": "A1", "to": "A3", "hives": 1}]
    (place,) = _places(two_hives(colonies=_dated(colonies), events=split))
    at = {unit.colony: n for n, unit in enumerate(place.hives.units)}
    assert place.hives.centre[at["A3"], t.START] == place.hives.centre[at["A1"], t.START]
    assert place.hives.centre[at["A1"], t.START] > place.hives.centre[at["A2"], t.START] + 1


def test_a_hive_new_to_the_apiary_strays_as_any_hive_does() -> None:
    colonies = [*BOTH, {"colony": "A9", "apiary": "A", "from": "2025-04-20"}]
    (place,) = _places(two_hives(colonies=_dated(colonies)))
    new = [unit.colony for unit in place.hives.units].index("A9")
    spread = np.hypot(place.hives.own_spread[new, t.START], place.hives.spreads[1, t.START])
    assert spread >= np.linalg.norm(t.SPREADS[t.START])


def test_seasons_are_read_one_after_the_other() -> None:
    older = boards("A", "A1", ("2023-10-20", 40, 7), ("2023-06-10", 30, 7))
    given = two_hives(counts=older + MANY + FEW)
    then = year_before(given)
    assert then is not None and then.season.start == date(2024, 4, 1) and then.season.end == date(2025, 3, 31)
    assert read_season(then, rounds(then), seed=1).after == 2023
    found = review(given, seed=1).facts
    assert found["certainty_why"].endswith("hives begin with the mites that the season before left in them")


def _before(given: Records) -> Remembered:
    then = year_before(given)
    assert then is not None
    return remembered(then, read_season(then, rounds(then), seed=1))


def _places(given: Records) -> list[Place]:
    return places(given, rounds(given), usual_year(given.season.start, 365), _before(given))


def _dated(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{k: pd.Timestamp(v) if k in ("from", "to") else v for k, v in row.items()} for row in rows]


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["sparse", "well counted"])
def test_a_second_season_of_another_mechanism_is_read_the_better_for_the_first(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two operations of the outside simulator, each read after its season before and without it."""
    spring = {"after": 0.0, "alone": 0.0}
    for seed in (111, 112):
        write(operation(KINDS[kind], seed, seasons=2), tmp_path / str(seed))
        truth = score.table(tmp_path / str(seed) / "truth_loads.csv")
        given = load(tmp_path / str(seed) / "records", season=2025, today=date(2026, 4, 1))
        for how in spring:
            monkeypatch.setattr(fit, "year_before", year_before if how == "after" else lambda _: None)
            found = score.loads(loads(given, rounds(given), read_season(given, rounds(given), seed=1)), truth)
            print(kind, seed, how, found.round(2).to_string(), sep="\n")
            spring[how] += float(found.loc["spring", "interval_score"])
            assert found.loc["all", "in_band_pct"] >= 80
    assert spring["after"] < spring["alone"]
