"""The review's facts for none, one, many, unknown and contradictory records."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pandas as pd
import pytest

from kit.season.findings import Findings
from kit.season.review import review
from tests.unit.season.sheets import boards, records, series, shuffled

TABLES = {
    "problems": ["file", "row", "column", "value", "problem", "remedy"],
    "loads": [
        "date", "apiary", "colony", "scope", "hives", "mites_p05", "mites_p50", "mites_p95", "per_100_bees_p05",
        "per_100_bees_p50", "per_100_bees_p95", "season",
    ],
    "efficacy": [
        "apiary", "colony", "scope", "hives", "treatment", "start", "end", "rounds", "efficacy_p05", "efficacy_p50",
        "efficacy_p95", "basis",
    ],
    "timing": [
        "apiary", "treatment", "treated_on", "treat_by", "days_late", "why_late", "extra_mites_p05", "extra_mites_p50",
        "extra_mites_p95", "extra_loss_pct_p05", "extra_loss_pct_p50", "extra_loss_pct_p95", "extra_cost_p05",
        "extra_cost_p50", "extra_cost_p95",
    ],
    "losses": [
        "apiary", "cause", "wintered", "lost", "loss_pct", "loss_pct_low", "loss_pct_high", "expected_pct_p05",
        "expected_pct_p50", "expected_pct_p95",
    ],
    "today": [
        "apiary", "due", "from", "to", "reason", "load_p05", "load_p50", "load_p95", "wait_cost_p05", "wait_cost_p50",
        "wait_cost_p95", "next_count",
    ],
    "rounds": ["apiary", "treatment", "treatment_no", "round", "date", "removed", "standing", "done"],
    "readings": ["date", "apiary", "colony", "method", "mites", "level", "days", "bees", "per_day", "mites_p05"],
    "open_points": ["apiary", "kind", "what", "since", "remedy"],
    "causes": ["apiary", "of", "treatment", "rank", "cause", "evidence", "check"],
    "effort": [], "gear": [], "medicine_record": [], "heads": [], "trips": [],
}  # fmt: skip
"""The first columns of each table as the record sheets' page and DEVELOPERS.md promise them."""


def heads(apiary: str, *rows: tuple[str, float | None, dict[str, Any]]) -> list[dict[str, Any]]:
    return [{"date": on, "apiary": apiary, "standing": standing} | more for on, standing, more in rows]


def of(found: Findings, table: str, **where: Any) -> pd.DataFrame:
    rows = found.tables[table]
    for name, value in where.items():
        rows = rows[rows[name] == value]
    return rows.reset_index(drop=True)


@pytest.fixture(scope="module")
def nothing() -> Findings:
    return review(records({}), seed=1)


@pytest.fixture(scope="module")
def unwritten() -> Findings:
    """One apiary of which nothing but its name is known."""
    return review(records({"A": None}), seed=1)


@pytest.fixture(scope="module")
def two() -> Findings:
    """B late by a month with its heads lost, A in time; three trays at A."""
    lines = [
        *heads("A", ("2025-10-01", 10, {}), ("2026-03-10", 9, {"dead": 1, "cause": "queen"})),
        *heads("B", ("2025-09-20", None, {"why_late": "ground"}), ("2025-10-01", 12, {}),
               ("2026-03-10", 8, {"dead": 3, "cause": "mites"})),
    ]  # fmt: skip
    return review(
        records(
            {"A": 10, "B": 12},
            heads=lines,
            counts=boards("A", "", ("2025-07-10", 70, 7), ("2025-07-10", 35, 7), ("2025-07-10", 140, 7)),
            treatments=[*series("A", date(2025, 8, 20)), *series("B", date(2025, 10, 1), seal="poor")],
        ),
        seed=1,
    )


@pytest.mark.parametrize("table", sorted(TABLES))
def test_every_table_has_its_promised_columns_first(two: Findings, nothing: Findings, table: str) -> None:
    for found in (two, nothing):
        columns = TABLES[table]
        assert list(found.tables[table].columns[: len(columns)]) == columns


def test_facts_are_json(two: Findings, nothing: Findings, unwritten: Findings) -> None:
    for found in (two, nothing, unwritten):
        json.dumps([found.facts, found.apiary_facts], allow_nan=False)


