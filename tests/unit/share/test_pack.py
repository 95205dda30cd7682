"""A pack: private by default, the same bytes again, a data package by its standard, and told in full on its page."""

from __future__ import annotations

import base64
import io
import json
import re
import zipfile
from pathlib import Path
from typing import Any

import frictionless
import jsonschema
import pytest

from kit.errors import CannotGoOnError
from kit.report.share import form
from kit.report.share.form import DEGREE, GRID, choose
from kit.report.share.keys import new_keys, read_keys, write_keys
from kit.report.share.pack import DESCRIPTOR, PAGE
from kit.report.share.reading import read_content
from tests.unit.share.made import Season, season

STANDARD: dict[str, Any] = {
    "type": "object",
    "required": ["resources"],
    "properties": {
        "profile": {"const": "tabular-data-package"},
        "name": {"type": "string", "pattern": "^([-a-z0-9._/])+$"},
        "resources": {
            "type": "array",
            "minItems": 1,
            "items": {
                "type": "object",
                "required": ["name", "path", "schema", "profile"],
                "properties": {
                    "profile": {"const": "tabular-data-resource"},
                    "name": {"type": "string", "pattern": "^([-a-z0-9._/])+$"},
                    "path": {"type": "string", "pattern": "^(?!/)(?!.*\\.\\.)[^:]+$"},
                    "hash": {"type": "string", "pattern": "^([^:]+:[a-fA-F0-9]+|[a-fA-F0-9]{32}|)$"},
                    "bytes": {"type": "integer"},
                    "encoding": {"const": "utf-8"},
                    "schema": {
                        "type": "object",
                        "required": ["fields"],
                        "properties": {
                            "fields": {
                                "type": "array",
                                "items": {
                                    "required": ["name", "type"],
                                    "properties": {"type": {"enum": ["string", "integer", "number"]}},
                                },
                            },
                            "missingValues": {"type": "array", "items": {"type": "string"}},
                        },
                    },
                },
            },
        },
    },
}
"""What the Data Package standard (specs.frictionlessdata.io, version 1) asks of a tabular package."""


