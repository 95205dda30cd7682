"""Parameter sets drawn from the sourced ranges, keyed so that a colony's draws are its own whatever runs beside it.

A number with value, low and high is drawn from low to high, half of the draws on either side of its value, evenly; no
draw leaves the range. Numbers that come from one source move together (rank correlation about 0.6), and so do the
daughters and the fall at emergence, which were fitted together to the growth that was seen.
"""

from collections.abc import Iterable, Mapping
from typing import Final
from zlib import crc32

import numpy as np
from numpy.typing import NDArray
from scipy import special

from kit.calc.actions import SOURCED, Action
from kit.calc.rates import RATE_NAMES
from kit.constants import mites
from kit.constants.constant import Constant
from kit.errors import ValidityError

FloatArray = NDArray[np.float64]

TOGETHER: Final = 0.6
"""Correlation of numbers of one source, before they are spread over their ranges."""
_ALONE = frozenset({"assumed", "common practice"})
_FITTED_TOGETHER = frozenset({"daughters_worker_summer", "daughters_worker_winter", "fall_worker"})

RATES: Mapping[str, Constant] = {name: getattr(mites, name.upper()) for name in RATE_NAMES}
"""The sourced number of each rate, in the order of `RATE_NAMES`."""


def stream(seed: int, apiary: str = "", colony: str = "") -> np.random.Generator:
    """The random stream of one colony: the same for the same seed and ids, whatever the order of work.

    Parameters
    ----------
    seed : int
        Of the whole run, not negative.
    apiary, colony : str
        Ids; empty ones for what belongs to no apiary or colony.

    Returns
    -------
    Generator
        A fresh one, at the beginning of its stream.

    Raises
    ------
    ValidityError
        For a negative seed.

    Examples
    --------
    >>> bool(stream(1, "Mill", "A3").random() == stream(1, "Mill", "A3").random())
    True
    """
    if seed < 0:
        raise ValidityError(f"seed must be >= 0: got {seed}")
    return np.random.default_rng([seed, crc32(apiary.encode()), crc32(colony.encode())])


def rates(n: int, rng: np.random.Generator) -> FloatArray:
    """Draws of the rates of the law.

    Parameters
    ----------
    n : int
        Number of draws.
    rng : Generator
        From `stream`.

    Returns
    -------
    ndarray, shape (n, 16)
        Columns named by `kit.calc.rates.RATE_NAMES`, as `Lanes.rates` takes them.
    """
    groups = {name: "growth" if name in _FITTED_TOGETHER else _group(constant) for name, constant in RATES.items()}
    drawn = _drawn(RATES, groups, n, rng)
    return np.stack([drawn[name] for name in RATE_NAMES], axis=-1)


def action(word: str, n: int, rng: np.random.Generator) -> Action:
    """Draws of how one kind of treatment acts.

    Parameters
    ----------
    word : str
        A treatment word.
    n : int
        Number of draws.
    rng : Generator
        From `stream`.

    Returns
    -------
    Action
        Drawn fields of shape (n,); the usual dose and stay keep their central values, being what was done.

    Raises
    ------
    ValidityError
        For a word the record sheets do not know.
    """
    if word not in SOURCED:
        raise ValidityError(f"treatment word must be one of {', '.join(SOURCED)}: got {word!r}")
    done = {name: c.value for name, c in SOURCED[word].items() if name in ("usual_g", "days")}
    spread = {name: c for name, c in SOURCED[word].items() if name not in done}
    return Action(**done, **_drawn(spread, {name: _group(c) for name, c in spread.items()}, n, rng))


def actions(words: Iterable[str], n: int, rng: np.random.Generator) -> dict[str, Action]:
    """Draws of several kinds of treatment, drawn in the alphabetical order of their words.

    Parameters
    ----------
    words : iterable of str
        Treatment words; each is drawn once.
    n : int
        Number of draws.
    rng : Generator
        From `stream`.

    Returns
    -------
    dict
        Word to `Action`, as `effect_rows` takes them.

    Raises
    ------
    ValidityError
        For a word the record sheets do not know.
    """
    return {word: action(word, n, rng) for word in sorted(set(words))}


def spread(constant: Constant, u: FloatArray) -> FloatArray:
    """Points of a number's range: `u` 0 gives its low, 0.5 its value, 1 its high, straight lines between.

    Parameters
    ----------
    constant : Constant
        The number.
    u : ndarray
        Shares from 0 to 1 [1].

    Returns
    -------
    ndarray
        As `u`, in the constant's unit.

    Examples
    --------
    >>> spread(mites.DEATH_WINTER, np.array([0.0, 0.5, 1.0])).tolist()
    [0.002, 0.003, 0.004]
    """
    points: FloatArray = np.interp(u, [0.0, 0.5, 1.0], [constant.low, constant.value, constant.high])
    return points


def _group(constant: Constant) -> str | None:
    return None if constant.source in _ALONE else constant.source


def _drawn(
    constants: Mapping[str, Constant], groups: Mapping[str, str | None], n: int, rng: np.random.Generator
) -> dict[str, FloatArray]:
    shared = {group: rng.standard_normal(n) for group in sorted({g for g in groups.values() if g})}
    found: dict[str, FloatArray] = {}
    for name, constant in constants.items():
        z, group = rng.standard_normal(n), groups[name]
        if group is not None:
            z = TOGETHER**0.5 * shared[group] + (1 - TOGETHER) ** 0.5 * z
        found[name] = spread(constant, np.asarray(special.ndtr(z), dtype=float))
    return found