def test_no_records_give_no_heads_no_lateness_and_no_claim(nothing: Findings) -> None:
    facts = nothing.facts
    assert facts["wintered"] is facts["lost"] is facts["lost_pct"] is facts["hives"] is None
    assert facts["late"] == facts["worked"] == facts["weak"] == []
    assert facts["first"] is None
    assert facts["certainty"] == "model only"


def test_an_apiary_of_which_nothing_is_written_is_wide_and_said_to_be_the_model_alone(unwritten: Findings) -> None:
    facts = unwritten.apiary_facts["A"]
    assert facts["heads_missing"] == "both"
    assert facts["treatments"] == []
    assert facts["load_basis"] == "no count here: the usual year only"
    first = of(unwritten, "loads", scope="unnumbered").iloc[0]
    assert first["mites_p95"] / first["mites_p05"] > 8
    assert pd.isna(first["hives"])


def test_an_untreated_apiary_is_late_until_as_of(unwritten: Findings) -> None:
    row = of(unwritten, "timing").iloc[0]
    assert row["days_late"] == (date(2026, 3, 31) - date(2025, 8, 31)).days
    assert pd.isna(row["treated_on"])
    assert unwritten.facts["late"][0]["treated_on"] is None


def test_spring_mites_without_counts_hold_the_documented_spread() -> None:
    """Lognormal, median 40, 5-95 % 5-300 (the record sheets' page): one hive without counts."""
    found = review(records({"A": 1}, colonies=[{"colony": "A1", "apiary": "A"}]), seed=3)
    start = of(found, "loads", scope="colony").iloc[0]
    assert start["mites_p50"] == pytest.approx(40, rel=0.35)
    assert 2.5 < start["mites_p05"] < 10
    assert 150 < start["mites_p95"] < 600


def test_the_late_apiary_is_late_with_its_reason_and_a_cost(two: Findings) -> None:
    late = two.facts["late"]
    assert [row["apiary"] for row in late] == ["B"]
    assert late[0]["days_late"] == 31
    assert late[0]["why_late"] == "ground"
    assert late[0]["extra_mites_p05"] > 0
    assert 0 < late[0]["extra_loss_pct_p50"] < 100
    assert two.facts["on_time"] == ["A"]
    assert two.facts["why_late"] == [{"why": "ground", "apiaries": 1, "days": 31}]


def test_being_in_time_costs_nothing(two: Findings) -> None:
    row = of(two, "timing", apiary="A").iloc[0]
    assert row["days_late"] == -11
    assert row["extra_mites_p50"] == row["extra_cost_p95"] == 0


def test_two_apiaries_cannot_tell_lateness_from_ground(two: Findings) -> None:
    assert two.facts["late_told_apart"] is False
    assert "too few" in two.facts["late_told_apart_why"]


def test_unexplained_deaths_are_of_unknown_cause(two: Findings) -> None:
    """Twelve in, eight out, three written down as mites: one is unknown."""
    assert two.apiary_facts["B"]["lost_by_cause"] == [{"cause": "mites", "lost": 3}, {"cause": "unknown", "lost": 1}]
    assert (two.facts["wintered"], two.facts["came_out"], two.facts["lost"]) == (22, 17, 5)
    assert of(two, "losses", apiary="all", cause="mites").iloc[0]["lost"] == 3


def test_a_kill_nobody_counted_is_not_called_weak_for_its_poor_seal(two: Findings) -> None:
    """The seal widens and lowers the band; only a band that ends short of what is expected would accuse."""
    assert not [row for row in two.facts["weak"] if row["apiary"] == "B"]
    kill = of(two, "efficacy", apiary="B", scope="apiary").iloc[0]
    good = of(two, "efficacy", apiary="A", scope="apiary").iloc[0]
    assert kill["efficacy_p50"] < good["efficacy_p50"]
    assert kill["efficacy_p95"] - kill["efficacy_p05"] > good["efficacy_p95"] - good["efficacy_p05"]


