"""Who knows a keeper's region and number of hives: how many of two hundred packs, and of a report's members, match?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pandas as pd
import pytest

from kit.errors import CannotGoOnError
from kit.report.share import places
from kit.report.share.alike import groups_told, squares_told
from kit.report.share.classes import CLASSES, class_of
from kit.report.share.crossed import crossed
from kit.report.share.draft import draft
from kit.report.share.form import DEGREE, GRID, NOWHERE, REGION, Choices, Group, choose
from kit.report.share.groups import by_region, by_size, standing_out
from kit.report.share.member import Member
from kit.report.share.places import region_of
from tests.unit.share.made import Season, season
from tests.unit.share.test_pool import member

MINIMUM, PACKS = 5, 200
TABLES = ("operation", "apiaries")
PLAIN, TICKED = Choices(TABLES), Choices(TABLES, squares=DEGREE)


@dataclass
class Keeper:
    """What everybody knows of a keeper, and the season that a pack is made of."""

    made: Season
    region: str
    hives: int

    def told(self, choices: Choices) -> dict[str, pd.DataFrame]:
        return dict(draft(self.made.review, self.made.where, self.made.access, choices).tables)


def keeper(seed: int, hives: list[int] | None = None) -> Keeper:
    one = season(seed, weeks=1, hives=hives)
    sizes = {name: int(facts["hives"]) for name, facts in one.review.apiary_facts.items()}
    return Keeper(one, places.region(one.where, sizes, DEGREE), sum(sizes.values()))


@pytest.fixture(scope="module")
def keepers() -> list[Keeper]:
    return [keeper(seed) for seed in range(1000, 1000 + PACKS)]


def of_all_sizes() -> list[Keeper]:
    """Many with few hives and few with very many, up to a thousand, as in an association (common practice)."""
    rng = np.random.default_rng(7)
    made = []
    for seed in range(2000, 2000 + PACKS):
        hives = max(6, int(rng.lognormal(np.log(30), 1.1)))
        apiaries = max(1, round(hives / rng.uniform(8, 25)))
        made.append(keeper(seed, (rng.multinomial(hives - apiaries, np.full(apiaries, 1 / apiaries)) + 1).tolist()))
    return made


class Allowed(NamedTuple):
    """Whose a pack may be: of its region unless not told, and of so many hives by all that it tells."""

    region: str
    least: int
    most: int

    def matches(self, keeper: Keeper) -> bool:
        return self.region in ("", keeper.region) and self.least <= keeper.hives <= self.most


def allowed(told: dict[str, pd.DataFrame]) -> Allowed:
    operation = told["operation"].iloc[0]
    whole = class_of(int(operation["hives"]))
    shown = [class_of(int(hives), CLASSES) for hives in told["apiaries"]["hives"]] if "apiaries" in told else []
    every = len(shown) == operation["apiaries"]
    most = min(whole.most, sum(one.most for one in shown)) if every else whole.most
    return Allowed(region_of(operation["place"]), max(whole.least, sum(one.least for one in shown)), most)


def matches(keepers: list[Keeper], told: list[dict[str, pd.DataFrame]]) -> list[int]:
    packs = [allowed(one) for one in told]
    return [sum(pack.matches(keeper) for pack in packs) for keeper in keepers]


def pooled(keepers: list[Keeper]) -> list[Member]:
    return [member(at, hives=class_of(one.hives).middle, place=one.region) for at, one in enumerate(keepers)]


@pytest.mark.slow
def test_by_default_every_keeper_is_matched_by_the_minimum_of_packs(keepers: list[Keeper]) -> None:
    for all_of_them in (keepers, of_all_sizes()):
        told = [one.told(PLAIN) for one in all_of_them]
        assert not any(one["operation"]["place"].iloc[0] for one in told)
        assert min(matches(all_of_them, told)) >= MINIMUM


@pytest.mark.slow
def test_asked_among_the_last_reports_groups_every_keeper_is_matched_by_the_minimum_of_packs(
    keepers: list[Keeper],
) -> None:
    members = pooled(keepers)
    table, _ = crossed(by_region(members, minimum=MINIMUM), by_size(members, minimum=MINIMUM), minimum=MINIMUM)
    among = tuple(Group(row.region, row.group) for row in table.itertuples())
    assert len(among) >= 3
    told = [one.told(Choices(TABLES, among=among)) for one in keepers]
    found = matches(keepers, told)
    assert min(found) >= MINIMUM
    regions = sum(bool(one["operation"]["place"].iloc[0]) for one in told)
    assert regions > 0.1 * PACKS  # and regions are not simply left out of all of them
    assert not any(any(one["apiaries"]["place"]) for one in told if "apiaries" in one)  # finer ones only when ticked


@pytest.mark.slow
def test_a_pack_with_region_and_exact_hives_would_be_found_at_once_and_one_in_classes_less_often(
    keepers: list[Keeper],
) -> None:
    """The trial can fail: by number and region nearly everybody is alone; classes alone mend much, not all."""
    exact = [sum(b.region == a.region and b.hives == a.hives for b in keepers) for a in keepers]
    classes = matches(keepers, [one.told(TICKED) for one in keepers])
    alone = [sum(n < MINIMUM for n in found) for found in (exact, classes)]
    print(f"fewer than {MINIMUM} of {PACKS} match: exact {alone[0]}, in classes {alone[1]}")
    assert alone[0] > 0.9 * PACKS and alone[1] < alone[0]
    assert standing_out(pooled(keepers), minimum=MINIMUM) > 0


@pytest.mark.slow
def test_every_row_of_a_report_that_a_keeper_is_found_in_holds_the_minimum_of_members(keepers: list[Keeper]) -> None:
    members = pooled(keepers)
    regions, sizes = by_region(members, minimum=MINIMUM), by_size(members, minimum=MINIMUM)
    table, _ = crossed(regions, sizes, minimum=MINIMUM)
    for one in members:
        own = [{id(m) for m in found} for groups in (regions, sizes) for found in groups.values() if one in found]
        assert len(own) == 2 and min(map(len, own)) >= MINIMUM
    assert (table["members"] >= MINIMUM).all()


def test_the_table_of_groups_is_read_as_it_is_written_and_another_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "crossed.csv").write_text("region,group,members\n52 -2,25 to 49 hives,7\n51 0,100 hives and more,5\n")
    among = groups_told(tmp_path / "crossed.csv", minimum=MINIMUM)
    asked = Choices(TABLES, among=among)
    assert squares_told(asked, "52 -2", 30) == squares_told(asked, "51 0", 900) == REGION
    assert squares_told(asked, "52 -2", 50) == squares_told(asked, "51 0", 30) == NOWHERE
    assert squares_told(replace(asked, squares=GRID), "52 -2", 30) == GRID
    assert squares_told(replace(asked, squares=GRID), "52 -2", 50) == NOWHERE
    for wrong in ("what\n1\n", "region,group,members\n52 -2,25 to 49 hives,many\n"):
        (tmp_path / "other.csv").write_text(wrong)
        with pytest.raises(CannotGoOnError, match="is not a table of members by region and size"):
            groups_told(tmp_path / "other.csv", minimum=MINIMUM)
    with pytest.raises(CannotGoOnError, match="is not a table of members by region and size"):
        groups_told(tmp_path / "none.csv", minimum=MINIMUM)


def test_a_list_of_members_counts_only_groups_as_large_as_the_minimum_and_of_one_class(tmp_path: Path) -> None:
    """A pack tells its own class: in a joined group of seven the keeper may be the only one of that class."""
    rows = ["52 -2,25 to 49 hives,4", "51 0,1 to 49 hives,7", "50 0,1 to 24 hives,9", "49 0,all sizes together,30"]
    (tmp_path / "list.csv").write_text("\n".join(["region,group,members", *rows]) + "\n")
    asked = Choices(TABLES, among=groups_told(tmp_path / "list.csv", minimum=MINIMUM))
    told = [squares_told(asked, region, 20 if region[0] == "5" else 30) for region in ("51 0", "50 0", "49 0")]
    assert told == [NOWHERE, REGION, NOWHERE] and squares_told(asked, "52 -2", 30) == NOWHERE
    assert squares_told(replace(asked, exact=True), "50 0", 20) == NOWHERE  # a number as counted hides among nobody


@pytest.mark.parametrize(
    ("choices", "said"),
    [
        (choose(), "No place is told: with it, whoever knows where you are and how many hives you have might find"),
        (choose(squares=NOWHERE), "No place is told, as you chose."),
        (choose(exact=True, among=()), "No place is told, because with the number of hives as counted"),
        (choose(among=()), "has no group of at least 5 in your region with as many hives as you."),
        (choose(squares=REGION), "unless at least 4 others with 50 to 99 hives send theirs and tell the same square"),
        (choose(squares=GRID), "the smaller squares say more than that."),
    ],
)
def test_a_member_is_told_in_a_sentence_why_a_place_goes_or_not_and_how_many_others_it_takes(
    choices: Choices, said: str
) -> None:
    pack = season(5, hives=[20, 20, 25], weeks=1).pack(choices)
    assert said in " ".join(pack.summary())
    assert escape(said) in pack.page


def test_a_region_known_to_hold_enough_alike_is_told_with_that_reason() -> None:
    one = season(5, hives=[20, 20, 25], weeks=1)
    region = one.pack(choose(squares=REGION)).tables["operation"]["place"].iloc[0]
    pack = one.pack(choose(among=(Group(region, "50 to 99 hives"),)))
    assert pack.tables["operation"]["place"].iloc[0] == region
    assert "because at least 5 members there have 50 to 99 hives." in " ".join(pack.summary())
