"""Things held here and on a cluster: the same answers, and nothing lost with a worker; the season's draws alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kit.errors import CannotGoOnError
from kit.held import Held, HeldThere, hands
from kit.records.records import Records
from kit.season.fit import read_season
from kit.season.posterior.draws import _move_below
from kit.season.rounds import rounds
from tests.unit.season.sheets import boards, records, series
from tests.unit.test_workers import cluster_of


@dataclass
class Purse:
    """Something that a deed changes."""

    coins: int


def put(purse: Purse, coins: int, times: int) -> int:
    purse.coins += coins * times
    return purse.coins


def doubled(purse: Purse) -> Purse:
    return Purse(2 * purse.coins)


def story(held: Held[Purse]) -> list[list[int]]:
    first = held.each(put, 1, 5)
    more = held.made(doubled)
    return [first, more.each(put, 3, 1), more.each(put, 0, 1), held.each(put, 0, 1)]


BY_HAND = [[5, 6, 7], [13, 15, 17], [13, 15, 17], [5, 6, 7]]


@pytest.mark.parametrize("jobs", [1, 3])
def test_deeds_change_what_is_held_and_answer_in_order(jobs: int) -> None:
    with hands(jobs=jobs) as here:
        assert story(here.hold([Purse(n) for n in range(3)])) == BY_HAND


def test_no_cluster_at_an_address_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kit.workers.PATIENCE_S", 1)
    with pytest.raises(CannotGoOnError, match="no cluster answers"), hands(cluster="tcp://127.0.0.1:9"):
        pass


@pytest.fixture
def counted() -> Records:
    return records(
        {"A": 3, "B": 2},
        colonies=[
            *({"colony": f"{a}{n}", "apiary": a} for a in "AB" for n in range(2)),
            {"colony": "A9", "apiary": "A", "from": date(2025, 6, 1)},
        ],
        events=[{"date": date(2025, 6, 1), "kind": "split", "from": "A0", "to": "A9", "hives": 1}],
        counts=[*boards("A", "A0", ("2025-06-10", 12, 7)), *boards("B", "B1", ("2025-08-28", 300, 6))],
        treatments=series("A", date(2025, 8, 22), 2),
    )


@pytest.mark.slow
def test_a_cluster_draws_alike_and_a_worker_killed_in_the_midst_of_a_fit_loses_nothing(
    tmp_path: Path, counted: Records, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = rounds(counted)
    here = read_season(counted, table, seed=1)
    plain, moves = HeldThere.each, count(1)
    with cluster_of(2, tmp_path) as (address, workers):

        def each(held: HeldThere[Any], deed: Callable[..., Any], *same: Any) -> list[Any]:
            if deed is _move_below and next(moves) == 3:
                workers[0].kill()
            return plain(held, deed, *same)

        monkeypatch.setattr(HeldThere, "each", each)
        there = read_season(counted, table, seed=1, cluster=address)
        assert workers[0].wait() != 0 and workers[1].poll() is None and next(moves) > 4
    for name, reading in here.readings.items():
        assert np.array_equal(reading.parameters, there.readings[name].parameters)


@pytest.mark.slow
def test_what_is_held_on_a_cluster_answers_alike_and_outlives_a_worker(tmp_path: Path) -> None:
    with cluster_of(2, tmp_path) as (address, workers), hands(cluster=address) as far:
        assert story(far.hold([Purse(n) for n in range(3)])) == BY_HAND
        held = far.hold([Purse(n) for n in range(6)])
        held.each(put, 1, 5)
        workers[0].kill()
        assert held.each(put, 1, 1) == [6 + n for n in range(6)]
        assert workers[1].poll() is None
