"""Notes of one day and place that cannot both be so; lists of colonies with exceptions; totals under a sheet."""

import pytest

from .conftest import Read, said

LOG = "date,apiary,did,standing,done,crumbs,wrong\n"
GIVEN = "date,apiary,treatment,wind,colonies\n"
LOOKED = "date,apiary,colony,queen,brood_frames\n"
COLONIES = "colony,apiary,from,to\nA1,MEADOW,,\nA2,MEADOW,,\nA3,MEADOW,,\n"


@pytest.mark.parametrize(
    ("sheets", "file", "row", "column"),
    [
        ({"log": LOG + "2025-09-03,MEADOW,look,12,,,\n2025-09-03,MEADOW,heads,11,,,\n"}, "log.csv", 3, "standing"),
        (
            {"log": LOG + "2025-09-03,MEADOW,could not,,,,\n", "treatments": GIVEN + "2025-09-03,MEADOW,thymol,,\n"},
            "log.csv", 2, "did",
        ),
        (
            {"log": LOG + "2025-09-03,MEADOW,look,,,,wind\n", "treatments": GIVEN + "2025-09-03,MEADOW,thymol,calm,\n"},
            "log.csv", 2, "wrong",
        ),
        (
            {"log": LOG + "2025-12-03,MEADOW,look,,,yes,\n", "inspections": LOOKED + "2025-12-03,MEADOW,,,0\n"},
            "log.csv", 2, "crumbs",
        ),
        (
            {"inspections": LOOKED + "2025-06-03,MEADOW,A1,eggs,\n2025-06-03,MEADOW,A1,none,\n", "colonies": COLONIES},
            "inspections.csv", 3, "queen",
        ),
    ],
)  # fmt: skip
def test_two_notes_that_cannot_both_be_so_are_named_and_both_used(
    read: Read, sheets: dict[str, str], file: str, row: int, column: str
) -> None:
    records = read(sheets)
    told = said(records, file=file, column=column)
    told = told[told["problem"].str.contains("says otherwise")]
    assert told["row"].tolist() == [row] and records.account["set_aside"].sum() == 0


def test_notes_that_agree_or_are_of_other_days_are_left_alone(read: Read) -> None:
    log = LOG + "2025-09-03,MEADOW,look,12,,,\n2025-09-03,MEADOW,heads,12,,,\n2025-09-03,BANK,heads,8,,,\n"
    assert not read({"log": log}).problems["problem"].str.contains("says otherwise").any()


@pytest.mark.parametrize("words", ["all but A3", "All except A3", "all apart from A3", "all but A3 "])
def test_all_but_one_is_the_others(read: Read, words: str) -> None:
    records = read({"colonies": COLONIES, "treatments": GIVEN + f"2025-09-03,MEADOW,thymol,,{words}\n"})
    assert records.tables["treatments"]["colonies"].tolist() == ["A1;A2"]


def test_all_but_a_range_is_the_others(read: Read) -> None:
    records = read({"colonies": COLONIES, "treatments": GIVEN + '2025-09-03,MEADOW,thymol,,"all but A1, A3"\n'})
    assert records.tables["treatments"]["colonies"].tolist() == ["A2"]


@pytest.mark.parametrize("colonies", [COLONIES, "colony,apiary\n"])
def test_all_but_one_that_is_not_known_is_all_and_says_so(read: Read, colonies: str) -> None:
    records = read({"colonies": colonies, "treatments": GIVEN + "2025-09-03,MEADOW,thymol,,all but A9\n"})
    assert records.tables["treatments"]["colonies"].tolist() == ["all"]
    assert "A9; read as all of them" in said(records, column="colonies")["problem"].iloc[0]


@pytest.mark.parametrize("word", ["Total", "TOTALS:", "sum", "Grand total", "average"])
def test_a_row_of_totals_is_set_aside_with_that_reason_and_counted(read: Read, word: str) -> None:
    records = read({"apiaries": f"apiary,name,hives\nMEADOW,Far Meadow,12\nBANK,The Bank,8\n{word},,20\n"})
    assert records.apiaries == ("MEADOW", "BANK")
    told = said(records, file="apiaries.csv")
    assert told["row"].tolist() == [4] and "a row of totals" in told["problem"].iloc[0]
    account = records.account.set_index("table").loc["apiaries"]
    assert (account["rows"], account["used"], account["set_aside"]) == (3, 2, 1)


def test_thymol_beside_strips_out_is_taken_out_and_not_placed_again(read: Read) -> None:
    log = LOG + "2025-08-20,MEADOW,thymol; strips in,12,12,,\n2025-09-24,MEADOW,thymol; strips out,12,,,\n"
    placed = read({"log": log}).tables["treatments"]
    assert len(placed) == 1 and placed["removed"].astype(str).tolist() == ["2025-09-24"]


def test_each_treatment_named_beside_strips_out_is_taken_out(read: Read) -> None:
    log = LOG + "2025-08-20,MEADOW,thymol,,,,\n2025-08-21,MEADOW,amitraz strips,,,,\n"
    log += "2025-09-24,MEADOW,thymol; amitraz strips; strips out,,,,\n"
    placed = read({"log": log}).tables["treatments"]
    assert placed["removed"].astype(str).tolist() == ["2025-09-24", "2025-09-24"]