def opened(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        return {name: book.read(name) for name in book.namelist()}


def haystacks(content: bytes) -> list[bytes]:
    """The pack as it lies there, and everything in it unpacked, small letters."""
    return [part.lower() for part in (content, *opened(content).values())]


def found_in(content: bytes, private: tuple[str, ...]) -> list[str]:
    """Private words met raw, in base64 at any of its three phases, or in hexadecimal."""
    hay = b"\n".join(haystacks(content))
    met = []
    for word in private:
        raw = word.encode()
        coded = [base64.b64encode(b"\0" * shift + raw)[4 * (shift > 0) : -4] for shift in range(3)]
        forms = [raw, raw.hex().encode(), *(code for code in coded if len(code) > 8)]
        met += [word for one in forms if one.lower() in hay]
    return met


def leaks(one: Season, squares: str | None) -> list[str]:
    """Private words in a pack with every table ticked."""
    return found_in(one.pack(choose(also=("doses", "compliance"), squares=squares)).content, one.private)


def test_the_search_for_private_words_finds_one_that_is_there() -> None:
    table = base64.b64encode(b"0member-0123456789ab")
    assert found_in(_zip({"a.csv": b"member-0123456789ab"}), ("member-0123456789ab",))
    assert found_in(_zip({"a.csv": table}), ("member-0123456789ab",))


@pytest.mark.parametrize("seed", range(12))
def test_no_private_word_of_a_season_is_in_its_pack(seed: int) -> None:
    assert not leaks(season(seed), None) + leaks(season(seed), DEGREE)


@pytest.mark.parametrize("seed", range(12))
def test_places_are_squares_no_finer_than_a_tenth_of_a_degree(seed: int) -> None:
    one = season(seed)
    pack = one.pack(choose(squares=DEGREE))
    told = [*pack.tables["operation"]["place"], *pack.tables.get("apiaries", pack.tables["operation"])["place"]]
    assert all(re.fullmatch(r"-?\d+(\.\d)? -?\d+(\.\d)?", square) for square in told)
    assert len(pack.tables["operation"]["place"].iloc[0].replace("-", "")) <= 4


@pytest.mark.parametrize("packs", [pytest.param(30, marks=pytest.mark.slow), pytest.param(200, marks=pytest.mark.long)])
def test_no_private_word_is_in_many_packs(packs: int) -> None:
    """Of four weeks each, more weeks hold no more words; places told by degrees and by the grid in turn."""
    made = ((seed, season(seed, weeks=4), (DEGREE, GRID)[seed % 2]) for seed in range(1000, 1000 + packs))
    assert not [(seed, leak) for seed, one, squares in made if (leak := leaks(one, squares))]


def test_the_same_season_choices_and_keys_give_the_same_bytes_and_another_key_others() -> None:
    one = season(1)
    assert one.pack().content == season(1).pack().content
    assert one.pack(choose(without=("effort",))).content != one.pack().content


def test_apiary_keys_are_of_one_pack_alone_and_say_nothing_of_the_sheets_order() -> None:
    one = season(2, apiaries=8, hives=[20] * 8)
    first, second = one.pack(), one.pack(choose(without=("effort",)))
    keys = [set(pack.tables["apiaries"]["apiary"]) for pack in (first, second)]
    assert len(keys[0]) == 8 and not keys[0] & keys[1]
    assert list(first.tables["apiaries"]["apiary"]) == sorted(keys[0])


def test_a_zip_carries_no_clock_no_user_and_no_system() -> None:
    with zipfile.ZipFile(io.BytesIO(season(3).pack().content)) as book:
        for entry in book.infolist():
            assert entry.date_time == (1980, 1, 1, 0, 0, 0)
            assert (entry.extra, entry.comment, entry.create_system) == (b"", b"", 3)
            assert entry.external_attr == 0o100644 << 16
        assert book.comment == b""


def test_doses_and_compliance_go_only_when_ticked_and_any_table_can_be_unticked() -> None:
    one = season(4, apiaries=5)
    assert not {"doses", "compliance"} & set(one.pack().tables)
    assert {"doses", "compliance"} <= set(one.pack(choose(also=("doses", "compliance"))).tables)
    for name in set(form.TABLES) - {"operation"}:
        assert name not in one.pack(choose(without=(name,))).tables
    with pytest.raises(CannotGoOnError, match="cannot be left out"):
        choose(without=("operation",))
    with pytest.raises(CannotGoOnError, match="no table names"):
        choose(also=("names",))
    with pytest.raises(CannotGoOnError, match="at least 3"):
        choose(minimum=2)


def test_an_apiary_below_the_smallest_group_is_left_out_with_another_that_would_give_it_away() -> None:
    pack = season(5, hives=[3, 9, 20, 25]).pack()
    sizes = sorted(pack.tables["apiaries"]["hives"])
    assert 3 not in sizes and len(sizes) <= 2
    for name in ("loads", "kills", "timing", "losses"):
        shown = set(pack.tables[name]["apiary"]) - {"all"}
        assert shown <= set(pack.tables["apiaries"]["apiary"]), name
    assert pack.tables["operation"]["hives"].iloc[0] == 70  # 57 are told as the middle of 50 to 99
    assert season(5, hives=[3, 9, 20, 25]).pack(choose(exact=True)).tables["operation"]["hives"].iloc[0] == 57


def test_a_small_operation_sends_totals_only_and_the_smallest_nothing() -> None:
    pack = season(6, hives=[4, 4]).pack()
    assert pack.draft.choices.totals_only and "apiaries" not in pack.tables
    assert set(pack.tables["loads"]["apiary"]) == {"all"} and set(pack.tables["losses"]["apiary"]) == {"all"}
    with pytest.raises(CannotGoOnError, match="fewer than the smallest group"):
        season(6, hives=[2, 2]).pack()
    chosen = season(7, hives=[30, 30]).pack(choose(totals_only=True))
    assert set(chosen.tables["losses"]["apiary"]) == {"all"} and chosen.tables["kills"].empty


@pytest.mark.parametrize("seed", range(5))
def test_a_pack_is_a_tabular_data_package_by_the_standard(seed: int) -> None:
    files = opened(season(seed).pack(choose(also=("doses", "compliance"))).content)
    about = json.loads(files[DESCRIPTOR])
    jsonschema.validate(about, STANDARD)
    for resource in about["resources"]:
        header = files[resource["path"]].decode().splitlines()[0]
        assert header.split(",") == [field["name"] for field in resource["schema"]["fields"]]
        assert len(files[resource["path"]]) == resource["bytes"]


@pytest.mark.parametrize("squares", form.SQUARES)
def test_frictionless_finds_a_pack_valid_and_a_changed_one_not(tmp_path: Path, squares: str) -> None:
    """Frictionless' own validator: structure, hashes, types, words, ranges."""
    path, forged = tmp_path / "pack.zip", tmp_path / "forged.zip"
    pack = season(8, weeks=8).pack(choose(also=("doses", "compliance"), squares=squares))
    path.write_bytes(pack.content)
    report = frictionless.validate(str(path), type="package")
    assert report.valid, report.flatten(["type", "note"])
    assert {task.name for task in report.tasks} == set(pack.tables)
    files = opened(pack.content)
    forged.write_bytes(_zip(files | {"effort.csv": files["effort.csv"].replace(b"driving", b"sailing")}))
    errors = frictionless.validate(str(forged), type="package").flatten(["type"])
    assert {"hash-count", "constraint-error"} & {kind for (kind,) in errors}


def test_its_page_holds_every_row_of_every_table() -> None:
    pack = season(9, apiaries=6, hives=[12, 14, 16, 18, 20, 22]).pack()
    page = opened(pack.content)[PAGE].decode()
    assert page == pack.page
    for table in pack.tables.values():
        assert f"{len(table)} row" in page
    assert page.count("2025-W32</td>") + page.count("2025-W32</th>") >= 6
    assert page.count("<tr>") >= sum(len(table) for table in pack.tables.values())
    assert "http://" not in page and "https://" not in page


def test_what_is_written_is_read_back_as_it_was() -> None:
    pack = season(10).pack(choose(also=("doses", "compliance")))
    read = read_content(pack.content)
    assert set(read.tables) == set(pack.tables)
    for name, table in pack.tables.items():
        for column in table:
            cells = ["" if value != value else value for value in table[column].tolist()]
            assert [("" if v != v else v) for v in read.tables[name][str(column)]] == cells, (name, column)


def test_a_key_file_is_kept_for_its_owner_and_a_strange_one_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "share_key.json"
    keys = new_keys().numbered("first").numbered("second").numbered("first")
    write_keys(path, keys)
    assert read_keys(path) == keys and keys.number("second") == 2 and keys.number("third") == 3
    assert path.stat().st_mode & 0o077 == 0
    assert new_keys().operation != new_keys().operation
    path.write_text('{"operation": "x", "secret": "y", "sent": []}')
    with pytest.raises(CannotGoOnError, match="not a key file"):
        read_keys(path)


def _zip(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in files.items():
            book.writestr(name, content)
    return out.getvalue()
