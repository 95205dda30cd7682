"""To which numbers the mite year is most sensitive: Sobol's shares of variance over the sourced ranges, by SALib."""

from datetime import date

import numpy as np
import pytest
from SALib.analyze import sobol as analyze
from SALib.sample import sobol as sample

from kit.calc import draws
from kit.calc.mites import RATE_NAMES, Lanes, simulate_many
from kit.constants import mites
from kit.constants.constant import Constant

pytestmark = pytest.mark.slow

FACTOR = Constant(1.0, "1", 0.8, 1.25, "assumed", "assumed", "memory", "a colony a quarter stronger or weaker")
RANGES = {**draws.RATES, "start_mites": mites.START_MITES, "reinvasion": mites.REINVASION_PER_DAY}
RANGES |= {"adults": FACTOR, "brood": FACTOR}
LEADING = {"start_mites", "daughters_worker_summer", "fall_worker"}


def from_summer(mites_per_day):
    """Brought in from July on, as the paper measured: knots on 1 March, 9 June, 17 September, 26 December."""
    return mites_per_day[:, None] * np.array([0.0, 0.0, 1.0, 1.0])


def test_the_year_hangs_on_the_mites_at_its_start_on_daughters_and_on_the_fall() -> None:
    problem = {"num_vars": len(RANGES), "names": list(RANGES), "bounds": [[0.0, 1.0]] * len(RANGES)}
    u = sample.sample(problem, 1024, calc_second_order=False, seed=1)
    value = {name: draws.spread(constant, u[:, k]) for k, (name, constant) in enumerate(RANGES.items())}
    start, autumn = date(2025, 3, 1), date(2025, 10, 1)
    lanes = Lanes(
        start=start, days=300, mites=value["start_mites"], reinvasion_per_day=from_summer(value["reinvasion"]),
        rates=np.stack([value[name] for name in RATE_NAMES], axis=-1), adults_factor=value["adults"],
        brood_factor=value["brood"], winter_bees=(date(2025, 8, 15), date(2025, 10, 10)),
    )  # fmt: skip
    many = simulate_many(lanes, at=[(autumn - start).days], threads=2)
    for what, outcome in (("October load", many.total[:, 0]), ("winter bees", many.winter_bees_spoiled_pct)):
        found = analyze.analyze(problem, np.log(outcome), calc_second_order=False, seed=2)
        order = np.argsort(found["ST"])[::-1]
        shares = ", ".join(f"{list(RANGES)[k]} {100 * found['ST'][k]:.0f} %" for k in order[:8])
        print(f"\n{what} (log), total share of variance: {shares}")
        assert {list(RANGES)[k] for k in order[:3]} == LEADING
        assert 0.8 < found["S1"].sum() < 1.1  # nearly additive in logs: the shares may be read one by one
