"""The same draws of the same hives under other dates: a treatment moved to another day, or one that was never given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np
import pandas as pd

from kit.constants import reading
from kit.season.kills import Kill, kills
from kit.season.latent import Latent
from kit.season.loads import Draws, Reading
from kit.season.usual import Array

if TYPE_CHECKING:
    from kit.records.records import Records


def moved(records: Records, rounds: pd.DataFrame, here: Reading, number: int, start: date) -> Draws:
    """The course with one treatment begun on another day, shape (draws, units, days).

    `rounds` are the apiary's. A round keeps its own luck; the brood of the new date changes its usual kill.
    """
    mine = rounds[rounds["treatment_no"] == number]
    there = kills(records, _shifted(mine, start), here.units, here.usual)
    before = [kill for kill in here.latent.kills if kill.treatment_no == number]
    again = iter(replace(new, share=old.share) for new, old in zip(there, before, strict=True))
    new_kills = [next(again) if kill.treatment_no == number else kill for kill in here.latent.kills]
    latent = replace(here.latent, kills=new_kills)
    return Reading.run(latent, here.parameters + (latent.centre - here.latent.centre))


def added(records: Records, pattern: pd.DataFrame, here: Reading, start: date, seed: int) -> Draws:
    """The course with a treatment after the `pattern` of another apiary's rounds, begun on `start`; same shape."""
    number = 1 + max((kill.treatment_no for kill in here.latent.kills), default=0)
    like = _shifted(pattern, start).assign(apiary=here.apiary, treatment_no=number)
    everyone = np.ones(len(here.units))
    new = [replace(kill, share=everyone) for kill in kills(records, like, here.units, here.usual)]
    latent = Latent(here.usual, here.units, [*here.latent.kills, *new], _words(here.latent.words, new))
    luck = _luck(here, len(new), seed) + np.log([kill.hazard for kill in new])
    return Reading.run(latent, np.concatenate([here.parameters, luck], axis=2))


def _words(words: Sequence[str], new: Sequence[Kill]) -> list[str]:
    return sorted({*words, *(kill.treatment for kill in new)})


def _luck(here: Reading, number: int, seed: int) -> Array:
    rng = np.random.default_rng([seed, crc32(here.apiary.encode()), 2])
    spread = np.hypot(reading.KILL_OPERATION.value, reading.KILL_ROUND.value)
    count, units, _ = here.parameters.shape
    shared = spread * rng.standard_normal((count, 1, number))
    return np.broadcast_to(shared, (count, units, number))


def _shifted(rounds: pd.DataFrame, start: date) -> pd.DataFrame:
    by = pd.Timestamp(start) - rounds["date"].min()
    return rounds.assign(date=rounds["date"] + by, removed=rounds["removed"] + by)
