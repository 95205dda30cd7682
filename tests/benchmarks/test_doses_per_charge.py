"""How many draws of a battery charge a second, against a plain loop: a ratio, so that it holds on any machine."""

import time

import numpy as np
import pytest

from kit.calc.battery import Battery
from kit.calc.charge import Inputs, draw_inputs, input_spreads
from kit.calc.doses import doses_from_inputs, doses_per_charge
from kit.calc.inverter import Inverter
from kit.calc.sublimator import Sublimator

pytestmark = pytest.mark.slow


def test_draws_a_second_are_tens_of_times_those_of_a_loop() -> None:
    battery, inverter, machine = Battery(), Inverter(), Sublimator()
    start = time.perf_counter()
    doses_per_charge(battery, inverter, machine, air_c=7, minutes_per_colony=3, draws=200_000)
    fast = 200_000 / (time.perf_counter() - start)
    inputs = draw_inputs(input_spreads(battery, inverter, machine, 7, 3), draws=200, seed=0)
    start = time.perf_counter()
    for n in range(200):
        one = Inputs(*(values[n : n + 1] for values in inputs))
        doses_from_inputs(one, battery, inverter, machine, air_c=7)
    slow = 200 / (time.perf_counter() - start)
    print(f"doses per charge: {fast:,.0f} draws a second, {slow:,.0f} one by one, ratio {fast / slow:,.0f}")
    assert fast > 30 * slow  # 200 on an idle machine, 86 on a busy one


def test_one_by_one_gives_the_same_doses() -> None:
    battery, inverter, machine = Battery(), Inverter(), Sublimator()
    inputs = draw_inputs(input_spreads(battery, inverter, machine, 7, 3), draws=50, seed=0)
    together = doses_from_inputs(inputs, battery, inverter, machine, air_c=7)
    for n in range(50):
        one = Inputs(*(values[n : n + 1] for values in inputs))
        np.testing.assert_allclose(doses_from_inputs(one, battery, inverter, machine, air_c=7)[:, 0], together[:, n])
