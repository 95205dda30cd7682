"""How the columns and tables of the findings are headed on a page: a column is called the same everywhere."""

HEADINGS: dict[str, str] = {
    "acid_g": "crystals [g]",
    "air_c": "air [°C]",
    "apiaries_late": "apiaries late",
    "apiaries_saved": "apiaries saved",
    "batteries": "batteries to take",
    "basis": "read from",
    "bees": "bees in the sample",
    "carry_min": "carry, one way [min]",
    "chance_pct": "chance below the limit [%]",
    "capped_cells": "capped cells",
    "crumbs_seen": "looks for crumbs",
    "charge_left_pct": "charge left after [%]",
    "changes_pct": "turns the decision [%]",
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
    "hives_at_a_time": "hives sealed together",
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
    "may_move": "may move between",
    "mites": "mites",
    "mites_range": "mites in the colony",
    "money_saved": "money saved",
    "next_count": "next count",
    "also": "also due there",
    "out_by": "due out by",
    "not_after": "not after",
    "not_before": "not before",
    "of": "weak in",
    "first_use": "first needed on",
    "order_by": "order by",
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
    "in_time_pct": "done in time [%]",
    "spare_days": "days kept spare",
    "stop_rules": "not today, and when to stop",
    "workable_pct": "day can be worked [%]",
    "wintered": "went into winter",
    "worth_it": "worth it",
    "wrong": "went wrong",
}
"""Column to heading, its unit in brackets. A likely range is headed by the name without its endings."""

HEADINGS_IN: dict[str, dict[str, str]] = {
    "gear": {"check": "checked", "what_to_check": "what to check", "expected": "expected"},
    "medicine_batches": {
        "expiry": "expires",
        "disposed": "disposed of",
        "left": "left of it",
        "lacking": "lines that lack something",
    },
    "mends": {"saves": "saves", "money_saved": "money saved, its own cost off"},
    "programmes": {
        "chance_pct": "chance a hive stays below all limits [%]",
        "chance_summer_pct": "winter bees spared [%]",
        "chance_october_pct": "below the limit on 1 October [%]",
        "chance_spring_pct": "few left for spring [%]",
        "exposure_pct": "mites per 100 bees while winter bees are raised",
        "loss_pct": "winter loss [%]",
        "minutes": "a year, driving there alone [min]",
        "medicine_cost": "medicines",
        "given_up": "against the one chosen",
        "why_not": "why it may not be chosen",
    },
    "broodless": {"chance_pct": "hives with hardly any brood [%]", "in_window": "day for the winter round"},
    "trips": {
        "minutes": "at the hives [min]",
        "drive_min": "driving, share of the day [min]",
        "carry_min": "carrying, there and back [min]",
    },
    "count_values": {
        "hives": "hives counted",
        "decision": "one more treatment now?",
        "value": "worth, before its own cost",
        "saves": "what that treatment saves",
    },
    "loss_curve": {"usual": "usual", "own": "by own deaths"},
    "machine_numbers": {"value": "likely", "shrunk_pct": "range narrowed by [%]", "advice": "what would find it"},
    "chamber": {
        "seconds": "a dose takes [s]",
        "dose_g": "crystals [g]",
        "chamber_c": "chamber, if all else is well [°C]",
    },
    "charge": {"doses": "doses of a charge", "minutes_per_colony": "a colony takes [min]"},
    "gear_summary": {"check": "checked", "what_to_check": "what to check", "recorded": "recorded, middle"},
    "at_hives": {"supply_why": "power", "take": "to take"},
    "weighing": {
        "each_g": "a hive [g]",
        "limit_g": "label allows [g]",
        "weigh_g": "weigh out [g]",
        "of": "grams of",
        "spoon_g": "one spoonful [g]",
    },
    "season_weighing": {
        "of": "grams of",
        "needed_g": "needed in the season [g]",
        "in_hand_g": "in hand [g]",
        "taken_g": "to use of it [g]",
        "left_g": "left over [g]",
    },
    "machines": {
        "minutes_a_colony": "a colony takes [min]",
        "colonies_a_day": "colonies a day",
        "person_hours": "hours of people a year [h]",
        "cost_a_year": "cost a year",
        "cost_a_treatment": "cost of a colony treated",
        "pays_from_colonies": "pays from so many colonies",
    },
    "changes": {"was": "planned before for", "now": "done, or now planned for"},
    "weather_odds": {
        "access": "way in",
        "cold_pct": "too cold [%]",
        "windy_pct": "too windy [%]",
        "wet_pct": "too wet [%]",
        "soft_pct": "ground soft [%]",
        "working_days": "working days",
        "workable_days": "of them likely fit",
        "days_out": "days planned",
    },
    "visits": {"colonies": "hives"},
    "machine_swings": {
        "low": "at least",
        "high": "at most",
        "pays_from_at_low": "pays from, at the least",
        "pays_from_at_high": "pays from, at the most",
    },
}
"""Columns that mean something else in one table."""

FIRST: dict[str, tuple[str, ...]] = {
    "gear_summary": ("item", "verdict", "check", "times", "recorded"),
    "at_hives": ("date", "hives_at_a_time", "take"),
    "weighing": ("date", "weigh_g", "product", "each_g", "limit_g"),
    "season_weighing": ("product", "batch", "taken_g"),
    "shopping": ("treatment", "product"),
    "calendar": ("date", "event", "treatment"),
    "gear": ("item", "verdict", "check", "recorded", "expected_p05", "expected_p50", "expected_p95"),
    "medicine_record": ("date", "date_end", "written_on", "treatment", "product", "apiary"),
    "rounds": ("date", "treatment"),
}
"""Columns that lead their table; the first names the row."""

