"""A sublimator on less than its full power."""

from __future__ import annotations

import itertools
import math

import pytest

from kit.calc.battery import Battery
from kit.calc.charge import charge_use, draw_inputs, input_spreads
from kit.calc.inverter import Cable
from kit.calc.slowed import at_power, behind_leads, doses_on_leads
from kit.calc.sublimator import Sublimator
from kit.calc.supply import Direct
from kit.errors import ValidityError

PAN = Sublimator(rated_v=12.0)


def test_at_full_power_it_does_what_it_is_known_by() -> None:
    full = at_power(PAN, PAN.watts, air_c=PAN.warm_up_from_c, minutes_per_colony=3.0)
    assert 60 * full.warm_up_min == pytest.approx(PAN.warm_up_s)
    assert full.expel_s == pytest.approx(PAN.expel_s, rel=1e-3) and full.expel_most_s == full.expel_s


def test_less_power_is_never_faster_and_in_the_end_does_nothing() -> None:
    runs = [at_power(PAN, watts, air_c=8.0, minutes_per_colony=3.0) for watts in (200, 160, 120, 80, 30)]
    assert all(a.warm_up_min <= b.warm_up_min and a.expel_most_s <= b.expel_most_s for a, b in itertools.pairwise(runs))
    assert math.isinf(runs[-1].warm_up_min) and not runs[-1].works


@pytest.mark.parametrize(("mm2", "length_m"), [(10.0, 3.0), (2.5, 6.0)])
def test_the_current_on_straight_leads_is_that_of_ohms_law(mm2: float, length_m: float) -> None:
    """I = V / (R of the heater + R of the leads), 12 V under load and a heater of 12² / 200 ohm."""
    direct = Direct(Battery(), Cable(mm2, length_m))
    leads, machine = behind_leads(direct, PAN)
    middle = draw_inputs(input_spreads(direct.battery, leads, machine, 8.0, 3.0), draws=4001, seed=1)
    middle = middle._replace(efficiency_pct=middle.efficiency_pct * 0 + leads.efficiency_pct)
    current = charge_use(middle, direct.battery, leads, machine, air_c=8.0).working_a
    assert current[0] == pytest.approx(12.0 / (12.0**2 / 200 + direct.leads.ohm), rel=1e-6)


def test_long_thin_leads_take_doses_off_a_charge_and_hair_thin_ones_all() -> None:
    thick, thin = (
        doses_on_leads(Direct(Battery(), Cable(size, 6)), PAN, air_c=8.0, minutes_per_colony=3.0) for size in (10, 1.5)
    )
    assert thin.p50 < thick.p50
    with pytest.raises(ValidityError, match="get it hot"):
        doses_on_leads(Direct(Battery(), Cable(0.5, 30)), PAN, air_c=8.0, minutes_per_colony=3.0)
