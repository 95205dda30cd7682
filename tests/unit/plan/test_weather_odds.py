"""Odds of days that can be worked: what the own weather says, what the climate says, and that the plan keeps room."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from kit.plan.ahead import ahead_of
from kit.plan.jobs import Means, needs_firm
from kit.plan.make import means_of
from kit.plan.odds import Held, held, kept_spare, spare_for
from kit.plan.programme.programmes import wanted
from kit.plan.rota import Rota, Work, plan_with
from kit.plan.sites import ground_of
from kit.plan.weather import CLIMATES, Limits, climate_shares, odds_of, place, spare_days
from kit.records.setting_list import SETTINGS
from kit.season.findings import Findings
from tests.unit.plan.operation import SHEETS, plan_of, records_of, review_of

LIGHT = Limits(5.0, 11.0, "light")
MAY, AUGUST, JANUARY = date(2026, 5, 15), date(2026, 8, 20), date(2026, 1, 15)


def weather(day: str, years: int = 3) -> str:
    """The same weather every day of the years before the season planned."""
    days = [date(2026, 3, 31) - timedelta(days=k) for k in range(365 * years)]
    return "date,min_c,max_c,rain_mm,wind_kmh\n" + "".join(f"{d},{day}\n" for d in sorted(days))


def rota_of(folder: Path, **sheets: str | None) -> tuple[Rota, Means]:
    records = records_of(folder, 2025, **sheets)
    review, ahead = review_of(records), ahead_of(records)
    ground = ground_of(records, review.tables["rounds"], ahead)
    treatments = wanted(records, review.tables["rounds"], ahead)[0]
    means = means_of(records, review, seed=1)
    return plan_with(treatments, ground, ahead, means, {}, Work(1500, 0, 1)), means


# odds by date


def test_every_word_for_a_climate_has_its_weather() -> None:
    assert set(SETTINGS["climate"].column.words) == set(CLIMATES)


def test_the_default_climate_agrees_with_what_mid_england_sees_in_a_year() -> None:
    """Common practice, no source: a wet day in three, January mostly above 5 °C, hardly a cold day in August."""
    shares = climate_shares(CLIMATES["maritime temperate"], LIGHT)
    assert 0.28 <= shares.wet.mean() <= 0.4
    assert 0.15 <= shares.cold[place(JANUARY)] <= 0.45
    assert shares.cold[place(AUGUST)] < 0.001


def test_soft_ground_by_formula_is_what_drawing_the_rain_gives() -> None:
    """Three days' rain of at least 10 mm: binomial wet days with exponential amounts, drawn 200,000 times."""
    from kit.constants.weather import RAIN_MM, WET_DAYS

    climate = CLIMATES["maritime temperate"]
    found = climate_shares(climate, LIGHT).soft[place(JANUARY)]
    share, each = WET_DAYS[0].value / 30.4, RAIN_MM[0].value / WET_DAYS[0].value
    rng = np.random.default_rng(1)
    rain = np.where(rng.random((200_000, 3)) < share, rng.exponential(each, (200_000, 3)), 0.0).sum(axis=1)
    assert found == pytest.approx((rain >= 10).mean(), abs=0.01)


def test_a_user_who_minds_no_wind_is_held_up_by_none(tmp_path: Path) -> None:
    still = records_of(tmp_path, settings=SHEETS["settings"] + "max_wind,calm\n")
    hardy = records_of(tmp_path, settings=SHEETS["settings"] + "max_wind,windy\n")
    assert odds_of(still).chance(MAY) < odds_of(hardy).chance(MAY)
    assert odds_of(hardy).shares.windy.max() == 0


@pytest.mark.parametrize(
    ("day", "against"), [("-5,2,0,5", "cold"), ("5,15,0,40", "windy"), ("5,15,12,5", "wet"), ("5,15,0,5", "")]
)
def test_own_weather_moves_the_odds_its_own_way(tmp_path: Path, day: str, against: str) -> None:
    odds = odds_of(records_of(tmp_path, weather=weather(day)))
    assert odds.days == 1095
    chance = odds.chance(AUGUST)
    assert chance < 0.1 if against else chance > 0.85
    if against:
        assert getattr(odds.shares, against)[place(AUGUST)] > 0.85


