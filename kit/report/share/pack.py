"""The pack itself: a zip whose bytes follow from the draft and the key file alone."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from dataclasses import dataclass
from typing import Any

import pandas as pd

import kit
from kit.report.share import form
from kit.report.share.contents import contents_page
from kit.report.share.draft import Draft
from kit.report.share.form import ALL
from kit.report.share.keys import Keys
from kit.report.share.recognised import hives_told, place_told
from kit.report.words.phrases import a_count
from kit.report.write import csv_text

DESCRIPTOR, PAGE = "datapackage.json", "what_is_in_it.html"
EPOCH = (1980, 1, 1, 0, 0, 0)
"""The one moment every file of every pack is from."""
MADE_ON = 3
"""The system named in the zip's own headers, whatever it was."""
PLAIN_FILE = 0o100644 << 16
TYPES = {"text": "string", "whole": "integer", "number": "number"}


@dataclass(frozen=True)
class Pack:
    """A pack ready to be written.

    Parameters
    ----------
    name : str
        Of the file.
    content : bytes
        Of the zip.
    page : str
        `what_is_in_it.html` as it stands in it.
    tables : mapping of DataFrame
        As they go, by name.
    draft : Draft
        What it was made from.
    """

    name: str
    content: bytes
    page: str
    tables: dict[str, pd.DataFrame]
    draft: Draft

    def summary(self) -> list[str]:
        """What would go out, line by line, for a terminal."""
        rows = [
            f"  {name}: {a_count(len(table), 'row')}, one row is {form.TABLES[name].what}"
            for name, table in self.tables.items()
        ]
        left = [name for name in form.TABLES if name not in self.tables]
        lines = ["These tables would go, and nothing else:", *rows]
        if left:
            lines.append(f"Left out, because not ticked or with totals only: {', '.join(left)}.")
        if self.draft.choices.totals_only:
            lines.append("Totals only: nothing by apiary.")
        elif self.draft.hidden:
            lines.append(
                f"{self.draft.hidden} apiaries are left out of all tables by apiary: fewer than "
                f"{self.draft.choices.minimum} hives, or what would give those away by subtraction."
            )
        lines += [place_told(self.draft), hives_told(self.draft)]
        lines.append(f"Never in it: {'; '.join(form.NEVER)}.")
        return lines


def pack_of(draft: Draft, keys: Keys) -> Pack:
    """The pack of a draft; the same draft and keys give the same bytes.

    Parameters
    ----------
    draft : Draft
        What may go.
    keys : Keys
        Of the operation.
    """
    tables = {name: _keyed(table, draft.digest, keys) for name, table in draft.tables.items()}
    files = {f"{name}.csv": csv_text(table).encode() for name, table in tables.items()}
    about = _descriptor(draft, keys, files)
    page = contents_page(draft, about, tables)
    whole = files | {DESCRIPTOR: json.dumps(about, ensure_ascii=False, indent=1).encode() + b"\n", PAGE: page.encode()}
    name = f"season-{draft.season}-{keys.operation[:8]}-{keys.number(draft.digest)}.zip"
    return Pack(name, zipped(whole), page, tables, draft)


def zipped(files: dict[str, bytes]) -> bytes:
    """Files as a zip without clocks, users or systems in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as book:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, EPOCH)
            entry.create_system, entry.external_attr, entry.compress_type = MADE_ON, PLAIN_FILE, zipfile.ZIP_DEFLATED
            book.writestr(entry, files[name], compresslevel=9)
    return out.getvalue()


def _keyed(table: pd.DataFrame, digest: str, keys: Keys) -> pd.DataFrame:
    """Random keys in the place of apiaries, and rows in their order, which says nothing of the sheet's."""
    if "apiary" not in table:
        return table
    names = {name: name if name == ALL else keys.apiary(digest, name) for name in table["apiary"].unique()}
    order = [name for name in ("apiary", "week", "treatment", "cause") if name in table]
    keyed: pd.DataFrame = table.assign(apiary=table["apiary"].map(names)).sort_values(order, kind="stable")
    return keyed


def _descriptor(draft: Draft, keys: Keys, files: dict[str, bytes]) -> dict[str, Any]:
    """The data package's description, with the hash of each table."""
    return {
        "profile": "tabular-data-package",
        "name": f"season-{draft.season}-{keys.operation[:8]}",
        "title": f"Season {draft.season} of one operation",
        "version": f"{form.VERSION}.0.0",
        "form": {"name": form.FORM, "version": form.VERSION},
        "made_with": {"kit": kit.__version__, "method": draft.method},
        "operation": keys.operation,
        "number": keys.number(draft.digest),
        "season": draft.season,
        "as_of_week": draft.week,
        "smallest_group": draft.choices.minimum,
        "hives_told": form.EXACT if draft.choices.exact else form.IN_CLASSES,
        "totals_only": draft.choices.totals_only,
        "apiaries_left_out": draft.hidden,
        "resources": [_resource(name, files[f"{name}.csv"]) for name in draft.tables],
    }


def _resource(name: str, content: bytes) -> dict[str, Any]:
    table = form.TABLES[name]
    return {
        "profile": "tabular-data-resource",
        "name": name,
        "path": f"{name}.csv",
        "description": f"One row is {table.what}.",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(content),
        "hash": f"sha256:{hashlib.sha256(content).hexdigest()}",
        "schema": {
            "fields": [_field(field) for field in table.fields],
            "missingValues": [""],
        },
    }


def _field(field: form.Field) -> dict[str, Any]:
    made: dict[str, Any] = {"name": field.name, "type": TYPES[field.kind], "description": field.help}
    if field.words:
        made["constraints"] = {"enum": list(field.words)}
    elif field.kind != "text":
        made["constraints"] = {"maximum": int(field.most)}
    return made
