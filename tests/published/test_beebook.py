"""Standard methods for varroa research (COLOSS BEEBOOK 2013): samples that find a mite, and efficacy by follow-up."""

import pytest

from kit.calc.counts import detection_sample_size
from kit.calc.efficacy import efficacy_follow_up_pct, guideline_pct, meets_guideline


@pytest.mark.parametrize(("prevalence", "chance", "sample"), [(5, 95, 59), (1, 99, 459)])
def test_a_sample_that_meets_at_least_one_infested_bee(prevalence: float, chance: float, sample: int) -> None:
    assert detection_sample_size(prevalence_pct=prevalence, chance_pct=chance) == sample


def test_killed_over_killed_and_follow_up() -> None:
    # EMA/CVMP/EWP/459883/2008 through the BEEBOOK; the figures are the usual form of the example.
    assert efficacy_follow_up_pct(killed=940, follow_up=60) == pytest.approx(94.0, abs=0.05)


@pytest.mark.parametrize(
    ("treatment", "expected"),
    [
        ("amitraz strips", 95),
        ("pyrethroid strips", 95),
        ("oxalic sublimation", 90),
        ("formic acid", 90),
        ("thymol", 90),
    ],
)
def test_the_guideline_expects_95_of_synthetics_and_90_of_others(treatment: str, expected: float) -> None:
    assert guideline_pct(treatment) == expected
    assert meets_guideline(expected, treatment=treatment)
    assert not meets_guideline(expected - 0.1, treatment=treatment)
