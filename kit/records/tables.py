"""Every sheet of the records, described once: reading, blank sheets and the printed reference all come from here."""

from kit.records import tables_field as field
from kit.records import tables_kit as treating
from kit.records.column import Table
from kit.records.columns import ident, text

SETTINGS = Table(
    "settings",
    "one setting",
    "your own dates, limits, wages and working days in place of assumed ones",
    (
        ident("setting", "The name of the setting.", "treat_by", required=True),
        text("value", "Its value; dates may be written month and day only, as 08-31.", "08-31"),
        text(
            "meaning",
            "What it means and its default: for you to read, changes nothing.",
            "when the main treatment is due",
        ),
    ),
)

TABLES: dict[str, Table] = {
    table.name: table
    for table in (
        SETTINGS,
        field.APIARIES,
        field.LOG,
        field.CROPS,
        treating.LABELS,
        field.EVENTS,
        field.COLONIES,
        field.INSPECTIONS,
        field.COUNTS,
        treating.TREATMENTS,
        treating.VISITS,
        treating.MEDICINES,
        treating.GEAR,
        treating.WEATHER,
    )
}
"""By name, in the order they are shown."""

MINIMUM = ("settings", "apiaries", "log")
"""With these alone every report is worth reading."""

ORIGIN = ("from_file", "from_row", "from_table")
"""Where a row came from: file, row as the spreadsheet numbers it, and the table it was written in."""

STATED = ("standing", "done")
"""Hives alive and hives treated, carried from a `log` line to the treatments made from or refined by it."""
