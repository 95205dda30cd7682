"""What is known of winter loss and mites, as anchors that an assumed curve has to respect."""

import numpy as np
import pytest

from kit.calc.losses import LossCurve, loss_by_mites_pct, loss_curve_pct, loss_expected_pct
from kit.constants.losses import BACKGROUND


def test_about_6_per_100_in_october_clearly_raises_the_loss() -> None:
    # German monitoring, second-hand.
    assert float(loss_curve_pct(6)) > BACKGROUND.value


def test_a_third_of_the_autumn_bees_infested_is_near_certainty() -> None:
    # Reviews, as an anchor; the curve is ours and assumed.
    assert float(loss_curve_pct(33)) > 80


def test_one_per_100_while_winter_bees_are_raised_already_shows() -> None:
    # Morfin et al. 2024: ≥ 1 per 100 in August raises winter mortality. Left alone, 1 becomes 3 by October.
    assert float(loss_by_mites_pct(exposure_pct=1, october_infestation_pct=3)) > 1
    assert float(loss_curve_pct(0)) == 0


def test_a_colony_cleaned_late_has_still_spoiled_its_winter_bees() -> None:
    # 5 per 100 all September, cleaned on 5 October: it counts clean, its loss is far from clean.
    late = float(loss_by_mites_pct(exposure_pct=5, october_infestation_pct=0.3))
    in_time = float(loss_by_mites_pct(exposure_pct=0.5, october_infestation_pct=0.3))
    assert late > 30 > 10 * in_time


def test_a_late_influx_alone_is_mostly_survived() -> None:
    # Frey & Rosenkranz 2014: colonies with 2,082 mites in November survived; some 12 to 14 per 100 of 15,000 bees.
    assert float(loss_by_mites_pct(exposure_pct=1, october_infestation_pct=13)) < 50


def test_a_colony_left_alone_reads_the_same_by_exposure_and_by_october() -> None:
    curve = LossCurve()
    exposure = np.array([0.5, 1, 2, 5, 10])
    left_alone = curve.exposure_to_october * exposure
    by_exposure = loss_by_mites_pct(exposure_pct=exposure, october_infestation_pct=left_alone)
    assert by_exposure == pytest.approx(loss_curve_pct(left_alone))


def test_without_mites_only_the_background_is_left() -> None:
    assert float(loss_expected_pct(0.0)) == pytest.approx(BACKGROUND.value)
