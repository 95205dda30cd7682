"""Programmes weighed at each apiary as a table, the chosen one first, with what each gives up against it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from typing import Any

import pandas as pd

from kit.calc.ranges import Band
from kit.plan.again.done import over
from kit.plan.ahead import Ahead
from kit.plan.mends import Setting
from kit.plan.prepared import Prepared
from kit.plan.programme.choice import Choice, Weighed, begun_on, given_already, given_on, gone_on, usual_day, usual_days
from kit.plan.programme.futures import Futures, Given, Outlook
from kit.plan.programme.options import in_full
from kit.plan.programme.wishes import Wanted
from kit.plan.rota import Rota, main_starts
from kit.plan.sites import Site

POINTS = ("p05", "p50", "p95")
PROGRAMME_COLUMNS = [
    *("apiary", "programme", "chosen", "basis", "treatments", "rounds", "interval_days", "visits", "minutes", "acid_g"),
    *("cost", "chance_pct", "loss_pct_p05", "loss_pct_p50", "loss_pct_p95", "grade", "given_up", "did", "why_not"),
    *("reaches", "chance_summer_pct", "chance_october_pct", "chance_spring_pct"),
    *(f"{name}_{point}" for name in ("exposure_pct", "october_pct", "spring_mites") for point in POINTS),
    *(f"{name}_{end}" for name in ("minutes", "acid_g", "cost") for end in ("p05", "p95")),
    *("medicine_cost", "shown", "wanted_pct"),
]
LIMIT_WORDS = {
    "summer": "mites on the winter bees' brood",
    "october": "the load on 1 October",
    "spring": "what is left for spring",
}  # fmt: skip


def programmes_table(setting: Setting, rota: Rota, base: Prepared, wanted_pct: float) -> pd.DataFrame:
    """One row for each apiary and programme; columns `PROGRAMME_COLUMNS`.

    `chance_pct` is that of a hive staying below all limits, `loss_pct` the winter loss by all causes; the chosen
    programme is run on the plan's days, the others begin on the same days where they have such a treatment, else on
    usual ones. `minutes` are those at the hives and of driving there and back alone. `shown` marks those worth
    reading: the chosen one, what was done, the best, and every step on which more work buys more chance.
    """
    rows: list[dict[str, Any]] = []
    for site in setting.ground.sites:
        choice = base.choices[site.apiary]
        weighed = _on_the_days(choice, site, setting, rota, base.futures[site.apiary])
        shown = _worth_reading(weighed, choice.chosen)
        order = sorted(range(len(weighed)), key=lambda n: (n != choice.chosen, not weighed[n].candidate.did, n))
        rows += [_row(weighed[n], weighed[choice.chosen], n == choice.chosen, wanted_pct) | {
            "apiary": site.apiary, "shown": "yes" if n in shown else "no"} for n in order]  # fmt: skip
    return pd.DataFrame(rows, columns=PROGRAMME_COLUMNS)


def _on_the_days(choice: Choice, site: Site, setting: Setting, rota: Rota, futures: Futures) -> list[Weighed]:
    begun = _begun(rota, site.apiary)
    done = [one for one in setting.done if one.apiary == site.apiary]
    found = []
    for n, one in enumerate(choice.weighed):
        if n == choice.chosen:
            mine = [t for t in setting.treatments if t.apiary == site.apiary]
            given = [given_already(each) for each in over(done, mine)]
            given += [given_of(wish, site, setting.ahead, rota) for wish in mine]
        else:
            given = usual_days(one.candidate.wishes, site, setting.ahead, done, begun)
        found.append(one._replace(outlook=futures.outlook([each for each in given if each.days])))
    return found


def _begun(rota: Rota, apiary: str) -> dict[str, date]:
    """First planned day of an apiary's treatments by window; of its last part to begin."""
    mine = [v for v in rota.visits if v.job.site.apiary == apiary and v.number == 1]
    main = main_starts(rota).get(apiary)
    found = {v.job.wish.window: v.day for v in sorted(mine, key=lambda v: v.day, reverse=True)}
    return found | ({"main": main} if main is not None else {})


