"""The numbers of the law of the mites, frozen together."""

from dataclasses import dataclass, fields

from kit import checks
from kit.constants import mites as c


@dataclass(frozen=True, slots=True)
class Rates:
    """The numbers of the law. Each has its range and source in `kit.constants.mites`.

    Raises
    ------
    ValidityError
        For a negative or NaN rate, or a share above 1.

    References
    ----------
    boot1995, martin2001, martin1998, lobb1997, korpela1992, fries1994

    Examples
    --------
    >>> Rates(death_winter=-0.1)
    Traceback (most recent call last):
    kit.errors.ValidityError: death_winter must be >= 0: got -0.1
    """

    invade_worker_g: float = c.INVADE_WORKER_G.value
    """c_W, mites' hazard per worker cell and gram of bees [g/cell]."""
    invade_drone_g: float = c.INVADE_DRONE_G.value
    """c_D, the same per drone cell [g/cell]."""
    daughters_worker_summer: float = c.DAUGHTERS_WORKER_SUMMER.value
    daughters_worker_winter: float = c.DAUGHTERS_WORKER_WINTER.value
    daughters_drone: float = c.DAUGHTERS_DRONE.value
    """ρ, viable daughters per foundress and cycle [1]."""
    crowding_worker: float = c.CROWDING_WORKER.value
    crowding_drone: float = c.CROWDING_DRONE.value
    """κ, loss of daughters per mite in a cell [1]."""
    fall_worker: float = c.FALL_WORKER.value
    fall_drone: float = c.FALL_DRONE.value
    """φ, share of the mites leaving a cell that falls [1]."""
    death_summer: float = c.DEATH_SUMMER.value
    death_winter: float = c.DEATH_WINTER.value
    """μ, daily death of mites on bees [1/d]."""
    full_season_cells: float = c.FULL_SEASON_CELLS.value
    """W_full, worker cells capped a day from which summer rates hold [1/d]."""
    dead_fall_per_day: float = c.DEAD_FALL_PER_DAY.value
    """Share of those killed by acid or in cells that moves on each day in each of two steps to the board [1/d]."""
    dead_lingering: float = c.DEAD_LINGERING.value
    """Share of them whose second step is a slow one [1]."""
    lingering_fall_per_day: float = c.LINGERING_FALL_PER_DAY.value
    """Share of those that comes down each day [1/d]."""
    struck_fall_per_day: float = c.STRUCK_FALL_PER_DAY.value
    """Share of the mites struck on bees by what lies in the hive (strips, vapours) that comes down each day [1/d]."""

    def __post_init__(self) -> None:
        for each in fields(self):
            checks.not_negative(each.name, getattr(self, each.name))
        for name in _SHARES:
            checks.within(name, getattr(self, name), 0, 1)
        checks.positive("full_season_cells", self.full_season_cells)


_SHARES = (
    "fall_worker", "fall_drone", "death_summer", "death_winter",
    "dead_fall_per_day", "dead_lingering", "lingering_fall_per_day", "struck_fall_per_day",
)  # fmt: skip
RATE_NAMES = tuple(each.name for each in fields(Rates))
"""Names of the rates, in the order of the columns of `Lanes.rates`."""
