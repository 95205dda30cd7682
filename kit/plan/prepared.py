"""All that a plan begins from: the ground, next season's mites, when brood ends, and a programme for every apiary."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kit.plan.ahead import Ahead, Window, ahead_of
from kit.plan.brood_seen import looks
from kit.plan.broodless import Brood, brood_of, window_of
from kit.plan.choice import Choice, chosen_from, weigh
from kit.plan.futures import Futures, futures_of
from kit.plan.jobs import Means
from kit.plan.mends import Setting
from kit.plan.options import candidates_at, palette_of, too_cold
from kit.plan.programmes import wanted
from kit.plan.risks import risks_of
from kit.plan.sites import Ground, ground_of
from kit.plan.toil import prices_of, toil_of
from kit.plan.wishes import Cut, Wanted
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


def prepared(records: Records, review: Findings, means: Means, *, seed: int) -> Prepared:
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
    """
    rounds = review.tables["rounds"]
    ahead = ahead_of(records)
    futures = futures_of(records, review, ahead, seed=seed)
    ground = ground_of(records, rounds, ahead)
    seen = [look.apiary for look in looks(records)]
    broods = {site.apiary: brood_of(futures[site.apiary], seen.count(site.apiary)) for site in ground.sites}
    sites = tuple(site._replace(broodless=window_of(broods[site.apiary], ahead)) for site in ground.sites)
    ground = ground._replace(sites=sites)
    base, cuts = wanted(records, rounds, ahead)
    choices, cold = _choices(records, review, (ahead, ground, means), futures, base)
    return Prepared(ahead, ground, futures, broods, choices, (*cuts, *cold))


def setting_of(base: Prepared, means: Means, *, seed: int) -> Setting:
    """What the plan is solved from: the programmes chosen, with what a late day costs by the mites."""
    treatments = base.treatments
    risks = risks_of(base.futures, treatments, base.ground, base.ahead)
    return Setting(treatments, base.ground, base.ahead, means, risks, seed)


def _choices(
    records: Records, review: Findings, place: tuple[Ahead, Ground, Means], futures: dict[str, Futures],
    base: Sequence[Wanted],
) -> tuple[dict[str, Choice], list[Cut]]:  # fmt: skip
    ahead, ground, means = place
    palette = palette_of(records, review.tables["rounds"], ahead)
    prices = prices_of(records.tables["medicines"])
    found, cold = {}, []
    for site in ground.sites:
        candidates = candidates_at(site, [wish for wish in base if wish.apiary == site.apiary], palette)
        toils = [toil_of(one.wishes, site, ground, means, prices) for one in candidates]
        choice = chosen_from(
            weigh(candidates, futures[site.apiary], site, ahead, toils), records.settings.wanted_chance
        )
        cold += [_cold(wish) for wish in candidates[0].wishes if wish.warm is not None and wish.warm.never]
        found[site.apiary] = choice
    return found, cold


def _cold(wish: Wanted) -> Cut:
    """What was done last season but finds no stretch of days warm enough."""
    return Cut(wish.apiary, wish.word, wish.window, too_cold(wish))
