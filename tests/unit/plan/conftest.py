"""A handful of apiaries needs no long search and no many draws: plans here are made with less work."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from kit.plan import make, mends, odds
from kit.plan.programme import futures
from kit.plan.solver.bound import Allowance


@pytest.fixture(autouse=True, scope="package")
def little_work() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(make, "STEPS", (600, 20))
        patch.setattr(make, "PROOF", Allowance(rounds=4, nodes=20))
        patch.setattr(mends, "STEPS", (300, 10))
        patch.setattr(futures, "DRAWS", 80)
        patch.setattr(odds, "DRAWS", 400)
        yield
