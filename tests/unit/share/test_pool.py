"""The pool: what it says of members whose truth is known, what it leaves out, and what two reports together tell."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.calc.losses import loss_rate
from kit.calc.pooling import pool_random
from kit.errors import CannotGoOnError
from kit.report.share.form import ALL, choose
from kit.report.share.groups import by_region, by_size
from kit.report.share.member import Estimate, Late, Member, member_of
from kit.report.share.pool import pool
from kit.report.share.pool_late import lateness
from kit.report.share.reading import read_content
from kit.report.share.released import keep, read_releases, release_of, warnings
from kit.report.share.run import Pooled, _gather  # the step before anything is written
from kit.report.share.words import pooled_sentences, standing
from tests.unit.share.made import season
from tests.unit.share.test_attacks import ATTACKS

MINIMUM = 5


def member(at: int, **changes: object) -> Member:
    plain = Member(
        operation=f"{at:032x}", number=1, week="2026-W14", digest=f"{at:064x}", place="52 -2", hives=50, apiaries=4,
        counted=2, wintered=50, lost=5, causes={"mites": 3, "queen": 2}, weeks={"2025-W32": Estimate(0.0, 0.3)},
        kills={"thymol": Estimate(1.5, 0.4)}, late=(Late(0.0, "all weather", 50, 5),), hours={"driving": 25.0},
        doses={},
    )  # fmt: skip
    return replace(plain, **changes)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def forty() -> list[Member]:
    return [season(seed).member for seed in range(40)]


def test_losses_are_those_of_the_survey_formula_over_members(forty: list[Member]) -> None:
    """The quasi-binomial interval itself is held against printed surveys in tests/published/test_coloss_surveys.py."""
    told = pool(forty, 2025, minimum=MINIMUM)
    known = [(m.wintered, m.lost) for m in forty if m.wintered]
    rate = loss_rate([n for n, _ in known if n], [k for _, k in known if k is not None])
    row = told.tables["losses"].set_index("cause").loc[ALL]
    assert row["wintered"] == rate.wintered and row["lost"] == rate.lost
    assert [row["loss_pct_low"], row["loss_pct_high"]] == pytest.approx(rate.interval_pct, rel=5e-3)
    causes = told.tables["losses"]
    assert causes.loc[causes["cause"] != ALL, "lost"].sum() == rate.lost


@pytest.mark.parametrize(
    ("wintered", "lost", "rate"),
    [(738_233, 29_912 + 79_146 + 13_895, 16.7), (544_879, 26_379 + 54_525 + 8_220, 16.4),
     (425_762, 21_887 + 60_227 + 6_903, 20.9)],
)  # fmt: skip
def test_members_that_add_up_to_a_printed_survey_give_its_loss_rate(wintered: int, lost: int, rate: float) -> None:
    """COLOSS (coloss_2018), three winters: dealt out over 300 members, rates as printed."""
    shares = np.random.default_rng(1).dirichlet(np.full(300, 5.0))
    n = np.floor(shares * wintered).astype(int)
    n[0] += wintered - n.sum()
    k = np.floor(n * lost / wintered).astype(int)
    k[: lost - k.sum()] += 1
    members = [member(i, hives=int(a), wintered=int(a), lost=int(b), causes={}) for i, (a, b) in enumerate(zip(n, k))]  # noqa: B905
    told = pool(members, 2018, minimum=MINIMUM)
    assert told.facts["lost_pct"] == pytest.approx(rate, abs=0.05)
    assert told.facts["lost_pct_low"] - 0.05 <= rate <= told.facts["lost_pct_high"] + 0.05


def test_a_kill_is_pooled_with_random_effects_and_finds_the_truth_it_was_drawn_from() -> None:
    rng = np.random.default_rng(3)
    errors = rng.uniform(0.2, 0.6, 60)
    logits = rng.normal(rng.normal(2.0, 0.5, 60), errors)
    members = [member(i, kills={"thymol": Estimate(y, e)}) for i, (y, e) in enumerate(zip(logits, errors, strict=True))]
    row = pool(members, 2025, minimum=MINIMUM).tables["kills"].iloc[0]
    true_pct = 100 / (1 + np.exp(-2.0))
    assert row["members"] == 60 and row["typical_low"] < true_pct < row["typical_high"]
    whole = pool_random(logits, errors, level=0.9)
    assert row["new_p05"] == pytest.approx(100 / (1 + np.exp(-whole.prediction.low)), rel=5e-3)
    assert row["new_p95"] - row["new_p05"] > row["typical_high"] - row["typical_low"]


def test_no_group_of_fewer_members_than_the_minimum_stands_in_any_table(forty: list[Member]) -> None:
    for count in (5, 6, 9, 17, 40):
        for name, table in pool(forty[:count], 2025, minimum=MINIMUM).tables.items():
            assert (table["members"] >= MINIMUM).all(), (count, name)


def test_a_region_too_small_takes_another_along_and_the_rest_is_never_small() -> None:
    places = ["50 0"] * 9 + ["51 0"] * 6 + ["52 0"] * 3
    members = [member(i, place=place) for i, place in enumerate(places)]
    groups = by_region(members, minimum=MINIMUM)
    assert {name: len(found) for name, found in groups.items()} == {"50 0": 9, "elsewhere": 9}


def test_classes_of_size_part_the_members_and_none_is_small(forty: list[Member]) -> None:
    groups = by_size(forty, minimum=MINIMUM)
    assert sum(len(found) for found in groups.values()) == 40
    assert min(len(found) for found in groups.values()) >= MINIMUM


def test_a_sum_that_one_member_nearly_makes_alone_is_not_told() -> None:
    members = [member(i) for i in range(9)] + [member(9, hives=90_000, wintered=90_000, lost=9000)]
    told = pool(members, 2025, minimum=MINIMUM)
    assert told.facts["hives"] is None and told.facts["lost_pct"] is None and told.tables["losses"].empty
    assert told.tables["members"]["hives"].isna().all() and told.tables["regions"]["hives"].isna().all()


def test_causes_of_few_members_stand_together_and_take_one_along_if_need_be() -> None:
    members = [member(i, lost=6, causes={"mites": 3, "queen": 2} | ({"flood": 1} if i == 0 else {"starved": 1}))
               for i in range(8)]  # fmt: skip
    causes = pool(members, 2025, minimum=MINIMUM).tables["losses"].set_index("cause")
    assert "flood" not in causes.index and causes.loc["other", "members"] >= MINIMUM
    assert causes.loc[["mites", "queen", "other"], "lost"].sum() == causes.loc[ALL, "lost"]


def test_late_and_access_give_away_no_group_not_even_the_sum_of_what_is_left_out() -> None:
    ground = [member(i, late=(Late(0.0, "all weather", 40, 3), Late(0.0, "dry ground", 10, 2))) for i in range(12)]
    late = [member(20 + i, late=(Late(4.0, "on foot", 50, 20),)) for i in range(2)]
    table, said = lateness([*ground, *late], minimum=MINIMUM)
    assert not (table["late"] == "3 weeks late and more").any() and said
    assert not ((table["late"] == "in time") & (table["access"] == ALL)).any()


def test_hives_that_few_members_make_the_difference_of_are_not_told() -> None:
    members = [member(i) for i in range(9)] + [member(9, hives=70, wintered=None, lost=None, causes={}, late=())]
    told = pool(members, 2025, minimum=MINIMUM)
    assert told.facts["hives"] is None and told.tables["regions"]["hives"].isna().all()


def test_two_reports_that_differ_by_few_members_are_warned_of(tmp_path: Path) -> None:
    members = [member(i) for i in range(12)]
    first = release_of(members, 2025, "spring")
    keep(tmp_path / "list.json", [], first)
    earlier = read_releases(tmp_path / "list.json")
    assert not warnings(earlier, first, minimum=MINIMUM)
    one_more = release_of([*members, member(50)], 2025, "summer")
    assert "differ by 1 member:" in warnings(earlier, one_more, minimum=MINIMUM)[0]
    anew = release_of([*members[:-2], *(replace(m, digest="f" * 64) for m in members[-2:])], 2025, "summer")
    assert "differ by 2 members:" in warnings(earlier, anew, minimum=MINIMUM)[0]
    many = release_of([*members, *(member(60 + i) for i in range(5))], 2025, "summer")
    assert not warnings(earlier, many, minimum=MINIMUM)
    assert not warnings(earlier, one_more | {"season": 2026}, minimum=MINIMUM)
    assert members[0].operation not in (tmp_path / "list.json").read_text()
    (tmp_path / "list.json").write_text("[]")
    with pytest.raises(CannotGoOnError, match="not a list of releases"):
        read_releases(tmp_path / "list.json")


def test_the_newest_pack_of_an_operation_counts_and_every_other_is_named(tmp_path: Path) -> None:
    one, other = season(30), season(31)
    later = replace(one, review=replace(one.review, facts={**one.review.facts, "as_of": "2026-04-20"}))
    earlier_season = replace(other, review=replace(other.review, facts={**other.review.facts, "season": 2024}))
    for name, made in (("a", one), ("b", later), ("c", other), ("d", earlier_season)):
        (tmp_path / f"{name}.zip").write_bytes(made.pack().content)
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "copy.zip").write_bytes(later.pack().content)
    for n, attack in enumerate(("a zip bomb", "a path upwards", "a script for a cause")):
        (tmp_path / f"x{n}.zip").write_bytes(ATTACKS[attack]())
    before = sorted(tmp_path.rglob("*"))
    made = Pooled(tmp_path / "out")
    members, year = _gather([tmp_path], None, made)
    assert year == 2025 and {m.week for m in members} == {"2026-W17", "2026-W14"} and len(members) == 2
    assert len(made.not_pooled) == 5 and sorted(tmp_path.rglob("*")) == before
    assert sum("newer" in said for said in made.not_pooled) == 1
    assert sum("season 2024" in said for said in made.not_pooled) == 1


def test_a_member_is_told_where_they_stand_and_nothing_of_another(forty: list[Member]) -> None:
    told = pool(forty, 2025, minimum=MINIMUM)
    said = standing(forty[3], forty, told)
    assert said.count(".") >= 1 and "40 members" in said and f"of {forty[3].wintered} hives" in said
    assert not any(other.operation in said for other in forty)


def test_the_opening_sentences_are_whole_sentences_with_numbers(forty: list[Member]) -> None:
    sentences = pooled_sentences(pool(forty, 2025, minimum=MINIMUM))
    assert len(sentences) == 7
    for text, _ in sentences:
        assert text[0].isupper() or text[0].isdigit()
        assert text.endswith(".") and "nan" not in text and "None" not in text


def test_a_pool_does_not_hang_on_the_order_of_its_packs(forty: list[Member]) -> None:
    one, other = pool(forty, 2025, minimum=MINIMUM), pool(forty[::-1], 2025, minimum=MINIMUM)
    assert one.facts == other.facts
    for name, table in one.tables.items():
        pd.testing.assert_frame_equal(table, other.tables[name])


def test_hives_in_classes_move_the_pooled_loss_by_less_than_its_own_uncertainty(forty: list[Member]) -> None:
    exact = [member_of(read_content(season(seed).pack(choose(exact=True)).content)) for seed in range(16)]
    told, rough = (pool(members, 2025, minimum=MINIMUM).facts for members in (exact, forty[:16]))
    assert (told["in_classes"], rough["in_classes"]) == (0, 16)
    assert abs(told["lost_pct"] - rough["lost_pct"]) < 0.25 * (told["lost_pct_high"] - told["lost_pct_low"])
    assert rough["hives"] == pytest.approx(told["hives"], rel=0.3)
    assert "about" in pooled_sentences(pool(forty, 2025, minimum=MINIMUM))[0][0]
