"""The only floor that draws, words, and runs notebooks; panels and the command stand on it."""

from __future__ import annotations

import sys
from importlib import import_module


def _spare_a_second() -> None:
    """Import jsonschema without its checker of internationalised addresses.

    That checker compiles grammars at import, a second in this process and in every kernel, for a format that no
    notebook or chart uses; jsonschema does without it when it is not there.
    """
    if "jsonschema" in sys.modules or "rfc3987_syntax" in sys.modules:
        return
    # None is the documented way to make an import fail.
    sys.modules["rfc3987_syntax"] = None  # type: ignore[assignment]
    try:
        import_module("jsonschema")
    finally:
        del sys.modules["rfc3987_syntax"]


_spare_a_second()
