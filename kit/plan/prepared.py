"""All that a plan begins from: the ground, next season's mites, when brood ends, and a programme for every apiary."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from kit.plan.again.done import NOTHING_YET, Series, SoFar, left_to_do
from kit.plan.ahead import Ahead, Window, ahead_of
from kit.plan.jobs import Means
from kit.plan.mends import Setting
from kit.plan.programme.brood_seen import looks
from kit.plan.programme.broodless import Brood, brood_of, window_of
from kit.plan.programme.calm import Parting
from kit.plan.programme.choice import Choice, chosen_from, weigh
from kit.plan.programme.futures import Futures, futures_of
from kit.plan.programme.options import Candidate, candidates_at, in_full, palette_of, too_cold
from kit.plan.programme.options import named as named_in_short
from kit.plan.programme.programmes import wanted
from kit.plan.programme.risks import risks_of
from kit.plan.programme.toil import prices_of, toil_of
from kit.plan.programme.wishes import Cut, Wanted
from kit.plan.sites import Ground, Site, ground_of
from kit.season.findings import Findings

if TYPE_CHECKING:
    from kit.records.records import Records


@dataclass(frozen=True)
class Prepared:
    """What a plan begins from.

    Parameters
    ----------
    ahead : Ahead
        The season planned.
    ground : Ground
        Its apiaries, each with its days for a winter round.
    futures : dict
        Draws of every apiary.
    broods : dict
        Odds of brood at every apiary.
    choices : dict
        Programmes weighed at every apiary with hives.
    cuts : tuple of Cut
        What labels and warmth took away.
    """

    ahead: Ahead
    ground: Ground
    futures: dict[str, Futures]
    broods: dict[str, Brood]
    choices: dict[str, Choice]
    cuts: tuple[Cut, ...]

    @property
    def treatments(self) -> list[Wanted]:
        """Those chosen, in the order of the sheet and of the year."""
        return [wish for choice in self.choices.values() for wish in choice.wishes]

    @property
    def winters(self) -> dict[str, Window]:
        """Days for a winter round by apiary."""
        return {site.apiary: site.broodless for site in self.ground.sites if site.broodless is not None}


def prepared(records: Records, review: Findings, means: Means, *, seed: int, so_far: SoFar = NOTHING_YET) -> Prepared:
    """What a plan of these records begins from.

    Parameters
    ----------
    records : Records
        Of the season reviewed.
    review : Findings
        Of the same records.
    means : Means
        For the work of a programme.
    seed : int
        Of the draws.
    so_far : SoFar
        What is done of the season planned, and what an earlier plan chose.
    """
    rounds = review.tables["rounds"]
    ahead = ahead_of(records)
    ground = ground_of(records, rounds, ahead)
    partings = {site.apiary: _parting(site) for site in ground.sites}
    futures = futures_of(records, review, ahead, seed=seed, partings=partings)
    seen = [look.apiary for look in looks(records)]
    broods = {site.apiary: brood_of(futures[site.apiary], seen.count(site.apiary)) for site in ground.sites}
    sites = tuple(site._replace(broodless=window_of(broods[site.apiary], ahead)) for site in ground.sites)
    ground = ground._replace(sites=sites)
    base, cuts = wanted(records, rounds, ahead)
    choices, cold = _choices(records, review, Around(ahead, ground, means, so_far), futures, base)
    return Prepared(ahead, ground, futures, broods, choices, (*cuts, *cold))


def setting_of(base: Prepared, means: Means, *, seed: int) -> Setting:
    """What the plan is solved from: the programmes chosen, with what a late day costs by the mites."""
    treatments = base.treatments
    risks = risks_of(base.futures, treatments, base.ground, base.ahead)
    return Setting(treatments, base.ground, base.ahead, means, risks, seed)


def _parting(site: Site) -> Parting | None:
    if site.splits is None:
        return None
    return Parting(site.splits.middle, site.splits.share(site.hives), site.splits.anyway)


class Around(NamedTuple):
    """The season, the ground, the means and what is done: what a programme is weighed in."""

    ahead: Ahead
    ground: Ground
    means: Means
    so_far: SoFar


def _choices(
    records: Records, review: Findings, around: Around, futures: dict[str, Futures], base: Sequence[Wanted]
) -> tuple[dict[str, Choice], list[Cut]]:
    palette = palette_of(records, review.tables["rounds"], around.ahead)
    prices = prices_of(records.tables["medicines"])
    found, cold = {}, []
    for site in around.ground.sites:
        candidates = candidates_at(site, [wish for wish in base if wish.apiary == site.apiary], palette)
        cold += [_cold(wish) for wish in candidates[0].wishes if wish.warm is not None and wish.warm.never]
        mine, before = _still_open(candidates, site, around.so_far)
        done = around.so_far.at(site.apiary)
        left = [left_to_do(one.wishes, done) for one in mine]
        toils = [toil_of(wishes, site, around.ground, around.means, prices) for wishes in left]
        weighed = weigh(
            mine, futures[site.apiary], (site, around.ahead), toils, done, around.means.colony_value
        )  # fmt: skip
        choice = chosen_from(weighed, records.settings.wanted_chance, before)
        found[site.apiary] = choice._replace(named_before=around.so_far.programmes.get(site.apiary, ""))
    return found, cold


def _still_open(candidates: Sequence[Candidate], site: Site, so_far: SoFar) -> tuple[list[Candidate], int | None]:
    """Programmes that agree with what is done, beside last season's and that of an earlier plan; the latter's place."""
    given = {(one.window, one.word) for one in so_far.at(site.apiary)}
    named = so_far.programmes.get(site.apiary)
    kept = [
        one
        for n, one in enumerate(candidates)
        if n == 0 or in_full(one.wishes) == named or given <= {(wish.window, wish.word) for wish in one.wishes}
    ]
    before = next((n for n, one in enumerate(kept) if in_full(one.wishes) == named), None)
    return [_named_as_given(one, so_far.at(site.apiary)) for one in kept], before


def _named_as_given(one: Candidate, done: Sequence[Series]) -> Candidate:
    """A programme by the name of what was given, where another treatment served one of its windows."""
    own = {(wish.window, wish.word) for wish in one.wishes}
    instead = {each.window: each.word for each in done if (each.window, each.word) not in own}
    if not any(wish.window in instead for wish in one.wishes):
        return one
    given = [replace(wish, word=instead[wish.window]) if wish.window in instead else wish for wish in one.wishes]
    return one._replace(name=named_in_short(given))


def _cold(wish: Wanted) -> Cut:
    """What was done last season but finds no stretch of days warm enough."""
    return Cut(wish.apiary, wish.word, wish.window, too_cold(wish))