def test_the_apiary_row_is_the_mean_hive_with_the_number_of_hives(two: Findings) -> None:
    rows = of(two, "loads", apiary="A", scope="apiary")
    assert set(rows["hives"]) == {10.0, 9.0}


def test_heads_that_do_not_add_up_are_shown_not_forced() -> None:
    lines = heads("A", ("2025-10-01", 10, {}), ("2026-03-10", 12, {"dead": 2, "cause": "starved"}))
    found = review(records({"A": 10}, heads=lines), seed=1)
    facts = found.apiary_facts["A"]
    assert facts["heads_conflicts"] == ["10 went in, yet 12 came out"]
    assert (facts["wintered"], facts["came_out"], facts["lost"]) == (10, 12, 2)


def test_more_dead_than_missing_is_a_conflict() -> None:
    lines = heads("A", ("2025-10-01", 10, {}), ("2026-03-10", 9, {"dead": 4, "cause": "mites"}))
    facts = review(records({"A": 10}, heads=lines), seed=1).apiary_facts["A"]
    assert facts["lost"] == 1
    assert "yet 4 are written down as dead" in facts["heads_conflicts"][0]


def test_a_hive_sold_in_winter_is_not_a_loss() -> None:
    lines = heads("A", ("2025-10-01", 10, {}), ("2026-03-10", 9, {}))
    sold = [{"date": "2026-01-15", "kind": "sold", "from": "A", "hives": 1}]
    facts = review(records({"A": 10}, heads=lines, events=sold), seed=1).apiary_facts["A"]
    assert (facts["lost"], facts["heads_conflicts"]) == (0, [])


def test_deaths_in_one_gap_told_twice_are_the_same_ones() -> None:
    """Two dead in the log and the same two as numbered colonies; a third hive of the log is not numbered."""
    lines = heads("A", ("2025-10-01", 5, {}), ("2026-03-10", 2, {"dead": 3, "cause": "mites"}))
    stays = [
        {"colony": f"A{n}", "apiary": "A", "to": "2026-02-01" if n < 3 else None, "outcome": "died" if n < 3 else ""}
        | ({"cause": "queen"} if n == 1 else {"cause": "mites"} if n == 2 else {})
        for n in (1, 2, 3)
    ]
    facts = review(records({"A": 5}, heads=lines, colonies=stays), seed=1).apiary_facts["A"]
    assert facts["lost"] == 3
    assert facts["lost_by_cause"] == [{"cause": "mites", "lost": 2}, {"cause": "queen", "lost": 1}]


def test_the_order_of_rows_changes_nothing() -> None:
    stays = [{"colony": f"{a}{n}", "apiary": a} for a in "AB" for n in (1, 2)]
    given = records(
        {"A": 2, "B": 2},
        colonies=stays,
        counts=[
            *boards("A", "A1", ("2025-06-10", 20, 7), ("2025-08-28", 300, 6)),
            *boards("B", "B2", ("2025-07-10", 9, 7)),
        ],
        treatments=[*series("A", date(2025, 8, 20)), *series("B", date(2025, 8, 22))],
    )
    one, other = review(given, seed=5), review(shuffled(given, 3), seed=5)
    for name in ("loads", "efficacy", "timing", "losses", "rounds"):
        pd.testing.assert_frame_equal(one.tables[name], other.tables[name])
    assert one.facts["late"] == other.facts["late"]


def test_the_seed_changes_the_draws_and_the_same_seed_does_not() -> None:
    given = records({"A": 3}, treatments=series("A", date(2025, 9, 20)))
    first, again, other = (review(given, seed=seed).tables["loads"] for seed in (1, 1, 2))
    pd.testing.assert_frame_equal(first, again)
    assert not first["mites_p50"].equals(other["mites_p50"])


