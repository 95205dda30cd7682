"""Treatments: what worked and what did not."""

from __future__ import annotations

from kit.report.words.phrases import MOST_NAMED, Facts, a_date, a_range, listed, places, spoken, stop


def worked(facts: Facts) -> str:
    """What worked, with the kill and where it was looked at."""
    looked_at = [row for row in facts["treatments"] if row["counted_apiaries"]]
    if not facts["treatments"]:
        return "What worked: no treatment is recorded this season."
    if not looked_at:
        words = listed([row["treatment"] for row in facts["treatments"]])
        were, them = ("was", "it") if len(facts["treatments"]) == 1 else ("were", "them")
        ask = "a tray left in until the next round would"
        return f"What worked is not known: {words} {were} given and no count looked at {them}; {ask}."
    best = looked_at[0]
    where = listed(places(best["counted_apiaries"]), most=MOST_NAMED)
    rest = [f"{row['treatment']} {a_range(row, 'efficacy', unit=' %', whole=True)}" for row in looked_at[1:]]
    others = f" Also looked at: {listed(rest)}; other hives, other weeks: no ranking of medicines." if rest else ""
    return f"What worked: {best['treatment']} {_kill(best)}, looked at in {where}.{others}"


def _kill(row: Facts) -> str:
    kill = a_range(row, "efficacy", unit=" %", whole=True)
    return f"killed {kill} of the mites" if kill else "kill not known"


def weak(facts: Facts) -> str:
    """What did not work, with the likely cause and the one thing to do about it."""
    if not facts["weak"]:
        known = any(row["counted_apiaries"] for row in facts["treatments"])
        nothing = "nothing stands out" if known else "not known without a count after a treatment"
        return f"What did not: {nothing}.{_slow(facts)}"
    worst, *others = facts["weak"]
    looked = "" if worst["counted"] else " (no count looked at it)"
    more = f" Weak too: {listed([_named(row) for row in others], most=MOST_NAMED)}." if others else ""
    return f"What did not: {_named(worst)} {_kill(worst)}{looked}{_likely_cause(worst)}{more}{_slow(facts)}"


def _named(row: Facts) -> str:
    return f"{row['treatment']} at {row['apiary']} from {a_date(row['start'])}"


def _likely_cause(row: Facts) -> str:
    if not row["cause"]:
        return "; no cause stands out in the records."
    check = f" Do: {stop(spoken(row['check']))}" if row["check"] else ""
    return f"; likely cause: {row['cause']} ({spoken(row['evidence'])}).{check}"


def _slow(facts: Facts) -> str:
    if not facts["slow_vapour"]:
        return ""
    slow, *others = facts["slow_vapour"]
    elsewhere = sorted({row["apiary"] for row in others} - {slow["apiary"]})
    too = f" (slow too at {listed(elsewhere, most=MOST_NAMED)})" if elsewhere else ""
    return f" Vapour was slow at {slow['apiary']}{too}{_likely_cause(slow)}"
