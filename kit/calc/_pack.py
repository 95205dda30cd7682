"""Lanes checked, packed for the compiled law and run in blocks. Private to `kit.calc.lanes` and `kit.calc.mites`."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple

import numpy as np
from numpy.typing import NDArray

from kit.calc import _kernel
from kit.calc.lanes import Lanes, brood_curves
from kit.calc.rates import RATE_NAMES, Rates
from kit.constants import bees
from kit.errors import ValidityError

FloatArray = NDArray[np.float64]
_BLOCK = 256


def run(lanes: Lanes, at: NDArray[np.int64], columns: int, threads: int) -> tuple[FloatArray, FloatArray]:
    ready = packed(lanes, at)
    n = len(ready.mites)
    out, spoiled = np.empty((n, len(at), columns)), np.empty(n)
    starts = range(0, n, _BLOCK)
    if threads <= 1 or len(starts) == 1:
        _kernel.run(ready, out, spoiled, 0, n)
        return out, spoiled
    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(lambda first: _kernel.run(ready, out, spoiled, first, min(first + _BLOCK, n)), starts))
    return out, spoiled


def packed(lanes: Lanes, at: NDArray[np.int64]) -> _kernel.Lanes:
    mites = _amounts("mites", np.atleast_1d(np.asarray(lanes.mites, dtype=float)))
    n = len(mites)
    return _kernel.Lanes(
        mites,
        _rates(lanes, n),
        _curves(lanes),
        _year_rows(lanes, n),
        _factors(lanes, n),
        *_treatment_rows(lanes, n),
        np.ascontiguousarray(at, dtype=np.int64),
        _window(lanes),
    )


def _rates(lanes: Lanes, n: int) -> FloatArray:
    given = np.array([astuple(Rates())]) if lanes.rates is None else np.asarray(lanes.rates, dtype=float)
    rates = _amounts("rates", _rows("rates", given, (n, len(RATE_NAMES)))).copy()
    rates[:, :2] *= bees.BEES_PER_GRAM.value  # hazard per bee, as the law's compiled form wants it
    return rates


def _amounts(name: str, values: FloatArray) -> FloatArray:
    if not (np.isfinite(values).all() and (values >= 0).all()):
        bad = values[~(np.isfinite(values) & (values >= 0))][0]
        raise ValidityError(f"{name} must be finite and >= 0: got {float(bad)!r}")
    return np.ascontiguousarray(values, dtype=float)


def _rows(name: str, values: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    try:
        return np.ascontiguousarray(np.broadcast_to(values, shape))
    except ValueError:
        raise ValidityError(f"{name} must have shape {shape}: got {np.shape(values)}") from None


def _curves(lanes: Lanes) -> FloatArray:
    if lanes.curves is None:
        return brood_curves(lanes.years, lanes.start, lanes.days)
    shape = (_kernel.LEAD + lanes.days, 5)
    if lanes.curves.shape[1:] != shape:
        raise ValidityError(f"curves must have shape (rows, {shape[0]}, 5): got {lanes.curves.shape}")
    return np.ascontiguousarray(lanes.curves)


def _year_rows(lanes: Lanes, n: int) -> FloatArray:
    rows = _amounts("year_at", _rows("year_at", np.asarray(lanes.year_at, dtype=float), (n,)))
    last = len(lanes.years if lanes.curves is None else lanes.curves) - 1
    if (rows > last).any():
        raise ValidityError(f"year_at must be at most {last}: got {float(rows.max())}")
    return rows


def _factors(lanes: Lanes, n: int) -> FloatArray:
    named = {
        "adults_factor": lanes.adults_factor,
        "brood_factor": lanes.brood_factor,
        "growth": lanes.growth,
        "reinvasion_per_day": lanes.reinvasion_per_day,
    }
    columns = {name: _amounts(name, np.asarray(values, dtype=float)) for name, values in named.items()}
    columns = {name: v[:, None] if v.ndim == 1 else v for name, v in columns.items()}
    knots = max((v.shape[1] for v in columns.values() if v.ndim == 2), default=1)
    spread = [_rows(name, _knots(v, knots), (n, knots)) for name, v in columns.items()]
    return np.ascontiguousarray(np.stack(spread, axis=-1))


def _knots(values: FloatArray, knots: int) -> FloatArray:
    """The same straight lines on `knots` evenly spaced days."""
    if values.ndim < 2 or values.shape[1] in (1, knots):
        return values
    old, new = np.linspace(0, 1, values.shape[1]), np.linspace(0, 1, knots)
    return np.array([np.interp(new, old, row) for row in values])


def _treatment_rows(lanes: Lanes, n: int) -> tuple[NDArray[np.int64], FloatArray]:
    if lanes.when is None or lanes.effects is None:
        return np.zeros((n, 0, 2), dtype=np.int64), np.zeros((n, 0, 6))
    when, effects = np.asarray(lanes.when, dtype=np.int64), np.asarray(lanes.effects, dtype=float)
    k = when.shape[-2]
    effects = _amounts("effects", _rows("effects", effects, (n, k, 6)))
    if (effects[..., [0, 3, 4, 5]] > 1).any():
        raise ValidityError("effects: a kill must be a share of at most 1")
    if (when[..., 0] < 0).any():
        raise ValidityError("when: a treatment must not be before the start")
    return np.ascontiguousarray(np.broadcast_to(when, (n, k, 2))), effects


def _window(lanes: Lanes) -> NDArray[np.int64]:
    if lanes.winter_bees is None:
        return np.zeros(2, dtype=np.int64)
    return np.array([(day - lanes.start).days for day in lanes.winter_bees], dtype=np.int64)
