"""The plan of the next season, computed once: `make` gives what the pages, the sheets and the sentences say.

Dates in facts are ISO text. A number that could not be had is None and means "not recorded" or "not reckoned".
`heading` is "" or "if your label or vet allows it": then dates, hours, stock and mends stand for last season's number
of oxalic rounds although the calendar holds only the one that needs no label entry.

======================  ==========================================================================================
facts                   of the whole operation
======================  ==========================================================================================
season                  start year of the season planned; `start`, `end` its first and last day
from_season             start year of the season whose records it rests on; `as_of` the day of the records
currency                as in settings
heading                 "" or "if your label or vet allows it"
date_that_matters       treat_by in the season planned
apiaries                apiaries the plan is for
apiaries_by_date        those whose first round of the main treatment is on or before `date_that_matters`
apiaries_late           list of {apiary, date, days_late, why}: first round after it, the latest first
last_first_round        date of the last first round of the main treatment, None when there is none
last_first_apiary       and where it is
apiaries_left_out       list of apiaries with a treatment that found no day (table `left_out` says why)
work_days               working days between the first day a main treatment may start and the last planned round
days_out                days with at least one visit; `visits` visits on them
hours                   all of it; `hours_driving`, `hours_at_hives` its parts (`hours_at_hives` with carrying)
drive_basis             "your drive minutes and coordinates", "by way of the base (a guess)", "both" or "assumed"
doses                   oxalic doses by sublimation; `crystals_g` oxalic crystals (OAD) for all oxalic rounds
charges                 battery charges (the middle case); `charges_p95` the poor case; 0 without a battery to charge
doses_per_charge        {p05, p50, p95, basis}, None when nothing is sublimated from a battery
cost                    hours, driving and consumables in `currency`; `late_cost` the soft cost of lateness
chance_pct              share of hives [%] expected to stay below all limits, None without hives
chance_basis            what `chance_pct` rests on
holds_pct               chance [%] that every main treatment begins by the last day it may bend to, None without one:
                        the season's weather drawn many times, what waits done on the next day with room
weather_basis           what the odds of workable days rest on
spare_days              working days kept free for what weather pushes on; `spare_days_to` those up to treat_by
breaks_first            {what, apiaries_late, apiaries_left_out, late_days, late_cost} of the shortage that costs
                        most, None when nothing breaks: `what` is one of "a day in ten lost to weather", "visits a
                        tenth slower", "batteries in their poor case", "supers off a week later", "ten days of rain"
mends                   up to three cheapest mends that save something, list of {mend, cost, apiaries_saved,
                        late_days_saved, colonies_saved, hours_saved, money_saved}
mends_against           "", or the shortage of `breaks_first` they are tried against, when nothing is late without
replanned               None, or against an earlier plan of the same season: {from, done, moved, new, dropped, stay}
label_missing           list of treatments planned or wanted without a `labels` entry
label_cuts              list of {apiary, treatment, what}: what a label took away from the programme
bound_gap_pct           how far the visits may be from the best there is [%], by a lower bound; None without one
guesses                 list of sentences: what was assumed because it is not recorded
======================  ==========================================================================================

======================  ==========================================================================================
apiary_facts[apiary]    of one apiary
======================  ==========================================================================================
hives                   hives the plan counts on, None when not recorded; `hives_basis` where the number is from
treatments              list of {treatment, window (main / autumn / winter / spring), rounds, interval_days, basis,
                        first, last, dates, allowed (yes / if your label or vet allows it), dose_g, product}
first_date              first planned visit in the calendar, None when there is none; `first_treatment` what it is
first_main_date         first round of the main treatment (also when only `heading` allows it), None when left out
days_late               signed days of `first_main_date` against `date_that_matters`, None without one
not_before              first day it may start there; `not_before_why` (supers off, label, as_of, season)
why_late                "" or the reason in words
supers_off              date used; `supers_basis` "crops", "settings", "last season's treatment" or "default"
minutes                 at the hives in one round of the main treatment; `drive_min` one way, `carry_min` one way
supply                  what gives power there
charges                 battery charges for one round there (middle case)
kit                     list of {item, count} for the first visit
chance_pct              chance [%] that its hives stay below the limits with the programme chosen, or None
programme, winter_round what was chosen and when the winter round may be driven: `kit.plan.programme.programme_facts`
left_out                "" or why a treatment found no day
======================  ==========================================================================================

Tables: `weather_odds` (columns: `kit.plan.weather.ODDS_COLUMNS`),
`programmes` (`apiary, programme, chosen, basis, treatments, rounds, interval_days, visits, minutes, acid_g,
cost, chance_pct, loss_pct_p05, loss_pct_p50, loss_pct_p95, grade, given_up`), `mends` (`mend, cost, apiaries_late,
apiaries_saved, late_days, late_days_saved, colonies_saved, hours, hours_saved, money_saved, worth_it, against, note`),
`calendar` (`date, apiary, event, treatment, round, rounds, not_before, not_after, order, uid, note`), `shopping`
(`product, treatment, needed, in_hand, to_buy, unit, expires, leftover, note`), `visits`, `kit`, `left_out`, `days` as
in DEVELOPERS.md with further columns behind: of `visits` `window`, `deed` (treat / take out), `order` (stop of the
day), `part`, `parts` (of an apiary too big for a day), `access`, `product`, `allowed` (yes / if your label or vet
allows it), `workable_pct` (chance that its day can be worked), `in_time_pct` (that it is done by `not_after`),
`spare_days` (the next days kept spare, ISO, parted by `; `), `stop_rules`;
of `left_out` `treatment`; of `days` `drive_min`, `from_battery` (hives), `charges`. `event` of the
calendar: treat, strips out, supers off, no capped brood, gear due, spare day. `changes`
(`kit.plan.again.changed.CHANGE_COLUMNS`) against an earlier plan of the same season, whose visits and programmes
`planned_before` and `programmes_before` hold (`kit.plan.again.earlier`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.constants import plan
from kit.plan.again.changed import Now, changes_table
from kit.plan.again.earlier import earlier, going_on
from kit.plan.ahead import ahead_of
from kit.plan.calendar import calendar_table
from kit.plan.candidates import programmes_table
from kit.plan.facts import Made, apiary_facts, heading_of, operation_facts
from kit.plan.jobs import Means
from kit.plan.left import left_out_table
from kit.plan.mends import Setting, breaks_facts, breaks_first, cheapest, mends_table
from kit.plan.odds import Held, held, season_odds, spare_reminders, with_odds
from kit.plan.prepared import Prepared, prepared, setting_of
from kit.plan.programme.broodless import broodless_table
from kit.plan.programme.options import unread_words
from kit.plan.programme.programme_facts import programme_fact, winter_fact
from kit.plan.reminders import reminders
from kit.plan.rota import Rota, Work, figures, plan_with
from kit.plan.solver.bound import Allowance
from kit.plan.visit.bars import bars_table
from kit.plan.visit.packing import gear_of, kit_table
from kit.plan.visit.power import at_hives_table
from kit.plan.visit.stock import shopping_table
from kit.plan.visit.two_machines import machines_table, outlay_of, swings_table
from kit.plan.visit.visits import days_table, visits_table
from kit.plan.visit.weighing import season_weighing, spoon_of, weighing_table
from kit.plan.weather import odds_of
from kit.plan.work import charge_of, hands_of
from kit.season.findings import Findings

if TYPE_CHECKING:
    from kit.records.records import Records

Progress = Callable[[int, int, str], None]
STEPS = (6000, 200)
"""Steps of the search for the plan itself, at least and for each job."""
PROOF = Allowance(rounds=40, nodes=200)
"""Work on the bound of the plan itself."""
PARTS = 16
"""Pieces of work that progress is told of, at most."""


def make(
    records: Records,
    review: Findings,
    *,
    seed: int,
    last: Findings | None = None,
    progress: Progress | None = None,
) -> Findings:
    """Plan the season after the one reviewed; once that season has begun, what is left of it.

    Parameters
    ----------
    records : Records
        What the sheets say.
    review : Findings
        Of the same records.
    seed : int
        Of the random choices; the same inputs and seed give the same plan.
    last : Findings, optional
        An earlier plan of the same season to begin from and to compare with; one of another season is passed over.
    progress : callable, optional
        Told of (done, total, what).

    Returns
    -------
    Findings
        Facts and tables as above.
    """
    step = _teller(progress)
    step("apiaries and ways")
    means = means_of(records, review, seed=seed)
    step("next season's mites")
    before = earlier(last, ahead_of(records).label)
    so_far = before.so_far(records, ahead_of(records))
    base = prepared(records, review, means, seed=seed, so_far=so_far)
    setting, cuts = going_on(setting_of(base, means, seed=seed), records, before, so_far.done)
    base = replace(base, cuts=(*base.cuts, *cuts))
    step("days for every visit")
    ahead, treatments = setting.ahead, setting.treatments
    work = Work(*STEPS, seed, proof=PROOF, dates=before.dates)
    rota = plan_with(treatments, setting.ground, ahead, means, setting.risks, work)
    left = left_out_table(records, setting, rota, base.cuts)
    weather = held(rota, setting.means, seed=seed)
    tables = (
        _tables(records, review, setting, (rota, weather))
        | {"programmes": programmes_table(setting, rota, base, records.settings.wanted_chance)}
        | {"broodless": broodless_table(base.broods, base.winters), "left_out": left}
    )
    tables |= {"planned_before": before.visits, "programmes_before": before.programmes}
    now = Now(tables["visits"], setting, rota, base.choices, cuts + list(base.cuts), records.as_of)
    tables["changes"] = changes_table(before.visits, now)
    worst = breaks_first(setting, rota, step)
    tables["mends"] = mends_table(setting, rota, records.tables["gear"], worst.change if worst else None, step)
    made = Made(setting, rota, figures(rota, ahead, setting.means, setting.risks), base.cuts, left, tables, weather)
    facts = _facts(records, made) | {"breaks_first": breaks_facts(worst), "replanned": before.told(tables)}
    step("done")
    return Findings(facts, {a: _apiary(made, a, base) for a in records.apiaries}, tables)


def means_of(records: Records, review: Findings, *, seed: int) -> Means:
    """Time, hands, charge and money as the settings, the gear and last season's trips have them."""
    settings = records.settings
    hands = hands_of(records, review.tables["trips"], review.tables["rounds"])
    charge = charge_of(records, hands, air_c=settings.min_air_c, seed=seed)
    per_hour = settings.labour_per_hour * settings.people + settings.vehicle_per_hour
    return Means(
        work_days=settings.work_days,
        hours=settings.work_hours_per_day,
        hands=hands,
        charge=charge,
        doses_a_charge=charge.doses.p50,
        money_per_min=per_hour / 60,
        labour_per_hour=settings.labour_per_hour,
        colony_value=settings.colony_value,
        weather=odds_of(records),
    )


