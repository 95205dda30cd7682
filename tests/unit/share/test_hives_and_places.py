"""What a pack tells of hives and places: classes and squares, one kind of square for good, packs of the first form."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from kit.calc.grid import grid_square, middle_of_square
from kit.calc.travel import Place
from kit.errors import CannotGoOnError, ValidityError
from kit.report.share import form
from kit.report.share.classes import CLASSES, OPERATIONS, apportioned, class_of
from kit.report.share.form import ALL, DEGREE, GRID, NOWHERE, REGION, choose
from kit.report.share.keys import Keys, read_keys, write_keys
from kit.report.share.member import member_of
from kit.report.share.pack import DESCRIPTOR
from kit.report.share.places import SQUARE, region_of
from kit.report.share.reading import read_content
from tests.unit.share.made import season
from tests.unit.share.test_attacks import resealed
from tests.unit.share.test_pack import opened

MIDDLES = {one.middle for one in (*CLASSES, *OPERATIONS)}
MIDDLE = min(MIDDLES)


@pytest.mark.parametrize("seed", range(6))
def test_hives_are_told_as_the_middle_of_their_class_and_as_counted_only_when_ticked(seed: int) -> None:
    one = season(seed, weeks=4)
    told, exact = one.pack().tables, one.pack(choose(exact=True)).tables
    assert set(told["losses"]["wintered"]) <= MIDDLES
    for name, classes in (("operation", OPERATIONS), ("apiaries", CLASSES)):
        if name in told:
            wanted = sorted(class_of(int(n), classes).middle for n in exact[name]["hives"])
            assert sorted(told[name]["hives"]) == wanted
    shares = []
    for tables in (told, exact):
        losses = tables["losses"]
        whole = losses[(losses["apiary"] == ALL) & (losses["cause"] == ALL)].iloc[0]
        assert losses.loc[(losses["apiary"] == ALL) & (losses["cause"] != ALL), "lost"].sum() == whole["lost"]
        shares.append(whole["lost"] / whole["wintered"])
    assert shares[0] == pytest.approx(shares[1], abs=0.5 / MIDDLE)


def test_parts_of_a_sum_stay_a_sum() -> None:
    assert apportioned([1, 1, 1], 5) == [2, 2, 1] and apportioned([0, 0], 3) == [0, 0] and apportioned([], 0) == []


def test_places_go_by_degrees_by_the_grid_or_not_at_all() -> None:
    one = season(2, apiaries=6, hives=[20, 22, 24, 26, 4, 5], weeks=4)
    by = {squares: one.pack(choose(squares=squares)).tables for squares in form.SQUARES}
    assert set(by[NOWHERE]["apiaries"]["place"]) == set(by[NOWHERE]["operation"]["place"]) == {""}
    assert all(re.fullmatch(r"[A-Z]{2}([0-9]{2})?", square) for square in by[GRID]["apiaries"]["place"])
    assert by[GRID]["operation"]["place"].iloc[0].isalpha()
    assert set(by[REGION]["apiaries"]["place"]) == {""} and set(by[DEGREE]["apiaries"]["place"]) != {""}
    assert by[REGION]["operation"]["place"].tolist() == by[DEGREE]["operation"]["place"].tolist() != [""]
    assert one.pack().tables["operation"]["place"].tolist() == [""]  # and none where nothing was ticked
    known = {grid_square(place) for place in one.where.values() if place}
    for square in by[GRID]["apiaries"]["place"]:
        assert square in known or square in {name[:-2] for name in known}


def test_few_hives_are_told_by_the_coarse_square_whatever_the_kind() -> None:
    one = season(2, hives=[6, 40, 50], weeks=4)
    far = dict(zip(one.where, (Place(52.168, -1.23), Place(51.5, -0.4), Place(51.3, -0.7)), strict=True))
    for squares, wanted in ((DEGREE, "52 -2"), (GRID, "SP")):
        told = replace(one, where=far).pack(choose(squares=squares, exact=True)).tables["apiaries"].set_index("hives")
        assert told.at[6, "place"] == wanted


def test_a_grid_square_is_pooled_with_the_degrees_its_middle_lies_in() -> None:
    middle = middle_of_square("SP")
    assert region_of("SP") == region_of("SP59") == region_of(f"{middle.latitude:.1f} {middle.longitude:.1f}") == "52 -2"


def test_the_squares_that_are_read_are_those_of_the_grids() -> None:
    letters = "ABCDEFGHJKLMNOPQRSTUVWXYZ"
    for name in (*letters, *(a + b for a in letters for b in letters)):
        try:
            middle_of_square(name)
        except ValidityError:
            assert not SQUARE.fullmatch(name), name
        else:
            assert SQUARE.fullmatch(name) and SQUARE.fullmatch(f"{name}05"), name


def test_packs_of_one_keeper_never_tell_two_kinds_of_squares(tmp_path) -> None:  # type: ignore[no-untyped-def]
    keys = Keys("0" * 32, "1" * 64)
    write_keys(tmp_path / "key.json", keys.telling(NOWHERE).telling(GRID).numbered("first"))
    kept = read_keys(tmp_path / "key.json")
    assert kept.telling(GRID) == kept.telling(NOWHERE) == kept
    for other in (DEGREE, REGION):
        with pytest.raises(CannotGoOnError, match="more finely than either"):
            kept.telling(other)
    assert Keys("0" * 32, "1" * 64).telling(REGION).telling(DEGREE).squares == DEGREE  # one lies within the other
    held = json.loads((tmp_path / "key.json").read_text())
    del held["squares"]  # as written before there was a choice
    (tmp_path / "key.json").write_text(json.dumps(held))
    with pytest.raises(CannotGoOnError, match="--squares degree, or none"):
        read_keys(tmp_path / "key.json").telling(GRID)


def first_form(content: bytes, hives: int) -> bytes:
    """The same pack as the first form told it: hours and doses in sum, and no word on how hives are told."""
    held = opened(content)
    hours = [line.split(",") for line in held["effort.csv"].decode().splitlines()[1:]]
    lines = ["task,hours,trips", *(f"{task},{float(one) * hives:.6g},4" for task, one in hours)]
    held["effort.csv"] = "".join(f"{line}\n" for line in lines).encode()

    def older(about: dict) -> None:  # type: ignore[type-arg]
        about["form"]["version"] = 1
        del about["hives_told"]

    return resealed(held, older)


def test_a_pack_of_the_first_form_says_the_same_of_its_member() -> None:
    pack = season(12, hives=[20, 30, 25], weeks=4).pack(choose(exact=True))
    now, then = (member_of(read_content(content)) for content in (pack.content, first_form(pack.content, 75)))
    assert then.exact and then.hours == pytest.approx(now.hours, rel=1e-5)
    assert replace(then, digest=now.digest, hours=now.hours) == now
    assert (
        read_content(first_form(pack.content, 75)).version == 1 != json.loads(opened(pack.content)[DESCRIPTOR])["form"]
    )
