"""The season review: every table and fact of a season from its records, computed once.

Facts are JSON values under the names below; a fact that the records do not hold is None (or an empty list), never a
guess at zero. `_p05 _p50 _p95` are the 5, 50 and 95 % points. Dates are ISO text. Lists are sorted most important
first.

Facts of the operation (`Findings.facts`)

========================  =====================================================================================
key                       what
========================  =====================================================================================
keeper                    name as in settings, '' when none
season                    start year; `season_start`, `season_end`, `as_of`: dates; `in_season`: bool, as_of <
                          season_end
currency                  as in settings; `jurisdiction`; `treat_above_pct`: mites per 100 bees above which to treat
apiaries                  list of apiary ids in the order of the sheet
hives                     hives standing by the last records, None when nowhere recorded
problems                  rows set aside; `remarks`: cells and rows doubted but used; `rows_later`: dated after as_of
load_method               name of the way loads were read; apiaries where sampling failed are named with theirs
trust                     list of {apiary, method, draws, ess, counts, counts_inside_90_pct, outlying}: `ess` draws that
                          have forgotten where their chain began; `counts_inside_90_pct` of the apiary's counts inside
                          what its draws predict; `outlying` [{date, colony, method, found, expected_p05 _p50 _p95}],
                          counts that fit nothing. None where read count by count
wintered                  hives that went into winter (apiaries with both heads only); `came_out`, `lost`: hives
lost_pct                  and `lost_pct_low`, `lost_pct_high`: interval that knows that hives of an apiary share their
                          luck
lost_interval             words: how that interval was made
lost_by_cause             list of {cause, lost}; cause `unknown` where none was written
lost_before_winter        hives found dead from the season's start until the autumn heads
winter_over               bool: heads were taken at a spring look
expected_loss_p05         and `_p50 _p95`: loss [%] to be expected from the mites read, all causes
loss_curve                {refitted: bool, deaths, apiaries, enough_deaths, enough_apiaries}: whether the curve behind
                          expected losses was refitted to own deaths by mites, and what that takes
heads_missing             list of {apiary, missing}: `autumn`, `spring` or `both`
heads_conflicts           list of {apiary, what}: heads that do not add up, as sentences
treat_by                  date
late                      list of {apiary, treatment, treated_on, days_late, why_late, lost_pct, extra_mites_p50,
                          extra_loss_pct_p05.._p95, extra_cost_p05.._p95}: apiaries treated after treat_by or not at
                          all (`treated_on` None), latest first
on_time                   list of apiary ids treated by treat_by
late_wintered             and `late_lost`, `rest_wintered`, `rest_lost`: hives in late apiaries and in the rest
late_extra_colonies_p05   and `_p50 _p95`: colonies that lateness cost; `late_extra_cost_p05 _p50 _p95`: money
late_told_apart           bool or None (no late or no other apiaries): can the records tell lateness from crop and
                          ground; `late_told_apart_why`: words
why_late                  list of {why, apiaries, days}: ranked by days; why `not recorded` where nothing was written
treatments                list of {treatment, apiaries, hives, efficacy_p05.._p95, counted_apiaries, basis}: by word,
                          best first
worked                    list of {apiary, treatment, start, end, rounds, efficacy_p05.._p95, basis, counted}: every
                          apiary's treatments, best first; `counted`: bool, a count looked at it
weak                      list of {apiary, treatment, start, efficacy_p05.._p95, counted, cause, evidence, check}:
                          kill likely short of what is expected, worst first
first                     {apiary, due, from, to, reason, load_p05.._p95, wait_cost_p05.._p95, next_count} or None:
                          where to go first
today                     the whole list in that form
strips_in                 list of {apiary, treatment, since}
open_points               list of {apiary, kind, what, since, remedy}; `open_by_kind`: {kind: number}
trips                     number; `hours`, `drive_hours`, `wasted_trips`, `wasted_why` [{why, trips}], `effort_cost`
doses                     oxalic doses given (hive-rounds); `acid_g`: crystals used [g] where the dose is known,
                          `doses_unweighed`: doses without a recorded dose
slow_vapour               list of {apiary, cause, evidence, check}
counts                    number of counts used; `counts_after_treatment`, `counts_by_words`
counted_apiaries          list; `uncounted_apiaries`: list
certainty                 `good`, `fair`, `rough` or `model only`; `certainty_why`: words
best_measurement          {what, apiary, when, why} or None: the one measurement that would help most
========================  =====================================================================================

Facts of one apiary (`Findings.apiary_facts[apiary]`)

========================  =====================================================================================
key                       what
========================  =====================================================================================
apiary, name              id and name ('' when none); `access`, `notified` (date or None)
hives                     standing by the last records or None; `numbered`: colonies with a number
wintered, came_out, lost  hives or None; `lost_pct`, `lost_pct_low`, `lost_pct_high` (Wilson); `lost_by_cause`;
                          `lost_before_winter`
heads_conflicts           list of sentences; `heads_missing`: `autumn`, `spring`, `both` or None
expected_loss_p05         and `_p50 _p95` [%]
treatment                 word of the main treatment or None; `treated_on`, `treat_by`, `days_late`, `late` (bool or
                          None), `why_late`
extra_mites_p05           and `_p50 _p95`, `extra_loss_pct_…`, `extra_cost_…`: what the days late cost, None when not
                          late
treatments                list of {treatment, treatment_no, start, end, rounds, efficacy_p05.._p95, basis, counted,
                          cause, evidence, check}; `cause` None when the kill is not weak
load_p05                  and `_p50 _p95`: mites a hive on as_of; `per_100_bees_p05 _p50 _p95`; `load_on`: date;
                          `load_basis`: words
load_autumn_p05           and `_p50 _p95`: mites a hive on 1 October (None before it)
peak_p50                  highest weekly middle of the season; `peak_on`: date
counts                    counts used; `last_count`: date or None
today                     as in facts, first row for this apiary, or None
open_points               list of {kind, what, since, remedy}; `strips_in`: list of {treatment, since}
trips, hours              as above for this apiary; `wasted_trips`, `doses`, `acid_g`
========================  =====================================================================================
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pandas as pd

from kit.season.apiary_facts import apiary_facts
from kit.season.causes import causes
from kit.season.count_value import count_values
from kit.season.effort import effort, trips
from kit.season.expected import winter
from kit.season.facts import facts
from kit.season.findings import Findings
from kit.season.fit import Keep, afresh, read_season
from kit.season.heads import Heads, heads_of
from kit.season.loads import loads
from kit.season.loss_curve import Refit, refitted
from kit.season.losses import losses
from kit.season.machines.outlook import gear_tables
from kit.season.machines.vapour import vapour_causes
from kit.season.medicine.record import medicine_record
from kit.season.open_points import open_points, strips_in
from kit.season.outcomes import Outcomes, outcomes
from kit.season.parts import Parts
from kit.season.passed_on import passed_on
from kit.season.posterior.draws import DRAWS
from kit.season.reading import Season
from kit.season.readings import readings
from kit.season.rounds import rounds
from kit.season.strength import strength
from kit.season.timing import timing
from kit.season.today import Known, today

if TYPE_CHECKING:
    from kit.records.records import Records

Progress = Callable[[int, int, str], None]
STAGES = (
    "reading the counts",
    "mites of every hive",
    "what treatments did",
    "what late cost",
    "what is due",
    "words and facts",
)


def review(
    records: Records,
    *,
    seed: int,
    jobs: int = 1,
    cluster: str = "",
    progress: Progress | None = None,
    keep: Keep = afresh,
) -> Findings:
    """The season review of a whole operation.

    Tables and facts are named above and on the developers' page. The same records and seed give the same findings,
    whatever the order of rows, `jobs` (threads that read apiaries side by side) and `cluster` (address of the
    scheduler of one that draws in their place). `progress` is told (stages done, stages, what comes next). `keep` may
    know the draws of the same hives and counts.
    """
    tell = _teller(progress)
    tell(0)
    given = rounds(records)
    season = read_season(records, given, seed=seed, jobs=jobs, cluster=cluster, keep=keep)
    tell(1)
    tables = {"problems": records.problems, "loads": loads(records, given, season)}
    tell(2)
    done = outcomes(records, given, season)
    tell(3)
    heads, curve = _winter(records, season, seed)
    late = timing(records, given, season, curve.winter, seed=seed)
    lost = losses(heads, season, curve.winter)
    tell(4)
    strips = strips_in(records)
    medicine = medicine_record(records)
    known = Known(records, given, season, curve.winter, strips, seed)
    due = today(known, heads)
    tell(5)
    spent = effort(records)
    tables |= {
        "efficacy": done.table, "timing": late.table, "on_time": late.on_time, "losses": lost.table,
        "loss_curve": curve.table, "effort": spent,
        **gear_tables(records), "today": due, "count_values": count_values(known, spent), **medicine.tables,
        "heads": records.in_season("heads"), "rounds": given, "readings": readings(records, given, season.usual),
        "trips": trips(records), "open_points": open_points(records, given, strips, medicine.open_points),
        "causes": _all_causes(records, given, season, done), "strips_in": strips, "strength": strength(records, season),
        **passed_on(season),
    }  # fmt: skip
    parts = Parts(records, season, heads, lost, late, done, tables)
    whole = {**facts(parts), "loss_curve": curve.fact, "medicine": dict(medicine.facts)}
    by_apiary = {one.apiary: apiary_facts(parts, one.apiary, one) for one in heads}
    tell(6)
    return Findings(whole, by_apiary, tables)


def _winter(records: Records, season: Season, seed: int) -> tuple[tuple[Heads, ...], Refit]:
    heads = tuple(heads_of(records, apiary) for apiary in season.readings)
    return heads, refitted(winter(records, seed=seed, count=DRAWS), heads, season, seed=seed)


def _all_causes(records: Records, given: pd.DataFrame, season: Season, done: Outcomes) -> pd.DataFrame:
    weak = causes(given, done.table, season.usual)
    return pd.concat([weak, vapour_causes(records)], ignore_index=True)


def _teller(progress: Progress | None) -> Callable[[int], None]:
    def tell(stage: int) -> None:
        if progress is not None:
            progress(stage, len(STAGES), STAGES[stage] if stage < len(STAGES) else "done")

    return tell
