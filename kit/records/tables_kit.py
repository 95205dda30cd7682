"""The sheets of treating: rounds, trips, medicines, labels, gear, weather."""

from kit.records import words as w
from kit.records.column import Column, Table
from kit.records.columns import apiary, day, ident, notes, number, text, whole, word, yes_no

AMOUNTS = ("g", "ml", "strips", "trays", "spoon")
DOSE_UNITS = tuple(
    f"{what} per {box}" for what in ("g product", "g oad", "ml", "strips", "trays") for box in ("hive", "brood box")
)

LABELS = Table(
    "labels",
    "one product as its label in force reads",
    "the limits the calendar must keep; without it no second oxalic round is planned",
    (
        ident("product", "The name on the tub.", "oxalic powder", required=True),
        text("active", "The active substance.", "oxalic acid dihydrate"),
        word("authorised", "Authorised as a medicine here? `vet` when a vet prescribed it.", ("yes", "no", "vet"),
             "yes"),
        number("strength_mg_per_g", "Oxalic acid dihydrate in the product.", "886", unit="mg/g", low=1, high=1000),
        number("max_dose", "Most the label allows at one time.", "", high=1000),
        Column("dose_unit", "word", "What that limit is reckoned in.", "g product per hive", words=DOSE_UNITS,
               also=tuple((f"g {what}", f"g {what} per hive") for what in ("product", "oad"))),
        whole("max_rounds_per_year", "Most rounds the label allows in a year.", "", high=52),
        yes_no("brood_free_only", "Only without brood?", ""),
        yes_no("supers_allowed", "Allowed with supers on?", ""),
        number("min_c", "Coldest air the label allows.", "", unit="°C", low=-30, high=50),
        number("max_c", "Warmest air the label allows.", "", unit="°C", low=-30, high=60),
        number("withdrawal_days", "Withdrawal period, zero when the label says so.", "", unit="days", high=400),
        day("read_on", "Day you read the label.", "2025-06-01"),
    ),
)  # fmt: skip

TREATMENTS = Table(
    "treatments",
    "one round, or one placing of a slow treatment",
    "dose, seal, air and wind of each round, and so a reason for a weak one; the heart of the medicine record",
    (
        day("date", "Day it was done or placed.", "2025-09-03", required=True),
        apiary(),
        Column("colonies", "colonies", "`all`, one colony, or a list such as `M1, M3-M7`; empty is all.", "all"),
        Column("treatment", "word", "The treatment.", w.SUBLIMATION, words=w.TREATMENTS, keeps_unknown=True,
               required=True),
        ident("product", "The product, by its name in `labels`.", "oxalic powder", names="labels"),
        text("batch", "Batch on the tub.", "B123"),
        number("dose", "How much each colony got, in `unit`.", "2.3", low=0.001, high=1000),
        word("unit", "Unit of the dose.", AMOUNTS, "g"),
        whole("round", "Number of the round.", "2", low=1, high=30),
        day("removed", "Day strips or trays came off.", ""),
        yes_no("supers_on", "Were supers on?", "no"),
        ident("sublimator", "The sublimator, by its item in `gear`.", "S1", names="gear"),
        number("expel_s", "Seconds for a dose to come out.", "20", unit="s", low=0.1, high=3600),
        word("seal", "How well the hives were sealed.", ("good", "fair", "poor"), "good"),
        number("air_c", "Air temperature.", "9", unit="°C", low=-30, high=50),
        word("wind", "Wind.", w.WINDS, "calm"),
        yes_no("follow_up", "`yes` when it is there to measure an earlier treatment.", "no"),
        day("written_on", "Day this line was written.", "2025-09-03"),
        text("corrects", "The line this one corrects, by its date and apiary or its row.", ""),
        notes(),
    ),
    dated_by="date",
)  # fmt: skip

VISITS = Table(
    "visits",
    "one trip to one apiary, in more detail than `log`",
    "hours, drives, warm-up times and battery charge, and so what each place costs",
    (
        day("date", "Day of the trip.", "2025-09-03", required=True),
        apiary(),
        Column("start", "clock", "Arrival, by the clock.", "09:30"),
        Column("end", "clock", "Departure, by the clock.", "10:25"),
        whole("people", "How many went.", "1", low=1, high=20),
        whole("colonies_done", "Colonies treated or worked.", "11", high=2000),
        ident("supply", "The supply used, by its item in `gear`.", "B1", names="gear"),
        number("warm_up_min", "Minutes until the sublimator was hot.", "6", unit="min", low=0.1, high=120),
        number("volts_before", "Battery at rest before.", "12.7", unit="V", low=0, high=60),
        number("volts_after", "Battery after; best an hour later.", "12.3", unit="V", low=0, high=60),
        word("ground", "The ground.", ("dry", "soft", "flooded"), "dry"),
        notes(),
    ),
    dated_by="date",
)

