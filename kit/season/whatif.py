"""The same draws of the same hives under other dates: a treatment moved to another day, or one that was never given."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np
import pandas as pd

from kit.season.posterior import traits as t
from kit.season.posterior.given import Given, given
from kit.season.posterior.hives import Hives
from kit.season.reading import Course, Reading
from kit.season.usual import Array

if TYPE_CHECKING:
    from kit.records.records import Records


def moved(here: Reading, number: int, start: date) -> Course:
    """The course with one treatment begun on another day. A round keeps its own luck and the hives it reached."""
    begun = min(one.dose.day for one in here.given if one.treatment_no == number)
    rounds = [one.on(one.dose.day + (start - begun)) if one.treatment_no == number else one for one in here.given]
    kept = [max(one.dose.day, here.usual.start) for one in rounds]
    rounds = [one if one.dose.day == day else one.on(day) for one, day in zip(rounds, kept, strict=True)]
    return here.lucky(here.law(hives=replace(here.hives, given=rounds)))


def added(records: Records, pattern: pd.DataFrame, here: Reading, start: date, seed: int) -> Course:
    """The course with a treatment after the `pattern` of another apiary's rounds, begun on `start`, in every hive."""
    number = 1 + max((one.treatment_no for one in here.given), default=0)
    by = pd.Timestamp(start) - pattern["date"].min()
    like = pattern.assign(
        date=pattern["date"] + by, removed=pattern["removed"] + by, apiary=here.apiary, treatment_no=number
    )
    everyone = np.ones(len(here.units))
    new = [replace(one, share=everyone) for one in given(records, like, here.units, here.usual.end)]
    words = sorted({*here.hives.words, *(one.treatment for one in new)})
    hives = replace(here.hives, given=[*here.given, *new], words=words)
    return here.lucky(here.law(hives=hives, parameters=_parameters(here, hives, new, seed)))


def _parameters(here: Reading, hives: Hives, new: list[Given], seed: int) -> Array:
    """The draws with the luck of new rounds, and of words not used before, put in their places."""
    old, count = here.hives, len(here.parameters)
    rounds = t.FIRST_KILL + len(old.given)
    rng = np.random.default_rng([seed, crc32(here.apiary.encode()), 6])
    spread = np.hypot(t.KILL.operation, t.KILL.apiary)
    luck = spread * rng.standard_normal((count, 1, len(new)))
    found = np.zeros((count, len(here.units), hives.size))
    found[:, :, :rounds] = here.parameters[:, :, :rounds]
    found[:, :, rounds : rounds + len(new)] = luck
    for place, level in enumerate((t.RESIDUE, t.CELLS)):
        for n, word in enumerate(hives.words):
            at = rounds + len(new) + place * len(hives.words) + n
            if word in old.words:
                found[:, :, at] = here.parameters[:, :, rounds + place * len(old.words) + list(old.words).index(word)]
            else:
                found[:, :, at] = level.operation * rng.standard_normal((count, 1))
    return found
