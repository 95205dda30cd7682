"""Slow vapour: how each machine did on each supply, and the likely causes, ranked."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from kit.calc.causes import OF_MACHINE, OF_SUPPLY, SCATTER, RankedCause, Timing, rank_causes, telling_check
from kit.calc.sublimator import Sublimator
from kit.constants.treatment_words import SUBLIMATION
from kit.season.machines.supplies import SupplyUsed, sublimator
from kit.season.machines.uses import air_or_usual, uses

if TYPE_CHECKING:
    from kit.records.records import Records

COLUMNS = ["apiary", "of", "treatment", "rank", "cause", "evidence", "check"]
NAMED_FROM_PCT = 60.0
"""A cause is named alone from this share of the belief on; below it the first two are named together."""
SHOWN_FROM_PCT = 5.0


class Pairing(NamedTuple):
    """A machine on a supply, with the causes of what it showed there.

    Parameters
    ----------
    item : str
        The machine; '' when not named.
    machine : Sublimator
        In good order.
    supply : SupplyUsed
        What fed it.
    seconds, minutes : float
        Medians recorded [s], [min]; NaN when never recorded.
    causes : tuple of RankedCause
        Likeliest first.
    elsewhere : str
        How the same machine did on its best other supply, as words; '' when it was on no other.
    warm_up_known : bool
        Whether its warm-up was written down on either.
    """

    item: str
    machine: Sublimator
    supply: SupplyUsed
    seconds: float
    minutes: float
    causes: tuple[RankedCause, ...]
    elsewhere: str
    warm_up_known: bool

    @property
    def likely(self) -> str:
        """The first cause, or the first two when one alone would say too much."""
        first, second = self.causes[:2]
        alone = first.share_pct >= NAMED_FROM_PCT or first.cause == SCATTER
        return self.named(first) if alone else f"{self.named(first)} or {self.named(second)}"

    def named(self, cause: RankedCause) -> str:
        """A cause with what it is a cause in: the supply or the machine."""
        what = self.supply.said if cause.cause in OF_SUPPLY else self.item if cause.cause in OF_MACHINE else ""
        return f"{cause.cause} ({what})" if what else cause.cause

    @property
    def check(self) -> str:
        """What tells the first two apart."""
        first, second = self.causes[:2]
        return telling_check(first.cause, second.cause, self.machine, warm_up_known=self.warm_up_known)

    @property
    def evidence(self) -> str:
        """What was recorded beside what is expected, as one sentence without a full stop."""
        said = [f"{self.item or 'the machine'} on {self.supply.said}"]
        if not math.isnan(self.minutes):
            said.append(f"{self.minutes:g} min to warm up, {self.machine.warm_up_s / 60:g} in good order")
        if not math.isnan(self.seconds):
            said.append(f"{self.seconds:g} s a dose, {self.machine.expel_s:g} in good order")
        if self.supply.behind_inverter(self.machine):
            said.append("an inverter gives full power until it cuts out")
        return "; ".join([*said, self.elsewhere] if self.elsewhere else said)


def pairings(records: Records) -> dict[tuple[str, str], Pairing]:
    """Every machine on every supply of the season that has a time written down, by (machine, supply).

    `supply` of the key is its item, else its kind.
    """
    return records.once(_pairings)


def _pairings(records: Records) -> dict[tuple[str, str], Pairing]:
    found: dict[tuple[str, str], Pairing] = {}
    for item, own in uses(records).groupby("sublimator"):
        machine = sublimator(records, str(item), usual_dose_g=float(own["dose_g"].median()))
        keys = supply_key(own)
        for key in sorted(keys.unique()):
            here = keys == key
            if own.loc[here, ["expel_s", "warm_up_min"]].notna().any(axis=None):
                found[str(item), key] = _pairing(str(item), machine, own, here)
    return found


def supply_key(used: pd.DataFrame) -> pd.Series:
    """The supply's item, else its kind, else ''."""
    return used["supply_item"].where(used["supply_item"] != "", used["supply_kind"])


