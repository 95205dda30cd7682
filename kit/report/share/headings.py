"""How the columns of a pack and of a pooled report are headed."""

_ENDS = {"p05": "at least", "p50": "about", "p95": "at most"}
_BANDS = {
    "mites": "mites a hive",
    "per_100_bees": "per 100 bees",
    "efficacy": "kill [%]",
    "expected_pct": "loss expected [%]",
}
HEADS: dict[str, str] = {
    f"{name}_{end}": f"{head}, {said}" for name, head in _BANDS.items() for end, said in _ENDS.items()
}
"""Each end of a likely range for itself: a pack's page shows the file as it is."""
HEADS |= {
    "apiary": "apiary's key",
    "basis": "looked at by",
    "counted": "apiaries counted",
    "crystals_g": "crystals in a dose [g]",
    "doses_a_hive": "rounds a hive",
    "hours_a_hive": "hours a hive [h]",
    "lines": "record lines",
    "lost": "lost",
    "place": "square",
    "weeks_late": "weeks late",
    "why_late": "why late",
    "wintered": "went into winter",
}