def _tables(
    records: Records, review: Findings, setting: Setting, planned: tuple[Rota, Held]
) -> dict[str, pd.DataFrame]:
    (rota, weather), ahead, means = planned, setting.ahead, setting.means
    visits = with_odds(visits_table(rota, ahead, means), rota, means, weather)
    stock = review.tables.get("medicine_stock", _NO_STOCK)
    labels, gear = records.tables["labels"], records.tables["gear"]
    weighing = weighing_table(rota, ahead, labels, spoon_of(gear))
    return {
        "visits": visits,
        "kit": kit_table(rota, ahead, means, gear_of(gear)),
        "at_hives": at_hives_table(rota, ahead, means),
        "bars": bars_table(rota, ahead, means, setting.ground),
        "weighing": weighing,
        "season_weighing": season_weighing(weighing, stock),
        "machines": machines_table(rota, means, outlay_of(gear)),
        "machine_swings": swings_table(rota, means, outlay_of(gear)),
        "days": days_table(rota, means),
        "weather_odds": season_odds(rota, means),
        "calendar": calendar_table(
            visits, [*reminders(records, setting.ground, ahead), *spare_reminders(rota, ahead.label)]
        ),
        "shopping": shopping_table(rota, labels, stock, heading_of(setting.treatments)),
    }


