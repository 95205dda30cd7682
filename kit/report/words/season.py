"""The ten sentences that open the season review, from the facts of review and plan."""

from __future__ import annotations

from collections.abc import Callable

from kit.report.words.phrases import Facts, Sentence, a_count, a_date, a_range, capital, listed, money, rounded, stop
from kit.season.findings import Findings

MOST_NAMED = 3
"""How many apiaries or points a sentence names before it counts the rest."""


def season_sentences(review: Findings, plan: Findings | None) -> list[Sentence]:
    """The ten sentences of the first page.

    Parameters
    ----------
    review : Findings
        Of the whole operation.
    plan : Findings or None
        Next season's plan, None when only the review was made.

    Returns
    -------
    list of Sentence
        Always ten, in order of need; what is not recorded is said to be so.
    """
    facts = review.facts
    said = [Sentence(sentence(facts), why) for sentence, why in _ABOUT_THE_SEASON]
    nine = Sentence(
        next_year(plan.facts) if plan else "Next year: not planned in this run; `season plan` does it.", "plan"
    )
    return [*said, nine, Sentence(certainty(facts), "trust")]


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
    causes = [f"{row['lost']:,.0f} {_of_cause(row['cause'])}" for row in facts["lost_by_cause"]]
    return f"{went_in}: {facts['lost']:,.0f} lost ({interval}), {listed(causes)}."


def _of_cause(cause: str) -> str:
    return "of unknown cause" if cause in ("", "unknown") else f"by {cause}"


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
    return f"Late against {a_date(facts['treat_by'])}: {listed(named, most=MOST_NAMED)}."


def _lateness_of(row: Facts) -> str:
    if not row["treated_on"]:
        return f"{row['apiary']} (no treatment recorded)"
    return f"{row['apiary']} ({a_count(row['days_late'], 'day')})"


def _late_against_rest(facts: Facts) -> str:
    late_in, rest_in = facts["late_wintered"], facts["rest_wintered"]
    if not late_in or not rest_in or facts["late_lost"] is None or facts["rest_lost"] is None:
        return "Their losses cannot be set against the rest: heads are not recorded on both sides."
    late_pct, rest_pct = 100 * facts["late_lost"] / late_in, 100 * facts["rest_lost"] / rest_in
    return (
        f"They lost {facts['late_lost']:,.0f} of {late_in:,.0f} ({late_pct:.0f} %), the rest "
        f"{facts['rest_lost']:,.0f} of {rest_in:,.0f} ({rest_pct:.0f} %)."
    )


def _cost_of_lateness(facts: Facts) -> str:
    colonies = a_range(facts, "late_extra_colonies", unit=" colonies")
    cost = a_range(facts, "late_extra_cost")
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
    return f"{row['why']} ({a_count(row['days'], 'day')}, {a_count(_number(row['apiaries']), 'apiary', 'apiaries')})"


def _number(value: object) -> int:
    return len(value) if isinstance(value, list) else int(str(value))


def worked(facts: Facts) -> str:
    """What worked, with the kill and where it was looked at."""
    looked_at = [row for row in facts["treatments"] if row["counted_apiaries"]]
    if not facts["treatments"]:
        return "What worked: no treatment is recorded this season."
    if not looked_at:
        words = listed([row["treatment"] for row in facts["treatments"]])
        ask = "a tray left in until the next round would"
        return f"What worked is not known: {words} were given and no count looked at them; {ask}."
    best = looked_at[0]
    where = listed(_places(best["counted_apiaries"]), most=MOST_NAMED)
    rest = [f"{row['treatment']} {a_range(row, 'efficacy', unit=' %', whole=True)}" for row in looked_at[1:]]
    others = f" Also looked at: {listed(rest)}." if rest else ""
    return f"What worked best: {best['treatment']}, {_kill(best)}, looked at in {where}.{others}"


def _places(value: object) -> list[str]:
    return [str(v) for v in value] if isinstance(value, list) else [a_count(int(str(value)), "apiary", "apiaries")]


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
    cause = (
        f"; likely cause: {worst['cause']} ({worst['evidence']})"
        if worst["cause"]
        else "; no cause stands out in the records"
    )
    check = f" Do: {stop(worst['check'])}" if worst["check"] else ""
    looked = "" if worst["counted"] else " (no count looked at it)"
    more = f" Weak too: {listed(_weak_names(others), most=MOST_NAMED)}." if others else ""
    kill = f"{worst['treatment']} at {worst['apiary']} {_kill(worst)}{looked}"
    return f"What did not: {kill}{cause}.{check}{more}{_slow(facts)}"


def _weak_names(rows: list[Facts]) -> list[str]:
    return [f"{row['treatment']} at {row['apiary']}" for row in rows]


def _slow(facts: Facts) -> str:
    if not facts["slow_vapour"]:
        return ""
    slow = facts["slow_vapour"][0]
    return f" Vapour was slow at {slow['apiary']}: {slow['cause']} ({slow['evidence']}); {stop(slow['check'])}"


