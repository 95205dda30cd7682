"""A plan made before, of the same season: where the search begins, and what the new plan is compared with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.plan.carried import carried_on, within_labels
from kit.plan.done import (
    CHANGE_COLUMNS,
    Planned,
    Series,
    changes_facts,
    changes_table,
    done_of,
    last_dates,
    left_to_do,
)
from kit.plan.mends import Setting
from kit.plan.wishes import Cut
from kit.season.findings import Findings

if TYPE_CHECKING:
    from kit.records.records import Records


KEPT = ["visit_id", "apiary", "window", "treatment", "deed", "round", "rounds", "part", "date"]
KEPT += ["not_before", "not_after", "product", "dose_g"]
"""Columns of an earlier plan's visits that a comparison and a series begun need."""


@dataclass(frozen=True)
class Earlier:
    """An earlier plan's visits and the day of its records; None and '' without one."""

    visits: pd.DataFrame | None
    as_of: str

    @property
    def dates(self) -> dict[str, date]:
        """Dates of its visits by their keys."""
        return {} if self.visits is None else last_dates(self.visits)

    @property
    def planned(self) -> pd.DataFrame:
        """Its visits as they are kept with the new plan, so that the same run again compares with the same."""
        return pd.DataFrame(columns=KEPT) if self.visits is None else self.visits[KEPT]

    def changes(self, visits: pd.DataFrame, done: Sequence[Series], as_of: date) -> pd.DataFrame:
        """What is done, moved, new or no longer planned; columns `CHANGE_COLUMNS`, empty without an earlier plan."""
        if self.visits is None:
            return pd.DataFrame(columns=CHANGE_COLUMNS).astype({"was": "datetime64[us]", "now": "datetime64[us]"})
        return changes_table(self.visits, Planned(visits, done, as_of))

    def told(self, tables: Mapping[str, pd.DataFrame]) -> dict[str, Any] | None:
        """The changes as a fact."""
        if self.visits is None:
            return None
        return {"from": self.as_of, **changes_facts(tables["changes"], tables["visits"])}


def earlier(last: Findings | None, label: int) -> Earlier:
    """What an earlier plan holds, when it is one of the season that starts in the year `label`."""
    if last is None or last.facts.get("season") != label:
        return Earlier(None, "")
    return Earlier(last.tables["visits"], str(last.facts["as_of"]))


def before(saved: Findings, as_of: date) -> Findings | None:
    """The plan to compare with, from the last one saved: that one when its records ended earlier, else the one before.

    None where there is none; the same records again are compared with what they were compared with before.
    """
    day, replanned = str(saved.facts.get("as_of", "")), saved.facts.get("replanned")
    if day and day < as_of.isoformat():
        return saved
    if day != as_of.isoformat() or not replanned:
        return None
    facts = {"season": saved.facts["season"], "as_of": replanned["from"]}
    return Findings(facts, {}, {"visits": saved.tables["planned_before"]})


def going_on(setting: Setting, records: Records, before: Earlier) -> tuple[Setting, list[Cut]]:
    """The setting less what the records of its own season say is done, and what labels leave no round for."""
    done = done_of(records, setting.ahead)
    wishes = carried_on(setting.treatments, done, before.planned, records.tables["labels"])
    treatments, cuts = within_labels(left_to_do(wishes, done), done)
    return replace(setting, treatments=treatments, done=done), cuts
