"""The record clause by clause against the texts of the regulations.

Sources: The Veterinary Medicines Regulations 2013 (SI 2013/2033), regulations 17 and 19(1) and (2) as at 1 October 2013
(legislation.gov.uk, seen); 19(3), disposal, and the five years as the agriculture department of Northern Ireland words
them on its page on animal medicines (seen); Regulation (EU) 2019/6, Article 108(2)(a) to (i) and (5) (seen). Of the
amendments of 2024 to the former (SI 2024/567) the list of contents was seen: it names neither regulation 17 nor 19.
"""

import csv
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest

from kit.constants.law import REGULATIONS
from kit.records.load import load
from kit.records.records import Records
from kit.season.medicine.record import medicine_record


class Clause(NamedTuple):
    """What a clause asks for, the cell of the sheets that holds it, and what the record says when it is empty.

    `said` is empty where a row without it cannot be in the record at all: it is set aside with its reason.
    """

    text: str
    entry: str
    sheet: str
    column: str
    said: str


BOUGHT, GIVEN, GONE = "acquisition", "administration", "disposal"
UK = (
    Clause("17 proof of purchase", BOUGHT, "medicines", "evidence", "proof of purchase"),
    Clause("19(1)(a) name of the product", BOUGHT, "medicines", "product", ""),
    Clause("19(1)(a) and batch number", BOUGHT, "medicines", "batch", "batch"),
    Clause("19(1)(b) date of acquisition", BOUGHT, "medicines", "date", ""),
    Clause("19(1)(c) quantity acquired", BOUGHT, "medicines", "quantity", "quantity bought"),
    Clause("19(1)(d) name of the supplier", BOUGHT, "medicines", "supplier", "supplier"),
    Clause("19(1)(d) and address", BOUGHT, "medicines", "supplier_address", "supplier's address"),
    Clause("19(2)(a) name of the product", GIVEN, "treatments", "product", "name of the product"),
    Clause("19(2)(b) date of administration", GIVEN, "treatments", "date", ""),
    Clause("19(2)(c) quantity administered", GIVEN, "treatments", "dose", "quantity given"),
    Clause("19(2)(d) withdrawal period", GIVEN, "labels", "withdrawal_days", "withdrawal period, even when it is zero"),
    Clause("19(2)(e) identification of the animals", GIVEN, "apiaries", "hives", "which or how many hives"),
    Clause("19(3)(a) date of disposal", GONE, "medicines", "date", ""),
    Clause("19(3)(b) quantity of product involved", GONE, "medicines", "quantity", "quantity disposed of"),
    Clause("19(3)(c) how it was disposed of", GONE, "medicines", "how_disposed", "how it was disposed of"),
    Clause("19(3)(c) and where", GONE, "medicines", "where_disposed", "where it was disposed of"),
)
EU = (
    Clause("108(2)(a) date of the first administration", GIVEN, "treatments", "date", ""),
    Clause("108(2)(b) name of the product", GIVEN, "treatments", "product", "name of the product"),
    Clause("108(2)(c) quantity administered", GIVEN, "treatments", "dose", "quantity given"),
    Clause("108(2)(d) name of the supplier", GIVEN, "medicines", "supplier", "supplier"),
    Clause("108(2)(d) and address", GIVEN, "medicines", "supplier_address", "supplier's address"),
    Clause("108(2)(e) evidence of acquisition", GIVEN, "medicines", "evidence", "proof of purchase"),
    Clause("108(2)(f) identity of the animals or the group", GIVEN, "apiaries", "hives", "which or how many hives"),
    Clause("108(2)(g) the vet who prescribed it, if any", GIVEN, "medicines", "prescriber", "who prescribed it"),
    Clause(
        "108(2)(h) withdrawal period, even zero",
        GIVEN,
        "labels",
        "withdrawal_days",
        "withdrawal period, even when it is zero",
    ),
    Clause("108(2)(i) duration of the treatment", GIVEN, "treatments", "removed", "last day of the treatment"),
)
LAWS = {"gb": UK, "eu": EU}

