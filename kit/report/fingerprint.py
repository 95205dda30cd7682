"""A name for everything a result was worked out from: the same values give the same name, any other another."""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pandas as pd

import kit

PACKAGE = Path(kit.__file__).parent
BELOW = ("calc", "constants", "plan", "records", "season")
"""The rooms below the reports; what they and the modules beside them work out stands on nothing else of the kit."""
LIBRARIES = ("numpy", "scipy", "pandas", "numba", "llvmlite")


def fingerprint(*parts: object) -> str:
    """A digest of values: plain ones, dates, arrays, tables, and any nesting of them in containers and dataclasses.

    Raises
    ------
    TypeError
        On a value whose content it cannot see.

    Examples
    --------
    >>> fingerprint("ab", 1) == fingerprint("ab", 1)
    True
    >>> fingerprint("a", "b1") == fingerprint("ab", "1") or fingerprint([1, None]) == fingerprint([1, 0.0])
    False
    """
    seen = hashlib.sha256()
    for piece in _pieces(parts):
        seen.update(b"%d:" % len(piece))
        seen.update(piece)
    return seen.hexdigest()


def _pieces(value: object) -> Iterator[bytes]:
    yield type(value).__name__.encode()
    if isinstance(value, str | int | float | date | np.generic | None):
        yield repr(value).encode()
    elif isinstance(value, np.ndarray):
        yield f"{value.dtype} {value.shape}".encode()
        yield repr(value.tolist()).encode() if value.dtype == object else np.ascontiguousarray(value).tobytes()
    else:
        inside = _inside(value)
        yield b"%d" % len(inside)
        for one in inside:
            yield from _pieces(one)


def _inside(value: object) -> Sequence[object]:
    if isinstance(value, pd.DataFrame):
        return [value.index.to_numpy(), *(part for name in value.columns for part in (name, value[name].to_numpy()))]
    if isinstance(value, Mapping):
        return [part for pair in value.items() for part in pair]
    if isinstance(value, frozenset | set):
        return sorted(value, key=repr)
    if isinstance(value, list | tuple):
        return value
    if is_dataclass(value):
        return [part for field in fields(value) for part in (field.name, getattr(value, field.name))]
    raise TypeError(f"a {type(value).__name__} has no fingerprint")


def code_below() -> str:
    """A digest of what works results out: the kit's code below the reports, its libraries, Python and this machine."""
    loose = sorted(PACKAGE.glob("*.py"))
    files = loose + sorted(
        path for room in BELOW for path in (PACKAGE / room).rglob("*") if path.suffix in (".py", ".toml")
    )
    code = {path.relative_to(PACKAGE).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}
    versions = {name: version(name) for name in LIBRARIES}
    return fingerprint(code, versions, platform.python_version(), platform.machine(), platform.node())