MEDICINES = Table(
    "medicines",
    "one purchase or one disposal",
    "the purchase and disposal half of the medicine record, stock by batch, and what must be bought",
    (
        day("date", "Day of purchase or disposal.", "2025-06-14", required=True),
        word("event", "What happened.", ("bought", "disposed"), "bought", required=True),
        ident("product", "The product, by its name in `labels`.", "oxalic powder", names="labels", required=True),
        text("active", "The active substance.", "oxalic acid dihydrate"),
        text("batch", "Batch on the tub.", "B123"),
        day("expiry", "Expiry date.", "2027-12-31"),
        number("quantity", "How much.", "350", low=0.001, high=1_000_000),
        text("unit", "Unit of the quantity.", "g"),
        text("supplier", "Who supplied it.", ""),
        text("supplier_address", "Their address.", ""),
        text("evidence", "Where the proof of purchase is kept.", "folder 2025, receipt 7"),
        number("cost", "What it cost.", "42", high=1_000_000),
        text("prescriber", "Who prescribed it.", ""),
        text("how_disposed", "How it was disposed of.", ""),
        text("where_disposed", "Where it was disposed of.", ""),
        day("written_on", "Day this line was written.", "2025-06-14"),
        text("corrects", "The line this one corrects.", ""),
    ),
    dated_by="date",
)

GEAR_KINDS = (
    "battery", "inverter", "sublimator", "generator", "charger", "mask filter", "face fit", "vehicle",
)  # fmt: skip

GEAR = Table(
    "gear",
    "one item",
    "colonies per battery charge, whether a machine is slow for its power, and filters that fall due",
    (
        ident("item", "A short id, used in `treatments` and `visits`.", "S1", required=True),
        word("kind", "What it is.", GEAR_KINDS, "sublimator"),
        word("type", "Battery: starter, deep cycle, agm, lithium. Sublimator: pan, holds heat.",
             ("starter", "deep cycle", "agm", "lithium", "pan", "holds heat"), "holds heat"),
        number("volts", "Rated voltage.", "230", unit="V", high=1000),
        number("amp_hours", "Rated capacity at the 20-hour rate.", "", unit="Ah", low=0.1, high=2000),
        number("watts", "Rated power.", "200", unit="W", low=0.1, high=20_000),
        number("idle_watts", "Own use when nothing is drawn.", "", unit="W", high=500),
        number("efficiency_pct", "Efficiency at working power.", "", unit="%", low=1, high=100),
        number("warm_up_min", "Minutes to heat when new.", "6", unit="min", low=0.1, high=120),
        number("expel_s", "Seconds for a dose when new.", "20", unit="s", low=0.1, high=3600),
        number("cool_down_min", "Minutes to cool between hives.", "", unit="min", high=120),
        number("spoon_g", "What the spoon holds.", "2.3", unit="g", low=0.01, high=100),
        day("opened", "Day it was opened, fitted or tested.", "2025-08-01"),
        day("expires", "Day it falls due.", "2026-08-01"),
        number("cost", "What it cost.", "", high=1_000_000),
        day("bought", "Day it was bought.", "2023-03-01"),
        notes(),
    ),
)  # fmt: skip

WEATHER = Table(
    "weather",
    "one day (one site, or one row for each apiary)",
    "days lost to wind and cold, and the odds of next season's days",
    (
        day("date", "The day.", "2025-09-03", required=True),
        ident("apiary", "The apiary; empty when one site stands for all.", "", names="apiaries"),
        number("min_c", "Coldest.", "6", unit="°C", low=-50, high=50),
        number("max_c", "Warmest.", "14", unit="°C", low=-50, high=60),
        number("rain_mm", "Rain.", "0", unit="mm", high=500),
        number("wind_kmh", "Wind.", "9", unit="km/h", high=300),
    ),
    dated_by="date",
)