_NO_STOCK = pd.DataFrame(
    {name: pd.Series(dtype=kind) for name, kind in [
        ("product", "str"), ("batch", "str"), ("unit", "str"), ("balance", "float64"), ("expiry", "datetime64[us]"),
    ]}
)  # fmt: skip


def _facts(records: Records, made: Made) -> dict[str, Any]:
    chosen = made.tables["programmes"]
    chosen = chosen[chosen["chosen"] == "yes"].dropna(subset=["chance_pct"])
    hives = {site.apiary: site.hives for site in made.setting.ground.sites}
    weights = chosen["apiary"].map(hives)
    chance = float((chosen["chance_pct"] * weights).sum() / weights.sum()) if len(chosen) else None
    return operation_facts(made) | {
        "from_season": records.season.label,
        "as_of": records.as_of.isoformat(),
        "currency": records.settings.currency,
        "chance_pct": chance,
        "chance_basis": "this season's hives run on through the next, with its own reinvasion"
        if chance is not None
        else "",
        "mends": cheapest(made.tables["mends"]),
        "mends_against": next(iter(made.tables["mends"]["against"]), ""),
        "guesses": [
            *made.setting.ground.guesses,
            *_guesses(made),
            *unread_words(records.settings.plan_may_use),
        ],
    }


