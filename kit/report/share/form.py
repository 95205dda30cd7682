"""The pack's form: its tables, their columns, and what is left out of it unless ticked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from kit.errors import CannotGoOnError
from kit.records import words

FORM = "season-pack"
VERSION = 2
SMALLEST_GROUP = 5
"""Groups below it are left out; statistical offices use 3 to 10."""
LEAST_GROUP = 3
ALL, OTHER = "all", "other"
COUNTED, MODEL = "counted", "no count here"

EXACT, IN_CLASSES = "as counted", "in classes"
"""How a pack tells numbers of hives."""
REGION, DEGREE, GRID, NOWHERE = "region", "degree", "grid", "none"
SQUARES = (REGION, DEGREE, GRID, NOWHERE)
"""What a pack tells places by: the operation's square of 1 degree alone, squares of 0.1 degree by apiary, squares of
the national grid by apiary, or nothing."""

Kind = Literal["text", "whole", "number"]
Words = tuple[str, ...]


class Field(NamedTuple):
    """A column of a pack: what it holds, in which words, and its longest range."""

    name: str
    kind: Kind
    help: str
    words: Words = ()
    most: float = 1e7


def _band(name: str, what: str, most: float) -> tuple[Field, ...]:
    ends = {"p05": "5 % point", "p50": "middle", "p95": "95 % point"}
    return tuple(Field(f"{name}_{end}", "number", f"{what}, {said}", most=most) for end, said in ends.items())


ACCESS = ("all weather", "dry ground", "on foot", OTHER)
TREATMENTS = (*words.TREATMENTS, OTHER)
CAUSES = (ALL, *words.CAUSES, OTHER)
WHY_LATE = (*words.WHY_LATE, OTHER)
TASKS = ("driving", "carrying", "treating", "looking and counting", "wasted trips", "medicines", OTHER)
GRADES = ("good", "fair", "rough", "model only")
LIMITS = ("dose", "rounds", "supers", "cold", "warmth", OTHER)
BASES = (COUNTED, MODEL)
HIVES = Field("hives", "whole", "hives it stands for; the middle of their class unless ticked", most=1e5)
APIARY = Field("apiary", "text", "key of the apiary, random and of this pack alone; `all` for all of them")


@dataclass(frozen=True)
class Table:
    """One table of a pack: what a row is, its columns, whether it goes only when ticked, and whether by apiary."""

    what: str
    fields: tuple[Field, ...]
    ticked: bool = False
    by_apiary: bool = True

    @property
    def columns(self) -> list[str]:
        return [field.name for field in self.fields]


OPERATION = "operation"
TABLES: dict[str, Table] = {
    OPERATION: Table(
        "the operation as a whole",
        (
            Field("place", "text", "corner of a square of 1 degree, or letters of one of 100 km; empty unless told"),
            HIVES,
            Field("apiaries", "whole", "apiaries", most=1e4),
            Field("counted", "whole", "apiaries in which mites were counted", most=1e4),
            Field("certainty", "text", "how well the loads are known", GRADES),
        ),
        by_apiary=False,
    ),
    "apiaries": Table(
        "an apiary",
        (
            APIARY,
            Field("place", "text", "square of 0.1 degree or 10 km, of 1 degree or 100 km where few hives stand"),
            HIVES,
            Field("access", "text", "how a vehicle gets there", ACCESS),
        ),
    ),
    "loads": Table(
        "the mites of an apiary's mean hive in a week",
        (
            APIARY,
            Field("week", "text", "ISO week"),
            *_band("mites", "mites a hive", 1e6),
            *_band("per_100_bees", "mites on bees per 100 bees", 1e3),
            Field("basis", "text", "whether a count of the season looked at it", BASES),
        ),
    ),
    "kills": Table(
        "a treatment of an apiary and what it killed",
        (
            APIARY,
            Field("treatment", "text", "kind of treatment", TREATMENTS),
            Field("week", "text", "ISO week it began"),
            *_band("efficacy", "share of the mites killed [%]", 100),
            Field("basis", "text", "whether a count looked at it", BASES),
        ),
    ),
    "timing": Table(
        "an apiary's main treatment against its day",
        (
            APIARY,
            Field("treatment", "text", "kind of treatment", TREATMENTS),
            Field("weeks_late", "number", "weeks after the week to treat by, early ones below zero", most=60),
            Field("why_late", "text", "why, in the word of the sheet", WHY_LATE),
        ),
    ),
    "losses": Table(
        "hives lost over winter",
        (
            APIARY,
            Field("cause", "text", "what they died of; of single causes only for the whole operation", CAUSES),
            Field("wintered", "whole", "hives that went into winter; as hives are told", most=1e5),
            Field("lost", "whole", "of these, lost, in proportion", most=1e5),
            *_band("expected_pct", "loss to be expected from the mites [%]", 100),
        ),
    ),
    "effort": Table(
        "hours of a kind of work over the season",
        (
            Field("task", "text", "kind of work", TASKS),
            Field("hours_a_hive", "number", "hours of one person for each hive [h]", most=1e4),
        ),
        by_apiary=False,
    ),
    "doses": Table(
        "a kind of treatment and how much was given",
        (
            Field("treatment", "text", "kind of treatment", TREATMENTS),
            Field("rounds", "whole", "rounds over all apiaries", most=1e5),
            Field("doses_a_hive", "number", "hive-rounds for each hive", most=1e3),
            Field("crystals_g", "number", "oxalic acid dihydrate in a dose, where it is known [g]", most=1e3),
        ),
        ticked=True,
        by_apiary=False,
    ),
    "compliance": Table(
        "a limit of a label, and how often it was passed",
        (
            Field("limit", "text", "kind of limit; `other` for medicine-record lines that lack something", LIMITS),
            Field("lines", "whole", "record lines beyond it", most=1e5),
        ),
        ticked=True,
        by_apiary=False,
    ),
}
"""Every table a pack may hold, by name, in the order of its page."""

_FIRST: dict[str, Table] = TABLES | {
    "effort": Table(
        "hours of a kind of work over the season",
        (
            Field("task", "text", "kind of work", TASKS),
            Field("hours", "number", "hours of one person [h]", most=1e5),
            Field("trips", "whole", "trips", most=1e5),
        ),
        by_apiary=False,
    ),
    "doses": Table(
        "a kind of treatment and how much was given",
        (
            Field("treatment", "text", "kind of treatment", TREATMENTS),
            Field("rounds", "whole", "rounds over all apiaries", most=1e5),
            Field("doses", "whole", "hive-rounds", most=1e6),
            Field("crystals_g", "number", "oxalic acid dihydrate, where the dose is known [g]", most=1e6),
        ),
        ticked=True,
        by_apiary=False,
    ),
}
VERSIONS: Mapping[int, Mapping[str, Table]] = {1: _FIRST, VERSION: TABLES}
"""The tables of each version that can be read. In the first, hives and hours were told as counted."""

NEVER = (
    "names of people, apiaries, colonies and places",
    "notes and any text you typed",
    "dates (only ISO weeks) and coordinates (only squares)",
    "products, batches, suppliers, prices and costs",
    "gear and its serials",
    "file names, folders and the name of your machine",
)
"""What a pack never holds."""


class Group(NamedTuple):
    """A group of members that a report told: their square of 1 degree, and their class of size in its words."""

    region: str
    size: str


@dataclass(frozen=True)
class Choices:
    """What the member ticked.

    Parameters
    ----------
    tables : tuple of str
        To go, in the order of `TABLES`.
    minimum : int
        Smallest group of hives that may stand alone.
    totals_only : bool
        Nothing by apiary.
    exact : bool
        Numbers of hives as counted, not in classes.
    squares : str, optional
        One of `SQUARES`; None where the member said nothing of places.
    among : tuple of Group, optional
        Groups of the association's last report; places are told only of a keeper in one of them. None: no report.
    """

    tables: tuple[str, ...]
    minimum: int = SMALLEST_GROUP
    totals_only: bool = False
    exact: bool = False
    squares: str | None = None
    among: tuple[Group, ...] | None = None


def choose(  # noqa: PLR0913  one for each thing a member may tick, keyword only
    also: tuple[str, ...] = (),
    without: tuple[str, ...] = (),
    *,
    minimum: int = SMALLEST_GROUP,
    totals_only: bool = False,
    exact: bool = False,
    squares: str | None = None,
    among: tuple[Group, ...] | None = None,
) -> Choices:
    """The usual tables, those ticked as well, less those unticked.

    Raises
    ------
    CannotGoOnError
        On a table that is not among them, or a minimum below 3.
    """
    unknown = [name for name in (*also, *without) if name not in TABLES]
    if unknown:
        raise CannotGoOnError(f"a pack has no table {', '.join(unknown)}; it knows: {', '.join(TABLES)}")
    if OPERATION in without:
        raise CannotGoOnError(f"the table {OPERATION} cannot be left out: it says what the others stand for")
    refuse_small(minimum)
    going = [name for name, table in TABLES.items() if (not table.ticked or name in also) and name not in without]
    return Choices(tuple(going), minimum, totals_only, exact, squares, among)


def refuse_small(minimum: int) -> None:
    """Refuse a smallest group that protects nobody.

    Raises
    ------
    CannotGoOnError
        Below 3: each of two could work out the other.
    """
    if minimum < LEAST_GROUP:
        raise CannotGoOnError(f"--minimum must be at least {LEAST_GROUP}, or one of two can work out the other")
