"""The figures of "The mite year" say what the law gives, and run without a warning."""

from datetime import date

import pytest

from kit.calc.rounds import efficacy_range_pct
from kit.report import mite_kills, mite_year

TOLD = mite_year.story("2025-03-01", 40.0)
FIGURES = [
    lambda: mite_year.bees_and_brood(TOLD),
    lambda: mite_year.mites(TOLD),
    lambda: mite_year.share_in_brood(TOLD),
    lambda: mite_year.drop_factors(TOLD),
    lambda: mite_year.doubling(TOLD),
    lambda: mite_year.rebound(TOLD),
    mite_year.winter,
    mite_kills.dose_and_kill,
    lambda: mite_kills.rounds_and_interval("2025-08-10", 2.25),
    mite_kills.trials_and_law,
]


@pytest.mark.parametrize("draw", FIGURES)
def test_a_figure_has_a_finding_a_reading_and_words_for_who_cannot_see_it(draw) -> None:
    spec = draw().to_dict()
    assert spec["title"]["text"] and spec["title"]["subtitle"] and len(spec["description"]) > 40


def test_the_title_of_the_mites_tells_the_parameters_given() -> None:
    title = " ".join(mite_year.mites(mite_year.story("2025-03-01", 120.0)).to_dict()["title"]["text"])
    assert title.startswith("120 mites become ")


def test_the_series_said_is_the_series_asked_for() -> None:
    words = mite_kills.rounds_and_interval("2025-09-01", 2.0).to_dict()["description"]
    low, middle, high = efficacy_range_pct(start=date(2025, 9, 1), rounds=3, interval_days=6, dose_g=2.0)
    assert f"3 rounds, 6 days: {middle:.0f} % ({low:.0f} to {high:.0f})." in words


def test_every_trial_has_a_source_and_a_range() -> None:
    from kit.sources import SOURCES

    for trial in mite_kills.trials():
        assert trial.source in SOURCES and 0 <= trial.low <= trial.high <= 100


def test_the_title_counts_the_trials_that_agree() -> None:
    trials = mite_kills.trials()
    agree = sum(t.low - 0.5 <= t.law <= t.high + 0.5 for t in trials)
    title = " ".join(mite_kills.trials_and_law().to_dict()["title"]["text"])
    assert f"{agree} of {len(trials)}" in title
