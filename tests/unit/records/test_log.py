"""The log expanded, as `What settles doubts` of the record sheets says."""

import numpy as np
import pandas as pd
import pytest

from kit.records.records import Records

from .conftest import Read, said

LOG = "date,apiary,who,did,standing,done,trays,tray_days,dead,why_late,wrong\n"


def rows(table: pd.DataFrame, *columns: str) -> list[tuple[object, ...]]:
    plain = table[list(columns)].copy()
    for name in plain:
        if pd.api.types.is_datetime64_any_dtype(plain[name]):
            plain[name] = plain[name].dt.strftime("%m-%d").fillna("")
        elif pd.api.types.is_float_dtype(plain[name]):
            plain[name] = plain[name].fillna(-1.0)
    return list(plain.itertuples(index=False, name=None))


def test_a_line_becomes_a_visit_treatments_and_heads_with_its_own_row_number(read: Read) -> None:
    records = read({"log": LOG + "2025-08-20,MEADOW,self & helper,oxalic sublimation 2; heads,12,11,,,1,ground,seal\n"})
    assert rows(records.tables["visits"], "date", "people", "colonies_done", "from_row", "from_table") == [
        ("08-20", 2.0, 11.0, 2, "log")
    ]
    assert rows(records.tables["treatments"], "treatment", "round", "colonies", "standing", "done", "from_table") == [
        ("oxalic sublimation", 2.0, "all", 12.0, 11.0, "log")
    ]
    assert rows(records.heads, "standing", "done", "dead", "why_late", "wrong") == [(12.0, 11.0, 1.0, "ground", "seal")]


def test_could_not_makes_a_visit_and_no_treatment(read: Read) -> None:
    records = read({"log": LOG + "2025-08-20,MEADOW,self,could not; oxalic sublimation 2,,,,,,,ground\n"})
    assert len(records.tables["visits"]) == 1
    assert records.tables["treatments"].empty


def test_trays_become_boards_and_words_become_levels(read: Read) -> None:
    records = read({"log": LOG + "2025-08-20,MEADOW,self,trays read,,,12; few; NONE,6,,,\n"})
    assert rows(records.tables["counts"], "method", "colony", "mites", "level", "days") == [
        ("board", "", 12.0, "", 6.0),
        ("board", "", -1.0, "few", 6.0),
        ("board", "", -1.0, "none", 6.0),
    ]


def test_trays_slid_in_to_seal_a_sublimation_count_from_that_day_and_are_read_before_the_next(read: Read) -> None:
    first, second = (
        "2025-08-20,MEADOW,self,oxalic sublimation 1",
        "2025-08-26,MEADOW,self,trays read; oxalic sublimation 2",
    )
    log = f"{first},,,,,,,\n{second},,,9,,,,\n"
    records = read({"log": LOG + log})
    assert rows(records.tables["counts"], "date", "days", "notes") == [("08-26", 6.0, "lay since 2025-08-20")]


def test_a_solid_floor_takes_no_tray_so_that_its_days_are_not_guessed(read: Read) -> None:
    log = "2025-08-20,BANK,self,oxalic sublimation 1,,,,,,,\n2025-08-26,BANK,self,trays read,,,9,,,,\n"
    records = read({"log": LOG + log})
    assert records.tables["counts"].empty
    assert len(said(records, column="trays", row=3)) == 1


def test_a_detailed_row_refines_a_line_and_is_not_counted_twice(read: Read) -> None:
    log = LOG + "2025-08-20,MEADOW,self,oxalic sublimation 1; trays read,12,12,5; 6,6,,,\n"
    treatments = "date,apiary,treatment,dose,unit\n20/08/2025,Far Meadow,oxalic sublimation,2.3,g\n"
    visits = "date,apiary,start,people\n2025-08-20,MEADOW,9:05,\n"
    counts = "date,apiary,colony,method,mites,days\n2025-08-20,MEADOW,M1,board,5,6\n"
    records = read({"log": log, "treatments": treatments, "visits": visits, "counts": counts})
    assert rows(records.tables["treatments"], "dose", "round", "done", "from_table") == [(2.3, 1.0, 12.0, "treatments")]
    assert rows(records.tables["visits"], "start", "people", "colonies_done") == [("09:05", 1.0, 12.0)]
    assert rows(records.tables["counts"], "colony", "mites") == [("M1", 5.0)]


def test_a_filled_detail_wins_and_the_conflict_is_reported(read: Read) -> None:
    log = LOG + "2025-08-20,MEADOW,self,oxalic sublimation 1,12,12,,,,,\n"
    records = read({"log": log, "treatments": "date,apiary,treatment,round\n2025-08-20,MEADOW,oxalic sublimation,2\n"})
    assert records.tables["treatments"]["round"].tolist() == [2.0]
    assert "log.csv row 2 says 1" in said(records, column="round")["problem"].item()


