"""The five sentences that open an apiary's page, from its facts in review and plan, in any language with a file."""

from __future__ import annotations

from kit.report.words.language import Language, language
from kit.report.words.phrases import Facts, Sentence, capital, stop
from kit.season.findings import Findings

MOST_POINTS = 2
"""So many open points are named, the others counted."""


def apiary_sentences(review: Findings, plan: Findings | None, apiary: str, *, code: str = "") -> list[Sentence]:
    """The five sentences of an apiary's page.

    Parameters
    ----------
    review : Findings
        Of the operation or of this apiary.
    plan : Findings or None
        None when only the review was made.
    apiary : str
        Its id.
    code : str
        Of the language, '' for English.

    Returns
    -------
    list of Sentence
        Always five; what is not recorded is said to be so.

    Raises
    ------
    CannotGoOnError
        When there is no file for the language.
    """
    facts, say = review.apiary_facts[apiary], language(code)
    planned = plan.apiary_facts.get(apiary) if plan else None
    return [
        Sentence(heads(facts, say), "losses"),
        Sentence(timing(facts, say), "lateness"),
        Sentence(treatment(facts, say), "kill"),
        Sentence(standing(facts, review.facts["in_season"], say), "loads"),
        Sentence(next_year(planned, say), "plan"),
    ]


def heads(facts: Facts, say: Language) -> str:
    """Hives in, out and lost by cause."""
    conflicts = [say.text(conflict) for conflict in facts["heads_conflicts"]]
    conflict = say("heads.conflict", conflicts=say.listed(conflicts, most=2)) if conflicts else ""
    if facts["wintered"] is None or facts["came_out"] is None:
        return _heads_missing(facts, say) + conflict
    wintered = say.count("hives", facts["wintered"])
    went = say("heads.came_out", wintered=wintered, came_out=say.number(facts["came_out"], whole=True))
    if not facts["lost"]:
        return say("heads.none_lost", came_out=went) + conflict
    causes = say.listed([say.lost_to(row["cause"], row["lost"]) for row in facts["lost_by_cause"]])
    names = {"lost": "lost", "pct": "lost_pct", "low": "lost_pct_low", "high": "lost_pct_high"}
    numbers = {name: say.number(facts[fact], whole=True) for name, fact in names.items()}
    return say("heads.lost", came_out=went, causes=causes, **numbers) + conflict


def _heads_missing(facts: Facts, say: Language) -> str:
    missing = say(f"heads.{facts['heads_missing'] or 'unknown'}")
    if facts["wintered"] is not None:
        return capital(say("heads.wintered", wintered=say.count("hives", facts["wintered"]), missing=missing))
    if facts["hives"] is not None:
        return capital(say("heads.standing", standing=say.count("hives", facts["hives"]), missing=missing))
    return capital(say("heads.missing", missing=missing))


def timing(facts: Facts, say: Language) -> str:
    """When the main treatment began and why it was late."""
    by = say.date(facts["treat_by"])
    if not facts["treatment"]:
        return say("timing.none", by=by)
    done = {"treatment": capital(say.word(facts["treatment"])), "on": say.date(facts["treated_on"])}
    days = facts["days_late"]
    if days is None:
        return say("timing.began", **done)
    if days <= 0:
        return say("timing.early" if days else "timing.on_the_day", by=by, days=say.count("days", -days), **done)
    why = say.word(facts["why_late"]) or say("timing.why_missing")
    return say("timing.late", by=by, days=say.count("days", days), why=why, **done) + _late_cost(facts, say)


def _late_cost(facts: Facts, say: Language) -> str:
    cost = say.range(facts, "extra_loss", "points", whole=True)
    cost = cost or say.range(facts, "extra_loss_pct", "points", whole=True)
    return say("timing.cost", range=cost) if cost else ""


def treatment(facts: Facts, say: Language) -> str:
    """What each treatment did and why."""
    if not facts["treatments"]:
        return say("treatment.none")
    return " ".join(_did(row, say) for row in facts["treatments"])


def _did(row: Facts, say: Language) -> str:
    kill = say.range(row, "efficacy", "percent", whole=True)
    several = bool(row["rounds"] and row["rounds"] > 1)
    said = say(
        f"treatment.{'killed' if kill else 'unknown'}{'_in' * several}",
        treatment=capital(say.word(row["treatment"])),
        rounds=say.count("rounds", row["rounds"]) if several else "",
        on=say.date(row["start"]),
        kill=kill,
        basis=say.text(row["basis"]),
    )
    if not row["cause"]:
        return stop(said)
    told = {"evidence": say.text(row["evidence"]), "check": say.text(row["check"])}
    return stop(said + say("treatment.weak", cause=say.word(row["cause"]), **told))


def standing(facts: Facts, in_season: bool, say: Language) -> str:
    """Where the apiary stands now, or stood when the season closed."""
    load = say.range(facts, "load", "mites", step=1)
    points = [say.text(point["what"]) for point in facts["open_points"]]
    more = [say("list.more", n=len(points) - MOST_POINTS)] if len(points) > MOST_POINTS else []
    still = say("standing.open", points="; ".join([*points[:MOST_POINTS], *more])) if points else ""
    if not load:
        return say("standing.unknown") + still
    when = "standing.now" if in_season else "standing.then"
    return say(when, on=say.date(facts["load_on"]), load=load, basis=say.text(facts["load_basis"])) + still


def next_year(plan: Facts | None, say: Language) -> str:
    """Next year's first date and kit."""
    if plan is None:
        return say("plan.none")
    if not plan["first_date"]:
        return say("plan.left_out", why=say.text(plan["left_out"]) or say("plan.no_visit"))
    kit = [_item(item, say) for item in plan["kit"]]
    days = plan["days_late"] or 0
    return say(
        "plan.first",
        treatment=say.word(plan["first_treatment"]),
        on=say.date(plan["first_date"], year=True),
        late=say("plan.late", days=say.count("days", days), why=say.text(plan["why_late"])) if days > 0 else "",
        take=say("plan.take", kit=say.listed(kit, most=5)) if kit else "",
    )


def _item(item: Facts, say: Language) -> str:
    whole = str(item["item"])
    told = say.word(whole) if say.word(whole) != whole else say.word(whole.split(",")[0])
    return told if item["count"] == 1 else say("plan.item", count=f"{item['count']:g}", item=told)