def _pairing(item: str, machine: Sublimator, own: pd.DataFrame, here: pd.Series) -> Pairing:
    """Beside this supply only the one on which the machine did best, which clears it or convicts it."""
    best = best_supply(own[~here])
    own = own[here | (supply_key(own) == best)]
    here = here[own.index]
    first = own[here].iloc[0]
    supply = SupplyUsed(first["supply_item"], first["supply_kind"])
    causes = rank_causes(
        list(_timings(own, here, machine)),
        machine,
        behind_inverter=supply.behind_inverter(machine),
        direct_leads=supply.kind in ("battery", "vehicle") and not supply.behind_inverter(machine),
    )
    known = bool(own["warm_up_min"].notna().any())
    seconds, minutes = own.loc[here, "expel_s"].median(), own.loc[here, "warm_up_min"].median()
    return Pairing(item, machine, supply, float(seconds), float(minutes), causes, _elsewhere(own[~here]), known)


def _timings(own: pd.DataFrame, here: pd.Series, machine: Sublimator) -> Iterator[Timing]:
    for at_hand, row in zip(here, own.to_dict("records"), strict=True):
        yield Timing(
            _known(row["expel_s"]),
            _known(row["warm_up_min"]),
            dose_g=row["dose_g"] if row["dose_g"] > 0 else machine.dose_g,
            air_c=air_or_usual(row["air_c"]),
            here=bool(at_hand),
        )


def best_supply(other: pd.DataFrame) -> str | None:
    """The supply, as `supply_key` has it, on which a machine was fastest; None when nothing was timed."""
    medians = other.groupby(supply_key(other))[["expel_s", "warm_up_min"]].median()
    timed = medians["expel_s"].dropna() if medians["expel_s"].notna().any() else medians["warm_up_min"].dropna()
    return str(timed.idxmin()) if len(timed) else None


def _known(value: float) -> float | None:
    return None if math.isnan(value) else float(value)


def _elsewhere(other: pd.DataFrame) -> str:
    seconds = other["expel_s"].median()
    return "" if math.isnan(seconds) else f"the same machine takes {seconds:g} s on another supply"


def slow(pairing: Pairing) -> bool:
    """Whether more than scatter is at work."""
    return pairing.causes[0].cause != SCATTER


def vapour_causes(records: Records) -> pd.DataFrame:
    """Rows of the table `causes` with `of` = vapour, for each apiary where a slow machine worked, likeliest first.

    Causes under 5 % of the belief are left out; the check of the first is the one that tells it from the second.
    """
    used = uses(records)
    found = {key: p for key, p in pairings(records).items() if slow(p)}
    rows: list[dict[str, Any]] = []
    seen = set()
    for apiary, item, key in zip(used["apiary"], used["sublimator"], supply_key(used), strict=True):
        pairing = found.get((str(item), str(key)))
        if pairing is not None and (apiary, item, key) not in seen:
            seen.add((apiary, item, key))
            rows += _cause_rows(str(apiary), pairing)
    table = pd.DataFrame(rows, columns=COLUMNS)
    return table.sort_values(["apiary", "rank"], kind="stable", ignore_index=True)


def _cause_rows(apiary: str, pairing: Pairing) -> list[dict[str, Any]]:
    shown = [c for c in pairing.causes if c.share_pct >= SHOWN_FROM_PCT and c.cause != SCATTER]
    return [
        {"apiary": apiary, "of": "vapour", "treatment": SUBLIMATION, "rank": rank, "cause": cause.cause,
         "evidence": f"{pairing.evidence} ({_belief(cause.share_pct)})",
         "check": pairing.check if rank == 1 else cause.check}
        for rank, cause in enumerate(shown, 1)
    ]  # fmt: skip


def _belief(share_pct: float) -> str:
    """Never a certainty: the ranges behind it are assumed."""
    return "odds over 95 of 100" if share_pct > 95 else f"odds {share_pct:.0f} of 100"
