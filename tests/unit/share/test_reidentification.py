"""Who knows a keeper's region and number of hives: how many of two hundred packs, and of a report's members, match?"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pandas as pd
import pytest

from kit.errors import CannotGoOnError
from kit.report.share import places
from kit.report.share.alike import groups_told, squares_among
from kit.report.share.classes import CLASSES, class_of
from kit.report.share.crossed import crossed
from kit.report.share.draft import draft
from kit.report.share.form import DEGREE, GRID, NOWHERE, Choices, Group
from kit.report.share.groups import by_region, by_size, standing_out
from kit.report.share.member import Member
from kit.report.share.places import region_of
from tests.unit.share.made import Season, season
from tests.unit.share.test_pool import member

MINIMUM, PACKS = 5, 200
PLAIN = Choices(("operation", "apiaries"))


@dataclass
class Keeper:
    """What everybody knows of a keeper, and the season that a pack is made of."""

    made: Season
    region: str
    hives: int

    def told(self, choices: Choices) -> dict[str, pd.DataFrame]:
        return dict(draft(self.made.review, self.made.where, self.made.access, choices).tables)


@pytest.fixture(scope="module")
def keepers() -> list[Keeper]:
    found = []
    for seed in range(1000, 1000 + PACKS):
        one = season(seed, weeks=1)
        hives = {name: int(facts["hives"]) for name, facts in one.review.apiary_facts.items()}
        found.append(Keeper(one, places.region(one.where, hives, DEGREE), sum(hives.values())))
    return found


def might_be(keeper: Keeper, told: dict[str, pd.DataFrame]) -> bool:
    """Whether a pack may be the keeper's: its region unless not told, and hives that all it tells allows."""
    operation = told["operation"].iloc[0]
    if operation["place"] and region_of(operation["place"]) != keeper.region:
        return False
    whole = class_of(int(operation["hives"]))
    shown = told["apiaries"]["hives"] if "apiaries" in told else []
    least = max(whole.least, sum(class_of(int(hives), CLASSES).least for hives in shown))
    return least <= keeper.hives <= whole.most


def matches(keepers: list[Keeper], told: list[dict[str, pd.DataFrame]]) -> list[int]:
    return [sum(might_be(keeper, one) for one in told) for keeper in keepers]


def pooled(keepers: list[Keeper]) -> list[Member]:
    return [member(at, hives=class_of(one.hives).middle, place=one.region) for at, one in enumerate(keepers)]


@pytest.mark.slow
def test_asked_among_the_last_reports_groups_every_keeper_is_matched_by_the_minimum_of_packs(
    keepers: list[Keeper],
) -> None:
    members = pooled(keepers)
    table, _ = crossed(by_region(members, minimum=MINIMUM), by_size(members, minimum=MINIMUM), minimum=MINIMUM)
    among = tuple(Group(row.region, row.group) for row in table.itertuples())
    assert len(among) >= 3
    told = [one.told(Choices(PLAIN.tables, among=among)) for one in keepers]
    found = matches(keepers, told)
    assert min(found) >= MINIMUM
    regions = sum(bool(one["operation"]["place"].iloc[0]) for one in told)
    assert regions > 0.1 * PACKS  # and regions are not simply left out of all of them
    assert all(
        bool(one["operation"]["place"].iloc[0]) or not any(one["apiaries"]["place"])
        for one in told
        if "apiaries" in one
    )


@pytest.mark.slow
def test_a_pack_with_region_and_exact_hives_would_be_found_at_once_and_one_in_classes_less_often(
    keepers: list[Keeper],
) -> None:
    """The trial can fail: by number and region nearly everybody is alone; classes alone mend much, not all."""
    exact = [sum(b.region == a.region and b.hives == a.hives for b in keepers) for a in keepers]
    classes = matches(keepers, [one.told(PLAIN) for one in keepers])
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
    (tmp_path / "crossed.csv").write_text("region,group,members\n52 -2,25 to 49 hives,7\n51 0,500 hives and more,5\n")
    groups = groups_told(tmp_path / "crossed.csv")
    assert squares_among(groups, "52 -2", 30, GRID) == GRID and squares_among(groups, "51 0", 900, DEGREE) == DEGREE
    assert squares_among(groups, "52 -2", 50, GRID) == squares_among(groups, "51 0", 30, GRID) == NOWHERE
    (tmp_path / "other.csv").write_text("what\n1\n")
    for wrong in ("other.csv", "none.csv"):
        with pytest.raises(CannotGoOnError, match="is not the table of members by region and size"):
            groups_told(tmp_path / wrong)