def test_three_counted_hives_inform_the_ones_beside_them() -> None:
    """A heavy apiary is read as heavy also where no tray lay, and less surely than where one did."""
    stays = [{"colony": f"A{n}", "apiary": "A"} for n in range(8)]
    heavy = [row for n in range(3) for row in boards("A", f"A{n}", ("2025-07-10", 400, 7), ("2025-07-25", 500, 7))]
    table = review(records({"A": 8}, colonies=stays, counts=heavy), seed=1).tables["loads"]
    plain = review(records({"A": 8}, colonies=stays), seed=1).tables["loads"]
    on = table["date"] == "2025-07-22"
    counted, beside = (table[on & (table["colony"] == one)].iloc[0] for one in ("A0", "A7"))
    before = plain[(plain["date"] == "2025-07-22") & (plain["colony"] == "A7")].iloc[0]
    assert beside["mites_p50"] > 1.5 * before["mites_p50"]
    assert counted["mites_p95"] / counted["mites_p05"] < 0.5 * beside["mites_p95"] / beside["mites_p05"]


def test_words_are_read_as_intervals() -> None:
    """`many` on three trays puts a hive above `none` on three trays."""

    def level(word: str) -> float:
        trays = [{"date": "2025-08-01", "apiary": "A", "method": "board", "level": word, "days": 7} for _ in range(3)]
        table = review(records({"A": 10}, counts=trays), seed=1).tables["loads"]
        return float(table[(table["scope"] == "apiary") & (table["date"] == "2025-08-01")]["mites_p50"].iloc[0])

    assert level("none") < level("few") < level("many")


def test_a_board_after_a_treatment_is_not_read_as_load() -> None:
    found = review(
        records({"A": 1}, counts=boards("A", "", ("2025-09-08", 600, 6)), treatments=series("A", date(2025, 9, 1), 1)),
        seed=1,
    )
    row = found.tables["readings"].iloc[0]
    assert row["after_treatment"]
    assert pd.isna(row["mites_p50"])
    assert "oxalic sublimation of 2025-09-01" in row["reading"]


def test_strips_that_no_line_takes_out_are_open_and_first_to_go_to() -> None:
    strips = [{"date": "2025-08-20", "apiary": "A", "colonies": "all", "treatment": "amitraz strips"}]
    found = review(records({"A": 4, "B": 4}, treatments=[*strips, *series("B", date(2025, 8, 20))]), seed=1)
    assert found.facts["strips_in"] == [{"apiary": "A", "treatment": "amitraz strips", "since": "2025-08-20"}]
    assert found.facts["first"]["apiary"] == "A"
    assert found.facts["first"]["due"] == "take amitraz strips out"


@pytest.mark.parametrize(("as_of", "month_has_wash"), [(date(2025, 12, 20), False), (date(2025, 7, 20), True)])
def test_no_wash_is_proposed_in_the_cold(as_of: date, month_has_wash: bool) -> None:
    found = review(records({"A": 4, "B": 4}, as_of=as_of), seed=1)
    counts = [*found.tables["today"]["next_count"], found.facts["best_measurement"]["what"]]
    assert counts
    assert all(("wash" in words) == month_has_wash for words in counts)


def test_in_august_the_heavier_apiary_goes_first_and_waiting_has_a_price() -> None:
    counts = [
        *boards("A", "", *[("2025-08-05", n, 7) for n in (20, 30, 25)]),
        *boards("B", "", *[("2025-08-05", n, 7) for n in (300, 420, 350)]),
        *boards("C", "", *[("2025-08-05", n, 7) for n in (20, 30, 25)]),
    ]
    given = records(
        {"A": 10, "B": 10, "C": 10}, as_of=date(2025, 8, 25), counts=counts, treatments=series("C", date(2025, 8, 5))
    )
    found = review(given, seed=1)
    mains = of(found, "today", due="main treatment")
    assert list(mains["apiary"]) == ["B", "A"]
    assert mains["wait_cost_p50"].iloc[0] > mains["wait_cost_p50"].iloc[1]
    assert found.tables["loads"]["date"].max() == pd.Timestamp("2025-08-25")


def test_hives_left_out_of_a_round_lower_the_kill_of_the_average_hive() -> None:
    def kill(done: float) -> float:
        lines = [{"date": "2025-12-20", "apiary": "A", "standing": 10, "done": done}]
        given = records({"A": 10}, heads=lines, treatments=series("A", date(2025, 12, 20), 1))
        return float(of(review(given, seed=1), "efficacy", scope="apiary")["efficacy_p50"].iloc[0])

    assert kill(5) < 0.6 * kill(10)
