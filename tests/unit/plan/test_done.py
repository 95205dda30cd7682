"""What is done of the season planned: rounds by their hives, parts of an apiary by theirs, labels by what is given."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

import pandas as pd

from kit.plan.again.carried import within_labels
from kit.plan.again.done import Series, done_of, left_to_do, over
from kit.plan.again.earlier import KEPT
from kit.plan.ahead import Ahead, ahead_of
from kit.plan.jobs import jobs_of, parts_of
from kit.plan.labels import label_for
from kit.plan.make import means_of
from kit.plan.programme.wishes import Begun, Reached, Wanted
from kit.plan.sites import ground_of
from kit.records.load import load
from kit.records.records import Records
from tests.unit.plan.operation import SHEETS, records_of, review_of

NO_PLAN = pd.DataFrame(columns=KEPT)


def in_october(folder: Path, log: str) -> tuple[Records, Ahead]:
    for name, text in (SHEETS | {"log": SHEETS["log"] + log}).items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    records = load(folder, season=2025, as_of=date(2026, 10, 31), today=date(2026, 10, 31))
    return records, ahead_of(records)


def series(folder: Path, log: str) -> list[Series]:
    return list(done_of(*in_october(folder, log), NO_PLAN))


def wish(word: str = "oxalic sublimation", window: str = "autumn", rounds: int = 3) -> Wanted:
    return Wanted("CEDAR", word, window, "", rounds, (5, 7), "", "", allowed=rounds)


HALVES = "2026-10-20,CEDAR,oxalic sublimation 1,18,9\n2026-10-22,CEDAR,oxalic sublimation 1,18,9\n"


def test_two_days_of_one_round_are_one_round(tmp_path: Path) -> None:
    (one,) = series(tmp_path, HALVES)
    assert one.rounds == ((Reached(date(2026, 10, 20), 0.5), Reached(date(2026, 10, 22), 1.0)),)


def test_each_part_of_an_apiary_goes_on_from_its_own_day(tmp_path: Path) -> None:
    (one,) = series(tmp_path, HALVES)
    assert [Begun(one.visits).at(part, 2) for part in (1, 2)] == [(date(2026, 10, 20),), (date(2026, 10, 22),)]


def test_a_part_that_was_not_reached_is_still_to_do(tmp_path: Path) -> None:
    done = series(tmp_path, "2026-10-20,CEDAR,oxalic sublimation 1,18,9\n")
    (in_parts,) = left_to_do([wish()], done, lambda _: 2)
    assert in_parts.begun is not None
    assert in_parts.begun.of_part(1, 2) == Begun.on(date(2026, 10, 20))
    assert in_parts.begun.of_part(2, 2) is None
    assert in_parts.visits == 3  # as many as the part that lacks most


def test_only_the_part_that_was_not_reached_gets_its_first_round_again(tmp_path: Path) -> None:
    """CEDAR in two parts by a short day: the first goes on with round 2, the second still has all three before it."""
    records, ahead = in_october(tmp_path, "2026-10-20,CEDAR,oxalic sublimation 1,18,9\n")
    review = review_of(records)
    ground, usual = ground_of(records, review.tables["rounds"], ahead), means_of(records, review, seed=1)
    days = (replace(usual, hours=hours / 4) for hours in range(32, 0, -1))
    means = next(means for means in days if parts_of(wish(), ground, means) == 2)
    left = left_to_do([wish()], done_of(records, ahead, NO_PLAN), partial(parts_of, ground=ground, means=means))
    jobs = jobs_of(left, ground, ahead, means)
    assert [(job.part, job.wish.done, job.wish.visits) for job in jobs] == [(1, 1, 2), (2, 0, 3)]
    assert jobs[0].window.due == date(2026, 10, 27)  # seven days after its round


def test_a_few_hives_missed_do_not_undo_a_round(tmp_path: Path) -> None:
    (rest,) = left_to_do([wish()], series(tmp_path, "2026-10-20,CEDAR,oxalic sublimation 1,18,16\n"))
    assert (rest.done, rest.visits) == (1, 2)


def test_two_rounds_at_their_interval_stay_two_however_many_hives_they_reached(tmp_path: Path) -> None:
    log = "2026-10-20,CEDAR,oxalic sublimation 1,18,9\n2026-10-26,CEDAR,oxalic sublimation 2,18,9\n"
    (one,) = series(tmp_path, log)
    assert len(one.rounds) == 2


def test_strips_laid_on_two_days_are_one_placing_that_comes_out_once(tmp_path: Path) -> None:
    log = "2026-08-05,CEDAR,amitraz strips; strips in,18,9\n2026-08-12,CEDAR,amitraz strips; strips in,18,9\n"
    done = series(tmp_path, log)
    assert [[reached.share for reached in visit] for one in done for visit in one.visits] == [[0.5, 1.0]]
    (rest,) = left_to_do([wish("amitraz strips", "main", 1)], done)
    assert rest.visits == 1
    assert over(done, [rest]) == []


def test_a_series_begun_late_is_the_one_that_was_planned(tmp_path: Path) -> None:
    """One round on 1 December reads as a winter round by its day; the plan held an autumn series three weeks before."""
    for name, text in (SHEETS | {"log": SHEETS["log"] + "2026-12-01,CEDAR,oxalic sublimation 1,18,18\n"}).items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    records = load(tmp_path, season=2025, as_of=date(2026, 12, 2), today=date(2026, 12, 2))
    planned = NO_PLAN.copy()
    planned.loc[0] = {"apiary": "CEDAR", "window": "autumn", "treatment": "oxalic sublimation", "deed": "treat",
                      "round": 1, "date": pd.Timestamp(2026, 11, 10)}  # fmt: skip
    windows = [done_of(records, ahead_of(records), plan)[0].window for plan in (NO_PLAN, planned)]
    assert windows == ["winter", "autumn"]


def test_rounds_given_count_against_the_label_before_new_ones(tmp_path: Path) -> None:
    """The label of the sheet leaves four oxalic rounds a year: two given, two of the series, none for winter."""
    label = label_for(records_of(tmp_path).tables["labels"], "oxalic sublimation", "oxalic powder")
    begun = Begun.on(date(2026, 10, 10), date(2026, 10, 16))
    given = Series("CEDAR", "oxalic sublimation", "autumn", "oxalic powder", begun.rounds)
    winter = Wanted("CEDAR", given.word, "winter", given.product, 1, (5, 7), "", "", label=label, allowed=1)
    later = Wanted("CEDAR", given.word, "autumn", given.product, 4, (5, 7), "", "", label=label, allowed=4, begun=begun)
    left, cuts = within_labels([winter, later], [given])
    assert left == [later]
    assert [(cut.window, cut.what) for cut in cuts] == [("winter", "1 rounds wanted, the label leaves 0")]
