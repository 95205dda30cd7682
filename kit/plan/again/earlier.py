"""A plan made before, of the same season: where the search begins, and what the new plan is compared with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

import pandas as pd

from kit.plan.again.carried import carried_on, within_labels
from kit.plan.again.changed import changes_facts
from kit.plan.again.done import Series, SoFar, done_of, left_to_do
from kit.plan.ahead import Ahead
from kit.plan.jobs import parts_of
from kit.plan.mends import Setting
from kit.plan.programme.wishes import Cut
from kit.season.findings import Findings

if TYPE_CHECKING:
    from kit.records.records import Records


KEPT = ["visit_id", "apiary", "window", "treatment", "deed", "round", "rounds", "part", "parts", "date"]
KEPT += ["not_before", "not_after", "product", "dose_g"]
"""Columns of an earlier plan's visits that a comparison and a series begun need."""
CHOSEN = ["apiary", "chosen", "treatments"]
"""Columns of its programmes that say what it chose."""


@dataclass(frozen=True)
class Earlier:
    """An earlier plan's visits, the programmes it chose, and the day of its records; empty and '' without one."""

    visits: pd.DataFrame
    programmes: pd.DataFrame
    as_of: str

    @property
    def dates(self) -> dict[str, date]:
        """Dates of its visits by their keys."""
        return {str(key): day.date() for key, day in zip(self.visits["visit_id"], self.visits["date"], strict=True)}

    def so_far(self, records: Records, ahead: Ahead) -> SoFar:
        """What is done of its season, and what it chose at each apiary."""
        chosen = dict(zip(self.programmes["apiary"], self.programmes["treatments"], strict=True))
        return SoFar(done_of(records, ahead, self.visits), chosen)

    def told(self, tables: Mapping[str, pd.DataFrame]) -> dict[str, Any] | None:
        """The changes as a fact."""
        return {"from": self.as_of, **changes_facts(tables["changes"], tables["visits"])} if self.as_of else None


def earlier(last: Findings | None, label: int) -> Earlier:
    """What an earlier plan holds, when it is one of the season that starts in the year `label`."""
    if last is None or last.facts.get("season") != label:
        return Earlier(pd.DataFrame(columns=KEPT), pd.DataFrame(columns=CHOSEN), "")
    programmes = last.tables["programmes"][CHOSEN]
    return Earlier(
        last.tables["visits"][KEPT],
        programmes[programmes["chosen"] == "yes"].reset_index(drop=True),
        str(last.facts["as_of"]),
    )


def before(saved: Findings, as_of: date) -> Findings | None:
    """The plan to compare with, from the last one saved: that one when its records ended earlier, else the one before.

    None where there is none, or none that says what it chose; the same records again are compared with what they were
    compared with before.
    """
    day, replanned = str(saved.facts.get("as_of", "")), saved.facts.get("replanned")
    if day and day < as_of.isoformat():
        return saved
    if day != as_of.isoformat() or not replanned or "programmes_before" not in saved.tables:
        return None
    facts = {"season": saved.facts["season"], "as_of": replanned["from"]}
    tables = {"visits": saved.tables["planned_before"], "programmes": saved.tables["programmes_before"]}
    return Findings(facts, {}, tables)


def going_on(
    setting: Setting, records: Records, before: Earlier, done: Sequence[Series]
) -> tuple[Setting, list[Cut]]:  # fmt: skip
    """The setting less what the records of its own season say is done, and what labels leave no round for."""
    wishes = carried_on(setting.treatments, done, before.visits, records.tables["labels"])
    parts = partial(parts_of, ground=setting.ground, means=setting.means)
    treatments, cuts = within_labels(left_to_do(wishes, done, parts), done)
    return replace(setting, treatments=treatments, done=done), cuts