SHEETS: dict[str, list[dict[str, str]]] = {
    "settings": [{"setting": "season_start", "value": "2025-04-01"}],
    "apiaries": [{"apiary": "MEADOW", "hives": "10", "mites_notified": "2021-05-01"}],
    "labels": [{"product": "strips", "authorised": "vet", "withdrawal_days": "0"}],
    "treatments": [
        {
            "date": "2025-08-20", "apiary": "MEADOW", "colonies": "all", "treatment": "amitraz strips",
            "product": "strips", "batch": "B1", "dose": "2", "unit": "strips", "removed": "2025-10-01",
        }
    ],
    "medicines": [
        {
            "date": "2025-06-14", "event": "bought", "product": "strips", "active": "amitraz", "batch": "B1",
            "quantity": "40", "unit": "strips", "supplier": "a supplier", "supplier_address": "their address",
            "evidence": "receipt 7", "prescriber": "a vet", "how_disposed": "", "where_disposed": "",
        },
        {
            "date": "2025-11-02", "event": "disposed", "product": "strips", "active": "amitraz", "batch": "B1",
            "quantity": "20", "unit": "strips", "supplier": "", "supplier_address": "", "evidence": "",
            "prescriber": "", "how_disposed": "given back", "where_disposed": "a pharmacy",
        },
    ],
}  # fmt: skip
"""Strips bought on a prescription, given and disposed of, with all that any of the laws asks for."""


def _read(folder: Path, law: str, lacking: Clause | None = None) -> Records:
    for name, rows in SHEETS.items():
        written = [dict(row) for row in rows]
        if name == "settings":
            written.append({"setting": "jurisdiction", "value": law})
        if lacking is not None and name == lacking.sheet:
            written[1 if lacking.entry == GONE else 0][lacking.column] = ""
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            out = csv.DictWriter(file, list(written[0]))
            out.writeheader()
            out.writerows(written)
    return load(folder, today=date(2026, 3, 1))


def _missing(records: Records, entry: str) -> list[str]:
    lines = medicine_record(records).lines
    return [part for text in lines.loc[lines["entry"] == entry, "missing"] for part in text.split("; ") if part]


@pytest.mark.parametrize("law", REGULATIONS)
def test_a_record_that_holds_all_of_it_lacks_nothing_and_is_complete(tmp_path: Path, law: str) -> None:
    records = _read(tmp_path, law)
    assert [_missing(records, entry) for entry in (BOUGHT, GIVEN, GONE)] == [[], [], []]
    assert medicine_record(records).facts["complete"]


@pytest.mark.parametrize(("law", "clause"), [(law, clause) for law, clauses in LAWS.items() for clause in clauses])
def test_what_a_clause_asks_for_is_named_as_missing_when_it_is_not_written(
    tmp_path: Path, law: str, clause: Clause
) -> None:
    records = _read(tmp_path, law, clause)
    if clause.said:
        assert clause.said in _missing(records, clause.entry)
        assert not medicine_record(records).facts["complete"]
    else:
        told = records.problems[records.problems["column"] == clause.column]
        assert told["problem"].str.contains("not recorded; the row is set aside").tolist() == [True]


@pytest.mark.parametrize("entry", [BOUGHT, GIVEN, GONE])
def test_northern_ireland_asks_what_great_britain_asks_and_where_no_law_is_known_both_are_asked(entry: str) -> None:
    asked = {law: set(regulation.fields(entry)) for law, regulation in REGULATIONS.items()}
    assert asked["ni"] == asked["gb"]
    assert asked["other"] == asked["gb"] | asked["eu"]


@pytest.mark.parametrize("law", LAWS)
def test_it_is_kept_five_years_from_administration_or_disposal_and_bought_as_long_as_the_last_of_it(
    tmp_path: Path, law: str
) -> None:
    lines = medicine_record(_read(tmp_path, law)).lines.set_index("entry")
    kept = {entry: f"{day:%Y-%m-%d}" for entry, day in lines["keep_until"].dropna().items()}
    assert (kept[GIVEN], kept[GONE]) == ("2030-10-01", "2030-11-02")
    assert "five years from the administration or disposal" in lines.loc[BOUGHT, "keep_rule"]
