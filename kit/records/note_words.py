"""One spoken line of a visit to the columns of the log, as `12 Oct, Far Meadow, thymol, 18 of 20 done, wind`.

Parts are parted by commas. Each part is a date, an apiary, words of `did`, a number with what it counts, a word of
`wrong` or `why_late`, a column's name and its value, or `note` and anything to the end of the line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from kit.records.cell_lists import Deed, deeds_of, read_did, read_trays
from kit.records.cells import Reading, plain, read_number, read_word, suggestion
from kit.records.column import Column
from kit.records.dates import Order, Span, read_dates
from kit.records.places import Places
from kit.records.tables import TABLES
from kit.records.words import CAUSES, DEEDS, LEVELS, TREATMENTS, WHY_LATE, WRONG

LOG = TABLES["log"]
FIRST_DAY = date(1990, 1, 1)
LONGEST_AGO_DAYS = 335
"""A day without a year further back is more likely a slip for one to come."""

Cells = dict[str, str]


class Known(NamedTuple):
    """What a line may lean on.

    Parameters
    ----------
    places : Places
        The apiaries of the records.
    on : date
        The day of writing. A day without a year is the last such day up to this one; a line without a day is of today.
    order : Order or None
        How `3/9` reads, where the settings say so.
    """

    places: Places
    on: date
    order: Order | None


class Noted(NamedTuple):
    """A line understood, or why it is not.

    Parameters
    ----------
    cells : dict
        Column of the log to the text that will be stored; empty when refused.
    wrong : str
        Why it is refused, with what to do; "" when it is not.
    """

    cells: Mapping[str, str]
    wrong: str = ""


class _RefusedError(Exception):
    """A part of the line that cannot be understood."""


def read_note(text: str, known: Known) -> Noted:
    """Understand one line; every part must be understood, or the whole line is refused.

    Examples
    --------
    >>> known = Known(Places(["MEADOW"], ["Far Meadow"]), date(2025, 10, 14), None)
    >>> read_note("12 Oct, Far Meadow, thymol, 18 of 20 done", known).cells
    {'date': '2025-10-12', 'apiary': 'MEADOW', 'did': 'thymol', 'done': '18', 'standing': '20'}
    >>> read_note("Far Meadow, oxalic sublimaton 2", known).wrong
    '"oxalic sublimaton 2" is not understood; did you mean "oxalic sublimation"?'
    """
    cells: Cells = {}
    try:
        parts = _parts(text)
        for part in parts:
            _put(cells, _read_part(part, known), part)
        _check(cells, parts)
    except _RefusedError as refused:
        return Noted({}, str(refused))
    day = {"date": cells.pop("date", known.on.isoformat())}
    return Noted(day | {name: cells[name] for name in ("apiary", *cells) if name in cells})


_LAY = r"(\s+(in|over|for)\s+(?P<days>\d+) days?)?"
_ONE_TRAY = re.compile(rf"(\d+|{'|'.join(LEVELS)}){_LAY}")
_TRAYS = re.compile(rf"trays?[:\s]+(?P<trays>(\d|{'|'.join(LEVELS)})[\s;/\da-z]*?){_LAY}")


def _parts(text: str) -> list[str]:
    """The parts between commas; a note keeps its commas, trays stay together, and `6,5` is one number."""
    bare = " ".join(text.split())
    noted = re.search(r"(?:^|,)\s*notes?\b[:\s]", bare, re.IGNORECASE)
    head, tail = (bare[: noted.start()], [bare[noted.start() :].lstrip(", ")]) if noted else (bare, [])
    parts: list[str] = []
    for part in (part.strip() for part in re.split(r",(?!\d)|(?<!\d),", head) if part.strip()):
        if parts and parts[-1].casefold().startswith("tray") and _ONE_TRAY.fullmatch(plain(part)):
            parts[-1] += f"; {part}"
        else:
            parts.append(part)
    return parts + tail


def _read_part(part: str, known: Known) -> Cells:
    for reader in (_note, _day, _place, _counted, _trays, _said, _deeds, _named_column):
        cells = reader(part, known)
        if cells:
            return cells
    raise _RefusedError(f'"{part}" is not understood; {_nearest(part, known)}')


def _nearest(part: str, known: Known) -> str:
    bare = re.sub(r"^\d+\s+|\s*\d+$", "", plain(part))
    several = re.split(r"\s*(?:;|/|\band\b)\s*", bare)
    if len(several) > 1 and set(several) <= set(CAUSES):
        return f"a line has one cause; write a line for each, such as 1 dead of {several[0]}"
    words = (*TREATMENTS, *DEEDS, *WRONG, *WHY_LATE, *CAUSES, *LOG.names)
    elsewhere = next((piece for piece in (bare, *several) if piece in ELSEWHERE), "")
    if elsewhere:
        return ELSEWHERE[elsewhere] if elsewhere == bare else f"{elsewhere}: {ELSEWHERE[elsewhere]}"
    near = suggestion(bare, words, "-")
    return near if near != "-" else known.places.nearest(part, EXAMPLES)


ELSEWHERE = {
    "supers on": "write the day into the sheet crops, as supers_on, and leave it out here",
    "supers off": "write the day into the sheet crops, as supers_off, and leave it out here",
    **dict.fromkeys(
        (
            "split",
            "splits",
            "swarm",
            "swarms",
            "swarmed",
            "swarm gone",
            "united",
            "requeened",
            "moved",
            "bought",
            "sold",
        ),
        "write it into the sheet events, with its day and how many hives, and leave it out here",
    ),
}
"""What keepers say of a visit that another sheet holds."""
MEANS = {
    word: wrong
    for wrong, said in {
        "ground": ("flooded", "wet", "mud", "muddy", "soft", "bog", "stuck"),
        "power": ("battery", "flat battery", "battery flat", "inverter", "generator", "low volts"),
        "time": ("dark", "got dark", "daylight", "no time"),
        "wind": ("windy", "gusty", "gusts"),
        "rain": ("raining", "showers"),
        "seal": ("leak", "leaks", "leaking"),
        "ran out": ("no acid", "out of acid", "no fuel"),
    }.items()
    for word in said
}
"""What keepers say of what went wrong, and the record's word for it."""
EXAMPLES = (
    f'say it as "18 of 20 done", say what went wrong as one of {", ".join(WRONG[1:])}, '
    'or begin it with "note" to keep it as it stands'
)


