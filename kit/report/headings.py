"""How the columns and tables of the findings are headed on a page: a column is called the same everywhere."""

HEADINGS: dict[str, str] = {
    "acid_g": "crystals [g]",
    "air_c": "air [°C]",
    "apiaries_late": "apiaries late",
    "apiaries_saved": "apiaries saved",
    "basis": "read from",
    "bees": "bees in the sample",
    "carry_min": "carry, one way [min]",
    "chance_pct": "chance below the limit [%]",
    "check": "what to check",
    "chosen": "chosen",
    "colonies_done": "hives done",
    "colonies_saved": "colonies saved",
    "colony": "hive",
    "days": "days the board lay",
    "days_late": "days late",
    "dose_g": "crystals per hive [g]",
    "doses_per_charge_p05": "doses per charge, at least",
    "drive_min": "drive, one way [min]",
    "efficacy": "kill [%]",
    "expected_pct": "loss expected [%]",
    "expel_s": "expelling [s]",
    "extra_cost": "cost of being late",
    "extra_loss_pct": "loss from being late [%]",
    "extra_mites": "mites from being late",
    "file": "file",
    "given_up": "what was given up",
    "hours": "hours [h]",
    "hours_saved": "hours saved [h]",
    "in_hand": "in hand",
    "interval_days": "days between rounds",
    "late_days": "days late",
    "late_days_saved": "days late saved",
    "level": "in words",
    "load": "mites a hive",
    "loss_pct": "lost [%]",
    "lost": "lost",
    "mend": "what mends it",
    "minutes": "at the apiary [min]",
    "minutes_free": "minutes left [min]",
    "mites": "mites",
    "mites_range": "mites in the colony",
    "money_saved": "money saved",
    "next_count": "next count",
    "not_after": "not after",
    "not_before": "not before",
    "of": "weak in",
    "per_100_bees": "per 100 bees",
    "per_day": "drop per day",
    "reading": "read by",
    "remedy": "what to do",
    "removed": "taken out",
    "supers_on": "supers on",
    "to_buy": "to buy",
    "treat_by": "to treat by",
    "treated_on": "treated on",
    "visit_id": "visit",
    "wait_cost": "cost of waiting a week",
    "why_late": "why late",
    "wintered": "went into winter",
    "worth_it": "worth it",
    "wrong": "went wrong",
}
"""Column to heading, its unit in brackets. A likely range is headed by the name without its endings."""

HEADINGS_IN: dict[str, dict[str, str]] = {
    "gear": {"check": "checked", "what_to_check": "what to check", "expected": "expected"},
    "mends": {"hours": "hours in all [h]", "cost": "cost"},
    "trips": {"minutes": "at the hives [min]"},
}
"""Columns that mean something else in one table."""

FIRST: dict[str, tuple[str, ...]] = {
    "visits": ("date", "treatment", "round", "apiary"),
    "kit": ("item", "count", "note", "date"),
    "calendar": ("date", "event", "treatment"),
    "gear": ("item", "verdict", "check", "recorded", "unit", "expected_p05", "expected_p50", "expected_p95"),
    "medicine_record": ("date", "date_end", "written_on", "treatment", "product", "apiary"),
    "rounds": ("date", "treatment"),
}
"""Columns that lead their table; the first names the row."""

NOT_SHOWN = frozenset(
    {"from_file", "from_row", "from_table", "corrects", "entry", "order", "season"}
    | {"treatment_no", "uid", "visit_id", "where_to_find"}
)
"""Columns that serve the machine or the way back to a record line; the CSV files hold them."""

TABLES: dict[str, tuple[str, str]] = {
    "calendar": ("A date to keep", "No dates could be set; the reasons stand under what was left out."),
    "causes": ("A likely cause and what to check", "No weak kill and no slow vapour to explain."),
    "days": ("A day out", "No day out is planned."),
    "efficacy": ("A treatment and what it killed", "No treatment is recorded."),
    "effort": ("Hours and money by apiary and task", "No hours are recorded."),
    "gear": ("A check of a supply or sublimator", "Nothing about gear is recorded."),
    "heads": ("A count of heads", "No heads are recorded."),
    "kit": ("A thing to take", "No visit needs anything taken along."),
    "left_out": ("A treatment that found no day", "Nothing was left out."),
    "loads": ("Mites on a day", "No load could be worked out."),
    "losses": ("Losses by cause", "Heads in autumn and spring are not both recorded."),
    "label_breaches": ("A limit of a label that was passed", "No recorded dose or date passes a label that was read."),
    "medicine_stock": ("A batch and what is left of it", "No batch is recorded."),
    "medicine_record": ("An entry of the medicine record", "No medicine is recorded as bought, given or disposed of."),
    "mends": ("What would mend it", "Nothing needs mending: everything fits."),
    "open_points": ("A thing still open", "Nothing is open."),
    "problems": ("A row set aside, and why", "No row was set aside."),
    "programmes": ("A programme that was weighed", "No programme could be weighed."),
    "readings": ("A count and what it says by itself", "No mites were counted."),
    "rounds": ("A round of a treatment", "No round is recorded."),
    "shopping": ("A thing to buy", "Nothing needs buying."),
    "timing": ("The main treatment against the day to treat by", "No treatment dates are recorded."),
    "today": ("Where to go, first things first", "Nothing is due."),
    "trips": ("A trip", "No trips are recorded."),
    "visits": ("A planned visit", "No visit is planned."),
}
"""Table to what one of its rows is, and to what is said when it is empty."""
