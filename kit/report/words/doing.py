"""Doing: where to go first, what is open, what it took."""

from __future__ import annotations

from kit.report.words.phrases import (
    MOST_NAMED,
    Facts,
    a_count,
    a_date,
    a_range,
    capital,
    listed,
    money,
    rounded,
    spoken,
    stop,
)


def first(facts: Facts) -> str:
    """Where to go first now, and what to look at there."""
    go = facts["first"]
    if not go:
        return "Where to go first: nothing is due by these records."
    load = a_range(go, "load", unit=" mites a hive", step=1)
    standing = f" It stands at {load}{_waiting(go, facts['currency'])}." if load else ""
    look = f" Look at: {stop(spoken(go['next_count']))}" if go["next_count"] else ""
    due = f"{go['due']}{_when(go, facts['as_of'])}: {stop(spoken(go['reason']))}"
    return f"Go first to {go['apiary']}: {due}{standing}{look}"


def first_in_short(facts: Facts) -> str:
    """Where to go first now, in one breath."""
    go = facts.get("first")
    return f"Go first to {go['apiary']}: {go['due']}{_when(go, facts['as_of'])}." if go else ""


def _when(go: Facts, as_of: str) -> str:
    if not go["from"]:
        return ""
    if go["from"] <= as_of:
        return f", due since {a_date(go['from'])}" if go["from"] < as_of else ", due now"
    return f", from {a_date(go['from'])}" + (f" to {a_date(go['to'])}" if go["to"] else "")


def _waiting(go: Facts, currency: str) -> str:
    cost = a_range(go, "wait_cost", step=1).removeprefix("about ")
    return f"; waiting a week costs about {currency} {cost}" if cost else ""


def still_open(facts: Facts) -> str:
    """What is still open: strips not taken out, record gaps, label unread."""
    strips = [f"{row['treatment']} at {row['apiary']} since {a_date(row['since'])}" for row in facts["strips_in"]]
    other = [open_points(kind, n) for kind, n in facts["open_by_kind"].items() if kind != "strips in"]
    if not strips and not other:
        return "Still open: nothing that these records show."
    named = f"strips not taken out: {listed(strips, most=MOST_NAMED)}" if strips else ""
    return f"Still open: {'; '.join(part for part in (named, listed(other) if other else '') if part)}."


def open_points(kind: str, n: int) -> str:
    """So many open points of one kind.

    Examples
    --------
    >>> open_points("gear due", 2)
    '2 gear dates due (mask filter, fit test or other)'
    """
    one, many = _KINDS.get(kind, (kind, f"{kind}s"))
    return a_count(n, one, many)


_KINDS = {
    "seal not home": ("visit with seals not brought home", "visits with seals not brought home"),
    "record gap": ("gap in the medicine record", "gaps in the medicine record"),
    "label unread": ("label not read", "labels not read"),
    "notice": ("notice of mites not recorded", "notices of mites not recorded"),
    "gear due": ("gear date due (mask filter, fit test or other)", "gear dates due (mask filter, fit test or other)"),
    "expired batch": ("batch past its day", "batches past their day"),
}
"""Kinds of open points as they are said, one and many."""


def effort(facts: Facts) -> str:
    """Trips, hours, driving, wasted trips, doses, acid."""
    if not facts["trips"]:
        return "Trips and hours: not recorded."
    hours = f"{rounded(facts['hours'])} hours" if facts["hours"] else "hours not recorded"
    driving = f", {rounded(facts['drive_hours'])} of them driving" if facts["hours"] and facts["drive_hours"] else ""
    cost = f", worth {money(facts['effort_cost'], facts['currency'])}" if facts["effort_cost"] else ""
    return f"{capital(a_count(facts['trips'], 'trip'))}, {hours}{driving}{cost}; {_wasted(facts)}; {_acid(facts)}."


def _wasted(facts: Facts) -> str:
    if not facts["wasted_trips"]:
        return "no wasted trip on record"
    why = [f"{row['why']} {row['trips']:,.0f}" for row in facts["wasted_why"]]
    return f"{a_count(facts['wasted_trips'], 'trip')} wasted" + (f" ({listed(why)})" if why else "")


def _acid(facts: Facts) -> str:
    if not facts["doses"]:
        return "no oxalic dose recorded"
    doses = f"{a_count(facts['doses'], 'oxalic dose')}"
    if not facts["acid_g"]:
        return f"{doses}, none of them weighed on record"
    unknown = (
        f" and {a_count(facts['doses_unweighed'], 'dose')} of unrecorded weight" if facts["doses_unweighed"] else ""
    )
    return f"{doses}, {rounded(facts['acid_g'], 3)} g of crystals{unknown}"
