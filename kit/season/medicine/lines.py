"""The lines of the medicine record: purchases, administrations and disposals, with corrected lines struck through."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.constants.law import KEEP_YEARS, PRESCRIBED_ONLY, REGULATIONS, Field, Regulation
from kit.constants.treatment_words import NO_MEDICINE, TAKEN_OUT
from kit.records.corrections import Corrections, corrections, rows_by_place
from kit.records.words import TREATMENTS
from kit.season.rounds import done_of_day
from kit.season.units import colonies_named

if TYPE_CHECKING:
    from kit.records.records import Records

Row = Mapping[str, Any]

AUTHORISED, PRESCRIBED, NOT_A_MEDICINE = "authorised", "prescribed by a vet", "not an authorised medicine"
NOT_READ, NO_PRODUCT = "label not read", "product not recorded"
IN_FORCE, STRUCK = "in force", "struck through"
_BY_LABEL = {"yes": AUTHORISED, "vet": PRESCRIBED, "no": NOT_A_MEDICINE}

_UNTIL_REMOVED = frozenset(TAKEN_OUT)

DATES = ("date", "date_end", "written_on", "withdrawal_end", "expiry", "keep_until", "struck_on")
NUMBERS = ("hives", "round", "dose", "quantity", "withdrawal_days", "cost", "from_row")
COLUMNS = {
    "entry": "acquisition, administration or disposal",
    "status": "in force, or struck through by a later correction (kept, not counted)",
    "date": "day it was bought, given (first day) or disposed of",
    "date_end": "last day of a treatment; empty while strips or trays are in",
    "written_on": "day the line was written, empty when not recorded",
    "apiary": "apiary of the animals treated",
    "colonies": "colonies treated: all, or their ids separated by ;",
    "hives": "how many hives were treated",
    "treatment": "treatment word",
    "round": "number of the round",
    "product": "name of the product",
    "active": "active substance",
    "medicine": "authorised, prescribed by a vet, not an authorised medicine, label not read, or product not recorded",
    "batch": "batch",
    "expiry": "expiry date of the batch, from its purchase",
    "dose": "dose of one hive, in dose_unit",
    "dose_unit": "unit of the dose as recorded",
    "quantity": "quantity bought, given in all, or disposed of, in unit",
    "unit": "unit of the quantity",
    "withdrawal_days": "withdrawal period by the label [days]; empty for what is not an authorised medicine",
    "withdrawal_end": "last day of the withdrawal period",
    "supers_on": "whether supers were on",
    "prescriber": "who prescribed it",
    "supplier": "supplier; of an administration, from the purchase of its batch",
    "supplier_address": "the supplier's address",
    "evidence": "where the proof of purchase lies",
    "cost": "cost, in the operation's currency",
    "how_disposed": "how it was disposed of",
    "where_disposed": "where it was disposed of",
    "keep_until": "day until which the line is kept; of a purchase, empty until its batch is used up",
    "keep_rule": "the rule behind keep_until",
    "after_expiry": "yes when the batch was used after its expiry date",
    "missing": "what the regulation asks for and the records do not hold, separated by ;",
    "where_to_find": "where it can be found, separated by ;",
    "corrects": "the line this one corrects, as written",
    "struck_on": "day the correction was written",
    "corrected_by": "the line that corrects this one",
    "notes": "notes",
    "from_file": "sheet the line came from",
    "from_row": "its row in that sheet",
}
"""Columns of the record and what each holds."""

_WEIGHTS = {
    "kg": ("g", 1000.0),
    "mg": ("g", 0.001),
    "l": ("ml", 1000.0),
    "litre": ("ml", 1000.0),
    "litres": ("ml", 1000.0),
}
_PIECES = {"strip": "strips", "tray": "trays", "gram": "g", "grams": "g"}


@dataclass(frozen=True)
class Sheets:
    """What a line of the record leans on beside its own row."""

    records: Records
    regulation: Regulation
    labels: Mapping[str, Row]
    bought: Mapping[tuple[str, str], Row]
    done: Mapping[tuple[str, pd.Timestamp], float]
    spoons: Mapping[str, float]

    @classmethod
    def of(cls, records: Records) -> Sheets:
        """From the records."""
        tables = records.tables
        labels = rows_by_place(tables["labels"].sort_values("read_on", kind="stable", na_position="first")).values()
        medicines = tables["medicines"].drop(index=list(corrections(tables["medicines"]).struck_by))
        bought = medicines[medicines["event"] == "bought"].sort_values("date", kind="stable")
        gear = rows_by_place(tables["gear"].dropna(subset=["spoon_g"])).values()
        return cls(
            records,
            REGULATIONS[records.settings.jurisdiction],
            {_key(row["product"]): row for row in labels},
            {(_key(row["product"]), _key(row["batch"])): row for row in rows_by_place(bought).values() if row["batch"]},
            done_of_day(records),
            {str(row["item"]): float(row["spoon_g"]) for row in gear},
        )

    def medicine(self, product: str) -> str:
        """Whether a product is an authorised medicine, in words."""
        if not product:
            return NO_PRODUCT
        return _BY_LABEL.get(str(self.labels.get(_key(product), {}).get("authorised", "")), NOT_READ)


def record_lines(sheets: Sheets) -> pd.DataFrame:
    """All lines by date, one for each purchase, disposal and administration; columns `COLUMNS`."""
    treatments, medicines = sheets.records.tables["treatments"], sheets.records.tables["medicines"]
    given = treatments[~treatments["treatment"].isin(NO_MEDICINE) | (treatments["product"] != "")]
    rows = _lines(given, corrections(treatments), sheets, _administration)
    rows += _lines(medicines, corrections(medicines), sheets, _delivery)
    lines = typed(pd.DataFrame(rows, columns=list(COLUMNS)))
    lines["keep_until"] = _kept_until(lines)
    order = ["date", "entry", "apiary", "product", "from_file", "from_row"]
    return lines.sort_values(order, kind="stable", ignore_index=True)[list(COLUMNS)]


def typed(lines: pd.DataFrame) -> pd.DataFrame:
    """With dates as dates, numbers as numbers and all else as text."""
    dates = {name: pd.to_datetime(lines[name]).astype("datetime64[us]") for name in DATES}
    numbers = {name: pd.to_numeric(lines[name]).astype("float64") for name in NUMBERS}
    text = {name: lines[name].astype("str") for name in COLUMNS if name not in DATES and name not in NUMBERS}
    return lines.assign(**dates, **numbers, **text)


def measured(quantity: float, unit: str) -> tuple[float, str]:
    """A quantity in the unit that stock is kept in: g, ml, or pieces by their name."""
    name = unit.strip().casefold()
    base, factor = _WEIGHTS.get(name, (_PIECES.get(name, name), 1.0))
    return quantity * factor, base


def _lines(
    table: pd.DataFrame, found: Corrections, sheets: Sheets, line: Callable[[Row, Sheets], dict[str, Any]]
) -> list[dict[str, Any]]:
    rows = rows_by_place(table)
    made = []
    for place, row in rows.items():
        by = found.struck_by.get(place)
        made.append(line(row, sheets) | _standing(rows.get(by) if by is not None else None))
        if by is None:
            made[-1] |= _missing(made[-1], sheets.regulation)
    return made


def _standing(by: Row | None) -> dict[str, Any]:
    if by is None:
        return {"status": IN_FORCE, "struck_on": pd.NaT, "corrected_by": "", "missing": "", "where_to_find": ""}
    said = f"{by['from_file']} row {int(by['from_row'])}"
    return {"status": STRUCK, "struck_on": by["written_on"], "corrected_by": said, "missing": "", "where_to_find": ""}


def _administration(row: Row, sheets: Sheets) -> dict[str, Any]:
    product = str(row["product"])
    label = sheets.labels.get(_key(product), {})
    purchase = sheets.bought.get((_key(product), _key(row["batch"])), {})
    medicine, hives = sheets.medicine(product), _hives(row, sheets)
    quantity, unit = _given(row, hives, sheets.spoons)
    last, days = _last_day(row), _withdrawal(label, medicine)
    expiry = purchase.get("expiry", pd.NaT)
    return {
        **_own(row, "written_on apiary colonies treatment round product batch dose supers_on corrects notes"),
        **{name: purchase.get(name, "") for name in ("supplier", "supplier_address", "evidence", "prescriber")},
        "entry": "administration", "date": row["date"], "date_end": last, "hives": hives, "medicine": medicine,
        "active": label.get("active", "") or purchase.get("active", ""), "expiry": expiry,
        "dose_unit": row["unit"], "quantity": quantity, "unit": unit,
        "withdrawal_days": days, "withdrawal_end": _days_after(last, days),
        "cost": math.nan, "how_disposed": "", "where_disposed": "", "keep_rule": sheets.regulation.keep_rule,
        "after_expiry": "" if pd.isna(expiry) else "yes" if row["date"] > expiry else "no",
        **_own(row, "from_file from_row"),
    }  # fmt: skip


def _delivery(row: Row, sheets: Sheets) -> dict[str, Any]:
    product = str(row["product"])
    label = sheets.labels.get(_key(product), {})
    bought = row["event"] == "bought"
    rule = f"until {sheets.regulation.keep_rule} of the last of it" if bought else sheets.regulation.keep_rule
    quantity, unit = measured(float(row["quantity"]), str(row["unit"]))
    shared = "date written_on product batch expiry supplier supplier_address evidence cost prescriber"
    return {
        **_own(row, shared),
        **_own(row, "how_disposed where_disposed corrects from_file from_row"), "notes": row.get("notes", ""),
        **dict.fromkeys(("apiary", "colonies", "treatment", "dose_unit", "supers_on"), ""),
        **dict.fromkeys(("hives", "round", "dose", "withdrawal_days"), math.nan),
        "entry": "acquisition" if bought else "disposal", "medicine": sheets.medicine(product),
        "active": row["active"] or label.get("active", ""), "quantity": quantity, "unit": unit,
        "date_end": pd.NaT, "withdrawal_end": pd.NaT, "keep_rule": rule, "after_expiry": "",
    }  # fmt: skip


def _hives(row: Row, sheets: Sheets) -> float:
    """Hives treated: those named, else those done by its line of the log or that of the day, else those standing."""
    if named := colonies_named(str(row["colonies"])):
        return float(len(set(named)))
    told = sheets.done.get((row["apiary"], row["date"]), float(row["done"]))
    if not math.isnan(told):
        return told
    standing = sheets.records.hives(str(row["apiary"]), row["date"].date())
    return math.nan if standing is None else float(standing)


def _given(row: Row, hives: float, spoons: Mapping[str, float]) -> tuple[float, str]:
    """Quantity given and its unit; a spoon counts by what it holds where `gear` says so."""
    dose, unit = float(row["dose"]), str(row["unit"])
    if unit == "spoon" and str(row["sublimator"]) in spoons:
        dose, unit = dose * spoons[str(row["sublimator"])], "g"
    return measured(dose * hives, unit)


def _last_day(row: Row) -> pd.Timestamp:
    """Last day of the treatment: the day itself, or the day it came out; NaT while it is in."""
    waits = row["treatment"] in _UNTIL_REMOVED or row["treatment"] not in TREATMENTS
    return row["removed"] if waits or not pd.isna(row["removed"]) else row["date"]  # type: ignore[no-any-return]


def _withdrawal(label: Row, medicine: str) -> float:
    """The label's withdrawal period; none is made up for a substance that is not an authorised medicine."""
    return float(label["withdrawal_days"]) if medicine in (AUTHORISED, PRESCRIBED) else math.nan