MONEY = frozenset(
    {"cost", "cost_a_treatment", "cost_a_year", "extra_cost", "medicine_cost", "money_saved", "wait_cost"}
)
"""Columns of sums: their heading takes the currency, where the findings know it."""

WHOLE = frozenset({"colonies_a_day", "pays_from_colonies", "person_hours"})
"""Columns said to the whole, as are sums, percent and minutes: nobody knows them finer."""

GOOD = frozenset({"in order", "not run down"})
"""Verdicts that ask for nothing."""

SPOKEN = frozenset(
    {
        "also",
        "basis",
        "check",
        "evidence",
        "given_up",
        "load_basis",
        "next_count",
        "note",
        "reason",
        "remedy",
        "what",
        "why",
    }
)
"""Columns of the kit's own sentences: their dates are said. A batch that looks like a date is not in them."""

NOT_SHOWN = frozenset(
    {"from_file", "from_row", "from_table", "corrects", "entry", "order", "season"}
    | {"treatment_no", "uid", "visit_id", "where_to_find"}
)
"""Columns that serve the machine or the way back to a record line; the CSV files hold them."""

NOT_SHOWN_IN: dict[str, frozenset[str]] = {
    "mends": frozenset({"apiaries_late", "apiaries_saved", "late_days", "hours"}),
    "rounds": frozenset({"dose_g", "supers_on"}),
    "programmes": frozenset(
        {"basis", "grade", "rounds", "interval_days", "reaches", "did", "shown", "treatments", "visits", "october_pct"}
        | {"spring_mites", "exposure_pct", "wanted_pct"}
        | {f"{name}_{end}" for name in ("minutes", "acid_g", "cost") for end in ("p05", "p95")}
    ),
    "gear": frozenset({"kind"}),
    "weather_odds": frozenset({"basis"}),
}
"""Further columns that one table's CSV file holds and its page leaves out, so that the rest can be read."""

TABLES: dict[str, tuple[str, str]] = {
    "at_hives": ("Power and order of work at a sublimation", "No sublimation is planned."),
    "bars": ("A stretch of a visit", "No sublimation is planned."),
    "broodless": ("Odds of brood in a week", "No odds of brood could be worked out."),
    "calendar": ("A date to keep", "No other date is kept."),
    "causes": ("A likely cause and what to check", "No weak kill and no slow vapour to explain."),
    "changes": ("A visit done, moved, new or dropped", "There is no earlier plan of this season to compare with."),
    "days": ("A day out", "No day out is planned."),
    "efficacy": ("A treatment and what it killed", "No treatment is recorded."),
    "count_values": (
        "A count and what it is worth",
        "No count is weighed here: no decision about this winter is open, it is too cold to count, or no treatment and "
        "no hours are recorded to reckon with.",
    ),
    "effort": ("Hours and money by apiary and task", "No hours are recorded."),
    "gear": ("A check of a supply or sublimator", "Nothing about gear is recorded."),
    "gear_summary": ("A check of a supply or sublimator, all its readings together", "Nothing about gear is recorded."),
    "chamber": (
        "A chamber too cold or too hot by its seconds",
        "No recorded seconds make a chamber out to be too cold or too hot for its dose.",
    ),
    "charge": (
        "Doses of a full charge",
        "No sublimation from a battery is recorded, so there is no charge to reckon.",
    ),
    "charge_swings": ("An input of the doses of a charge", "No sublimation from a battery is recorded."),
    "machine_numbers": ("A number of a machine by its own times", "No warm-up and no seconds are recorded."),
    "heads": ("A count of heads", "No heads are recorded."),
    "kit": ("What goes along to a visit", "No visit needs anything taken along."),
    "left_out": ("A treatment that found no day", "Nothing was left out."),
    "loads": ("Mites on a day", "No load could be worked out."),
    "loss_curve": ("A number of the loss curve", "No loss curve was drawn."),
    "losses": ("Losses by cause", "Heads in autumn and spring are not both recorded."),
    "label_breaches": ("A limit of a label that was passed", "No recorded dose or date passes a label that was read."),
    "medicine_batches": ("A batch: bought, given, disposed of, left", "No product is recorded."),
    "medicine_record": ("An entry of the medicine record", "No medicine is recorded as bought, given or disposed of."),
    "machine_swings": ("What moves the number of colonies from which it pays", "No sublimation is planned."),
    "machines": ("A way of sublimating", "No sublimation is planned, so there are no machines to compare."),
    "mends": ("What would mend it", "Nothing needs mending: everything fits."),
    "open_points": ("A thing still open", "Nothing is open."),
    "problems": ("A row set aside, and why", "No row was set aside."),
    "programmes": ("A programme that was weighed", "No programme could be weighed."),
    "readings": ("A count and what it says by itself", "No mites were counted."),
    "rounds": ("A round of a treatment", "No round is recorded."),
    "season_weighing": ("Grams of a batch for the season", "No oxalic round with a recorded dose is planned."),
    "shopping": ("A thing to buy", "Nothing needs buying."),
    "strips_in": ("A placing that no row takes out", "No strips or trays of medicine are in."),
    "notices": ("A notice of mites, a standstill or a visit", "No apiary and no event is recorded."),
    "timing": ("The main treatment against the day to treat by", "No treatment dates are recorded."),
    "today": ("Where to go, first things first", "Nothing is due."),
    "trips": ("A trip", "No trips are recorded."),
    "visits": ("A planned visit", "No visit is planned."),
    "weather_odds": ("The odds of days in half a month", "No day is planned, so no odds of weather are asked for."),
    "weighing": ("What to weigh out for a visit", "No oxalic round is planned."),
}
"""Table to what one of its rows is, and to what is said when it is empty."""
