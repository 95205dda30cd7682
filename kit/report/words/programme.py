"""Which programme an apiary gets, what was done against it, and when its winter round may be driven."""

from __future__ import annotations

from kit.report.words.language import Language
from kit.report.words.phrases import Facts

MINUTES = 60
WHAT_YOU_DID = "what you did"
"""Last season's programme, as the table `programmes` names it."""


def programme(plan: Facts, say: Language) -> str:
    """The programme in a few sentences; '' where none was weighed."""
    chosen = plan.get("programme")
    if not chosen:
        return ""
    named = say.listed([_one(row, say) for row in chosen["treatments"]]) or say("programme.nothing")
    return say("programme.chosen", programme=named, **_numbers(chosen, say)) + "".join(
        (_did(chosen, say), _short(chosen, say), _winter(plan, say))
    )


def _one(row: Facts, say: Language) -> str:
    word = say.word(row["treatment"])
    times = f"{word} × {row['rounds']}" if row["rounds"] > 1 else word
    return f"{times} {say('programme.in_' + row['window'])}"


def _numbers(row: Facts, say: Language) -> dict[str, str]:
    hours = say.number(row["minutes"] / MINUTES)
    return {"chance": say.number(row["chance_pct"], whole=True), "hours": hours}


def _did(chosen: Facts, say: Language) -> str:
    return say("programme.did", **_numbers(chosen["did"], say)) if chosen["did"] else say("programme.same")


def _short(chosen: Facts, say: Language) -> str:
    if chosen["chance_pct"] >= chosen["wanted_pct"]:
        return ""
    parts = {"wanted": say.number(chosen["wanted_pct"], whole=True), "weakest": say(f"programme.{chosen['weakest']}")}
    surer = chosen["surer"]
    if not surer:
        return say("programme.none_reaches", **parts)
    near = _numbers(chosen, say)["chance"] == parts["wanted"]
    short = say("programme.just_short" if near else "programme.short", **parts)
    if surer["programme"] == WHAT_YOU_DID and chosen["did"]:
        return short + say("programme.surer_did")
    named = "; ".join(say.text(part) for part in surer["programme"].split("; "))
    return short + say("programme.surer", programme=named, **_numbers(surer, say))


def _winter(plan: Facts, say: Language) -> str:
    winter = plan.get("winter_round")
    if not winter:
        return ""
    days = {name: say.date(winter[name], year=True) for name in ("first", "last")}
    return say("programme.winter", chance=say.number(winter["chance_pct"], whole=True), **days)
