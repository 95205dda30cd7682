"""Every kind of bad row becomes one clear problem with its place and remedy, and the good rows go on."""

import pytest

from .conftest import Read, said

GOOD = "2025-08-02,MEADOW,board,14,7\n"
HEAD = "date,apiary,method,mites,days\n"


@pytest.mark.parametrize(
    ("row", "column", "wrong"),
    [
        ("2205-08-02,MEADOW,board,14,7", "date", "2205"),
        ("31/02/2025,MEADOW,board,14,7", "date", "no such day"),
        ("total,,,28,", "", "a row of totals"),
        (",MEADOW,board,14,7", "date", "not recorded"),
        ("2025-08-02,MEDOW,board,14,7", "apiary", "no apiary"),
        ("2025-08-02,,board,14,7", "apiary", "no apiary"),
        ("2025-08-02,MEADOW,bord,14,7", "method", "does not know"),
        ("2025-08-02,MEADOW,board,,7", "mites", "neither mites nor level"),
        ("2025-08-02,MEADOW,board,-3,7", "mites", "must be between 0"),
        ("2025-08-02,MEADOW,board,1.5,7", "mites", "not a whole number"),
        ("2025-08-02,MEADOW,board,14,", "days", "days the board lay"),
    ],
)
def test_a_bad_count_is_set_aside_with_its_reason_and_the_good_one_is_read(
    read: Read, row: str, column: str, wrong: str
) -> None:
    records = read({"counts": HEAD + row + "\n" + GOOD})
    assert records.tables["counts"]["mites"].tolist() == [14.0]
    account = records.account.set_index("table").loc["counts"]
    assert (account["rows"], account["used"], account["set_aside"]) == (2, 1, 1)
    problems = said(records, file="counts.csv", row=2, column=column)
    assert problems["problem"].str.contains(wrong).any()
    assert (problems["remedy"] != "").all()


def test_a_near_miss_is_suggested_and_never_taken(read: Read) -> None:
    records = read({"treatments": "date,apiary,treatment,seal\n2025-09-01,MEADOW,oxalic sublimation,por\n"})
    assert records.tables["treatments"]["seal"].tolist() == [""]
    assert said(records, column="seal")["remedy"].tolist() == ['did you mean "poor"?']


def test_a_negative_dose_is_read_as_not_recorded_and_the_round_is_kept(read: Read) -> None:
    records = read({"treatments": "date,apiary,treatment,dose\n2025-09-01,MEADOW,oxalic sublimation,-2\n"})
    assert records.tables["treatments"]["dose"].isna().all()
    assert "must be between" in said(records, column="dose")["problem"].item()


def test_an_unknown_treatment_is_kept_and_reported(read: Read) -> None:
    records = read({"treatments": "date,apiary,treatment\n2025-09-01,MEADOW,Hop Acid\n"})
    assert records.tables["treatments"]["treatment"].tolist() == ["hop acid"]
    assert "no kill assumed" in said(records, column="treatment")["problem"].item()


def test_an_unknown_column_is_kept_and_listed(read: Read) -> None:
    records = read({"counts": HEAD.replace("\n", ",Temper\n") + GOOD.replace("\n", ",calm\n")})
    assert records.tables["counts"]["Temper"].tolist() == ["calm"]
    assert list(records.tables["counts"])[-4:] == ["Temper", "from_file", "from_row", "from_table"]
    assert len(said(records, column="Temper", row=1)) == 1


def test_an_unknown_setting_is_listed_with_the_one_meant(read: Read) -> None:
    records = read({"settings": "setting,value\nfew_mx,12\ntreat_by,08-20\n"})
    assert said(records, column="setting")["remedy"].tolist() == ['did you mean "few_max"?']
    assert records.given == {"treat_by"}


