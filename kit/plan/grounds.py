"""Mends that change the ground: an apiary moved to one that is reached in all weather, a supply that works in all."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from kit.constants import plan
from kit.plan.jobs import Means, on_battery
from kit.plan.rota import Rota
from kit.plan.sites import Ground, Site

if TYPE_CHECKING:
    import pandas as pd

ALL_WEATHER = "all weather"
MOVE_NOTE = (
    "forage, leave to stand there and the neighbours' bees are not priced; bees moved a short way in the flying season "
    "go back to the old stand"
)
GENERATOR_NOTE = "in the open, 6 m away and downwind; it is carried where the vehicle cannot go"


class OtherGround(NamedTuple):
    """The ground with one thing changed: what, and for how much.

    Parameters
    ----------
    name : str
        Of the mend.
    ground : Ground
        As it would be.
    price : float
        Of the change [currency].
    note : str
        What to mind.
    """

    name: str
    ground: Ground
    price: float
    note: str


def moved(base: Rota, ground: Ground, means: Means) -> OtherGround | None:
    """The apiary whose ground and distance cost the most minutes, at the place of the nearest all-weather one.

    None where no apiary would save any.
    """
    ways = [(_saved_min(base, ground, site, other), site, other) for site in ground.sites
            if (other := _nearest(ground, site)) is not None]  # fmt: skip
    best = max(ways, key=lambda way: way[0], default=None)
    if best is None or best[0] <= 0:
        return None
    _, site, other = best
    return OtherGround(
        f"moving the hives of {site.apiary} to {other.apiary}",
        _at_its_place(ground, site, other),
        _price(ground, site, other, means),
        MOVE_NOTE,
    )


def _nearest(ground: Ground, site: Site) -> Site | None:
    there = [one for one in ground.sites if one.access == ALL_WEATHER and one.apiary != site.apiary]
    here = ground.at(site.apiary) + 1
    return min(there, key=lambda one: float(ground.roads.minutes[here, ground.at(one.apiary) + 1]), default=None)


def _saved_min(base: Rota, ground: Ground, site: Site, other: Site) -> float:
    """Of driving there alone and carrying over its visits [min]."""
    here, there = (float(ground.roads.minutes[0, ground.at(one.apiary) + 1]) for one in (site, other))
    return sum(2 * (here - there + v.job.site.carry(v.job.wish.window)) for v in base.visits if v.job.site == site)


def _at_its_place(ground: Ground, site: Site, other: Site) -> Ground:
    i, j = ground.at(site.apiary), ground.at(other.apiary)
    nodes = np.arange(len(ground.sites) + 1)
    nodes[i + 1] = j + 1
    roads = ground.roads._replace(minutes=np.ascontiguousarray(ground.roads.minutes[np.ix_(nodes, nodes)]))
    sites = [*ground.sites]
    sites[i] = site._replace(access=ALL_WEATHER, carry_min=0.0)
    return ground._replace(sites=tuple(sites), roads=roads)


def _price(ground: Ground, site: Site, other: Site, means: Means) -> float:
    minutes, i, j = ground.roads.minutes, ground.at(site.apiary) + 1, ground.at(other.apiary) + 1
    drive = float(minutes[0, i] + minutes[i, j] + minutes[j, 0])
    lifting = plan.MOVE_MIN_PER_HIVE.value * site.hives
    return drive * means.money_per_min + lifting * means.labour_per_hour / 60


def powered(base: Rota, ground: Ground, gear: pd.DataFrame) -> OtherGround | None:
    """A generator where a battery gives the power, for nothing where there is one; None where no visit draws on one."""
    if not any(on_battery(job.wish, job.site) for job in base.task.jobs):
        return None
    owned = bool((gear["kind"] == "generator").any())
    sites = tuple(
        site._replace(supply_dry=_instead(site.supply_dry), supply_wet=_instead(site.supply_wet))
        for site in ground.sites
    )
    return OtherGround(
        "a generator as supply for all weather",
        ground._replace(sites=sites),
        0.0 if owned else plan.GENERATOR_PRICE.value,
        f"{'yours by gear' if owned else 'price assumed'}; {GENERATOR_NOTE}",
    )


def _instead(supply: str) -> str:
    return "generator" if supply in ("battery", "") else supply