def _days_after(day: pd.Timestamp, days: float) -> pd.Timestamp:
    return pd.NaT if pd.isna(day) or math.isnan(days) else day + pd.Timedelta(days=days)  # type: ignore[return-value]


def _missing(line: dict[str, Any], regulation: Regulation) -> dict[str, str]:
    lacking = [one for one in regulation.fields(line["entry"]) if _asked(one, line) and _empty(line[one.column])]
    return {
        "missing": "; ".join(one.title for one in lacking),
        "where_to_find": "; ".join(dict.fromkeys(one.where for one in lacking)),
    }


def _asked(field: Field, line: Row) -> bool:
    """Whether the line must hold the field: no withdrawal period without a medicine, no prescriber without a vet."""
    if field.column == "withdrawal_days":
        return bool(line["medicine"] != NOT_A_MEDICINE)
    return field.column not in PRESCRIBED_ONLY or line["medicine"] == PRESCRIBED


def _empty(value: Any) -> bool:
    return value == "" or bool(pd.isna(value))


def _kept_until(lines: pd.DataFrame) -> pd.Series:
    """Five years from administration or disposal; a purchase, once its batch is used up, as long as the last of it."""
    gone = lines["entry"] != "acquisition"
    last = lines["date_end"].fillna(lines["date"]).where(gone)
    own = last.map(lambda day: pd.NaT if pd.isna(day) else _years_on(day))
    counts = (lines["status"] == IN_FORCE) & (lines["batch"] != "")
    batch = [lines[name].str.casefold() for name in ("product", "batch", "unit")]
    left = lines["quantity"].where(~gone, -lines["quantity"]).where(counts, 0.0).groupby(batch).transform(sum_known)
    latest = own.where(counts & gone).groupby(batch).transform("max").where(left <= 0)
    return pd.to_datetime(own.where(gone, latest)).astype("datetime64[us]")


def sum_known(values: pd.Series) -> float:
    """The sum, NaN as soon as one of them is not recorded."""
    return float(values.sum(skipna=False))


def _years_on(day: pd.Timestamp) -> pd.Timestamp:
    """The same day `KEEP_YEARS` later; 1 March for 29 February, never a day short."""
    later = day + pd.DateOffset(years=int(KEEP_YEARS.value))
    return later + pd.Timedelta(days=1) if later.day != day.day else later


def _own(row: Row, names: str) -> dict[str, Any]:
    return {name: row[name] for name in names.split()}


def _key(text: Any) -> str:
    return str(text).strip().casefold()
