"""Splits: the days without capped brood, what a round on them does, and when a programme may ask for them."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from kit.plan.ahead import ahead_of
from kit.plan.programme.calm import Parting
from kit.plan.programme.futures import Futures, Given, futures_of
from kit.plan.programme.options import DID, NOT_YET
from kit.plan.programme.wishes import IN_SPLITS
from kit.plan.splits import Splits, splits_of
from tests.unit.plan.operation import SHEETS, plan_of, records_of, review_of
from tests.unit.plan.test_programmes import candidates_of, prepared_of

SPLIT = date(2026, 5, 20)
EVENTS = "date,kind,from,to,hives\n2025-05-20,split,ASH,ASH,4\n"


def test_parts_stand_without_capped_brood_from_the_last_drone_out_to_the_first_new_cell_sealed() -> None:
    """Worker 21 days, drone 24 days from egg to bee, a worker cell sealed on day 9 (Winston, The biology of the honey
    bee, 1987; second-hand); a queen raised from a young larva lays some 24 days on (common practice, no source)."""
    first, last = Splits(SPLIT, SPLIT, 1, True).free
    assert (first - SPLIT).days == 24
    assert (last - SPLIT).days == 32


@pytest.mark.parametrize(
    ("days", "parts", "middle"),
    [((13, 15, 17), 3, 15), ((1, 13, 15), 2, 14)],
    ids=["near one another", "one too early for the visit of the others"],
)
def test_splits_that_one_visit_can_serve_are_taken_together(
    tmp_path: Path, days: tuple[int, ...], parts: int, middle: int
) -> None:
    rows = "".join(f"2025-05-{day:02d},split,ASH,ASH,1\n" for day in days)
    records = records_of(tmp_path, events="date,kind,from,to,hives\n" + rows)
    found = splits_of(records, ahead_of(records), ["ASH", "BIRCH"])
    assert (found["ASH"].parts, found["ASH"].middle, found["ASH"].anyway) == (parts, date(2026, 5, middle), True)
    assert not found["BIRCH"].anyway


@pytest.fixture(scope="module")
def halved(tmp_path_factory: pytest.TempPathFactory) -> Futures:
    """An apiary of which every hive is split."""
    records = records_of(tmp_path_factory.mktemp("halved"))
    parting = {"ASH": Parting(SPLIT, 0.5, True)}
    return futures_of(records, review_of(records), ahead_of(records), seed=1, partings=parting)["ASH"]


def in_parts(day: date) -> list[Given]:
    return [Given("oxalic trickle", (day,), dose_g=2.5, window="spring", in_parts=True)]


def test_a_round_in_the_window_does_more_than_the_same_round_before_and_after_it(halved: Futures) -> None:
    # Gregorc & Planinc 2001: a round among brood kills half or less, without brood nearly all
    alone = halved.loss_pct([])
    before, within, after = (
        alone - halved.loss_pct(in_parts(SPLIT + timedelta(days=days))) for days in (8, 26, 44)
    )  # fmt: skip
    assert within > 1.5 * before > 0
    assert within > 1.5 * after > 0


def test_a_round_in_the_parts_leaves_the_other_hives_alone(halved: Futures) -> None:
    unsplit = halved.parting and Futures(**{**vars(halved), "parting": Parting(SPLIT, 0.0, True)})
    assert isinstance(unsplit, Futures)
    assert unsplit.outlook(in_parts(SPLIT + timedelta(days=26))) == unsplit.outlook([])


def test_splitting_takes_mites_out_of_the_hive_it_leaves(halved: Futures) -> None:
    mites = halved.outlook([]).spring_mites
    whole = Futures(**{**vars(halved), "parting": None}).outlook([]).spring_mites
    assert mites.p50 < whole.p50


def test_the_window_of_splits_made_anyway_may_be_chosen_and_others_wait_for_the_users_word(tmp_path: Path) -> None:
    reasons = {}
    for name, more in (("made", ""), ("asked", "plan_may_use,split; oxalic sublimation; amitraz strips\n")):
        (tmp_path / name).mkdir()
        for apiary in ("ASH", "DAMSON"):
            offered = candidates_of(tmp_path / name, apiary, events=EVENTS, settings=SHEETS["settings"] + more)
            reasons[name, apiary] = {one.why_not for one in offered if [w.basis for w in one.wishes] == [IN_SPLITS]}
    assert reasons["made", "ASH"] == {""}
    assert reasons["made", "DAMSON"] == {NOT_YET}
    assert reasons["asked", "DAMSON"] == {""}


def test_the_round_is_for_the_parts_alone(tmp_path: Path) -> None:
    base = prepared_of(tmp_path, events=EVENTS)
    mine = [one for one in base.choices["ASH"].weighed if [w.basis for w in one.candidate.wishes] == [IN_SPLITS]]
    assert {one.candidate.wishes[0].at(14) for one in mine} == {4}
    assert max(one.toil.acid_g.p50 for one in mine) == pytest.approx(4 * 2.3 * 0.886)


def test_a_label_for_brood_free_hives_allows_it_and_one_for_the_main_season_does_not(tmp_path: Path) -> None:
    only = SHEETS["labels"].replace("per hive,4,no,no", "per hive,4,yes,no")
    offered = candidates_of(tmp_path, "ASH", events=EVENTS, labels=only)
    spring = [wish for one in offered for wish in one.wishes if wish.window == "spring"]
    assert {wish.basis for wish in spring if wish.word == "oxalic sublimation"} == {IN_SPLITS}


def test_a_round_given_in_the_parts_last_season_is_planned_for_them_again(tmp_path: Path) -> None:
    log = SHEETS["log"] + "2025-06-15,ASH,oxalic sublimation,14,4\n"
    did = next(one for one in candidates_of(tmp_path, "ASH", events=EVENTS, log=log) if one.did)
    spring = next(wish for wish in did.wishes if wish.window == "spring")
    assert (spring.basis, spring.hives) == (IN_SPLITS, 4)
    assert did.name == DID


def test_the_calendar_holds_the_days_without_capped_brood() -> None:
    calendar = plan_of(events=EVENTS).tables["calendar"]
    row = calendar[calendar["event"] == "no capped brood"]
    assert list(row["apiary"]) == ["ASH"]
    assert (row["not_before"].iloc[0].date(), row["not_after"].iloc[0].date()) == (date(2026, 6, 13), date(2026, 6, 21))
    assert "4 hives" in row["note"].iloc[0]