def test_a_few_days_of_own_weather_move_the_climate_little(tmp_path: Path) -> None:
    none = odds_of(records_of(tmp_path))
    one = odds_of(records_of(tmp_path, weather="date,max_c,rain_mm,wind_kmh\n2025-08-20,15,0,5\n"))
    assert none.chance(AUGUST) < one.chance(AUGUST) < none.chance(AUGUST) + 0.08
    assert one.chance(JANUARY) == pytest.approx(none.chance(JANUARY))


def test_what_a_row_leaves_open_is_taken_from_the_climate(tmp_path: Path) -> None:
    warm = weather("5,20,,")
    odds = odds_of(records_of(tmp_path, weather=warm))
    usual = odds_of(records_of(tmp_path, weather=None))
    still_and_dry = (1 - usual.shares.windy) * (1 - usual.shares.wet)
    assert odds.chance(JANUARY) == pytest.approx(still_and_dry[place(JANUARY)], rel=0.1)


def test_firm_ground_is_asked_of_the_rain_of_three_days(tmp_path: Path) -> None:
    """A dry spell of ten days after a wet month: fit days in both, firm ground in the second."""
    rows = [f"2025-08-{d:02d},10,20,{6 if d <= 16 and d % 2 else 0},5" for d in range(1, 32)]
    odds = odds_of(records_of(tmp_path, weather="date,min_c,max_c,rain_mm,wind_kmh\n" + "\n".join(rows) + "\n"))
    assert odds.chance(AUGUST, firm=True) < odds.chance(AUGUST)


def test_drawn_weather_has_the_odds_and_the_likeness_it_is_asked_for(tmp_path: Path) -> None:
    odds = odds_of(records_of(tmp_path))
    days = [date(2026, 8, 1) + timedelta(days=k) for k in range(20)]
    fit, firm = odds.draw(days, np.random.default_rng(1), 20_000)
    assert fit.mean(axis=0) == pytest.approx([odds.chance(d) for d in days], abs=0.015)
    assert firm.mean(axis=0) == pytest.approx([odds.chance(d, firm=True) for d in days], abs=0.015)
    alike = [np.corrcoef(fit[:, k], fit[:, k + 1])[0, 1] for k in range(19)]
    assert np.mean(alike) == pytest.approx(odds.stays, abs=0.02)


# the plan under these odds


def test_spare_days_lie_between_the_others_and_are_more_where_days_are_poor(tmp_path: Path) -> None:
    odds = odds_of(records_of(tmp_path))
    week = [date(2026, 8, 3) + timedelta(days=k) for k in range(6)]  # Monday to Saturday
    august = spare_days(week, odds)
    winter = spare_days([day.replace(month=1, day=5 + k) for k, day in enumerate(week)], odds)
    assert august == {week[1], week[3], week[5]}
    assert len(winter) > len(august)
    assert spare_days(week[:1], odds) == frozenset()


def test_a_plan_with_time_leaves_its_spare_days_free(tmp_path: Path) -> None:
    rota, _ = rota_of(tmp_path)
    assert {day.day for day in rota.days}.isdisjoint(kept_spare(rota))
    first = next(v for v in rota.visits if v.number == 1 and spare_for(rota, v))
    assert all(day > first.day for day in spare_for(rota, first))


def test_room_to_bend_makes_the_plan_hold(tmp_path: Path) -> None:
    chances = []
    for treat_by in ("08-06", "08-31"):
        sheet = f"setting,value\nwork_hours_per_day,6\ntreat_by,{treat_by}\nlast_supers_off,08-05\n"
        rota, means = rota_of(tmp_path, settings=sheet, crops=None)
        chances.append(held(rota, means, seed=1).mains_pct)
    assert 0 <= (chances[0] or 0) < (chances[1] or 0) <= 100