def _put(cells: Cells, more: Cells, part: str) -> None:
    for name, value in more.items():
        if name in ("did", "notes", "who") and name in cells:
            cells[name] = f"{cells[name]}; {value}"
        elif cells.setdefault(name, value) != value:
            raise _RefusedError(f'{name} is given twice, as {cells[name]} and in "{part}"; keep one of them')


def _check(cells: Cells, parts: Sequence[str]) -> None:
    if "apiary" not in cells:
        raise _RefusedError("no apiary is named; write its id or its name")
    if set(cells) <= {"date", "apiary"}:
        raise _RefusedError("nothing is said of what was done or found; add it, such as look, or 12 standing")
    if "dead" not in cells and any(plain(part) == cells.get("cause") for part in parts):
        raise _RefusedError(f'{cells["cause"]} is why hives died; say how many, as "2 dead of {cells["cause"]}"')
    if int(cells.get("done", 0)) > int(cells.get("standing", 10**9)):
        raise _RefusedError(f"{cells['done']} hives treated of {cells['standing']} standing; correct one of the two")
    if int(cells.get("weak", 0)) > int(cells.get("standing", 10**9)):
        raise _RefusedError(f"{cells['weak']} weak hives of {cells['standing']} standing; correct one of the two")


def _note(part: str, _: Known) -> Cells:
    match = re.match(r"notes?\b[:\s]\s*(.+)$", part, re.IGNORECASE)
    return {"notes": match[1]} if match else {}


def _day(part: str, known: Known) -> Cells:
    said = {"today": 0, "yesterday": 1}.get(plain(part))
    if said is not None:
        return {"date": (known.on - timedelta(days=said)).isoformat()}
    reading = _dated(re.sub(r"^(on|date)\b[:\s]\s*", "", part, flags=re.IGNORECASE), known)
    if reading.value is None:
        return {}
    if reading.value > known.on:
        raise _RefusedError(f"{reading.value} lies after today, {known.on}; a note is of what was done")
    return {"date": reading.value.isoformat()}


def _dated(part: str, known: Known) -> Reading:
    span = Span(FIRST_DAY, date(known.on.year + 1, 12, 31))
    with_year = read_dates([part], known.order, span)[0]
    if with_year.value is not None or re.search(r"\d{4}", part) or not re.search(r"\d", part):
        return with_year
    mark = part[match.start()] if (match := re.search(r"[/.\-]", part)) else " "
    this_year, last_year = (
        read_dates([f"{part.rstrip('.')}{mark}{year}"], known.order, span)[0]
        for year in (known.on.year, known.on.year - 1)
    )
    if this_year.value is not None and this_year.value <= known.on:
        return this_year
    if last_year.value is not None and (known.on - last_year.value).days > LONGEST_AGO_DAYS:
        raise _RefusedError(f'"{part}" is still to come, or nearly a year ago; write the year too')
    return last_year


