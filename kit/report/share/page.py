"""What the association's notebook opens: a saved pool, or that of three invented members."""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape
from pathlib import Path

from kit.report import tables
from kit.report.share.demo import demo_pool
from kit.report.share.groups import regions_told
from kit.report.share.words import CANNOT, no_groups, no_regions, place_words, pooled_sentences
from kit.report.show import Listed, Note, Said, enable
from kit.report.tables import Table
from kit.season.findings import OPERATION, Findings, read

SECTIONS = ("who", "losses", "late", "kill", "loads", "work", "cannot")
HEADS = {
    "typical": "typical member (90 %)",
    "new_p05": "a new one, at least",
    "new_p95": "at most",
    "i2_pct": "scatter between members [%]",
    "late": "treated",
    "access": "access",
    "what": "kind of work",
    "loss_pct": "lost [%] (95 %)",
}
CAPTIONS = {
    "members": "Members by number of hives",
    "regions": "Members by square of one degree, named by its south-west corner",
    "crossed": "Members by region and number of hives; groups that would tell of few members left out",
    "loads": "Mites on bees per 100 bees by region and week",
    "kills": "Share of the mites killed [%], from treatments a count looked at",
    "losses": "Hives lost by cause",
    "lateness": "Hives lost by weeks late and access",
    "work": "Hours and rounds a hive over the season",
}


@dataclass(frozen=True)
class PoolPage:
    """The material of the pooled report: shows itself as the masthead."""

    pool: Findings

    def sentences(self) -> Said:
        """The sentences that open the report."""
        return Said(pooled_sentences(self.pool), {name: f"#{name}" for name in SECTIONS})

    def rows(self, name: str) -> Table | Note:
        """The rows behind a chart, folded."""
        return self._table(name, folded=True)

    def table(self, name: str) -> Table | Note:
        """A table, open."""
        return self._table(name, folded=False)

    def cannot(self) -> Listed:
        """What the pool cannot say, and what was left out of it."""
        return Listed([*CANNOT, *self.pool.facts["left_out"]])

    def _table(self, name: str, *, folded: bool) -> Table | Note:
        found = dict(self.pool.tables)
        if name == "crossed" and found[name].empty:
            return Note(no_groups(self.pool))
        if name == "regions" and not regions_told(found[name]["region"]):
            return Note(no_regions(self.pool))
        if "region" in found[name]:
            found[name] = found[name].assign(region=found[name]["region"].map(place_words))
        shown = tables.show(replace(self.pool, tables=found), name, folded=folded)
        if isinstance(shown, Note):
            return Note("Too few members told this for a group that may be shown.")
        return replace(shown, caption=CAPTIONS[name], heads=HEADS)

    def _repr_html_(self) -> str:
        facts = self.pool.facts
        line = f"Season {facts['season']}, {facts['members']} members, no group below {facts['minimum']}."
        return f'<div class="masthead"><p>{escape(line)}</p></div>'

    def __repr__(self) -> str:
        return f"pool of {self.pool.facts['members']} members, season {self.pool.facts['season']}"


def open_pool(pool: str = "") -> PoolPage:
    """The pooled findings for a notebook.

    Parameters
    ----------
    pool : str
        Folder of the saved pool, as seen from the notebook; '' takes three invented members of the demo.

    Raises
    ------
    CannotGoOnError
        When there is none.
    """
    enable()
    return PoolPage(read(Path(pool) / f"{OPERATION}.json") if pool else demo_pool())
