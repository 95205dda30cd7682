"""Hostile packs: each is refused with one sentence, nothing is written beside the report, honest ones are pooled."""

from __future__ import annotations

import hashlib
import io
import json
import re
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kit.report.share.pack import DESCRIPTOR, PAGE, zipped
from kit.report.share.reading import RefusedError, read_content, read_pack
from tests.unit.share.made import season

HONEST = season(500, apiaries=5, hives=[20, 22, 24, 26, 28], weeks=12).pack().content
SCRIPT = "<script>alert(1)</script>"


def files() -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(HONEST)) as book:
        return {name: book.read(name) for name in book.namelist()}


def resealed(held: dict[str, bytes], change: Callable[[dict[str, Any]], None] | None = None) -> bytes:
    """A pack of these files with its hashes made to fit, so that only the content itself can give it away."""
    about = json.loads(held[DESCRIPTOR])
    for resource in about["resources"]:
        content = held.get(resource["path"], b"")
        resource |= {"bytes": len(content), "hash": f"sha256:{hashlib.sha256(content).hexdigest()}"}
    if change:
        change(about)
    return zipped(held | {DESCRIPTOR: json.dumps(about).encode()})


def with_file(name: str, content: bytes = b"x") -> bytes:
    return zipped(files() | {name: content})


def with_cell(table: str, column: str, text: str) -> bytes:
    """The first cell of a column of a table replaced."""
    held = files()
    lines = held[f"{table}.csv"].decode().splitlines()
    at = lines[0].split(",").index(column)
    cells = lines[1].split(",")
    cells[at] = text
    lines[1] = ",".join(cells)
    held[f"{table}.csv"] = ("\n".join(lines) + "\n").encode()
    return resealed(held)


def with_table(name: str, content: bytes) -> bytes:
    return resealed(files() | {f"{name}.csv": content})


def with_mark(key: str, value: object) -> bytes:
    return resealed(files(), lambda about: about.update({key: value}))


def twice(name: str) -> bytes:
    out = io.BytesIO(HONEST)
    with pytest.warns(UserWarning, match="Duplicate name"), zipfile.ZipFile(out, "a") as book:
        book.writestr(name, b"other")
    return out.getvalue()


def link() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as book:
        for name, content in files().items():
            entry = zipfile.ZipInfo(name)
            entry.external_attr = (0o120777 if name == "loads.csv" else 0o100644) << 16
            book.writestr(entry, b"/etc/passwd" if name == "loads.csv" else content)
    return out.getvalue()


def bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in files().items():
            book.writestr(name, b"0" * 50_000_000 if name == "loads.csv" else content)
    return out.getvalue()


def claims(size: int) -> bytes:
    """The table's length in the zip's directory forged; what is packed stays as it is."""
    content = bytearray(HONEST)
    with zipfile.ZipFile(io.BytesIO(HONEST)) as book:
        start = book.start_dir
    while content[start : start + 4] == b"PK\x01\x02":
        name_length, extra, comment = struct.unpack_from("<HHH", content, start + 28)
        if content[start + 46 : start + 46 + name_length] == b"loads.csv":
            struct.pack_into("<I", content, start + 24, size)
        start += 46 + name_length + extra + comment
    return bytes(content)


def locked() -> bytes:
    content = bytearray(HONEST)
    with zipfile.ZipFile(io.BytesIO(HONEST)) as book:
        start = book.start_dir
    struct.pack_into("<H", content, start + 8, 1)
    return bytes(content)


def many_rows() -> bytes:
    held = files()
    header, first = held["loads.csv"].split(b"\n")[:2]
    return resealed(held | {"loads.csv": header + b"\n" + (first + b"\n") * 1_000_000})


def resource_twice(about: dict[str, Any]) -> None:
    about["resources"].append(about["resources"][0])


def resource_elsewhere(about: dict[str, Any]) -> None:
    about["resources"][0]["path"] = "../../etc/passwd"


def version(number: object) -> bytes:
    return resealed(files(), lambda about: about["form"].update(version=number))


def without(name: str) -> bytes:
    return zipped({n: c for n, c in files().items() if n != name})


