"""The kit's interactive notebooks as copies in the user's folder: brought up to date, never over what was edited."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path
from typing import Any

from kit.errors import CannotGoOnError
from kit.report.execute import source
from kit.report.write import write_text

NAMES = ("try_rounds", "try_mite_year", "try_power", "try_round")
"""Interactive notebooks, in the order of the questions."""
PLACE = "notebooks"
REGISTER = ".copies.json"
"""In that folder: of each copy, what it was made from and what was written."""
FOLDER_LINE = 'folder: str = ""'


def copy_notebooks(folder: Path) -> tuple[Path, list[str]]:
    """Copies of the interactive notebooks beside the records, each with the records' place filled in.

    Parameters
    ----------
    folder : Path
        Record sheets: a folder, or a workbook (copies then stand beside it).

    Returns
    -------
    place : Path
        The folder of the copies.
    said : list of str
        A sentence for each copy that was not simply made or left alone.

    Raises
    ------
    CannotGoOnError
        When there is no such folder, or it cannot be written to.
    """
    if not folder.exists():
        raise CannotGoOnError(f"there is no folder {folder}; give the folder that holds your record sheets")
    place = (folder if folder.is_dir() else folder.parent) / PLACE
    try:
        place.mkdir(exist_ok=True)
        known = _register(place)
        said = [_copy(name, place, os.path.relpath(folder, place), known) for name in NAMES]
        write_text(place / REGISTER, json.dumps(known, indent=1, sort_keys=True) + "\n")
    except OSError as error:
        raise CannotGoOnError(f"{place} cannot be written to: {error.strerror}") from error
    return place, [sentence for sentence in said if sentence]


def _copy(name: str, place: Path, records: str, known: dict[str, dict[str, str]]) -> str:
    """One copy made, brought up to date or left alone; a sentence where the user should know."""
    kit_book, target = json.loads(source(name).read_text(encoding="utf-8")), place / f"{name}.ipynb"
    mine = _with_folder(kit_book, records)
    now = {"made_from": _hash(kit_book), "written": _hash(mine)}
    then = known.get(name, {})
    stands = _hash(_read(target)) if target.exists() else ""
    if stands and stands != now["written"]:
        if not then:
            return f"{target.name}: not one that the kit put there; it is kept. Rename it to get the kit's own."
        if stands != then["written"]:
            return _kept(target.name, changed=then["made_from"] != now["made_from"])
    known[name] = now
    if stands == now["written"]:
        return ""  # unedited and up to date, perhaps with outputs
    write_text(target, json.dumps(mine, ensure_ascii=False, indent=1) + "\n")
    return f"{target.name}: brought up to date; you had not edited it." if stands else ""


def _kept(name: str, *, changed: bool) -> str:
    if changed:
        return f"{name}: you edited yours, and the kit's own is newer; yours is kept. Rename it to get the new one."
    return f"{name}: yours is newer than the kit's own and is kept as you edited it."


def _with_folder(book: dict[str, Any], records: str) -> dict[str, Any]:
    copy: dict[str, Any] = json.loads(json.dumps(book))
    for cell in copy["cells"]:
        if "parameters" in cell["metadata"].get("tags", []):
            cell["source"] = "".join(cell["source"]).replace(FOLDER_LINE, f"folder: str = {json.dumps(records)}", 1)
    return copy


def _hash(book: dict[str, Any]) -> str:
    """Of what a person edits: outputs and counters do not count."""
    cells = [(cell["cell_type"], "".join(cell["source"])) for cell in book.get("cells", [])]
    return hashlib.sha256(json.dumps(cells).encode()).hexdigest()


def _read(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _register(place: Path) -> dict[str, dict[str, str]]:
    path = place / REGISTER
    return _read(path) if path.exists() else {}
