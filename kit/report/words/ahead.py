"""Ahead: next year in the days there are, and how sure all this is."""

from __future__ import annotations

from kit.report.words.phrases import (
    MOST_NAMED,
    Facts,
    a_count,
    a_date,
    capital,
    listed,
    money,
    number_of,
    places,
    rows_aside,
    spoken,
    stop,
    what_it_saves,
)


def next_year(plan: Facts) -> str:
    """Next year in the days there are, what breaks first, and the cheapest mends."""
    wanted, done = number_of(plan["apiaries"]), number_of(plan["apiaries_by_date"])
    if not wanted:
        return "Next year: no apiary to plan for."
    heading = f" ({plan['heading']})" if plan["heading"] else ""
    by, of_all = a_date(plan["date_that_matters"]), a_count(wanted, "apiary", "apiaries")
    if plan["as_of"] > plan["date_that_matters"]:
        start = f"This season{heading}: by these records {done:,} of {of_all} began the main treatment by {by}"
        return f"{start}; {_to_come(plan)}{_left_out(plan)}.{_replanned(plan)}{_breaks(plan)}{_mends(plan)}"
    start = f"Next year{heading}: {done:,} of {of_all} begin the main treatment by {by}"
    return f"{start}{_last_one(plan)}{_left_out(plan)}.{_replanned(plan)}{_holds(plan)}{_breaks(plan)}{_mends(plan)}"


def _to_come(plan: Facts) -> str:
    """What is still planned in a season whose day to treat by is past."""
    if not plan["visits"]:
        return "nothing is planned any more"
    return f"still planned: {a_count(plan['visits'], 'visit')} on {a_count(plan['days_out'], 'day')}"


def _last_one(plan: Facts) -> str:
    if not plan["last_first_round"]:
        return ""
    return f", the last ({plan['last_first_apiary']}) on {a_date(plan['last_first_round'])}"


def _left_out(plan: Facts) -> str:
    left = places(plan["apiaries_left_out"])
    return f"; no day was found for {listed(left, most=MOST_NAMED)}" if plan["apiaries_left_out"] else ""


def _replanned(plan: Facts) -> str:
    """What is kept and what changed against the plan made before."""
    then = plan.get("replanned")
    if not then:
        return ""
    counts = [
        ("stay", "stay on their day"),
        ("moved", "moved"),
        ("new", "are new"),
        ("dropped", "are no longer planned"),
    ]
    told = [f"{number_of(then[key])} {said}" for key, said in counts if then[key]]
    done = a_count(then["done"], "visit")
    return (
        f" Against the plan of {a_date(then['from'], year=True)}: {listed([f'{done} done', *told])}; see what changed."
    )


def _holds(plan: Facts) -> str:
    """The chance that weather lets every main treatment begin in time, and what is kept free for it."""
    chance = plan.get("holds_pct")
    if chance is None:
        return ""
    seasons = "nearly every season" if chance >= 95 else f"about {max(chance / 10, 0):.0f} seasons of 10"
    if chance < 5:
        seasons = "hardly any season"
    spare = a_count(plan["spare_days_to"], "working day")
    free = "is" if plan["spare_days_to"] == 1 else "are"
    lets = f"In {seasons} each finds weather to begin within a few days of its date"
    return f" {lets}; {spare} {free} kept free for bad days."


def _breaks(plan: Facts) -> str:
    breaks = plan["breaks_first"]
    if not breaks:
        return ""
    late, left = (number_of(breaks[key]) for key in ("apiaries_late", "apiaries_left_out"))
    costs = [f"{a_count(late, 'apiary', 'apiaries')} late"] * bool(late)
    costs += [f"{a_count(left, 'apiary', 'apiaries')} left out"] * bool(left)
    return f" What breaks first: {breaks['what']} ({listed(costs or ['later days, none past the date'])})."


def _mends(plan: Facts) -> str:
    if not plan["mends"]:
        return " Nothing priced here would mend it cheaper than leaving it."
    against = f" against {plan['mends_against']}" if plan["mends_against"] else ""
    return f" Cheapest mends{against}: {'; '.join(_mend(row, plan['currency']) for row in plan['mends'])}."


def _mend(row: Facts, currency: str) -> str:
    price = money(row["cost"], currency) if row["cost"] else "no cost"
    return f"{row['mend']} ({price}) saves {listed(what_it_saves(row))}"


def certainty(facts: Facts) -> str:
    """How sure all this is, and the one measurement that would help most."""
    counts = a_count(facts["counts"], "count")
    best = facts["best_measurement"]
    ask = ""
    if best:
        where = f" at {best['apiary']}" if best["apiary"] else ""
        when = f", {spoken(best['when'])}" if best["when"] and best["when"] not in best["what"] else ""
        ask = f" What would help most: {spoken(best['what'])}{where}{when} ({spoken(best['why'])})."
    aside = f" {capital(rows_aside(facts['problems'], facts['remarks']))}; see the list." if facts["problems"] else ""
    return f"How sure: {facts['certainty']}, from {counts}: {stop(facts['certainty_why'])}{ask}{aside}"
