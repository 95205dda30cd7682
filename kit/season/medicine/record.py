"""The medicine record: a pure function of the sheets. The law, the label and the inspector decide what is enough.

Tables that it hands over (what each column holds stands in one dict beside the code that fills it):

- `medicine_record`: the lines, see `kit.season.medicine.lines.COLUMNS`; all seasons up to `as_of`, oldest first. A
  line that was corrected stays, with status "struck through"; show it so, with `struck_on` and `corrected_by`.
- `medicine_stock`: what is left of every batch, see `kit.season.medicine.stock.COLUMNS`.
- `label_breaches`: once for each product, season and limit, see `kit.season.medicine.limits`.

Left out: purchases that are not written down, what a spoon spills, and the amendments named in the facts as unread.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.constants.law import COLUMN_OF_TITLE, NOTIFIABLE
from kit.records.corrections import corrections
from kit.season.medicine.limits import label_breaches
from kit.season.medicine.lines import IN_FORCE, NOT_A_MEDICINE, NOT_READ, STRUCK, Sheets, record_lines
from kit.season.medicine.stock import stock

if TYPE_CHECKING:
    from kit.records.records import Records

OPEN_COLUMNS = ("apiary", "kind", "what", "since", "remedy")


@dataclass(frozen=True)
class MedicineRecord:
    """The record, its stock and what is wrong with it.

    Parameters
    ----------
    lines, stock, breaches : DataFrame
        The tables `medicine_record`, `medicine_stock` and `label_breaches`.
    open_points : DataFrame
        Gaps as `apiary, kind, what, since, remedy`; kinds record gap, label unread, expired batch, notice.
    facts : mapping
        JSON values: `jurisdiction`, `follows` (regulation and version), `source` (key), `keep_rule`, `complete`
        (bool), `incomplete_because` (list of reasons as phrases), `lines`, `struck`, `unauthorised` (products used or
        bought that are not authorised medicines), `unread` (products whose label was not read), `breaches` (phrases).
    """

    lines: pd.DataFrame
    stock: pd.DataFrame
    breaches: pd.DataFrame
    open_points: pd.DataFrame
    facts: Mapping[str, Any]

    @property
    def tables(self) -> dict[str, pd.DataFrame]:
        """Its tables by the names they carry in the review."""
        return {"medicine_record": self.lines, "medicine_stock": self.stock, "label_breaches": self.breaches}


def medicine_record(records: Records) -> MedicineRecord:
    """The record of everything bought, given and disposed of up to `as_of`, with its gaps."""
    sheets = Sheets.of(records)
    lines = record_lines(sheets)
    batches = stock(lines, records.as_of)
    breaches = label_breaches(records)
    points = [*_gaps(lines), *_labels_unread(lines), *_lost_corrections(records), *_stock_points(batches, records)]
    table = _points([*points, *_notices(records)])
    facts = _facts(sheets, lines, breaches, _reasons(lines, points))
    return MedicineRecord(lines, batches, breaches, table, facts)


def _gaps(lines: pd.DataFrame) -> list[dict[str, Any]]:
    """One point for each apiary, kind of line and set of missing things."""
    short = lines[lines["missing"] != ""]
    things = pd.Series([_own_gaps(row) for row in short.to_dict("records")], short.index, dtype="str")
    subject = short["treatment"].where(short["entry"] == "administration", short["product"])
    short = short.assign(things=things, subject=subject)
    found = []
    for (apiary, entry, missing), part in short[things != ""].groupby(["apiary", "entry", "things"], sort=True):
        what = f"{_joined(str(missing).split('; '))} not recorded: {_counted(part, str(entry))}"
        found.append(_point(str(apiary), "record gap", what, part["date"].min(), _REMEDIES[str(entry)]))
    return found


_REMEDIES = {
    "acquisition": "complete the row of `medicines` from the receipt and the tub",
    "administration": "complete or add the rows of `treatments` from the tub and the notebook of those days",
    "disposal": "complete the row of `medicines` from the note of where it went",
}
_FOLLOW_PRODUCT = frozenset({"withdrawal_days", "supplier", "supplier_address", "evidence", "prescriber"})


def _own_gaps(row: Mapping[Hashable, Any]) -> str:
    """What a line lacks of its own; what comes with the product or with its label is told where that is missing."""
    missing = str(row["missing"])
    if row["product"] == "" and row["entry"] == "administration":
        missing = _without(missing, _FOLLOW_PRODUCT)
    return _without(missing, frozenset({"withdrawal_days"})) if row["medicine"] == NOT_READ else missing


def _without(missing: str, columns: frozenset[str]) -> str:
    return "; ".join(title for title in missing.split("; ") if COLUMN_OF_TITLE.get(title) not in columns)


def _counted(part: pd.DataFrame, entry: str) -> str:
    kind = {"acquisition": "purchase", "administration": "line", "disposal": "disposal"}[entry]
    subjects = [name for name in sorted(set(part["subject"])) if name] or ["a product without a name"]
    return f"{len(part)} {kind}{'' if len(part) == 1 else 's'} of {_joined(subjects)}"


def _labels_unread(lines: pd.DataFrame) -> list[dict[str, Any]]:
    unread = lines[(lines["status"] == IN_FORCE) & (lines["medicine"] == NOT_READ)]
    return [
        _point(
            "", "label unread", f"label of {product}: its limits and withdrawal period are not known",
            part["date"].min(), "read the label in force and write it as a row of `labels`, with `authorised`",
        )
        for product, part in unread.groupby("product", sort=True)
    ]  # fmt: skip


def _lost_corrections(records: Records) -> list[dict[str, Any]]:
    points = []
    for name in ("treatments", "medicines"):
        table = records.tables[name]
        for place, why in corrections(table).lost.items():
            row = table.loc[place].to_dict()
            what = f"correction in {row['from_file']} row {int(row['from_row'])}: {why}"
            remedy = "name the line by its row in the same file, or by its date and apiary or product"
            points.append(_point(str(row.get("apiary", "")), "record gap", what, row["date"], remedy))
    return points


def _stock_points(batches: pd.DataFrame, records: Records) -> list[dict[str, Any]]:
    points = []
    for row in batches.to_dict("records"):
        name = f"{row['product']}, batch {row['batch'] or 'not recorded'}"
        if row["expired"] == "yes" and not row["balance"] <= 0:
            left = "an unknown rest" if pd.isna(row["balance"]) else f"{row['balance']:.4g} {row['unit']}"
            what = f"{left} of {name} past its expiry date"
            points.append(_point("", "expired batch", what, row["expiry"], "dispose of it and record how and where"))
        if row["note"].startswith("more given"):
            since = pd.Timestamp(records.season.start) if pd.isna(row["last_given"]) else row["last_given"]
            remedy = "compare the receipts with the doses of that batch"
            points.append(_point("", "record gap", f"{name}: {row['note']}", since, remedy))
    return points


def _notices(records: Records) -> list[dict[str, Any]]:
    """Apiaries whose mites were not notified, where the law asks for one notice for each place."""
    if records.settings.jurisdiction not in NOTIFIABLE:
        return []
    sheet = records.tables["apiaries"]
    waiting = sheet.loc[sheet["mites_notified"].isna(), "apiary"]
    remedy = "report the mites of this place to the bee inspectorate once, and write the day as `mites_notified`"
    return [_point(str(apiary), "notice", "notice of mites not recorded", pd.NaT, remedy) for apiary in waiting]


def _reasons(lines: pd.DataFrame, points: list[dict[str, Any]]) -> list[str]:
    """Why the record cannot be called complete."""
    live = lines[lines["status"] == IN_FORCE]
    reasons = [f"{name} is not an authorised medicine" for name in _products(live, NOT_A_MEDICINE)]
    reasons += [f"the label of {name} was not read" for name in _products(live, NOT_READ)]
    short = int((live["missing"] != "").sum())
    if short:
        reasons.append(f"{short} of {len(live)} lines lack something that the regulation asks for")
    lost = sum("correction in" in point["what"] for point in points)
    if lost:
        reasons.append(f"{lost} correction{'' if lost == 1 else 's'} could not be placed")
    expired = int((live["after_expiry"] == "yes").sum())
    if expired:
        reasons.append(f"{expired} line{'' if expired == 1 else 's'} used a batch after its expiry date")
    return reasons or ([] if len(live) else ["nothing bought, given or disposed of is recorded"])


def _facts(sheets: Sheets, lines: pd.DataFrame, breaches: pd.DataFrame, reasons: list[str]) -> dict[str, Any]:
    live = lines[lines["status"] == IN_FORCE]
    return {
        "jurisdiction": sheets.records.settings.jurisdiction,
        "follows": sheets.regulation.title,
        "source": sheets.regulation.source,
        "keep_rule": sheets.regulation.keep_rule,
        "complete": not reasons,
        "incomplete_because": reasons,
        "lines": len(live),
        "struck": int((lines["status"] == STRUCK).sum()),
        "unauthorised": _products(live, NOT_A_MEDICINE),
        "unread": _products(live, NOT_READ),
        "breaches": [f"season {row['season']}: {row['what']}" for row in breaches.to_dict("records")],
    }


def _products(lines: pd.DataFrame, medicine: str) -> list[str]:
    return sorted(set(lines.loc[lines["medicine"] == medicine, "product"]) - {""})


def _points(points: list[dict[str, Any]]) -> pd.DataFrame:
    table = pd.DataFrame(points, columns=list(OPEN_COLUMNS))
    table = table.astype(dict.fromkeys(OPEN_COLUMNS, "str") | {"since": "datetime64[us]"})
    return table.sort_values(["apiary", "kind", "since", "what"], kind="stable", ignore_index=True)


def _point(apiary: str, kind: str, what: str, since: Any, remedy: str) -> dict[str, Any]:
    return dict(zip(OPEN_COLUMNS, (apiary, kind, what, since, remedy), strict=True))


def _joined(things: list[str]) -> str:
    """A list as one reads it."""
    return things[0] if len(things) == 1 else f"{', '.join(things[:-1])} and {things[-1]}"