def first(facts: Facts) -> str:
    """Where to go first now, and what to look at there."""
    go = facts["first"]
    if not go:
        return "Where to go first: nothing is due by these records."
    load = a_range({k: go[k] for k in go if k.startswith("load")}, "load", unit=" mites a hive")
    waiting = a_range(go, "wait_cost")
    price = (
        f"; a week's wait costs {facts['currency']} {waiting.removeprefix('about ')}".replace("  ", " ")
        if waiting
        else ""
    )
    count = f" Look at: {stop(go['next_count'])}" if go["next_count"] else ""
    standing = f", {load}" if load else ""
    when = f" between {a_date(go['from'])} and {a_date(go['to'])}" if go["from"] and go["to"] else ""
    return f"Go first to {go['apiary']}: {go['due']}{when} ({go['reason']}{standing}{price}).{count}"


def still_open(facts: Facts) -> str:
    """What is still open: strips not taken out, record gaps, label unread."""
    strips = [f"{row['treatment']} at {row['apiary']} since {a_date(row['since'])}" for row in facts["strips_in"]]
    other = {kind: n for kind, n in facts["open_by_kind"].items() if kind != "strips in"}
    counted = [f"{kind} ({n:,.0f})" for kind, n in other.items()]
    if not strips and not counted:
        return "Still open: nothing that these records show."
    first_of_all = f"strips not taken out: {listed(strips, most=MOST_NAMED)}" if strips else ""
    return f"Still open: {'; '.join(part for part in (first_of_all, listed(counted) if counted else '') if part)}."


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
    weighed = f", {rounded(facts['acid_g'], 3)} g of crystals" if facts["acid_g"] else ""
    unknown = (
        f" and {a_count(facts['doses_unweighed'], 'dose')} of unrecorded weight" if facts["doses_unweighed"] else ""
    )
    return f"{doses}{weighed}{unknown}"


def next_year(plan: Facts) -> str:
    """Next year in the days there are, what breaks first, and the cheapest mends."""
    wanted, done = _number(plan["apiaries"]), _number(plan["apiaries_by_date"])
    if not wanted:
        return "Next year: no apiary to plan for."
    heading = f" ({plan['heading']})" if plan["heading"] else ""
    by = a_date(plan["date_that_matters"])
    start = f"Next year{heading}: {done:,} of {a_count(wanted, 'apiary', 'apiaries')} start by {by}"
    return f"{start}{_last_one(plan)}{_left_out(plan)}.{_breaks(plan)}{_mends(plan)}"


def _last_one(plan: Facts) -> str:
    if not plan["last_first_round"]:
        return ""
    return f", the last ({plan['last_first_apiary']}) on {a_date(plan['last_first_round'])}"


def _left_out(plan: Facts) -> str:
    left = _places(plan["apiaries_left_out"])
    return f"; no day was found for {listed(left, most=MOST_NAMED)}" if plan["apiaries_left_out"] else ""


def _breaks(plan: Facts) -> str:
    breaks = plan["breaks_first"]
    if not breaks:
        return ""
    late = a_count(_number(breaks["apiaries_late"]), "apiary", "apiaries")
    return f" What breaks first: {breaks['what']} ({late} late)."


def _mends(plan: Facts) -> str:
    if not plan["mends"]:
        return " Nothing priced here would mend it cheaper than leaving it."
    return f" Cheapest mends: {listed([_mend(row, plan['currency']) for row in plan['mends']])}."


def _mend(row: Facts, currency: str) -> str:
    saved = [
        f"{rounded(row[key])} {noun}"
        for key, noun in (("colonies_saved", "colonies"), ("late_days_saved", "late days"), ("hours_saved", "hours"))
        if row[key] and row[key] > 0
    ]
    return f"{row['mend']} ({money(row['cost'], currency)}) saves {listed(saved)}"


def certainty(facts: Facts) -> str:
    """How sure all this is, and the one measurement that would help most."""
    counts = a_count(facts["counts"], "count")
    best = facts["best_measurement"]
    ask = ""
    if best:
        where = f" at {best['apiary']}" if best["apiary"] else ""
        ask = f" What would help most: {best['what']}{where}, {best['when']} ({best['why']})."
    aside = f" {a_count(facts['problems'], 'row')} could not be used; see the list." if facts["problems"] else ""
    return f"How sure: {facts['certainty']}, from {counts}: {stop(facts['certainty_why'])}{ask}{aside}"


_ABOUT_THE_SEASON: tuple[tuple[Callable[[Facts], str], str], ...] = (
    (losses, "losses"),
    (late, "lateness"),
    (why_late, "lateness"),
    (worked, "kill"),
    (weak, "kill"),
    (first, "first"),
    (still_open, "open"),
    (effort, "effort"),
)