def test_words_that_look_like_missing_values_stay_words(read: Read) -> None:
    apiaries = "apiary,name\nNA,Far Meadow\nNone,The Bank\n007,Seven\n"
    records = read({"apiaries": apiaries, "counts": HEAD + "2025-08-02,NA,board,14,7\n2025-08-02,007,board,1,7\n"})
    assert records.apiaries == ("NA", "None", "007")
    assert records.tables["counts"]["apiary"].tolist() == ["NA", "007"]


def test_an_empty_cell_is_not_recorded_and_never_zero(read: Read) -> None:
    records = read({"log": "date,apiary,did,standing,dead,cause\n2025-08-02,MEADOW,heads,12,,\n"})
    assert records.heads["dead"].isna().all()
    assert records.tables["log"]["cause"].tolist() == [""]


def test_ids_that_differ_by_case_are_kept_apart_and_a_loose_spelling_of_one_is_understood(read: Read) -> None:
    apiaries = "apiary,name\nNorth,\nNORTH,\nBank,The Bank\n"
    visits = ["2025-08-02,North", "2025-08-02,NORTH", "2025-08-03,the bank", "2025-08-03,north"]
    log = "date,apiary,did\n" + "".join(f"{visit},look\n" for visit in visits)
    records = read({"apiaries": apiaries, "log": log})
    assert records.tables["log"]["apiary"].tolist() == ["North", "NORTH", "Bank"]
    assert len(said(records, file="log.csv", row=5, column="apiary")) == 1


def test_row_numbers_are_the_spreadsheets_own_below_titles_blank_rows_and_cells_of_two_lines(read: Read) -> None:
    text = "Counts of 2025,,,,\n,,,,\n" + HEAD + '2025-08-02,MEADOW,board,"1\n4",7\n\n2025-99-02,MEADOW,board,14,7\n'
    records = read({"counts": text})
    assert said(records, column="date")["row"].tolist() == [6]
    assert said(records, row=1)["problem"].tolist() == ["above the headings: not read"]


def test_a_quotation_mark_that_is_never_closed_swallows_no_row(read: Read) -> None:
    rows = '2025-08-02,MEADOW,board,14,7,"strong\n2025-08-03,MEADOW,board,15,7,calm\n2025-08-04,MEADOW,board,16,7,\n'
    records = read({"counts": HEAD.replace("\n", ",notes\n") + rows})
    assert records.tables["counts"]["mites"].tolist() == [14.0, 15.0, 16.0]
    assert len(said(records, row=2, problem="a quotation mark that is opened here and not closed")) == 1


def test_two_quotation_marks_that_are_never_closed_are_reported_where_they_draw_rows_into_a_cell(read: Read) -> None:
    rows = '2025-08-02,MEADOW,board,14,7,"strong\n2025-08-03,MEADOW,board,15,7,calm\n2025-08-04,MEADOW,board,16,7,"x\n'
    records = read({"counts": HEAD.replace("\n", ",notes\n") + rows})
    assert len(said(records, row=2, problem="a quotation mark that is opened here and not closed")) == 1


def test_headings_once_more_in_the_middle_are_no_row(read: Read) -> None:
    records = read({"counts": HEAD + GOOD + HEAD + GOOD.replace("14", "15")})
    assert records.tables["counts"]["mites"].tolist() == [14.0, 15.0]
    assert len(said(records, row=3, problem="the headings once more: not read")) == 1


def test_a_sheet_without_headings_sets_its_rows_aside_and_says_why(read: Read) -> None:
    records = read({"counts": GOOD + GOOD})
    assert records.account.set_index("table").loc["counts", "set_aside"] == 2
    told = said(records, file="counts.csv", problem="no headings were found")
    assert len(told) == 1 and told["row"].isna().all()


@pytest.mark.parametrize(
    ("heading", "cell", "value"),
    [
        ("Drive (min)", "25", 25.0),
        ("Drive (h)", "1,5", 90.0),
        ("Drive", "25 min", 25.0),
        ("drive min (one way)", "25", 25.0),
    ],
)
def test_a_unit_in_the_heading_is_minded(read: Read, heading: str, cell: str, value: float) -> None:
    records = read({"apiaries": f'apiary,{heading}\nMEADOW,"{cell}"\n'})
    assert records.tables["apiaries"]["drive_min"].tolist() == [value]


