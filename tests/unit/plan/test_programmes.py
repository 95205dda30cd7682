"""Which programme: least work that reaches the chance, what was done among them, and reasons where one may not."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.calc.ranges import Band
from kit.plan.again.changed import why_replaced
from kit.plan.ahead import Ahead, ahead_of
from kit.plan.labels import Label
from kit.plan.make import means_of
from kit.plan.prepared import Prepared, prepared
from kit.plan.programme import futures
from kit.plan.programme.brood_seen import Look, likelihood
from kit.plan.programme.broodless import brood_of
from kit.plan.programme.choice import Weighed, chosen_from
from kit.plan.programme.futures import Chances, Outlook, futures_of
from kit.plan.programme.options import (
    AMONG_BROOD,
    AUTHORISED_UNKNOWN,
    NOT_YET,
    ON_PRESCRIPTION,
    Candidate,
    candidates_at,
    may_use,
    palette_of,
)  # fmt: skip
from kit.plan.programme.programmes import wanted
from kit.plan.programme.toil import Toil
from kit.plan.programme.warmth import warm_for
from kit.plan.programme.wishes import AFTER_CAGING, Wanted
from kit.plan.sites import ground_of
from tests.unit.plan.operation import SHEETS, plan_of, records_of, review_of

AHEAD = Ahead(2026, date(2026, 4, 1), date(2027, 3, 31), date(2026, 8, 15), date(2026, 4, 1))
NIL = Band(0.0, 0.0, 0.0)


def weighed(
    name: str, chance: float, minutes: float, *, why_not: str = "", did: bool = False, still_open: float | None = None,
    lost: float = 0.0,
) -> Weighed:  # fmt: skip
    main = Wanted("A", "thymol", "main", "", 1, (21, 42), "", "")
    chances = Chances(chance, chance, chance, chance, chance if still_open is None else still_open)
    toil = Toil(1, Band(minutes, minutes, minutes), NIL, Band(minutes, minutes, minutes), 0.0)
    return Weighed(Candidate(name, (main,), why_not, did), Outlook(chances, NIL, NIL, NIL, NIL, 0.0), toil, lost)


def prepared_of(folder: Path, **sheets: str | None) -> Prepared:
    records = records_of(folder, 2025, **sheets)
    review = review_of(records)
    return prepared(records, review, means_of(records, review, seed=1), seed=1)


def candidates_of(folder: Path, apiary: str, **sheets: str | None) -> list[Candidate]:
    """The programmes that would be weighed at an apiary."""
    records = records_of(folder, 2025, **sheets)
    rounds, ahead = review_of(records).tables["rounds"], ahead_of(records)
    ground, (base, _) = ground_of(records, rounds, ahead), wanted(records, rounds, ahead)
    mine = [wish for wish in base if wish.apiary == apiary]
    return candidates_at(ground.sites[ground.at(apiary)], mine, palette_of(records, rounds, ahead))


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    return prepared_of(tmp_path_factory.mktemp("base"))


# the choice


def test_the_least_work_that_reaches_the_chance_is_chosen() -> None:
    found = chosen_from(
        [weighed("did", 95, 300, did=True), weighed("less", 82, 200), weighed("too little", 70, 90)], 80
    )
    assert found.weighed[found.chosen].candidate.name == "less"
    assert found.reached


def test_where_none_reaches_it_the_best_is_taken_and_equals_are_told_by_work() -> None:
    found = chosen_from([weighed("did", 70, 300), weighed("near", 68, 200), weighed("less", 50, 100)], 80)
    assert found.weighed[found.chosen].candidate.name == "near"
    assert not found.reached


def test_where_none_reaches_it_colonies_saved_weigh_against_work() -> None:
    found = chosen_from([weighed("nothing", 1, 0, lost=900), weighed("series", 3, 300, lost=400)], 80)
    assert found.weighed[found.chosen].candidate.name == "series"
    cheap = chosen_from([weighed("nothing", 1, 0, lost=500), weighed("series", 3, 300, lost=400)], 80)
    assert cheap.weighed[cheap.chosen].candidate.name == "nothing"


def test_once_a_limit_is_past_the_others_choose() -> None:
    late = [weighed("nothing", 0, 0, still_open=10), weighed("winter", 0, 60, still_open=85)]
    found = chosen_from(late, 80)
    assert found.weighed[found.chosen].candidate.name == "winter"
    assert found.reached


def test_what_may_not_be_chosen_is_not_however_good() -> None:
    found = chosen_from([weighed("did", 70, 300), weighed("cage", 99, 10, why_not=NOT_YET)], 80)
    assert found.weighed[found.chosen].candidate.name == "did"


def test_the_programme_of_an_earlier_plan_stays_unless_another_is_better_than_draws_can_mistake() -> None:
    near = chosen_from([weighed("before", 60, 300), weighed("new", 62, 100)], 80, before=0)
    assert near.weighed[near.chosen].candidate.name == "before"
    far = chosen_from([weighed("before", 30, 300), weighed("new", 62, 400)], 80, before=0)
    assert far.weighed[far.chosen].candidate.name == "new"
    assert why_replaced(far).endswith("in 30 % of draws with the old one, in 62 % with the new one")


def test_a_programme_that_may_no_longer_be_chosen_is_replaced_with_the_reason() -> None:
    found = chosen_from([weighed("before", 90, 100, why_not=NOT_YET), weighed("new", 85, 300)], 80, before=0)
    assert found.weighed[found.chosen].candidate.name == "new"
    assert why_replaced(found) == (
        f"the programme planned before, before, may no longer be chosen ({NOT_YET}): new takes its place"
    )


def test_what_was_done_is_always_weighed_and_named(base: Prepared) -> None:
    choices = base.choices
    assert choices["ASH"].weighed[0].candidate.name == "what you did"
    assert choices["DAMSON"].weighed[0].candidate.name == "as at your other apiaries"
    assert all(choice.weighed[0].candidate.did for choice in choices.values())


def test_sublimation_is_not_offered_as_the_treatment_of_a_colony_full_of_brood(base: Prepared) -> None:
    choice = base.choices["ASH"]
    assert choice.weighed[0].candidate.why_not == AMONG_BROOD
    assert all(wish.word != "oxalic sublimation" for wish in choice.wishes if wish.window == "main")


def test_a_medicine_without_a_label_is_offered_nowhere_anew(base: Prepared) -> None:
    choices = base.choices  # thymol and formic acid have no entry
    words = {wish.word for choice in choices.values() for one in choice.weighed for wish in one.candidate.wishes}
    assert not words & {"thymol", "formic acid", "pyrethroid strips"}


LABELS = SHEETS["labels"] + "thymol trays,thymol,{},,1,trays per hive,2,no,no,2025-06-01\n"


@pytest.mark.parametrize(
    ("authorised", "law", "more", "why"),
    [
        ("yes", "gb", "", ""),
        ("", "gb", "", AUTHORISED_UNKNOWN),
        ("", "other", "", ""),
        ("vet", "eu", "", ON_PRESCRIPTION),
        ("vet", "eu", "plan_may_use,thymol; oxalic sublimation\n", ""),
    ],
)
def test_a_medicine_not_used_before_is_planned_as_the_law_there_wants(
    tmp_path: Path, authorised: str, law: str, more: str, why: str
) -> None:
    """Regulation (EU) 2019/6, the UK's of 2013: an authorised medicine, or a vet's prescription under the cascade."""
    settings = SHEETS["settings"] + f"jurisdiction,{law}\n{more}"
    offered = candidates_of(tmp_path, "ASH", labels=LABELS.format(authorised), settings=settings)
    assert {one.why_not for one in offered if [wish.word for wish in one.wishes] == ["thymol"]} == {why}


def test_caging_waits_until_the_user_names_it(base: Prepared, tmp_path: Path) -> None:
    asked = SHEETS["settings"] + "plan_may_use,queen caging; oxalic sublimation; drone brood removal\n"
    for prepared_, reason in ((base, NOT_YET), (prepared_of(tmp_path, settings=asked), "")):
        caged = [one.candidate for one in prepared_.choices["ASH"].weighed
                 if any(wish.word == "queen caging" for wish in one.candidate.wishes)]  # fmt: skip
        assert caged
        assert {one.why_not for one in caged} == {reason}


def test_the_programmes_offered_have_the_rounds_and_intervals_of_the_trials(base: Prepared) -> None:
    """Two to four rounds five to seven days apart with brood, one without (SCIENCE.md section 4; Gregorc & Planinc 2001
    for one against three, Coffey & Breen 2016 for one without brood; the interval is common practice, no source)."""
    offered = [
        wish
        for choice in base.choices.values()
        for one in choice.weighed
        for wish in one.candidate.wishes
        if wish.word == "oxalic sublimation" and not one.candidate.did and wish.basis != AFTER_CAGING
    ]
    series, winter = ([wish for wish in offered if wish.window == window] for window in ("autumn", "winter"))
    assert series
    assert all(2 <= wish.rounds <= 4 and wish.gaps == (5, 7) for wish in series)
    assert winter
    assert {wish.rounds for wish in winter} == {1}


def test_words_that_are_no_treatment_are_told_apart() -> None:
    assert may_use("thymol, smoke") == (frozenset({"thymol"}), ["smoke"])


def test_every_candidate_says_its_work_acid_and_money_as_ranges() -> None:
    table = plan_of().tables["programmes"]
    for name in ("minutes", "acid_g", "cost"):
        assert (table[f"{name}_p05"] <= table[name]).all()
        assert (table[name] <= table[f"{name}_p95"]).all()
    assert table["chance_pct"].between(0, 100).all()
    assert (
        table["chance_pct"] <= table[["chance_summer_pct", "chance_october_pct", "chance_spring_pct"]].min(axis=1)
    ).all()
    assert (table.groupby("apiary")["chosen"].apply(lambda c: (c == "yes").sum()) == 1).all()


# warmth: thymol above about 15 °C, formic acid 10 to 30 °C (SCIENCE.md, from the COLOSS BEEBOOK, second-hand)


def highs(summer: float, winter: float) -> np.ndarray:
    day = np.arange(366)
    return (summer + winter) / 2 + (summer - winter) / 2 * np.cos(2 * np.pi * (day - 200) / 366)


def test_thymol_ends_before_autumn_is_too_cold_for_its_whole_stay() -> None:
    high = highs(21, 7)
    warm = warm_for("thymol", None, 28, AHEAD, high)
    assert warm is not None
    assert high[warm.last.timetuple().tm_yday - 1 + 27] >= 15
    assert high[warm.last.timetuple().tm_yday - 1 + 28] < 15


def test_the_labels_own_range_comes_first() -> None:
    label = Label("T", "yes", None, None, None, "", None, None, None, None, min_c=18, max_c=None)
    usual, own = (warm_for("thymol", entry, 28, AHEAD, highs(21, 7)) for entry in (None, label))
    assert usual is not None
    assert own is not None
    assert own.last < usual.last


def test_formic_acid_waits_for_the_heat_to_pass() -> None:
    warm = warm_for("formic acid", None, 7, AHEAD, highs(33, 5))
    assert warm is not None
    assert warm.first > date(2026, 8, 15)


def test_where_it_is_never_warm_it_says_so() -> None:
    warm = warm_for("thymol", None, 28, AHEAD, highs(12, 0))
    assert warm is not None
    assert warm.never


def test_strips_are_bound_by_no_range() -> None:
    assert warm_for("amitraz strips", None, 42, AHEAD, highs(12, 0)) is None


# brood: broodless or nearly so late November to mid-January in a maritime-temperate year (SCIENCE.md section 1)


@pytest.fixture(scope="module")
def chance(tmp_path_factory: pytest.TempPathFactory) -> pd.Series:
    records = records_of(tmp_path_factory.mktemp("brood"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(futures, "DRAWS", 200)
        brood = brood_of(futures_of(records, review_of(records), ahead_of(records), seed=1)["ASH"], 0)
    return pd.Series(brood.chance_pct, index=pd.DatetimeIndex(brood.days))


def test_hives_are_more_likely_than_not_without_brood_from_late_november_to_mid_january(chance: pd.Series) -> None:
    assert chance["2026-11-25":"2027-01-15"].min() >= 50
    best = chance.index[int(chance.to_numpy().argmax())].date()
    assert date(2026, 12, 1) <= best <= date(2027, 1, 10)


def test_hardly_a_hive_is_without_brood_in_october_and_laying_is_back_in_february(chance: pd.Series) -> None:
    assert chance[:"2026-10-20"].max() < 15  # of 200 draws, good to 4 points either way
    assert chance.iloc[-1] < chance.max() - 30


def test_crumbs_speak_for_brood_and_their_absence_against_it() -> None:
    cells = np.array([[20.0], [2000.0]])
    crumbs, none = (likelihood([Look("A", date(2025, 11, 14), seen)], cells, "A") for seen in (True, False))
    assert crumbs[1] > crumbs[0]
    assert none[0] > none[1]


def test_trays_without_crumbs_in_november_bring_the_winter_round_forward(tmp_path: Path) -> None:
    log = SHEETS["log"].replace("did,standing,done\n", "did,standing,done,crumbs\n")
    found = []
    for crumbs in ("yes", "no"):
        (tmp_path / crumbs).mkdir()
        more = f"2025-11-20,ASH,trays read,14,,{crumbs}\n2025-11-27,ASH,trays read,14,,{crumbs}\n"
        base = prepared_of(tmp_path / crumbs, log=log + more)
        found.append(base.winters["ASH"].opens)
        assert base.broods["ASH"].crumbs == 2
    assert found[1] < found[0]