def test_weather_that_never_holds_anything_up_makes_every_plan_hold(tmp_path: Path) -> None:
    settings = SHEETS["settings"] + "max_wind,windy\n"
    rota, means = rota_of(tmp_path, settings=settings, weather=weather("8,18,0,5", years=8))
    found = held(rota, means, seed=1)
    assert found.mains_pct is not None
    assert found.mains_pct > 95
    assert min(found.in_time_pct) > 60  # the winter round still shares the climate's wet days


def test_a_shorter_day_makes_moving_on_harder(tmp_path: Path) -> None:
    rota, means = rota_of(tmp_path)
    longest = max(day.drive_min + day.work_min for day in rota.days) / 60
    roomy = held(rota, replace(means, hours=3 * longest), seed=1)
    tight = held(rota, replace(means, hours=longest), seed=1)
    assert sum(tight.in_time_pct) <= sum(roomy.in_time_pct)


def test_an_apiary_reached_on_dry_ground_waits_longer_than_one_reached_always(tmp_path: Path) -> None:
    rota, means = rota_of(tmp_path)
    birch = next(v for v in rota.visits if v.job.site.apiary == "BIRCH" and v.job.wish.window == "main")
    assert needs_firm(birch.job)
    assert means.weather.chance(birch.day, firm=True) < means.weather.chance(birch.day)


def test_nothing_planned_holds_nothing(tmp_path: Path) -> None:
    rota, means = rota_of(tmp_path, settings=SHEETS["settings"].replace("hours_per_day,6", "hours_per_day,0.5"))
    assert held(rota, means, seed=1) == Held(None, ())


@pytest.fixture(scope="module")
def plan() -> Findings:
    return plan_of()


def test_the_plan_says_its_odds_by_half_month_and_by_visit(plan: Findings) -> None:
    odds, visits = plan.tables["weather_odds"], plan.tables["visits"]
    assert set(odds["access"]) == {"any other", "dry ground, driven in"}
    assert (odds["workable_days"] <= odds["working_days"]).all()
    assert odds["days_out"].sum() == 2 * plan.facts["days_out"]  # a row for each kind of access
    assert visits["workable_pct"].between(1, 99).all()
    assert visits["in_time_pct"].between(0, 100).all()
    assert plan.facts["weather_basis"].startswith("the climate by name (maritime temperate), assumed")
    assert 0 <= plan.facts["holds_pct"] <= 100


def test_stop_rules_name_the_limits_in_force_and_soft_ground_only_where_it_matters(plan: Findings) -> None:
    rules = plan.tables["visits"].set_index(["apiary", "window"])["stop_rules"]
    ash = rules["ASH", "autumn"].iloc[0]
    assert "wind above light" in ash
    assert "below 5 °C" in ash
    assert "ground" not in ash
    assert "ground that does not carry the vehicle" in rules["BIRCH", "main"].iloc[0]
    assert "eyes" not in rules["BIRCH", "main"].iloc[0]  # strips give off no vapour


def test_spare_days_stand_in_the_calendar_and_keep_their_key(plan: Findings) -> None:
    spare = plan.tables["calendar"].query("event == 'spare day'")
    assert len(spare) > 0
    assert spare["uid"].is_unique
    assert set(spare["date"]).isdisjoint(plan.tables["days"]["date"])
    named = {day for text in plan.tables["visits"]["spare_days"] for day in text.split("; ") if day}
    assert {f"{day:%Y-%m-%d}" for day in spare["date"]} == named


def test_odds_that_are_unknown_are_never_shown_as_zero(plan: Findings) -> None:
    soft = plan.tables["weather_odds"].set_index("access")["soft_pct"]
    assert all(math.isnan(x) for x in soft["any other"])
    assert (soft["dry ground, driven in"] > 0).all()
