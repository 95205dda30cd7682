"""The pool: what it says of members whose truth is known, what it leaves out, and what two reports together tell."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from kit.calc.losses import loss_rate
from kit.calc.pooling import pool_random
from kit.calc.suppression import attack, margins, too_few
from kit.errors import CannotGoOnError
from kit.report.share import charts
from kit.report.share.crossed import crossed
from kit.report.share.form import ALL, choose
from kit.report.share.groups import UNTOLD, by_region, by_size
from kit.report.share.member import Estimate, Late, Member, member_of
from kit.report.share.page import PoolPage
from kit.report.share.pool import pool, pool_told
from kit.report.share.pool_late import lateness
from kit.report.share.reading import read_content
from kit.report.share.released import Release, keep, read_releases, release_of, warnings
from kit.report.share.run import Pooled, _gather  # the step before anything is written
from kit.report.share.words import pooled_sentences, standing
from kit.report.show import Note
from tests.unit.share.made import season
from tests.unit.share.test_attacks import ATTACKS

MINIMUM, WEEKS = 5, 12


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
    return [season(seed, weeks=WEEKS).member for seed in range(40)]


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


def test_members_who_told_no_place_are_in_every_sum_and_no_region() -> None:
    weeks = {"2025-W32": Estimate(0.5, 0.2)}
    silent = [member(i, place="", weeks=weeks) for i in range(8)]
    told = [member(20 + i, place="51 0" if i < 6 else "52 -2", weeks=weeks) for i in range(13)]
    some = pool([*silent, *told], 2025, minimum=MINIMUM)
    assert some.tables["regions"].set_index("region")["members"].to_dict() == {"51 0": 6, "52 -2": 7, UNTOLD: 8}
    assert dict(zip(some.tables["loads"]["region"], some.tables["loads"]["members"], strict=True)) == {
        ALL: 21, "51 0": 6, "52 -2": 7,
    }  # fmt: skip
    assert some.facts["placed"] == 13


@pytest.mark.parametrize(
    ("placed", "said"),
    [(0, "No member told a place"), (2, "Too few members told a place"), (6, "6 of 14 members told")],
)
def test_a_report_of_members_who_told_no_place_says_so_and_draws_no_empty_chart(placed: int, said: str) -> None:
    members = [member(i, place=f"5{i % 3} 0" if i < placed else "") for i in range(14)]
    page = PoolPage(pool(members, 2025, minimum=MINIMUM))
    shown, drawn = page.table("regions"), charts.regions(page.pool)
    assert isinstance(shown, Note) and said in shown.text and "--squares region" in shown.text
    assert isinstance(drawn, Note) and drawn.text.startswith("No region is told")
    assert isinstance(page.table("crossed"), Note) and not isinstance(page.table("members"), Note)


def test_hours_and_rounds_a_hive_are_the_typical_members_and_a_new_ones_range_holds_nine_in_ten() -> None:
    """Log-normal members of a known middle and spread: the middle is found, and the range holds as many as it says."""
    logs = np.random.default_rng(5).normal(np.log(3.0), 0.4, 60)
    hours = [float(h) for h in np.exp(logs)]
    members = [member(i, hours={"driving": h}, doses={"thymol": h / 2}) for i, h in enumerate(hours)]
    work = pool(members, 2025, minimum=MINIMUM).tables["work"].set_index("what")
    assert work.at["driving", "typical"] == pytest.approx(np.exp(logs.mean()), rel=0.01)
    assert work.at["treatments given", "typical"] == pytest.approx(np.exp(logs.mean()) / 2, rel=0.01)
    ends = work.loc["all work", ["new_p05", "new_p95"]].tolist()
    assert 0.8 < np.mean((np.exp(logs) > ends[0]) & (np.exp(logs) < ends[1])) < 0.98


def test_members_by_region_and_size_hold_no_small_group_and_give_none_away() -> None:
    """The attacker knows each region's and each class's members, as told, and looks for the groups left out."""
    held = 0
    for seed in range(10):
        rng = np.random.default_rng(seed)
        sizes = [int(n) for n in rng.choice([12, 30, 70, 160], 40, p=[0.4, 0.3, 0.2, 0.1])]
        members = [member(i, hives=n, place=f"5{rng.integers(0, 3)} 0") for i, n in enumerate(sizes)]
        regions, classes = by_region(members, minimum=MINIMUM), by_size(members, minimum=MINIMUM)
        table, _ = crossed(regions, classes, minimum=MINIMUM)
        inner = np.array([[sum(m in s for m in r) for s in classes.values()] for r in regions.values()])
        cells = np.block([[inner, inner.sum(1)[:, None]], [inner.sum(0)[None, :], np.array([[inner.sum()]])]])
        told = {(row.region, row.group) for row in table.itertuples()}
        out = np.zeros(cells.shape, dtype=bool)
        out[:-1, :-1] = [[bool(inner[i, j]) and (r, s) not in told for j, s in enumerate(classes)]
                         for i, r in enumerate(regions)]  # fmt: skip
        assert (table["members"] >= MINIMUM).all()
        if table.empty:
            continue
        held += 1
        known = attack(cells.ravel(), out.ravel(), margins(*inner.shape))
        small = out.ravel() & too_few(cells, minimum=MINIMUM).ravel()
        assert ((known.most - known.least)[small] >= MINIMUM - 1e-6).all()
    assert held > 3


def test_hives_of_a_region_that_is_a_class_and_one_member_more_are_not_told() -> None:
    """All of the class keep bees there, and one of another: region less class would be that one."""
    members = [member(i, hives=30, place="51 0") for i in range(6)] + [member(6, hives=60, place="51 0")]
    members += [member(10 + i, hives=60, place="52 -2") for i in range(8)]
    told = pool(members, 2025, minimum=MINIMUM).tables
    assert told["members"]["hives"].notna().all() and told["regions"]["hives"].isna().all()


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


def test_late_ones_too_few_in_each_class_are_set_together_against_those_in_time() -> None:
    late = [member(i, late=(Late(0.0, "on foot", 30, 2), Late(w, "on foot", 20, 9)))
            for i, w in enumerate((1.0, 2.0, 2.0, 4.0, 5.0, 9.0))]  # fmt: skip
    told = pool_told([*late, *(member(20 + i) for i in range(4))], 2025, minimum=MINIMUM)
    table = told.findings.tables["lateness"].set_index(["late", "access"])
    assert table.loc[("late", ALL), ["members", "wintered", "lost"]].tolist() == [6, 120, 54]
    assert len(told.told["losses by lateness"][f"late, {ALL}"]) == 6
    sentence = next(text for text, why in pooled_sentences(told.findings) if why == "late")
    assert "Apiaries treated late lost 45 % (" in sentence and "Spring counts survivors only" in sentence


def test_hives_that_few_members_make_the_difference_of_are_not_told() -> None:
    members = [member(i) for i in range(9)] + [member(9, hives=70, wintered=None, lost=None, causes={}, late=())]
    told = pool(members, 2025, minimum=MINIMUM)
    assert told.facts["hives"] is None and told.tables["regions"]["hives"].isna().all()


def released(members: list[Member], name: str, season: int = 2025) -> Release:
    return release_of(pool_told(members, season, minimum=MINIMUM).told, season, name)


def test_two_reports_that_differ_by_few_members_are_warned_of(tmp_path: Path) -> None:
    members = [member(i) for i in range(12)]
    first = released(members, "spring")
    keep(tmp_path / "list.json", [], first)
    earlier = read_releases(tmp_path / "list.json")
    assert earlier == [first] and not warnings(earlier, first, minimum=MINIMUM)
    one_more = released([*members, member(50)], "summer")
    said = warnings(earlier, one_more, minimum=MINIMUM)
    assert len(said) == 1 and "of 1 member alone (hives, losses" in said[0] and "spring" in said[0]
    anew = released([*members[:-2], *(replace(m, digest="f" * 64) for m in members[-2:])], "summer")
    assert "of 2 members alone" in warnings(earlier, anew, minimum=MINIMUM)[0]
    assert not warnings(earlier, released([*members, *(member(60 + i) for i in range(5))], "summer"), minimum=MINIMUM)
    assert not warnings(earlier, replace(one_more, season=2026), minimum=MINIMUM)
    assert members[0].operation not in (tmp_path / "list.json").read_text()
    (tmp_path / "list.json").write_text("[]")
    with pytest.raises(CannotGoOnError, match="not a list of releases"):
        read_releases(tmp_path / "list.json")


def test_three_reports_of_which_each_two_are_harmless_are_warned_of() -> None:
    """North, south, and both with one more: the third less the first two is that one."""
    north, south = ([member(at + i) for i in range(6)] for at in (0, 20))
    both = released([*north, *south, member(50)], "both")
    one, other = released(north, "north"), released(south, "south")
    for pair in ([one], [other]):
        assert not warnings(pair, both, minimum=MINIMUM)
    assert not warnings([one], other, minimum=MINIMUM)
    assert "of 1 member alone" in warnings([one, other], both, minimum=MINIMUM)[0]


def test_reports_that_differ_by_few_members_of_one_class_are_warned_of_though_many_came() -> None:
    """Seven come, but one of them alone into its class: the class tells of it."""
    members = [member(i, hives=60) for i in range(10)] + [member(20 + i, hives=150, wintered=150) for i in range(10)]
    more = [member(40 + i, hives=60) for i in range(6)] + [member(60, hives=150, wintered=150)]
    assert (
        "of 1 member alone (hives" in warnings([released(members, "a")], released([*members, *more], "b"), minimum=5)[0]
    )


def test_a_list_of_the_first_form_still_warns(tmp_path: Path) -> None:
    members = [member(i) for i in range(12)]
    now = released(members, "now")
    parts = sorted(now.told["losses"]["all"])[:-1]
    held = {"releases": [{"season": 2025, "name": "old", "members": dict(parts)}]}
    (tmp_path / "list.json").write_text(json.dumps(held))
    assert "of 1 member alone (losses)" in warnings(read_releases(tmp_path / "list.json"), now, minimum=MINIMUM)[0]


def test_the_newest_pack_of_an_operation_counts_and_every_other_is_named(tmp_path: Path) -> None:
    one, other = season(30), season(31)
    later = replace(one, review=replace(one.review, facts={**one.review.facts, "as_of": "2026-04-20"}))
    earlier_season = replace(other, review=replace(other.review, facts={**other.review.facts, "season": 2024}))
    for name, made in (("a", one), ("b", later), ("c", other), ("d", earlier_season)):
        (tmp_path / f"{name}.zip").write_bytes(made.pack().content)
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "copy.zip").write_bytes(later.pack().content)
    for n, name in enumerate(("a zip bomb", "a path upwards", "a script for a cause")):
        (tmp_path / f"x{n}.zip").write_bytes(ATTACKS[name]())
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
    late = sum(bool(m.late) for m in forty) - 1
    assert said.endswith(f"of {late} others.") and "40 members" in said and "of your hives where all lost" in said
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
    exact = [member_of(read_content(season(seed, weeks=WEEKS).pack(choose(exact=True)).content)) for seed in range(16)]
    told, rough = (pool(members, 2025, minimum=MINIMUM).facts for members in (exact, forty[:16]))
    assert (told["in_classes"], rough["in_classes"]) == (0, 16)
    assert abs(told["lost_pct"] - rough["lost_pct"]) < 0.25 * (told["lost_pct_high"] - told["lost_pct_low"])
    assert rough["hives"] == pytest.approx(told["hives"], rel=0.3)
    assert "about" in pooled_sentences(pool(forty, 2025, minimum=MINIMUM))[0][0]
