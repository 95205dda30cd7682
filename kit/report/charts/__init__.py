"""Charts, each made from the tables of Findings and each with what it shows told in words.

Every function returns a chart ready to be shown, or a `Note` saying what is not recorded.
"""

from kit.report.charts.bees import bees
from kit.report.charts.effort import hours
from kit.report.charts.gear import break_even, charge_swings, first_sublimation, visit_bars
from kit.report.charts.hives import hives
from kit.report.charts.load import by_date, colonies, standing, wall
from kit.report.charts.outcome import kills, late_cost, lateness, losses
from kit.report.charts.plan import calendar, chances, days
from kit.report.charts.programmes import broodless, programmes
from kit.report.charts.strip import strip
from kit.report.charts.weather import weather

__all__ = [
    "bees",
    "break_even",
    "broodless",
    "by_date",
    "calendar",
    "chances",
    "charge_swings",
    "colonies",
    "days",
    "first_sublimation",
    "hives",
    "hours",
    "kills",
    "late_cost",
    "lateness",
    "losses",
    "programmes",
    "standing",
    "strip",
    "visit_bars",
    "wall",
    "weather",
]
