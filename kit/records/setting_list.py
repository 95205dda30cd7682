"""Every setting: what it means, its default, and the grade and reason of that default, in one place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kit.records import words as w
from kit.records.column import Column

Grade = Literal["assumed", "common practice", "read", "neutral"]
"""`read`: a published number; `neutral`: nothing is assumed until the user says so."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting.

    Parameters
    ----------
    column : Column
        Name, kind, unit, words, range and help, described as a column is.
    default : str
        As it would be written in the sheet.
    grade : Grade
        What the default rests on.
    reason : str
        Why this default.
    """

    column: Column
    default: str
    grade: Grade
    reason: str


def _day(name: str, help_text: str, default: str, reason: str) -> Setting:
    return Setting(Column(name, "date", help_text), default, "assumed", reason)


def _number(column: Column, default: str, reason: str, grade: Grade = "assumed") -> Setting:
    return Setting(column, default, grade, reason)


def _text(name: str, help_text: str, reason: str, default: str = "") -> Setting:
    return Setting(Column(name, "text", help_text), default, "assumed" if default else "neutral", reason)


ORDER_ALSO = (("dmy", "day first"), ("day", "day first"), ("mdy", "month first"), ("month", "month first"))

SETTINGS: dict[str, Setting] = {
    setting.column.name: setting
    for setting in (
        _text("keeper", "Name on the reports.", "no name until one is given"),
        _day(
            "season_start",
            "First day of the season.",
            "04-01",
            "colonies have come through winter, the first rounds are over",
        ),
        _day("season_end", "Last day of the season.", "03-31", "winter losses are known"),
        _text(
            "currency", "Currency of all costs.", "the climate and the laws best known to the kit are British", "GBP"
        ),
        _number(
            Column("labour_per_hour", "number", "What an hour of work costs.", unit="money/h", low=0, high=1000),
            "15",
            "near a farm wage",
        ),
        _number(
            Column(
                "vehicle_per_hour",
                "number",
                "What an hour of driving costs, without the driver.",
                unit="money/h",
                low=0,
                high=1000,
            ),
            "18",
            "about 40 km in an hour of lanes at 0.45 a kilometre",
        ),
        _number(
            Column("colony_value", "number", "What a lost colony costs to replace.", unit="money", low=0, high=100_000),
            "200",
            "near the price of a nucleus",
        ),
        _number(
            Column(
                "work_hours_per_day",
                "number",
                "Hours of bee work in a day, driving included.",
                unit="h",
                low=0.5,
                high=16,
            ),
            "8",
            "a working day",
        ),
        Setting(
            Column("work_days", "text", "Days of the week worked, as Mon-Sat."), "Mon-Sat", "assumed", "one day of rest"
        ),
        _number(Column("people", "whole", "How many work.", low=1, high=50), "1", "mostly alone"),
        _day(
            "last_supers_off",
            "Day by which the last supers are off, where crops does not say.",
            "08-15",
            "the end of the main crop in a maritime-temperate year",
        ),
        _day(
            "winter_bees_from",
            "First day on which winter bees are raised.",
            "08-15",
            "winter bees are raised from about mid-August",
        ),
        _day("winter_bees_to", "Last day on which winter bees are raised.", "10-05", "to about early October"),
        _day(
            "treat_by",
            "Day by which the main treatment should have begun.",
            "08-31",
            "mites on the brood that becomes winter bees do the harm",
        ),
        _number(
            Column(
                "treat_above_pct", "number", "Treat above this many mites per 100 bees.", unit="%", low=0.1, high=20
            ),
            "3",
            "advised in the USA; from one in August winter losses already rise (morfin2024)",
            "read",
        ),
        _number(
            Column(
                "winter_limit_pct",
                "number",
                "Most mites per 100 bees a colony should carry on 1 October.",
                unit="%",
                low=0.1,
                high=20,
            ),
            "2",
            "well under the 6 at which autumn surveys see clearly more winter loss",
        ),
        _number(
            Column(
                "wanted_chance", "number", "Chance wanted of staying below that limit.", unit="%", low=50, high=99.9
            ),
            "80",
            "one apiary in five may miss it",
        ),
        _number(
            Column(
                "min_air_c",
                "number",
                "Coldest air to treat in, where the label does not say.",
                unit="°C",
                low=-15,
                high=30,
            ),
            "5",
            "a little below the 7 °C that the trade calls good weather",
            "common practice",
        ),
        Setting(
            Column("max_wind", "word", "Strongest wind to sublimate in.", words=w.WINDS),
            "light",
            "common practice",
            "vapour is lost and drifts in more",
        ),
        _number(
            Column("group_size", "whole", "Hives sealed and treated as one group.", low=1, high=50),
            "4",
            "four hives sealed at a time",
            "common practice",
        ),
        _number(
            Column("few_max", "whole", "Most mites on a tray that `few` stands for.", low=1, high=500),
            "20",
            "more than that is rarely called few",
        ),
        Setting(
            Column("climate", "word", "The bees' year.", words=("maritime temperate",)),
            "maritime temperate",
            "assumed",
            "broodless or nearly so from late November to mid-January",
        ),
        Setting(
            Column(
                "date_order",
                "word",
                "Order of dates such as 03/09/2025.",
                words=("day first", "month first"),
                also=ORDER_ALSO,
            ),
            "day first",
            "assumed",
            "as long as no cell of the column has the month first",
        ),
        Setting(
            Column(
                "jurisdiction",
                "word",
                "Whose rules the medicine record follows.",
                words=("gb", "ni", "eu", "other"),
                also=(("uk", "gb"), ("great britain", "gb"), ("northern ireland", "ni")),
            ),
            "other",
            "neutral",
            "no law is assumed until one is named",
        ),
        Setting(
            Column("base_latitude", "number", "Degrees north of the base.", unit="°", low=-90, high=90),
            "",
            "neutral",
            "no place is assumed",
        ),
        Setting(
            Column(
                "base_longitude", "number", "Degrees east of the base, west is negative.", unit="°", low=-180, high=180
            ),
            "",
            "neutral",
            "no place is assumed",
        ),
        _text(
            "plan_may_use",
            "Treatment words that the plan may choose from, with ; between (split: hives split for it); empty: what "
            "you used and what has a label.",
            "what is lawful and known here is weighed; queen caging and the like only where you did it before",
        ),
    )
}
"""By name, in the order they are shown."""
