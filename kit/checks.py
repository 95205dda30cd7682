"""Guards in one form: subject, rule, value. Each returns its value, so that a guard can stand in an expression."""

import math

from kit.errors import ValidityError


def finite(name: str, value: float) -> float:
    """Return `value` when it is a finite number.

    Raises
    ------
    ValidityError
        When it is NaN or infinite.

    Examples
    --------
    >>> finite("dose_g", 2.3)
    2.3
    """
    if not math.isfinite(value):
        raise ValidityError(f"{name} must be a finite number: got {value!r}")
    return value


def positive(name: str, value: float) -> float:
    """Return `value` when it is finite and above zero.

    Raises
    ------
    ValidityError
        Otherwise.

    Examples
    --------
    >>> positive("dose_g", -1.0)
    Traceback (most recent call last):
    kit.errors.ValidityError: dose_g must be > 0: got -1.0
    """
    if finite(name, value) <= 0:
        raise ValidityError(f"{name} must be > 0: got {value!r}")
    return value


def not_negative(name: str, value: float) -> float:
    """Return `value` when it is finite and not below zero.

    Raises
    ------
    ValidityError
        Otherwise.
    """
    if finite(name, value) < 0:
        raise ValidityError(f"{name} must be >= 0: got {value!r}")
    return value


def within(name: str, value: float, low: float, high: float) -> float:
    """Return `value` when it lies in the closed interval [low, high].

    Raises
    ------
    ValidityError
        Otherwise.

    Examples
    --------
    >>> within("seal_pct", 80, 0, 100)
    80
    """
    if not low <= finite(name, value) <= high:
        raise ValidityError(f"{name} must be between {low:g} and {high:g}: got {value!r}")
    return value