def _place(part: str, known: Known) -> Cells:
    identity = known.places.meant(re.sub(r"^(at|apiary)\s+", "", part, flags=re.IGNORECASE)) or known.places.meant(part)
    return {"apiary": identity} if identity else {}


_COUNTED = re.compile(
    r"^(?P<number>\d+|no|none|all)(?:\s*(?:of|/|out of)\s*(?P<of>\d+))?\s+(?:hives?\s+|colonies\s+)?"
    r"(?P<what>done|treated|standing|alive|hives|heads|dead|weak|light|days|seals? out|seals? in)"
    r"(?:\s+(?:of|from|by|through)?\s*(?P<cause>[a-z ]+))?$"
)
_COLUMN_OF = {"treated": "done", "alive": "standing", "hives": "standing", "heads": "standing", "days": "tray_days",
              "seals out": "seals_out", "seals in": "seals_in",
              "seal out": "seals_out", "seal in": "seals_in"}  # fmt: skip


def _counted(part: str, _: Known) -> Cells:
    """`18 of 20 done`, `2 dead mites`, `3 weak`, `6 days`."""
    match = _COUNTED.match(plain(part))
    if match is None:
        return {}
    column = _COLUMN_OF.get(match["what"], match["what"])
    number = {"no": "0", "none": "0", "all": match["of"] or ""}.get(match["number"], match["number"])
    if not number:
        raise _RefusedError(f'"{part}" does not say how many; write it as 20 of 20 {match["what"]}')
    cells = {column: _typed(column, number, part)} | ({"standing": match["of"]} if match["of"] else {})
    if match["cause"]:
        if column != "dead":
            return {}
        cells["cause"] = _typed("cause", match["cause"], part)
    return cells


def _trays(part: str, _: Known) -> Cells:
    """`trays 12; few; 31 in 6 days`."""
    match = _TRAYS.fullmatch(plain(part))
    if match is None:
        return {}
    reading = read_trays(match["trays"], LOG.column("trays"))
    if reading.wrong:
        raise _RefusedError(f'"{part}": {reading.wrong}; {reading.remedy}')
    return {"trays": str(reading.value)} | ({"tray_days": match["days"]} if match["days"] else {})


def _said(part: str, _: Known) -> Cells:
    """A word of what went wrong; after `late`, or where it is no such word, of why it was late; else of what hives
    died of; crumbs; who went."""
    words = plain(part)
    late = re.match(r"^late\b[: ]*(?:because of |for )?(.+)$", words)
    if late:
        return {"why_late": _typed("why_late", late[1], part)}
    if words in ("crumbs", "no crumbs"):
        return {"crumbs": "no" if words.startswith("no ") else "yes"}
    company = re.match(r"^(?:with|by)\s+(.+)$", part, re.IGNORECASE)
    if company:
        return {"who": company[1]}
    for column, known in (("wrong", WRONG), ("why_late", WHY_LATE), ("cause", CAUSES)):
        if words in known:
            return {column: words}
    return {"wrong": MEANS[words]} if words in MEANS else {}


def _deeds(part: str, _: Known) -> Cells:
    deeds = deeds_of(part)
    if not deeds or not all(_known_deed(deed) for deed in deeds):
        return {}
    return {"did": str(read_did(part, LOG.column("did")).value)}


def _known_deed(deed: Deed) -> bool:
    return deed.word in LOG.column("did").words and (deed.round is None or deed.is_treatment)


def _named_column(part: str, _: Known) -> Cells:
    """A column's own name and its value: `tray days 6`, `cause mites`."""
    for name in sorted(LOG.names, key=len, reverse=True):
        match = re.match(rf"^{name.replace('_', '[ _]')}\b[:=\s]\s*(.+)$", part, re.IGNORECASE)
        if match and name not in ("date", "apiary"):
            return {name: _typed(name, match[1], part)}
    return {}


_READERS: dict[str, Callable[[str, Column], Reading]] = {
    "number": read_number, "whole": read_number, "word": read_word, "did": read_did, "trays": read_trays,
}  # fmt: skip


def _typed(name: str, text: str, part: str) -> str:
    """The value as it will be stored."""
    column = LOG.column(name)
    if column.kind not in _READERS:
        return text
    reading = _READERS[column.kind](text, column)
    if reading.value is None or reading.wrong:
        raise _RefusedError(f'"{part}": {reading.wrong}; {reading.remedy}')
    return f"{reading.value:g}" if isinstance(reading.value, float) else str(reading.value)
