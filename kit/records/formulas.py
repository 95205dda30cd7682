"""Text that a spreadsheet would run as a formula: made harmless where tables are written, given back where read.

A cell that begins with `=`, `+`, `-`, `@`, a tab or a return and is no plain number gets an apostrophe before it.
Text that already looks so guarded gets one more, so that reading undoes exactly what writing did.
"""

from __future__ import annotations

import re

_RUNS = re.compile(r"'*[=+\-@\t\r]")
_GUARDED = re.compile(r"'+[=+\-@\t\r]")
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?\s?%?")


def guarded(text: str) -> str:
    """The text as it may stand in a CSV file.

    Examples
    --------
    >>> guarded("=1+1"), guarded("-1,5"), guarded("- none"), guarded("'=x"), guarded("it's")
    ("'=1+1", '-1,5', "'- none", "''=x", "it's")
    """
    return f"'{text}" if _RUNS.match(text) and not _NUMBER.fullmatch(text) else text


def unguarded(text: str) -> str:
    """The text that `guarded` was given.

    Examples
    --------
    >>> unguarded("'=1+1"), unguarded("''=x"), unguarded("'tis")
    ('=1+1', "'=x", "'tis")
    """
    return text[1:] if _GUARDED.match(text) else text
