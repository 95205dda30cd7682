"""What a season passes on to the next: draws of hives as they were left, and of how the keeper's treatments work.

======== =============================================================================================================
table    one row is
======== =============================================================================================================
`draws`  a hive of an apiary as it may be: `apiary, draw, on`, `mites` at the end of the day `on`, then its traits by
         the names of `kit.season.posterior.traits`, lower case: logarithms of factors, `shift` in days
`kills`  how one treatment word works here: `treatment, draw`, logarithms of factors on the hazard of its `kill`, on the
         days of its `residue`, and on its kill in `cells`
======== =============================================================================================================

A draw is one hive, drawn among those standing by how many each row stands for; an average of hives is spread out again
as single hives stray. Rounded alike in memory and on disk, so that a plan made from a saved review is the same plan.
"""

from __future__ import annotations

from datetime import timedelta
from zlib import crc32

import numpy as np
import pandas as pd

from kit.season.posterior import traits as t
from kit.season.reading import Reading, Season
from kit.season.usual import Array

LAW = tuple(
    name
    for name in t.NAMES
    if name not in {"START", "FRAME", "BROOD_FRAME", "RECOVERY", "DEAD_FALL", "LINGERING"} and not name.endswith("DROP")
)
"""Traits that drive the mites themselves; the others only say how they are seen."""
TRAITS = tuple(name.lower() for name in LAW)
DRAW_COLUMNS = ("apiary", "draw", "on", "mites", *TRAITS)
KILL_COLUMNS = ("treatment", "draw", "kill", "residue", "cells")
_AT = [t.NAMES.index(name) for name in LAW]
_DIGITS = 4


def passed_on(season: Season) -> dict[str, pd.DataFrame]:
    """The tables `draws` and `kills` of a season as read; the same season gives the same rows."""
    hives = [_hives(here) for here in season.readings.values()]
    draws = pd.concat([one for one in hives if len(one)] or [pd.DataFrame(columns=list(DRAW_COLUMNS))])
    return {"draws": draws.astype({"on": "datetime64[us]"}).reset_index(drop=True), "kills": _kills(season)}


def _hives(here: Reading) -> pd.DataFrame:
    weights = here.weights * here.standing(here.last)
    count = len(here.parameters)
    if weights.sum() <= 0:
        return pd.DataFrame(columns=list(DRAW_COLUMNS))
    rng = np.random.default_rng([here.seed, crc32(here.apiary.encode()), 8])
    unit = rng.permutation(np.searchsorted(np.cumsum(weights) / weights.sum(), (np.arange(count) + 0.5) / count))
    parted = np.array([1 - 1 / one.averaged for one in here.units])[unit]
    strays = np.sqrt(parted)[:, None] * np.array([t.SPREADS[at].colony for at in (t.START, *_AT)])
    luck = strays * rng.standard_normal(strays.shape)
    row = np.arange(count)
    mites = here.mites[row, unit, here.last] * np.exp(luck[:, 0] - strays[:, 0] ** 2 / 2)
    traits = here.parameters[row, unit][:, _AT] + luck[:, 1:]
    on = pd.Timestamp(here.usual.start + timedelta(days=here.last))
    named = {name: np.round(traits[:, n], _DIGITS) for n, name in enumerate(TRAITS)}
    return pd.DataFrame({"apiary": here.apiary, "draw": row, "on": on, "mites": np.round(mites, 2), **named})


def _kills(season: Season) -> pd.DataFrame:
    words = sorted({one.treatment for here in season.readings.values() for one in here.given})
    found = [_word(season, word) for word in words]
    return pd.concat([pd.DataFrame(columns=list(KILL_COLUMNS))][: not found] + found, ignore_index=True)


def _word(season: Season, word: str) -> pd.DataFrame:
    """One word's rows: in each draw the mean over the rounds and hives of the whole operation."""
    found = []
    for here in season.readings.values():
        rounds = [n for n, one in enumerate(here.given) if one.treatment == word]
        if rounds:
            first = t.FIRST_KILL + len(here.given)
            at = first + list(here.hives.words).index(word)
            hives = here.parameters.mean(axis=1)
            cells = hives[:, at + len(here.hives.words)]
            found.append(
                np.column_stack([hives[:, [t.FIRST_KILL + n for n in rounds]].mean(axis=1), hives[:, at], cells])
            )
    mean: Array = np.round(np.stack(found).mean(axis=0), _DIGITS)
    return pd.DataFrame(mean, columns=list(KILL_COLUMNS[2:])).assign(treatment=word, draw=range(len(mean)))[
        list(KILL_COLUMNS)
    ]
