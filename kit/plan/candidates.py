"""Programmes that could be run at each apiary, the chosen one first, with work, acid and money."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.plan.ahead import Ahead, window_for
from kit.plan.allowed import under_labels
from kit.plan.futures import Futures, Given, Outlook
from kit.plan.jobs import Risk
from kit.plan.labels import OXALIC
from kit.plan.mends import Setting
from kit.plan.programmes import trade_programme
from kit.plan.rota import Rota
from kit.plan.sites import Ground, Site
from kit.plan.wishes import Wanted
from kit.plan.work import minutes_at

if TYPE_CHECKING:
    from kit.records.records import Records

PROGRAMME_COLUMNS = [
    "apiary",
    "programme",
    "chosen",
    "basis",
    "treatments",
    "rounds",
    "interval_days",
    "visits",
    "minutes",
    "acid_g",
    "cost",
    "chance_pct",
    "loss_pct_p05",
    "loss_pct_p50",
    "loss_pct_p95",
    "grade",
    "given_up",
]


LATE_DAYS = 14
"""Days over which the price of being late is read from the mite model."""
LEAST_PCT_PER_DAY = 0.02
"""A late day is never free, so that the plan keeps the order of need where the model sees no harm."""


def programmes_table(records: Records, setting: Setting, rota: Rota, futures: Mapping[str, Futures]) -> pd.DataFrame:
    """One row for each apiary and programme; `minutes` are those at the hives and of driving there and back alone.

    `chance_pct` is that of a hive staying below the limits, `loss_pct` the winter loss by all causes. The chosen
    programme is run on the plan's days, the others on usual ones.
    """
    rows = []
    for site in setting.ground.sites:
        chosen = [t for t in setting.treatments if t.apiary == site.apiary]
        here = []
        for name, wishes in _candidates(chosen, site, records):
            given = [given_of(wish, site, setting.ahead, rota) for wish in wishes]
            outlook = futures[site.apiary].outlook([g for g in given if g.days])
            here.append(_row(name, wishes, site, setting) | _promised(outlook))
        rows += [row | {"given_up": _against(row, here[0])} for row in here]
    return pd.DataFrame(rows, columns=PROGRAMME_COLUMNS)


def risks_of(
    futures: Mapping[str, Futures], treatments: Sequence[Wanted], ground: Ground, ahead: Ahead
) -> dict[str, Risk]:
    """Hives lost by apiary for each late day of the main treatment, over its first two weeks, and without it."""
    found = {}
    for site in ground.sites:
        mains = [t for t in treatments if t.apiary == site.apiary and t.window == "main"]
        if mains:
            in_time, late = (_main_on(mains[0], ahead.treat_by + timedelta(days=days)) for days in (0, LATE_DAYS))
            loss, loss_late, without = (futures[site.apiary].loss_pct(given) for given in ([in_time], [late], []))
            per_day = max((loss_late - loss) / LATE_DAYS, LEAST_PCT_PER_DAY)
            found[site.apiary] = Risk(per_day, max(without - loss, per_day * LATE_DAYS))
    return found


def _main_on(wish: Wanted, day: date) -> Given:
    every = timedelta(days=sum(wish.gaps) // 2)
    if wish.placed:
        return Given(wish.word, (day,), day + every, window=wish.window)
    days = tuple(day + k * every for k in range(wish.rounds))
    return Given(wish.word, days, dose_g=wish.dose_g, window=wish.window)


def given_of(wish: Wanted, site: Site, ahead: Ahead, rota: Rota) -> Given:
    """A treatment on the days of the plan, or from the day it is due where the plan holds no such treatment."""
    days = tuple(sorted({v.day for v in rota.visits if v.job.wish is wish and v.job.part == v.job.parts}))
    if not days and any(job.wish is wish for job in rota.left_out):
        return Given(wish.word, (), window=wish.window)
    if not days:
        window = window_for(wish.window, ahead, site.off, wish.last_start, False)
        return _main_on(wish, max(window.opens, window.due - timedelta(days=LATE_DAYS)))
    if wish.placed:
        return Given(wish.word, days[:1], days[-1], window=wish.window)
    return Given(wish.word, days, dose_g=wish.dose_g, window=wish.window)


def _against(row: Mapping[str, Any], chosen: Mapping[str, Any]) -> str:
    """What this programme would have given and asked for against the chosen one; "" for that one itself."""
    if row is chosen:
        return ""
    minutes = f"{row['minutes'] - chosen['minutes']:+.0f} min"
    return f"{row['chance_pct'] - chosen['chance_pct']:+.0f} points of chance, {minutes}"


def _promised(outlook: Outlook) -> dict[str, float]:
    band = outlook.loss_pct
    return {
        "chance_pct": outlook.chances.all, "loss_pct_p05": band.p05, "loss_pct_p50": band.p50, "loss_pct_p95": band.p95,
    }  # fmt: skip


def _candidates(chosen: Sequence[Wanted], site: Site, records: Records) -> list[tuple[str, list[Wanted]]]:
    trade, _ = under_labels([replace(t, apiary=site.apiary) for t in trade_programme()], records.tables["labels"])
    found = [("chosen", list(chosen)), ("trade practice", trade)]
    if any(t.window == "winter" for t in chosen):
        found.append(("without the winter round", [t for t in chosen if t.window != "winter"]))
    else:
        winter = [t for t in trade if t.window == "winter"]
        found.append(("with a winter round", [*chosen, *winter]))
    main = [t for t in chosen if t.window == "main"]
    found += [("main treatment alone", main)] if main and len(main) < len(chosen) else []
    kinds: dict[tuple[Any, ...], tuple[str, list[Wanted]]] = {}
    for name, wishes in found:
        kinds.setdefault(tuple((t.word, t.window, t.rounds, t.gaps) for t in wishes), (name, wishes))
    return list(kinds.values())


def _row(name: str, wishes: Sequence[Wanted], site: Site, setting: Setting) -> dict[str, Any]:
    means, ground = setting.means, setting.ground
    drive = 2 * float(ground.roads.minutes[0, ground.at(site.apiary) + 1])
    visits = sum(t.visits for t in wishes)
    there = sum(t.visits * minutes_at(t.word, site.hives, site.carry(t.window), means.hands) for t in wishes)
    doses = [t.rounds * site.hives * (math.nan if t.dose_g is None else t.dose_g) for t in wishes if t.word in OXALIC]
    labour = means.labour_per_hour / 60 * means.hands.crew.people
    bases = list(dict.fromkeys(t.basis for t in wishes))
    gaps = [(t.gaps[0] + t.gaps[1]) / 2 for t in wishes if t.rounds > 1]
    return {
        "apiary": site.apiary,
        "programme": _named(wishes) if name == "chosen" else name,
        "chosen": "yes" if name == "chosen" else "no",
        "basis": "; ".join(bases),
        "treatments": _named(wishes),
        "rounds": sum(t.rounds for t in wishes),
        "interval_days": gaps[0] if gaps else math.nan,
        "visits": visits,
        "minutes": there + visits * drive,
        "acid_g": sum(doses) if doses else 0.0,
        "cost": there * labour + visits * drive * means.money_per_min,
        "grade": "; ".join(dict.fromkeys(t.grade for t in wishes)),
    }  # fmt: skip


def _named(wishes: Sequence[Wanted]) -> str:
    def one(t: Wanted) -> str:
        return f"{t.word} × {t.rounds} ({t.window})" if t.rounds > 1 else f"{t.word} ({t.window})"

    return ", ".join(one(t) for t in wishes) or "nothing"
