"""The medicine record as a page that prints on A4: entries with what each lacks, stock, withdrawal, notices, gaps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from kit.records.records import Records
from kit.records.season import MonthDay, label_on
from kit.report.cautions import deference
from kit.report.charts.phrases import NOT_RECORDED, day
from kit.report.export import Link, Sheet, render
from kit.report.medicine_batches import batches
from kit.report.medicine_entries import HEADS, Entry, entry_of
from kit.report.show import Listed
from kit.report.tables import Table, show
from kit.report.words.phrases import a_count, capital, listed, stop
from kit.report.worklist import made, season_name, standing
from kit.season.findings import Findings
from kit.season.medicine.lines import STRUCK
from kit.season.medicine.record import MedicineRecord

LAW_DECIDES = "The law in force and the inspector decide what is enough; this page shows what the sheets hold"
KINDS = {
    "administration": ("What was given?", "A treatment given", "No treatment is recorded."),
    "acquisition": ("What was bought?", "A purchase", "No purchase is recorded."),
    "disposal": ("What was disposed of?", "A disposal", "No disposal is recorded."),
}
"""Kind of entry to its heading, what one row is, and what is said when there is none."""

NOUNS = {
    "administration": ("treatment given", "treatments given"),
    "acquisition": ("purchase", "purchases"),
    "disposal": ("disposal", "disposals"),
}
"""Kind of entry to what one is, and what several are."""


@dataclass(frozen=True)
class Block:
    """The entries of one kind, or of one season of a kind."""

    heading: str
    caption: str
    heads: tuple[str, ...]
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Part:
    """A question of the page and what answers it: blocks of entries, or a table already drawn."""

    anchor: str
    heading: str
    blocks: tuple[Block, ...] = ()
    body: str = ""


def medicine_page(records: Records, record: MedicineRecord, today: str) -> str:
    """The whole record: corrections struck through and dated, nothing left out.

    Parameters
    ----------
    records : Records
        What it was made from.
    record : MedicineRecord
        Of those records.
    today : str
        Day of the run, ISO.
    """
    findings = Findings({}, {}, record.tables | {"open_points": record.open_points})
    products = Findings({}, {}, {"medicine_batches": batches(record)})
    first = Part("products", "What became of each product and batch?", body=_whole(products, "medicine_batches"))
    drawn = {
        "gaps": ("What is missing, and where is it?", _whole(findings, "open_points")),
        "limits": ("Was anything outside its label?", _whole(findings, "label_breaches")),
        "notices": ("What was notified, and where was a standstill?", _notices(records)),
        "cautions": ("Who decides?", Listed([], "cautions", _decide(records))._repr_html_()),
    }
    parts = [first, *(_part(kind, record.lines, records) for kind in KINDS)]
    parts += [Part(anchor, heading, body=body) for anchor, (heading, body) in drawn.items()]
    return _render("Medicine record", records, _in_short(record, records), parts, today)


def history_page(records: Records, record: MedicineRecord, lines: pd.DataFrame, of: str, today: str) -> str:
    """What one colony or apiary was given, to go along when it is sold; `of` names it, such as `colony M3`."""
    facts = record.facts
    struck = int((lines["status"] == STRUCK).sum())
    short = [
        f"{capital(a_count(len(lines) - struck, 'treatment'))} of {of} by {day(pd.Timestamp(records.as_of))}",
        f"Follows {facts['follows']}",
        "A colony treated with others is listed with how sure it is that it was one of them",
        LAW_DECIDES,
    ]
    parts = [
        _part("administration", lines, records),
        Part("cautions", "Who decides?", body=Listed([], "cautions", _decide(records))._repr_html_()),
    ]
    return _render(f"Medicines given: {of}", records, [stop(said) for said in short], parts, today)


def _render(title: str, records: Records, said: Sequence[str], parts: Sequence[Part], today: str) -> str:
    keeper = records.settings.keeper or "Keeper not recorded"
    links = [Link("All apiaries", "index.html")]
    sheet = Sheet(title, keeper, standing(records), "", links, made(records, today))
    return render("medicine.html.j2", sheet, whole=said, parts=parts)


def _decide(records: Records) -> str:
    return f"{stop(LAW_DECIDES)} {deference(records.settings.jurisdiction)}"


def _in_short(record: MedicineRecord, records: Records) -> list[str]:
    facts = record.facts
    because = listed([str(reason) for reason in facts["incomplete_because"]])
    state = (
        "Nothing that the rules ask for is missing from these lines"
        if facts["complete"]
        else f"Not complete: {because}"
    )
    struck = f"; {a_count(facts['struck'], 'line')} struck through by a correction and kept" * bool(facts["struck"])
    said = [
        f"{state}",
        f"{capital(a_count(facts['lines'], 'line'))} in force: {_by_kind(record.lines)}{struck}",
        _withdrawal(record.lines, records),
        f"Follows {facts['follows']}",
        f"Each line is kept for {facts['keep_rule']}",
        LAW_DECIDES,
    ]
    return [capital(stop(line)) for line in said]


def _by_kind(lines: pd.DataFrame) -> str:
    live = lines[lines["status"] != STRUCK]["entry"].value_counts()
    return listed([a_count(int(live.get(kind, 0)), *NOUNS[kind]) for kind in KINDS])


def _withdrawal(lines: pd.DataFrame, records: Records) -> str:
    """Where honey may not be taken yet, and where that is not known."""
    live = lines[(lines["status"] != STRUCK) & (lines["entry"] == "administration")]
    running = live[live["withdrawal_end"] >= pd.Timestamp(records.as_of)]
    ends = running.groupby("apiary")["withdrawal_end"].max()
    if ends.empty:
        return "No withdrawal period that is known runs on this day"
    until = [f"{apiary} until {day(end)}" for apiary, end in ends.items()]
    return f"A withdrawal period runs at {listed(until, most=12)}"


def _part(kind: str, lines: pd.DataFrame, records: Records) -> Part:
    heading, caption, nothing = KINDS[kind]
    mine = lines[lines["entry"] == kind]
    first = MonthDay(records.season.start.month, records.season.start.day)
    seasons = mine["date"].map(lambda on: label_on(on.date(), first))
    blocks = tuple(
        Block(f"Season {season_name(int(label))}", caption, HEADS[kind], tuple(map(entry_of, part.to_dict("records"))))
        for label, part in sorted(mine.groupby(seasons), reverse=True)
    )
    return Part(kind, heading, blocks, "" if blocks else f'<p class="note">{nothing}</p>')


def _whole(findings: Findings, name: str) -> str:
    """A table with every row open: what is folded away is not printed."""
    table = show(findings, name)
    return table.html(table.rows) if isinstance(table, Table) else table._repr_html_()


def _notices(records: Records) -> str:
    told = [
        {"apiary": row["apiary"], "kind": "mites notified", "date": day(row["mites_notified"]), "notes": ""}
        for row in records.tables["apiaries"].to_dict("records")
    ]
    told += [
        {"apiary": _places(row), "kind": row["kind"], "date": day(row["date"]), "notes": row["notes"]}
        for row in records.tables["events"].to_dict("records")
        if row["kind"] in ("standstill", "standstill lifted", "inspector")
    ]
    findings = Findings({}, {}, {"notices": pd.DataFrame(told)})
    return _whole(findings, "notices")


def _places(row: Mapping[Any, Any]) -> str:
    return ", ".join(place for place in (row["from"], row["to"]) if place) or NOT_RECORDED
