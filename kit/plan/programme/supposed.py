"""Another programme for one apiary, in a line of words, as a wish of next season's plan.

`MILL: thymol 5 Aug; oxalic sublimation 3 Nov x3 every 6` is an apiary, then each treatment with its first day and,
for a series, its rounds and the days between them. Days stand in the season reviewed; the plan moves them a year on
and lays them into its own windows, as it does with what was recorded.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from kit.errors import ValidityError
from kit.plan.labels import reader
from kit.plan.programme.allowed import under_labels
from kit.plan.programme.programmes import counted, last_season
from kit.plan.programme.wishes import KNOWN, Cut, Wanted

if TYPE_CHECKING:
    from kit.records.records import Records

STEP = re.compile(r"(?P<word>\D+?) (?P<day>\d{1,2} [A-Za-z]{3})(?: x(?P<rounds>\d{1,2})(?: every (?P<gap>\d{1,2}))?)?")
FORM = "MILL: thymol 5 Aug; oxalic sublimation 3 Nov x3 every 6"
MOST_ROUNDS, MOST_GAP_DAYS, USUAL_GAP_DAYS = 12, 60, 5


class Step(NamedTuple):
    """One treatment.

    Parameters
    ----------
    word : str
        A word of the treatments sheet.
    day : date
        First round.
    rounds : int
        1 for a slow treatment.
    gap_days : int
        Between rounds [d].
    """

    word: str
    day: date
    rounds: int = 1
    gap_days: int = USUAL_GAP_DAYS

    @property
    def days(self) -> list[date]:
        """Of each round."""
        return [self.day + timedelta(days=n * self.gap_days) for n in range(self.rounds)]


class Programme(NamedTuple):
    """The treatments of one apiary."""

    apiary: str
    steps: tuple[Step, ...]


def programme_text(programme: Programme) -> str:
    """A programme as a line of words.

    Examples
    --------
    >>> series = Step("oxalic sublimation", date(2025, 11, 3), 3, 6)
    >>> programme_text(Programme("MILL", (Step("thymol", date(2025, 8, 5)), series)))
    'MILL: thymol 5 Aug; oxalic sublimation 3 Nov x3 every 6'
    """
    return f"{programme.apiary}: " + "; ".join(_step_text(step) for step in programme.steps)


def _step_text(step: Step) -> str:
    series = f" x{step.rounds} every {step.gap_days}" if step.rounds > 1 else ""
    return f"{step.word} {step.day.day} {step.day:%b}{series}"


def programme_from(text: str, *, apiaries: Sequence[str], first: date) -> Programme:
    """A line of words as a programme.

    Parameters
    ----------
    text : str
        As `programme_text` writes it.
    apiaries : sequence of str
        Those planned for.
    first : date
        First day of the season its days stand in.

    Raises
    ------
    ValidityError
        With what cannot be read, and the form.

    Examples
    --------
    >>> programme_from("MILL: thymol 5 Aug", apiaries=["MILL"], first=date(2025, 4, 1)).steps[0].day
    datetime.date(2025, 8, 5)
    """
    named = [apiary for apiary in apiaries if text.casefold().startswith(f"{apiary.casefold()}:")]
    if not named:
        raise ValidityError(f"it begins with one of {', '.join(apiaries)} and a colon, as in {FORM}")
    apiary = max(named, key=len)
    steps = [_step(part.strip(), first) for part in text[len(apiary) + 1 :].split(";") if part.strip()]
    if not steps:
        raise ValidityError(f"no treatment is named, as in {FORM}")
    return Programme(apiary, tuple(sorted(steps, key=lambda step: step.day)))


def _step(text: str, first: date) -> Step:
    found = STEP.fullmatch(text)
    if found is None:
        raise ValidityError(f"{text!r} is not a treatment with its first day, as in {FORM}")
    word = found["word"].casefold()
    if word not in KNOWN:
        raise ValidityError(f"{word!r} is no treatment the plan knows; it knows: {', '.join(KNOWN)}")
    rounds, gap = int(found["rounds"] or 1), int(found["gap"] or USUAL_GAP_DAYS)
    if not (1 <= rounds <= MOST_ROUNDS and 1 <= gap <= MOST_GAP_DAYS):
        raise ValidityError(f"{text!r}: 1 to {MOST_ROUNDS} rounds, 1 to {MOST_GAP_DAYS} days between them")
    return Step(word, _day(found["day"], first), rounds, gap)


def _day(text: str, first: date) -> date:
    """The day in the twelve months from `first` on."""
    for year in (first.year, first.year + 1):
        try:
            day = datetime.strptime(f"{text} {year}", "%d %b %Y").date()  # noqa: DTZ007  days of records are naive
        except ValueError:
            continue
        if day >= first:
            return day
    raise ValidityError(f"{text!r} is no day; write it as 3 Nov")


def wishes_of(programme: Programme, records: Records, like: Sequence[Wanted]) -> tuple[list[Wanted], list[Cut]]:
    """The programme as wishes for the next season as far as labels go, and what they took away.

    Parameters
    ----------
    programme : Programme
        Its days in the season of the records.
    records : Records
        For the season and the labels.
    like : sequence of Wanted
        Other wishes: doses and products of a treatment are those of the first of its word.
    """
    rows = [
        {"apiary": programme.apiary, "treatment": step.word, "treatment_no": n, "date": pd.Timestamp(day)}
        for n, step in enumerate(programme.steps)
        for day in step.days
    ]
    blank: dict[str, Any] = {"removed": pd.NaT, "product": "", "dose_g": float("nan"), "dose": float("nan"), "unit": ""}
    bare = last_season(pd.DataFrame(rows).assign(**blank), programme.apiary, records.season.start)
    known = {wish.word: wish for wish in reversed(like)}
    wishes = [replace(wish, **_given(known.get(wish.word))) for wish in bare]
    return under_labels(counted(wishes), reader(records.tables["labels"]))


def _given(like: Wanted | None) -> dict[str, Any]:
    """What is given, and how much of it, as elsewhere."""
    basis = {"basis": "as supposed", "grade": "assumed"}
    if like is None:
        return basis
    return basis | {"product": like.product, "dose_g": like.dose_g, "amount": like.amount, "unit": like.unit}
