"""The sheets of places and bees: what is written down in the field."""

from kit.records import words as w
from kit.records.column import Column, Table
from kit.records.columns import apiary, colony, day, ident, notes, number, text, whole, word, yes_no

APIARIES = Table(
    "apiaries",
    "one apiary",
    "drives, carrying, the kit each place needs and the order to go round in",
    (
        ident("apiary", "A short id for the apiary; every other sheet uses it.", "MEADOW", required=True),
        text("name", "The name you call it by.", "Far Meadow"),
        text("grid_ref", "National grid reference of the hives; or give latitude and longitude.", ""),
        number("latitude", "Degrees north.", "52.10", unit="°", low=-90, high=90),
        number("longitude", "Degrees east, west is negative.", "-1.50", unit="°", low=-180, high=180),
        word("access", "What the way in asks for.", ("all weather", "dry ground", "on foot"), "dry ground"),
        number("drive_min", "Minutes from base, one way.", "25", unit="min", high=600),
        number("carry_min", "Minutes on foot from the vehicle to the hives, one way.", "4", unit="min", high=240),
        whole("hives", "Usual number of hives.", "12", high=2000),
        word("floor", "Mesh floors take a tray; solid ones do not.", ("mesh", "solid"), "mesh"),
        word("supply_dry", "Power used there when the ground is dry.", w.SUPPLIES, "vehicle"),
        word("supply_wet", "Power used there when it is wet.", w.SUPPLIES, "battery"),
        text("emergency", "Gate, landowner, telephone.", "Gate code with the farm office"),
        day("mites_notified", "Day the mites of this place were notified, where the law asks for it.", "2021-06-01"),
        notes(),
    ),
)

LOG = Table(
    "log",
    "one visit, as written in the field",
    "everything: where you were, what you did, how many hives stood; keep this one if you keep only one",
    (
        day("date", "Day of the visit.", "2025-09-03", required=True),
        apiary(),
        text("who", "Who went; several separated by `;`.", "self"),
        Column(
            "did",
            "did",
            "What was done, several separated by `;`: a treatment with an optional round number "
            "(`oxalic sublimation 2`), strips in, strips out, trays in, trays read, look, heads, could not.",
            "oxalic sublimation 2; trays read",
            words=(*w.TREATMENTS, *w.DEEDS),
            keeps_unknown=True,
        ),
        whole("standing", "Hives alive.", "12", high=2000),
        whole("done", "Hives treated.", "11", high=2000),
        whole("dead", "Hives newly found dead since the last visit.", "0", high=2000),
        word("cause", "What the dead ones died of.", w.CAUSES),
        whole("weak", "Hives that looked weak.", "1", high=2000),
        whole("light", "Hives light in stores.", "0", high=2000),
        Column(
            "trays",
            "trays",
            "Mites on each tray, or none / few / many, separated by `;`.",
            "12; few; 31",
            words=w.LEVELS,
        ),
        number("tray_days", "Days the trays lay; empty when they went in at the last trays in.", "6", unit="days",
               low=0.1, high=400),
        yes_no("crumbs", "Fresh capping crumbs on the trays, a sign of brood.", "yes"),
        whole("seals_out", "Seals, foams and trays taken out of the vehicle, without trays left in to be read.", "4",
              high=2000),
        whole("seals_in", "Seals, foams and trays back in it: a hive left sealed is a dead hive.", "4", high=2000),
        word("wrong", "What went wrong.", w.WRONG, "seal"),
        word("why_late", "Why this visit was late, if it was.", w.WHY_LATE, "ground"),
        notes(),
    ),
    dated_by="date",
)  # fmt: skip

CROPS = Table(
    "crops",
    "one crop at one apiary",
    "when the supers are on, and so the days on which treating is open at each place",
    (
        apiary(),
        text("crop", "The crop.", "clover"),
        day("supers_on", "Day the supers went on.", "2025-05-02"),
        day("supers_off", "Day the supers came off.", "2025-08-12"),
    ),
    dated_by="supers_on",
)

EVENT_KINDS = (
    "split", "swarm", "united", "requeened", "caged", "released", "moved", "bought", "sold", "standstill",
    "standstill lifted", "inspector",
)  # fmt: skip

EVENTS = Table(
    "events",
    "colonies that come, go or move",
    "heads that add up through splits, swarms, unions, moves and sales",
    (
        day("date", "Day it happened.", "2025-05-20", required=True),
        word("kind", "What happened.", EVENT_KINDS, "split", required=True),
        text("from", "Apiary or colony it came from.", "MEADOW"),
        text("to", "Apiary or colony it went to.", "BANK"),
        whole("hives", "How many hives.", "3", high=2000),
        notes(),
    ),
    dated_by="date",
)

COLONIES = Table(
    "colonies",
    "one colony at one apiary for a stretch of time",
    "a line for every numbered colony, its deaths by cause, and counts tied to the colony they came from",
    (
        ident("colony", "The colony's number, one in the whole operation.", "M3", required=True),
        apiary(),
        day("from", "First day at this apiary; empty when it always stood there.", "2024-05-11"),
        day("to", "First day it no longer stood here; empty while it does.", ""),
        word(
            "outcome",
            "How the stay ended.",
            ("alive", "died", "queenless", "united", "sold", "swarmed", "moved", "disaster"),
            "alive",
        ),
        word("cause", "What it died of.", w.CAUSES),
        text("hive", "Type or number of the box.", "single"),
        word("material", "What the hive is made of; polystyrene melts.", ("wood", "poly"), "wood"),
        whole("brood_boxes", "Brood boxes.", "1", low=1, high=6),
        whole("queen_year", "Year the queen hatched.", "2024", low=1990, high=2100),
        notes(),
    ),
    dated_by="from",
)

INSPECTIONS = Table(
    "inspections",
    "one colony, or one apiary, looked at",
    "strength and brood, which turn a count into mites and say how much a treatment could reach",
    (
        day("date", "Day of the look.", "2025-08-02", required=True),
        apiary(),
        colony("The colony; empty when the whole apiary is meant."),
        word("strength", "How strong it was.", ("strong", "middling", "weak"), "strong"),
        number("bee_frames", "Frames covered with bees.", "9", unit="frames", high=60),
        number("brood_frames", "Frames with brood.", "6", unit="frames", high=60),
        number("drone_brood_pct", "Share of the brood that is drone brood.", "5", unit="%", high=100),
        word("queen", "What showed that a queen is there.", ("seen", "eggs", "none", "caged"), "eggs"),
        whole("supers", "Supers on the hive.", "2", high=12),
        word("dead_bees", "Dead bees at the entrance.", ("none", "old", "fresh few", "fresh many"), "none"),
        yes_no("deformed_wings", "Bees with deformed wings.", "no"),
        notes(),
    ),
    dated_by="date",
)

COUNTS = Table(
    "counts",
    "one mite count",
    "where each colony stands, and how much each treatment did",
    (
        day("date", "Day the board was read or the sample taken.", "2025-08-02", required=True),
        apiary(),
        colony("The colony; may be empty."),
        word("method", "How it was counted.", ("board", "alcohol wash", "sugar roll", "co2"), "board", required=True),
        whole("mites", "Mites counted.", "14"),
        word("level", "In place of a number: none, few or many.", w.LEVELS),
        number("days", "Days the board lay.", "7", unit="days", low=0.1, high=400),
        whole("bees", "Bees in the sample; 300 when empty.", "", low=1, high=5000),
        number("share_counted_pct", "Share of the board that was counted.", "100", unit="%", low=1, high=100),
        notes(),
    ),
    dated_by="date",
)
