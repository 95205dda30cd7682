"""How sure the season's reading is, and the one measurement that would help most."""

from __future__ import annotations

from typing import Any

import numpy as np

from kit.season.parts import Parts, plain
from kit.season.posterior.evidence import readable
from kit.season.reading import Reading
from kit.season.today import next_count
from kit.season.units import last_day

GOOD_PER_APIARY = 3
GOOD_SHARE, FAIR_SHARE = 0.8, 0.5
"""Share of apiaries with that many counts to call the reading good; with any count to call it fair (assumed)."""
WORTH_SAYING = 1.0
"""A count worth less money than this settles nothing."""


def certainty(parts: Parts) -> dict[str, Any]:
    """Counts used, where, and one word for how sure the reading is."""
    used = _used(parts)
    readings = parts.tables["readings"]
    after = readings[readings["after_treatment"]]
    words = readings[(readings["level"] != "") & readings["mites"].isna()]
    counted = [apiary for apiary, n in used.items() if n]
    grade, why = _grade(parts, used)
    return {
        "counts": sum(used.values()),
        "counts_after_treatment": len(after),
        "counts_by_words": len(words),
        "counted_apiaries": counted,
        "uncounted_apiaries": [apiary for apiary in used if apiary not in counted],
        "certainty": grade,
        "certainty_why": why,
    }


def best_measurement(parts: Parts) -> dict[str, Any] | None:
    """The count worth most to a decision that is open; where none is, that of the apiary whose hives' mites are known
    least, weighed by its hives. None without apiaries."""
    return _worth_most(parts) or _least_known(parts)


def _worth_most(parts: Parts) -> dict[str, Any] | None:
    table = parts.tables["count_values"]
    if table.empty or not table["value"].iloc[0] >= WORTH_SAYING:
        return None
    best = table.iloc[0]
    money = f"{best['value']:.0f} {parts.records.settings.currency}"
    return {
        "what": best["count"],
        "apiary": best["apiary"],
        "when": plain(last_day(parts.records)),
        "why": f"in {best['changes_pct']:.0f} of 100 cases it would turn whether one more treatment there pays; "
        f"worth about {money} before its own cost",
    }


def _least_known(parts: Parts) -> dict[str, Any] | None:
    stray = {apiary: _stray(here) for apiary, here in parts.season.readings.items()}
    known = {apiary: value for apiary, value in stray.items() if not np.isnan(value)}
    if not known:
        return None
    hives = {a: float(parts.season.readings[a].weights.sum()) for a in known}
    apiary = max(sorted(known), key=lambda a: known[a] * hives[a])
    factor = float(np.exp(1.645 * known[apiary]))
    return {
        "what": next_count(parts.records, parts.tables["rounds"], apiary),
        "apiary": apiary,
        "when": plain(last_day(parts.records)),
        "why": f"its mites may be {factor:.1f} times as many as said, or as few, in {hives[apiary]:.0f} hives",
    }


def _used(parts: Parts) -> dict[str, int]:
    counts = parts.records.in_season("counts")
    by_apiary = dict.fromkeys(parts.season.readings, 0)
    for row in counts.to_dict("records"):
        if row["apiary"] in by_apiary and readable(row):
            by_apiary[row["apiary"]] += 1
    return by_apiary


def _grade(parts: Parts, used: dict[str, int]) -> tuple[str, str]:
    grade, why = _by_counts(parts, used)
    before = "; hives begin with the mites that the season before left in them"
    return grade, why if parts.season.after is None else why + before


def _by_counts(parts: Parts, used: dict[str, int]) -> tuple[str, str]:
    total, counted = len(used), sum(n > 0 for n in used.values())
    if not counted:
        return "model only", "no count was written down this season: loads are the usual year, nothing more"
    well = sum(n >= GOOD_PER_APIARY for n in used.values())
    often = "all" if well == counted else "none" if not well else f"{well}"
    where = f"counts at {counted} of {total} apiaries, {often} of them three times or more"
    if parts.season.fallen_back:
        return "rough", f"{where}; read count by count: {', '.join(parts.season.fallen_back)}"
    if well >= GOOD_SHARE * total:
        return "good", f"{where}; the mite model carries the rest"
    if counted >= FAIR_SHARE * total:
        return "fair", f"{where}; the others take their neighbours' mean"
    return "rough", f"{where}; most apiaries stand on the usual year and the usual kill"


def _stray(here: Reading) -> float:
    """Spread of the log of an apiary's mean mites on the last day read."""
    draws = here.mean(here.mites[:, :, here.last], here.last)
    return float(np.std(np.log(np.maximum(draws, 1e-6)))) if not np.isnan(draws).any() else float("nan")