def _guesses(made: Made) -> list[str]:
    means, said = made.setting.means, []
    if not means.hands.paced_on:
        said.append("No minutes of last season's rounds are recorded: visits are as long as the trade takes.")
    if any(v.job.from_battery and not v.job.site.supply(v.job.wish.window) for v in made.rota.visits):
        said.append("Where no supply is recorded, a battery is assumed.")
    if means.charge.basis.startswith("trade"):
        said.append(
            f"No battery is recorded: {means.charge.doses.p50:g} doses a charge are assumed, as the trade has it."
        )
    if any(v.job.wish.dose_g is None and v.job.wish.word.startswith("oxalic") for v in made.rota.visits):
        said.append(
            f"No dose is recorded: {plan.STOCK_DOSE_G.value:g} g crystals are counted for buying; the label decides."
        )
    return said


def _apiary(made: Made, apiary: str, base: Prepared) -> dict[str, Any]:
    site = next((s for s in made.setting.ground.sites if s.apiary == apiary), None)
    if site is None:
        return _EMPTY | {"left_out": "no hives stand there by the records"}
    rows = made.tables["programmes"]
    chosen = rows[(rows["apiary"] == apiary) & (rows["chosen"] == "yes")]["chance_pct"].dropna()
    mine = [t for t in made.setting.treatments if t.apiary == apiary]
    return apiary_facts(made, site) | {
        "chance_pct": float(chosen.iloc[0]) if len(chosen) else None,
        "programme": programme_fact(rows, apiary, mine),
        "winter_round": winter_fact(site, base.broods[apiary], mine),
    }


_EMPTY: dict[str, Any] = {
    "hives": 0, "hives_basis": "hives standing by the last records", "treatments": [], "first_date": None,
    "first_treatment": None, "first_main_date": None, "days_late": None, "why_late": "", "not_before": None,
    "not_before_why": "", "supers_off": None, "supers_basis": "", "minutes": None, "drive_min": None, "carry_min": None,
    "supply": "not recorded", "charges": 0, "kit": [], "chance_pct": None, "programme": None,
    "winter_round": None,
}  # fmt: skip


def _teller(progress: Progress | None) -> Callable[[str], None]:
    done = 0

    def step(what: str) -> None:
        nonlocal done
        if progress is not None:
            total = PARTS if what != "done" else max(done, 1)
            progress(min(done, total), total, what)
        done += 1

    return step