ATTACKS: dict[str, Callable[[], bytes]] = {
    "a path upwards": lambda: with_file("../slip.csv"),
    "a path upwards, turned strokes": lambda: with_file("..\\slip.csv"),
    "an absolute name": lambda: with_file("/etc/cron.d/x"),
    "a drive letter": lambda: with_file("C:\\x.csv"),
    "a name in a folder": lambda: with_file("loads.csv/x"),
    "a zero byte in a name": lambda: with_file("loads.csv_.exe").replace(b"loads.csv_.exe", b"loads.csv\0.exe"),
    "a name that looks alike": lambda: with_file("lоads.csv"),
    "a program beside the tables": lambda: with_file("run.exe"),
    "a table twice": lambda: twice("loads.csv"),
    "the description twice": lambda: twice(DESCRIPTOR),
    "a link in place of a table": link,
    "a zip bomb": bomb,
    "a claim of 4 GB": lambda: claims(0xFFFFFFF0),
    "a claim of fewer bytes": lambda: claims(10),
    "a lock": locked,
    "no zip at all": lambda: b"PK not a zip",
    "an empty file": lambda: b"",
    "a zip cut short": lambda: HONEST[: len(HONEST) // 2],
    "no description": lambda: without(DESCRIPTOR),
    "a table that is not there": lambda: without("loads.csv"),
    "a table described twice": lambda: resealed(files(), resource_twice),
    "a table described elsewhere": lambda: resealed(files(), resource_elsewhere),
    "a wrong hash": lambda: zipped(files() | {"losses.csv": files()["losses.csv"].replace(b",", b", ", 1)}),
    "a million rows": many_rows,
    "a version to come": lambda: version(3),
    "a version that is true": lambda: version(True),
    "a version that is a script": lambda: version(SCRIPT),
    "a key of an operation that is a path": lambda: with_mark("operation", "../../x"),
    "a season that is no number": lambda: with_mark("season", "2025'; drop table"),
    "a week that is none": lambda: with_mark("as_of_week", "2025-W99"),
    "a running number that is NaN": lambda: resealed(files(), lambda about: about.update(number=float("nan"))),
    "a description without end": lambda: zipped(files() | {DESCRIPTOR: b"[" * 100_000}),
    "a description that is a list": lambda: zipped(files() | {DESCRIPTOR: b"[]"}),
    "NaN in a load": lambda: with_cell("loads", "per_100_bees_p50", "nan"),
    "infinity in a load": lambda: with_cell("loads", "per_100_bees_p95", "inf"),
    "a number beyond any float": lambda: with_cell("loads", "mites_p95", "1e999"),
    "a number below zero": lambda: with_cell("losses", "lost", "-3"),
    "half a hive": lambda: with_cell("losses", "wintered", "20.5"),
    "more lost than wintered": lambda: with_cell("losses", "lost", "9999"),
    "a range upside down": lambda: with_cell("kills", "efficacy_p05", "99.9"),
    "a script for a treatment": lambda: with_cell("kills", "treatment", SCRIPT),
    "a script for a cause": lambda: with_cell("losses", "cause", SCRIPT),
    "a script for a place": lambda: with_cell("apiaries", "place", SCRIPT),
    "a script for an apiary": lambda: with_cell("loads", "apiary", SCRIPT),
    "a script for a week": lambda: with_cell("loads", "week", SCRIPT),
    "a formula for a task": lambda: with_cell("effort", "task", '=HYPERLINK("x")'),
    "a formula for hours": lambda: with_cell("effort", "hours_a_hive", "=1+1"),
    "a number in other digits": lambda: with_cell("effort", "hours_a_hive", "\u0663"),
    "UTF-16": lambda: with_table("effort", files()["effort.csv"].decode().encode("utf-16")),
    "Windows-1252": lambda: with_table("effort", "task,hours_a_hive\ntr\xe9,1\n".encode("cp1252")),
    "zero bytes in a table": lambda: with_table("effort", b"task,hours_a_hive\ndriving,1\0\n"),
    "other columns": lambda: with_table("effort", b"task,hours,keeper\ndriving,1,1\n"),
    "a row too long": lambda: with_table("effort", b"task,hours_a_hive\ndriving,1,1\n"),
    "an open quotation": lambda: with_table("effort", b'task,hours_a_hive\n"driving,1\n'),
    "a task twice": lambda: with_table("effort", b"task,hours_a_hive\ndriving,1\ndriving,2\n"),
    "two operations in one": lambda: with_table("operation", files()["operation.csv"] * 2),
    "columns of the first form": lambda: with_table("effort", b"task,hours,trips\ndriving,1,1\n"),
    "a version that is a float": lambda: version(2.0),
    "no word on how hives are told": lambda: resealed(files(), lambda about: about.pop("hives_told")),
    "a script for how hives are told": lambda: with_mark("hives_told", SCRIPT),
    "a running number below zero": lambda: with_mark("number", -1),
    "a smallest group of a list": lambda: with_mark("smallest_group", [5]),
    "a place finer than may be told": lambda: with_cell("apiaries", "place", "52.16 -1.23"),
    "a grid square finer than may be told": lambda: with_cell("apiaries", "place", "SP510063"),
    "a grid square of no grid": lambda: with_cell("operation", "place", "ZZ12"),
    "a million hives": lambda: with_cell("operation", "hives", "1000000"),
    "an apiary twice": lambda: with_table(
        "apiaries", files()["apiaries.csv"] + files()["apiaries.csv"].split(b"\n", 1)[1]
    ),
    "a week that its year does not have": lambda: with_cell("loads", "week", "2025-W53"),
    "no week": lambda: with_cell("loads", "week", ""),
    "half a week late": lambda: with_cell("timing", "weeks_late", "0.5"),
    "a mebibyte of one cell": lambda: with_cell("effort", "hours_a_hive", "1" * 1_000_000),
}


def test_the_honest_pack_is_read_and_so_is_one_resealed_unchanged() -> None:
    assert read_content(HONEST).season == 2025
    assert read_content(resealed(files())).operation == read_content(HONEST).operation


def test_there_are_at_least_sixty_attacks() -> None:
    assert len(ATTACKS) >= 60


@pytest.mark.parametrize("attack", ATTACKS)
def test_a_hostile_pack_is_refused_with_one_sentence(attack: str) -> None:
    with pytest.raises(RefusedError) as refused:
        read_content(ATTACKS[attack]())
    said = str(refused.value)
    assert 20 < len(said) < 200 and "\n" not in said and not re.search(r"[\x00-\x1f\x7f]", said)


def test_a_link_to_a_pack_and_a_file_too_large_are_refused_unread(tmp_path: Path) -> None:
    (tmp_path / "real.zip").write_bytes(HONEST)
    (tmp_path / "link.zip").symlink_to(tmp_path / "real.zip")
    with pytest.raises(RefusedError, match="link"):
        read_pack(tmp_path / "link.zip")
    with (tmp_path / "large.zip").open("wb") as file:
        file.truncate(4_000_000_000)
    with pytest.raises(RefusedError, match="4000 MB"):
        read_pack(tmp_path / "large.zip")


def test_a_script_in_the_page_of_a_pack_is_never_opened() -> None:
    assert read_content(zipped(files() | {PAGE: SCRIPT.encode()})).season == 2025
