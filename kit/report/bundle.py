"""Vega, Vega-Lite and Vega-Embed as one script, built once from the installed library and kept in the user's cache."""

from __future__ import annotations

import hashlib
import os
from functools import cache
from importlib.metadata import version
from pathlib import Path

from platformdirs import user_cache_path

VEGA_LITE = "6.4"
"""The grammar that altair writes; JupyterLab draws the same charts with its own, older one."""
SNIPPET = "window.vegaEmbed = vegaEmbed;"


@cache
def vega_bundle() -> str:
    """The script (about 0.9 MB), free of `</script`."""
    place = user_cache_path("season-kit") / f"{_key()}.js"
    try:
        return place.read_bytes().decode("utf-8")
    except OSError:
        return _keep(place, _built())


def _key() -> str:
    parts = f"{version('vl-convert-python')} {VEGA_LITE} {SNIPPET}"
    return f"vega-{hashlib.sha256(parts.encode()).hexdigest()[:16]}"


def _built() -> str:
    from vl_convert import javascript_bundle

    script: str = javascript_bundle(snippet=SNIPPET, vl_version=VEGA_LITE)
    return script.replace("</script", "<\\/script").replace("\r\n", "\n")


def _keep(place: Path, script: str) -> str:
    """Kept for the next run where the cache folder allows it; a run does not hang on it."""
    part = place.with_name(f".{place.name}.{os.getpid()}")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(script.encode("utf-8"))
        part.replace(place)
    except OSError:
        part.unlink(missing_ok=True)
    return script
