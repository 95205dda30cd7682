"""Numbers, words, clocks and lists as people write them."""

import pytest

from kit.records.cell_lists import read_colonies
from kit.records.cells import read_clock, read_number, read_word
from kit.records.column import Column
from kit.records.settings import read_work_days

GRAMS = Column("spoon_g", "number", "", unit="g", low=0, high=10_000)
DEGREES = Column("latitude", "number", "", unit="°", low=-90, high=90)
CELSIUS = Column("air_c", "number", "", unit="°C", low=-40, high=50)
MINUTES = Column("drive_min", "number", "", unit="min", low=0, high=600)
MITES = Column("mites", "whole", "", low=0, high=100_000)


@pytest.mark.parametrize(
    ("text", "column", "value"),
    [
        ("2,3", GRAMS, 2.3),
        ("2.3 g", GRAMS, 2.3),
        ("1.234,5", GRAMS, 1234.5),
        ("1,234.5", GRAMS, 1234.5),
        ("1 234.5", GRAMS, 1234.5),
        ("0,886 kg", GRAMS, 886.0),
        (".5", GRAMS, 0.5),
        ("−1,5 °", DEGREES, -1.5),
        ("52,123", DEGREES, 52.123),
        ("10 min", MINUTES, 10.0),
        ("7 °C", CELSIUS, 7.0),
        ("1.5 h", MINUTES, 90.0),
        ("12.0", MITES, 12.0),
        ("1,234", MITES, 1234.0),
        ("14 mites", MITES, 14.0),
    ],
)
def test_a_number_is_read_as_people_write_it(text: str, column: Column, value: float) -> None:
    assert read_number(text, column).value == pytest.approx(value)


@pytest.mark.parametrize("text", ["1,234", "2 apples", "two", "1.2.3", "1,2,3", "--2", "2e3x", "-1", "99999", "٣x"])
def test_what_is_doubtful_or_out_of_range_is_not_read(text: str) -> None:
    reading = read_number(text, GRAMS)
    assert reading.value is None
    assert reading.wrong
    assert reading.remedy


def test_an_estimate_is_read_and_reported() -> None:
    assert read_number("ca. 20", MITES) == (20.0, "an estimate, read as 20", "nothing, if that is what you meant")


@pytest.mark.parametrize(
    ("text", "value"),
    [("9:30", "09:30"), ("0930", "09:30"), ("9.05 pm", "21:05"), ("12 am", "00:00"), ("9h15", "09:15")],
)
def test_a_clock_time_is_read(text: str, value: str) -> None:
    assert read_clock(text, MITES).value == value


@pytest.mark.parametrize("text", ["25:00", "9:75", "noon", "13 pm x"])
def test_what_is_no_clock_time_is_refused(text: str) -> None:
    assert read_clock(text, MITES).value is None


@pytest.mark.parametrize("text", ["Deep  Cycle", "deep-cycle", "DEEP_CYCLE", "deep cycle."])
def test_words_are_read_without_regard_to_case_spaces_and_hyphens(text: str) -> None:
    assert read_word(text, Column("type", "word", "", words=("deep cycle", "agm"))).value == "deep cycle"


@pytest.mark.parametrize(
    ("text", "known", "resolved"),
    [
        ("", [], "all"),
        ("ALL", ["A1"], "all"),
        ("a1", ["A1"], "A1"),
        ("A1, A3-A7", ["A1", "A3", "A4", "A6", "A7"], "A1;A3;A4;A6;A7"),
        ("A1; A3 to 5", [], "A1;A3;A4;A5"),
        ("A09-A11", [], "A09;A10;A11"),
        ("S01-01", ["S01-01", "S01-02"], "S01-01"),
        ("S01-01 and S01-02", ["S01-01", "S01-02"], "S01-01;S01-02"),
        ("A1, A1", ["A1"], "A1"),
        ("1-3", ["1", "2", "3"], "1;2;3"),
    ],
)
def test_a_list_of_colonies_is_resolved(text: str, known: list[str], resolved: str) -> None:
    assert read_colonies(text, known).text == resolved


def test_a_colony_the_apiary_does_not_have_is_named() -> None:
    assert read_colonies("A1, Z9", ["A1"]).unknown == ("Z9",)


@pytest.mark.parametrize("text", ["A7-A3", "A1-B3", "A1-A99999"])
def test_a_range_that_makes_no_sense_is_kept_as_written(text: str) -> None:
    assert read_colonies(text, ["A1"]).text == text


@pytest.mark.parametrize(
    ("text", "days"), [("Mon-Sat", 6), ("Sat-Mon", 3), ("Mon, Wed, Fri", 3), ("monday to sunday", 7), ("Tue", 1)]
)
def test_working_days_are_read(text: str, days: int) -> None:
    assert len(read_work_days(text).value) == days