def _worth_reading(weighed: Sequence[Weighed], chosen: int) -> set[int]:
    """Places of the chosen one, of what was done, of the best, and of those that no cheaper one equals."""
    by_work = sorted(range(len(weighed)), key=lambda n: (weighed[n].toil.minutes.p50, -weighed[n].outlook.chances.all))
    steps, best = [], -math.inf
    for n in by_work:
        if weighed[n].outlook.chances.all > best + 0.5:
            steps.append(n)
            best = weighed[n].outlook.chances.all
    did = [n for n, one in enumerate(weighed) if one.candidate.did]
    return {chosen, *did, *steps[-MOST_STEPS:]}


MOST_STEPS = 4


def given_of(wish: Wanted, site: Site, ahead: Ahead, rota: Rota) -> Given:
    """A treatment on the days of the plan, or from the day it is due where the plan holds no such treatment."""
    mine = [v for v in rota.visits if v.job.wish.key == wish.key]
    last = max((v.job.part for v in mine), default=0)
    days = tuple(sorted({v.day for v in mine if v.job.part == last}))
    if not days and any(job.wish.key == wish.key for job in rota.left_out):
        return Given(wish.word, wish.begun.days if wish.begun else (), window=wish.window)
    if not days:
        return gone_on(wish, ahead.earliest) if wish.begun else begun_on(wish, usual_day(wish, site, ahead))
    begun = next(v.job.wish.begun for v in mine if v.job.part == last)
    return given_on(wish, (*begun.days, *days) if begun else days)


def _row(one: Weighed, chosen: Weighed, is_chosen: bool, wanted_pct: float) -> dict[str, Any]:
    candidate, toil = one.candidate, one.toil
    wishes = candidate.wishes
    gaps = [(t.gaps[0] + t.gaps[1]) / 2 for t in wishes if t.rounds > 1]
    return {
        "programme": candidate.name,
        "chosen": "yes" if is_chosen else "no",
        "basis": "; ".join(dict.fromkeys(t.basis for t in wishes)),
        "treatments": in_full(wishes),
        "rounds": sum(t.rounds for t in wishes),
        "interval_days": gaps[0] if gaps else math.nan,
        "visits": toil.visits, "minutes": toil.minutes.p50, "acid_g": toil.acid_g.p50, "cost": toil.cost.p50,
        "grade": "; ".join(dict.fromkeys(t.grade for t in wishes)),
        "given_up": "" if is_chosen else _against(one, chosen, wanted_pct),
        "did": "yes" if candidate.did else "no",
        "why_not": candidate.why_not,
        "wanted_pct": wanted_pct,
        "reaches": "yes" if one.outlook.chances.all >= wanted_pct else "no",
        **_promised(one.outlook),
        **{f"{name}_{end}": getattr(band, end) for name, band in
           (("minutes", toil.minutes), ("acid_g", toil.acid_g), ("cost", toil.cost)) for end in ("p05", "p95")},
        "medicine_cost": toil.medicine_cost,
    }  # fmt: skip


def _promised(outlook: Outlook) -> dict[str, float]:
    chances = outlook.chances
    bands: dict[str, Band] = {
        "loss_pct": outlook.loss_pct, "exposure_pct": outlook.exposure_pct, "october_pct": outlook.october_pct,
        "spring_mites": outlook.spring_mites,
    }  # fmt: skip
    return {
        "chance_pct": chances.all, "chance_summer_pct": chances.summer, "chance_october_pct": chances.october,
        "chance_spring_pct": chances.spring,
        **{f"{name}_{point}": getattr(band, point) for name, band in bands.items() for point in POINTS},
    }  # fmt: skip


def _against(one: Weighed, chosen: Weighed, wanted_pct: float) -> str:
    """What this programme would have given and asked for against the chosen one, and where it falls short."""
    chance = one.outlook.chances.all - chosen.outlook.chances.all
    minutes = one.toil.minutes.p50 - chosen.toil.minutes.p50
    said = [f"{chance:+.0f} points of chance, {minutes:+.0f} min"]
    loss = one.outlook.loss_pct.p95 - chosen.outlook.loss_pct.p95
    said += [f"winter loss in a bad case {loss:+.0f} points"] if abs(loss) >= 1 else []
    weakest = weakest_limit(one.outlook)
    said += [f"weakest: {LIMIT_WORDS[weakest]}"] if one.outlook.chances.all < wanted_pct else []
    return "; ".join(said)


def weakest_limit(outlook: Outlook) -> str:
    """The limit that a hive is least likely to stay below: summer, october or spring."""
    by_limit = {name: getattr(outlook.chances, name) for name in LIMIT_WORDS}
    return min(by_limit, key=lambda name: by_limit[name])