def test_a_near_miss_by_a_day_is_reported_and_both_are_kept(read: Read) -> None:
    log = LOG + "2025-08-20,MEADOW,self,oxalic sublimation 1,12,12,,,,,\n"
    records = read({"log": log, "treatments": "date,apiary,treatment\n2025-08-21,MEADOW,oxalic sublimation\n"})
    assert len(records.tables["treatments"]) == 2
    assert "one day off" in said(records, file="log.csv")["problem"].item()


def test_strips_out_closes_the_only_open_placing(read: Read) -> None:
    log = "2025-08-20,MEADOW,self,amitraz strips; strips in,12,12,,,,,\n2025-10-10,MEADOW,self,strips out,,,,,,,\n"
    records = read({"log": LOG + log})
    assert rows(records.tables["treatments"], "date", "removed") == [("08-20", "10-10")]
    assert records.problems.empty


def test_strips_out_with_its_word_ends_a_placing_and_begins_none(read: Read) -> None:
    log = "2025-08-20,BANK,self,amitraz strips; strips in,,,,,,,\n2025-10-10,BANK,,amitraz strips; strips out,,,,,,,\n"
    assert rows(read({"log": LOG + log}).tables["treatments"], "date", "removed") == [("08-20", "10-10")]


@pytest.mark.parametrize(
    ("before", "wrong"),
    [
        ("", "nothing is in place"),
        (
            "2025-08-01,MEADOW,self,amitraz strips,,,,,,,\n2025-08-09,MEADOW,self,pyrethroid strips,,,,,,,\n",
            "more than one",
        ),
    ],
)
def test_strips_out_that_matches_no_placing_or_several_is_set_aside(read: Read, before: str, wrong: str) -> None:
    records = read({"log": LOG + before + "2025-10-10,MEADOW,self,strips out,,,,,,,\n"})
    assert records.tables["treatments"]["removed"].isna().all()
    assert wrong in said(records, column="did")["problem"].item()
    assert len(records.tables["visits"]) == 1 + before.count("\n")


def test_an_unknown_deed_with_a_round_number_is_a_treatment_with_no_kill_assumed(read: Read) -> None:
    records = read({"log": LOG + "2025-08-20,MEADOW,self,hop acid 1; fed,12,12,,,,,\n"})
    assert records.tables["treatments"]["treatment"].tolist() == ["hop acid"]
    assert records.tables["log"]["did"].tolist() == ["hop acid 1; fed"]


def test_hives_come_from_the_last_heads_less_the_deaths_and_moves_since(read: Read) -> None:
    log = "2025-08-20,MEADOW,self,heads,12,,,,,,\n2025-09-20,MEADOW,self,look,,,,,2,,\n"
    events = "date,kind,from,to,hives\n2025-10-01,moved,MEADOW,BANK,3\n"
    records = read({"log": LOG + log, "events": events})
    days = pd.to_datetime(["2025-08-19", "2025-08-20", "2025-09-20", "2025-10-02"])
    assert [records.hives("MEADOW", day.date()) for day in days] == [12, 12, 10, 7]


def test_hives_nowhere_recorded_are_none(read: Read) -> None:
    records = read({"apiaries": "apiary,name\nMEADOW,\n"})
    assert records.hives("MEADOW", records.as_of) is None


def test_what_is_made_of_records_is_made_once_for_each_of_them(read: Read) -> None:
    one, other = (read({"apiaries": f"apiary,name\n{apiary},\n"}) for apiary in ("MEADOW", "BANK"))
    asked: list[str] = []

    def names(records: Records) -> tuple[str, ...]:
        asked.extend(records.apiaries)
        return records.apiaries

    assert [records.once(names)[0] for records in (one, one, other, one)] == ["MEADOW", "MEADOW", "BANK", "MEADOW"]
    assert asked == ["MEADOW", "BANK"]


def test_types_are_as_the_contract_has_them(read: Read) -> None:
    records = read({"log": LOG + "2025-08-20,MEADOW,self,oxalic sublimation 2,12,11,5,6,,,\n"})
    for name, table in records.tables.items():
        for column in table:
            kind = table[column].dtype
            assert np.issubdtype(kind, np.datetime64) if kind.kind == "M" else kind in ("float64", "int64", "str"), name
    assert all(
        table.columns[-3:].tolist() == ["from_file", "from_row", "from_table"] for table in records.tables.values()
    )
