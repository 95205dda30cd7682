"""Winter and lateness: what was lost, who was late, and why."""

from __future__ import annotations

from kit.report.words.phrases import (
    MOST_NAMED,
    Facts,
    a_count,
    a_date,
    a_range,
    listed,
    number_of,
    of_cause,
    stop,
)


def losses(facts: Facts) -> str:
    """Went in with, came out with, lost how many, by cause, with an interval."""
    if not facts["wintered"]:
        return stop(_no_heads(facts))
    if not facts["winter_over"]:
        return f"{a_count(facts['wintered'], 'hive')} went into winter; the first look in spring is not recorded yet."
    return _counted_losses(facts) + _heads_left_out(facts) + _heads_in_conflict(facts)


def _counted_losses(facts: Facts) -> str:
    went_in = f"{a_count(facts['wintered'], 'hive')} went into winter and {facts['came_out']:,.0f} came out"
    interval = f"{facts['lost_pct']:.0f} %, likely {facts['lost_pct_low']:.0f} to {facts['lost_pct_high']:.0f} %"
    if not facts["lost"]:
        return f"{went_in}: none lost ({interval})."
    causes = [f"{row['lost']:,.0f} {of_cause(row['cause'])}" for row in facts["lost_by_cause"]]
    return f"{went_in}: {facts['lost']:,.0f} lost ({interval}), {listed(causes)}."


def _no_heads(facts: Facts) -> str:
    standing = f"{a_count(facts['hives'], 'hive')} standing by the last records; " if facts["hives"] else ""
    return (
        f"{standing}what went into winter and what came out is not recorded. Heads on 1 October and at the first look "
        "in spring, two numbers an apiary, are the most useful line you can write"
    )


def _heads_left_out(facts: Facts) -> str:
    missing = [f"{row['apiary']} ({_missing_heads(row['missing'])})" for row in facts["heads_missing"]]
    return f" Not in these numbers, heads not recorded: {listed(missing, most=MOST_NAMED)}." if missing else ""


def _missing_heads(which: str) -> str:
    return "autumn and spring" if which == "both" else which


def _heads_in_conflict(facts: Facts) -> str:
    conflicts = [f"{row['apiary']}: {row['what']}" for row in facts["heads_conflicts"]]
    return f" Heads that do not add up: {stop(listed(conflicts, most=2))}" if conflicts else ""


def late(facts: Facts) -> str:
    """Late apiaries against the rest, in colonies and money, and whether the records can tell."""
    if not facts["late"]:
        return _none_late(facts)
    return f"{_who_was_late(facts)} {_late_against_rest(facts)}{_cost_of_lateness(facts)}{_told_apart(facts)}"


def _none_late(facts: Facts) -> str:
    if not facts["on_time"]:
        return "Whether anything was late cannot be said: no main treatment after 1 July is recorded."
    treated = a_count(len(facts["on_time"]), "apiary", "apiaries")
    return f"Nothing was late: all {treated} had the main treatment by {a_date(facts['treat_by'])}."


def _who_was_late(facts: Facts) -> str:
    named = [_lateness_of(row) for row in facts["late"]]
    return f"Late for {a_date(facts['treat_by'])}: {listed(named, most=MOST_NAMED)}."


def _lateness_of(row: Facts) -> str:
    if not row["treated_on"]:
        return f"{row['apiary']} (no treatment recorded)"
    return f"{row['apiary']} ({a_count(row['days_late'], 'day')})"


SURVIVORS = "Spring counts survivors only, and the worst are often treated first or last: read it as a hint."
"""Said beside every comparison of losses."""


def _late_against_rest(facts: Facts) -> str:
    late_in, rest_in = facts["late_wintered"], facts["rest_wintered"]
    if not late_in or not rest_in or facts["late_lost"] is None or facts["rest_lost"] is None:
        return "Their losses cannot be set against the rest: heads are not recorded on both sides."
    late_pct, rest_pct = 100 * facts["late_lost"] / late_in, 100 * facts["rest_lost"] / rest_in
    return (
        f"They lost {facts['late_lost']:,.0f} of {late_in:,.0f} ({late_pct:.0f} %), the rest "
        f"{facts['rest_lost']:,.0f} of {rest_in:,.0f} ({rest_pct:.0f} %). {SURVIVORS}"
    )


def _cost_of_lateness(facts: Facts) -> str:
    colonies = a_range(facts, "late_extra_colonies", unit=" colonies", step=0.1)
    cost = a_range(facts, "late_extra_cost", step=1)
    if not colonies:
        return ""
    priced = f" and {facts['currency']} {cost.removeprefix('about ')}".replace("  ", " ") if cost else ""
    return f" By the mite model the days late cost {colonies}{priced}."


def _told_apart(facts: Facts) -> str:
    if facts["late_told_apart"] is None:
        return ""
    verdict = "can" if facts["late_told_apart"] else "cannot"
    return f" These records {verdict} tell lateness from crop and ground: {stop(facts['late_told_apart_why'])}"


def why_late(facts: Facts) -> str:
    """Why late, ranked by days."""
    reasons = [_reason(row) for row in facts["why_late"]]
    if not facts["late"]:
        return "Why late: nothing to explain."
    if not reasons:
        return "Why late: not recorded; one word in `why_late` of the log (ground, supers, weather, kit) would say it."
    return f"Why late, by days lost: {listed(reasons)}."


def _reason(row: Facts) -> str:
    return f"{row['why']} ({a_count(row['days'], 'day')}, {a_count(number_of(row['apiaries']), 'apiary', 'apiaries')})"