def test_degrees_fahrenheit_in_a_heading_are_not_read_as_celsius(read: Read) -> None:
    records = read({"treatments": "date,apiary,treatment,Air (°F)\n2025-09-01,MEADOW,thymol,45\n"})
    assert records.tables["treatments"]["air_c"].isna().all()
    assert "not a number in °C" in said(records, column="air_c")["problem"].item()


@pytest.mark.parametrize(
    ("heading", "cell"), [("Dose (g)", "2,3"), ("dose_g", "2.3"), ("dose", "2.3 g"), ("Dose (ml)", "2.3g")]
)
def test_the_unit_of_a_dose_may_stand_in_its_heading_or_beside_the_number(read: Read, heading: str, cell: str) -> None:
    records = read({"treatments": f'date,apiary,treatment,{heading}\n2025-09-01,MEADOW,thymol,"{cell}"\n'})
    assert records.tables["treatments"][["dose", "unit"]].to_numpy().tolist() == [[2.3, "g"]]


def test_a_board_without_its_day_and_its_days_is_set_aside(read: Read) -> None:
    records = read({"counts": HEAD + ",MEADOW,board,14,\n" + GOOD})
    assert records.account.set_index("table").loc["counts", "set_aside"] == 1


@pytest.mark.parametrize("cell", ['"' + "," * 400_000 + '"', "," * 400_000, "x," * 400_000])
def test_a_cell_full_of_separators_is_kept_and_told_once(read: Read, cell: str) -> None:
    records = read({"log": f"date,apiary,did,notes\n2025-09-03,MEADOW,look,{cell}\n2025-09-04,BANK,look,y\n"})
    assert records.tables["log"]["did"].tolist() == ["look", "look"]
    assert len(said(records, file="log.csv")) <= 1


@pytest.mark.parametrize(
    ("order", "days", "aside"),
    [
        (
            "",
            ["2025-04-13"],
            [2],
        ),  # 04/13 proves that months come first here, and 13/04 elsewhere: 05/04 is not guessed
        ("date_order,month first\n", ["2025-04-13", "2025-05-04"], []),
    ],
)
def test_a_two_way_date_beside_one_with_the_month_first_is_set_aside_unless_the_order_is_stated(
    read: Read, order: str, days: list[str], aside: list[int]
) -> None:
    rows = "05/04/2025,MEADOW,board,1,7\n04/13/2025,MEADOW,board,2,7\n"
    records = read({"settings": f"setting,value\nseason_start,2025-04-01\n{order}", "counts": HEAD + rows})
    assert records.tables["counts"]["date"].astype(str).tolist() == days
    told = records.problems[records.problems["problem"].str.contains("reads both ways")]
    assert told["row"].tolist() == aside and told["remedy"].str.contains("date_order").all()


def test_one_row_may_stand_for_the_whole_apiary(read: Read) -> None:
    counts = "date,apiary,colony,method,mites,days\n2025-08-02,MEADOW,,board,14,7\n"
    looked = "date,apiary,colony,strength\n2025-08-02,MEADOW,,strong\n"
    given = "date,apiary,colonies,treatment\n2025-09-03,MEADOW,,oxalic sublimation\n"
    colonies = "colony,apiary\nM1,MEADOW\nM2,MEADOW\n"
    records = read({"counts": counts, "inspections": looked, "treatments": given, "colonies": colonies})
    assert records.tables["counts"]["colony"].tolist() == [""]
    assert records.tables["inspections"]["colony"].tolist() == [""]
    assert records.tables["treatments"]["colonies"].tolist() == ["all"]
    assert records.set_aside == 0 and records.problems["file"].tolist() == ["log"]  # that there is none
