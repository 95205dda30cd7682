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
chance_pct              share of hives [%] expected to stay below the winter limit, None where no model was run
chance_basis            what `chance_pct` rests on
holds_pct               chance [%] that every main treatment can start by its planned day + the days it may bend,
                        with the odds of workable days assumed
breaks_first            {what, apiaries_late, late_days, late_cost} of the shortage that costs most, None when
                        nothing breaks: `what` is one of "a day in ten lost to weather", "visits a tenth slower",
                        "batteries in their poor case", "supers off a week later", "ten days of rain"
mends                   up to three cheapest mends that save something, list of {mend, cost, apiaries_saved,
                        late_days_saved, colonies_saved, hours_saved, money_saved}
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
supers_off              date used; `supers_basis` "crops" or "settings" or "default"
minutes                 at the hives in one round of the main treatment; `drive_min` one way, `carry_min` one way
supply                  what gives power there
charges                 battery charges for one round there (middle case)
kit                     list of {item, count} for the first visit
chance_pct              chance [%] that its hives stay below the winter limit with the programme chosen, or None
left_out                "" or why a treatment found no day
======================  ==========================================================================================

Tables: `programmes` (`apiary, programme, chosen, basis, treatments, rounds, interval_days, visits, minutes, acid_g,
cost, chance_pct, loss_pct_p05, loss_pct_p50, loss_pct_p95, grade, given_up`), `mends` (`mend, cost, apiaries_late,
apiaries_saved, late_days, late_days_saved, colonies_saved, hours, hours_saved, money_saved, worth_it, note`),
`calendar` (`date, apiary, event, treatment, round, rounds, not_before, not_after, order, uid, note`), `shopping`
(`product, treatment, needed, in_hand, to_buy, unit, expires, leftover, note`), `visits`, `kit`, `left_out`, `days` as
in DEVELOPERS.md with further columns behind. `event` of the calendar: treat, strips out, trays read, supers off,
gear due.
"""
