"""Facts to say sentences from: an operation that recorded nothing, changed one thing at a time."""

from typing import Any

from kit.season.findings import Findings

NOTHING: dict[str, Any] = {
    "keeper": "", "season": 2025, "season_start": "2025-04-01", "season_end": "2026-03-31", "as_of": "2026-03-31",
    "in_season": False, "currency": "GBP", "apiaries": [], "hives": None, "problems": 0, "remarks": 0, "rows_later": 0,
    "load_method": "", "wintered": None, "came_out": None, "lost": None, "lost_pct": None, "lost_pct_low": None,
    "lost_pct_high": None, "lost_interval": "", "lost_by_cause": [], "lost_before_winter": None, "winter_over": False,
    "heads_missing": [], "heads_conflicts": [], "treat_by": "2025-08-15", "late": [], "on_time": [],
    "late_wintered": None, "late_lost": None, "rest_wintered": None, "rest_lost": None, "late_told_apart": None,
    "late_told_apart_why": "", "why_late": [], "treatments": [], "worked": [], "weak": [], "first": None, "today": [],
    "strips_in": [], "open_points": [], "open_by_kind": {}, "trips": 0, "hours": None, "drive_hours": None,
    "wasted_trips": 0, "wasted_why": [], "effort_cost": None, "doses": 0, "acid_g": None, "doses_unweighed": 0,
    "slow_vapour": [], "counts": 0, "counts_after_treatment": 0, "counts_by_words": 0, "counted_apiaries": [],
    "uncounted_apiaries": [], "certainty": "model only", "certainty_why": "no count at all", "best_measurement": None,
}  # fmt: skip
"""Every fact of a season in which nothing was written down."""

LATE = {
    "apiary": "Rushy Bottom", "treatment": "amitraz strips", "treated_on": "2025-09-10", "days_late": 26,
    "why_late": "ground", "lost_pct": 40.0, "extra_mites_p50": 300.0,
}  # fmt: skip

KILL = {"efficacy_p05": 61.0, "efficacy_p50": 72.0, "efficacy_p95": 80.0}

APIARY_NOTHING: dict[str, Any] = {
    "apiary": "A", "name": "", "access": "", "notified": None, "hives": None, "numbered": 0, "wintered": None,
    "came_out": None, "lost": None, "lost_pct": None, "lost_pct_low": None, "lost_pct_high": None, "lost_by_cause": [],
    "lost_before_winter": None, "heads_conflicts": [], "heads_missing": "both", "treatment": None, "treated_on": None,
    "treat_by": "2025-08-15", "days_late": None, "late": None, "why_late": "", "treatments": [],
    "load_on": "2026-03-31", "load_basis": "", "counts": 0, "last_count": None, "today": None, "open_points": [],
    "strips_in": [], "trips": 0, "hours": None, "wasted_trips": 0, "doses": 0, "acid_g": None,
}  # fmt: skip

PLAN_APIARY: dict[str, Any] = {
    "first_date": "2026-08-03", "first_treatment": "amitraz strips", "left_out": "", "days_late": -12, "why_late": "",
    "kit": [{"item": "strips", "count": 24.0}, {"item": "trays", "count": 3.0}],
}  # fmt: skip

PLAN: dict[str, Any] = {
    "currency": "GBP", "as_of": "2026-03-31", "heading": "", "date_that_matters": "2026-08-15", "apiaries": ["A", "B"],
    "apiaries_by_date": ["A"], "last_first_round": "2026-08-20", "last_first_apiary": "B", "apiaries_left_out": [],
    "breaks_first": None, "mends": [], "mends_against": "",
}  # fmt: skip


def season(**changes: Any) -> Findings:
    """Findings of an operation in which only `changes` are known."""
    unknown = changes.keys() - NOTHING.keys()
    banded = {key for key in unknown if key.endswith(("_p05", "_p50", "_p95"))}
    assert unknown == banded, f"not a fact of the season: {unknown - banded}"
    return Findings({**NOTHING, **changes})


def apiary(**changes: Any) -> Findings:
    """Findings of apiary A in which only `changes` are known."""
    return Findings({"in_season": False}, {"A": {**APIARY_NOTHING, **changes}})
