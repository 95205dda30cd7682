"""The five sentences that open an apiary's page, from its facts in review and plan."""

from __future__ import annotations

from kit.report.words.phrases import Facts, Sentence, a_count, a_date, a_range, capital, listed, of_cause, spoken, stop
from kit.season.findings import Findings


def apiary_sentences(review: Findings, plan: Findings | None, apiary: str) -> list[Sentence]:
    """The five sentences of an apiary's page.

    Parameters
    ----------
    review : Findings
        Of the operation or of this apiary.
    plan : Findings or None
        None when only the review was made.
    apiary : str
        Its id.

    Returns
    -------
    list of Sentence
        Always five; what is not recorded is said to be so.
    """
    facts = review.apiary_facts[apiary]
    planned = plan.apiary_facts.get(apiary) if plan else None
    return [
        Sentence(heads(facts), "losses"),
        Sentence(timing(facts), "lateness"),
        Sentence(treatment(facts), "kill"),
        Sentence(standing(facts, review.facts["in_season"]), "loads"),
        Sentence(next_year(planned), "plan"),
    ]


def heads(facts: Facts) -> str:
    """Hives in, out and lost by cause."""
    conflict = (
        f" Heads that do not add up: {stop(listed(facts['heads_conflicts'], most=2))}"
        if facts["heads_conflicts"]
        else ""
    )
    if facts["wintered"] is None or facts["came_out"] is None:
        return _heads_missing(facts) + conflict
    went = f"{a_count(facts['wintered'], 'hive')} went into winter, {facts['came_out']:,.0f} came out"
    if not facts["lost"]:
        return f"{went}; none lost.{conflict}"
    causes = [f"{row['lost']:,.0f} {of_cause(row['cause'])}" for row in facts["lost_by_cause"]]
    interval = f"{facts['lost_pct']:.0f} %, likely {facts['lost_pct_low']:.0f} to {facts['lost_pct_high']:.0f} %"
    return f"{went}; {facts['lost']:,.0f} lost ({interval}), {listed(causes)}.{conflict}"


def _heads_missing(facts: Facts) -> str:
    known = f"{a_count(facts['wintered'], 'hive')} went into winter; " if facts["wintered"] is not None else ""
    standing = (
        f"{a_count(facts['hives'], 'hive')} standing by the last records; "
        if not known and facts["hives"] is not None
        else ""
    )
    which = {"both": "autumn and spring heads are", None: "heads are"}.get(
        facts["heads_missing"], f"{facts['heads_missing']} heads are"
    )
    return capital(f"{known}{standing}{which} not recorded.")


def timing(facts: Facts) -> str:
    """When the main treatment began and why it was late."""
    by = a_date(facts["treat_by"])
    if not facts["treatment"]:
        return f"No main treatment is recorded after 1 July; it was due by {by}."
    done = f"{capital(facts['treatment'])} began on {a_date(facts['treated_on'])}"
    days = facts["days_late"]
    if days is None:
        return f"{done}."
    if days <= 0:
        margin = "on the day" if days == 0 else f"{a_count(-days, 'day')} ahead"
        return f"{done}, in time for {by} ({margin})."
    why = facts["why_late"] or "why is not recorded"
    return f"{done}, {a_count(days, 'day')} after {by} ({why}).{_late_cost(facts)}"


def _late_cost(facts: Facts) -> str:
    cost = a_range(facts, "extra_loss", unit=" points") or a_range(facts, "extra_loss_pct", unit=" points")
    return f" By the mite model that raised the expected loss by {cost}." if cost else ""


def treatment(facts: Facts) -> str:
    """What each treatment did and why."""
    if not facts["treatments"]:
        return "No treatment is recorded this season."
    return " ".join(_did(row) for row in facts["treatments"])


def _did(row: Facts) -> str:
    kill = a_range(row, "efficacy", unit=" %", whole=True)
    rounds = f" in {a_count(row['rounds'], 'round')}" if row["rounds"] and row["rounds"] > 1 else ""
    said = f"{capital(row['treatment'])}{rounds} from {a_date(row['start'])} killed {kill} of the mites; {row['basis']}"
    if not kill:
        said = f"{capital(row['treatment'])}{rounds} from {a_date(row['start'])}: kill not known; {row['basis']}"
    cause = (
        f"; weak, likely cause: {row['cause']} ({spoken(row['evidence'])}): {spoken(row['check'])}"
        if row["cause"]
        else ""
    )
    return stop(said + cause)


def standing(facts: Facts, in_season: bool) -> str:
    """Where the apiary stands now, or stood when the season closed."""
    load = a_range(facts, "load", unit=" mites a hive")
    now = "Now" if in_season else f"On {a_date(facts['load_on'])}"
    open_points = [spoken(point["what"]) for point in facts["open_points"]]
    still = f" Still open: {stop(listed(open_points, most=2))}" if open_points else ""
    if not load:
        return f"Where it stands is not known.{still}"
    return f"{now} {load}, {stop(spoken(facts['load_basis']))}{still}"


def next_year(plan: Facts | None) -> str:
    """Next year's first date and kit."""
    if plan is None:
        return "Next year: not planned in this run; `season plan` does it."
    if not plan["first_date"]:
        return f"Next year: {stop(plan['left_out'] or 'no visit is planned')}"
    kit = [_item(item) for item in plan["kit"]]
    take = f"; take {listed(kit, most=5)}" if kit else ""
    late_by = plan["days_late"] if plan["days_late"] and plan["days_late"] > 0 else 0
    late = f", {a_count(late_by, 'day')} late ({plan['why_late']})" if late_by else ""
    return f"Next year: {plan['first_treatment']} first on {a_date(plan['first_date'], year=True)}{late}{take}."


def _item(item: Facts) -> str:
    name = str(item["item"]).split(",")[0]
    return name if item["count"] == 1 else f"{item['count']:g} {name}"
