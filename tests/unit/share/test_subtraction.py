"""Attackers with a solver: from all that a pack, or a pooled report, tells, nothing below the minimum can be pinned.

The attacker knows every sum told, who stands in which group, and that counts are not below zero nor losses above the
hives wintered; a linear programme gives the least and the most that each untold number can be.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from scipy.optimize import linprog

from kit.report.share.form import ACCESS, ALL, choose
from kit.report.share.groups import by_region, by_size
from kit.report.share.member import Late, Member
from kit.report.share.pool import pool, pool_told
from kit.report.share.pool_late import CLASSES, class_of, covers
from kit.report.share.released import Release, release_of, warnings
from tests.unit.share.made import season
from tests.unit.share.test_pool import member

MINIMUM = 5


def width(goal: np.ndarray, sums: list[tuple[np.ndarray, float]], below: np.ndarray, most: float = 1e6) -> float:
    """How much a number can vary, given sums and rows of `below` that are at most zero."""
    equal = np.array([row for row, _ in sums])
    ends = []
    for sign in (1, -1):
        found = linprog(sign * goal, A_eq=equal, b_eq=[value for _, value in sums], A_ub=below if len(below) else None,
                        b_ub=np.zeros(len(below)) if len(below) else None, bounds=(0, most))  # fmt: skip
        assert found.success, "what is told contradicts itself"
        ends.append(sign * found.fun)
    return float(ends[1] - ends[0])


@pytest.mark.parametrize("seed", range(40))
def test_no_small_apiary_of_a_pack_is_pinned(seed: int) -> None:
    rng = np.random.default_rng(seed)
    one = season(seed, hives=[int(n) for n in rng.choice([2, 3, 4, 6, 9, 15, 22], rng.integers(3, 9))])
    pack = one.pack(choose(exact=True))  # in classes there is less to subtract
    losses = one.review.tables["losses"]
    truth = losses[losses["cause"] == ALL].set_index("apiary")
    if "apiaries" not in pack.tables:
        return
    shown = sorted(pack.tables["apiaries"]["hives"])
    sizes = sorted(truth["wintered"])
    hidden_sizes = list(sizes)
    for size in shown:
        hidden_sizes.remove(size)
    assert all(size >= MINIMUM for size in shown)
    if not hidden_sizes:
        return
    told = pack.tables["losses"]
    whole = told[(told["apiary"] == ALL) & (told["cause"] == ALL)].iloc[0]
    rest = told[told["apiary"] != ALL]
    n = len(hidden_sizes)
    wintered, lost = np.r_[np.ones(n), np.zeros(n)], np.r_[np.zeros(n), np.ones(n)]
    sums = [(wintered, whole["wintered"] - rest["wintered"].sum()), (lost, whole["lost"] - rest["lost"].sum())]
    below = np.hstack([-np.eye(n), np.eye(n)])
    for at in range(n):
        assert width(np.eye(2 * n)[at], sums, below) >= MINIMUM
        if whole["lost"] > 0:  # where a whole operation lost none, every apiary lost none: that is no subtraction
            assert width(np.eye(2 * n)[n + at], sums, below) >= 1


def random_members(seed: int) -> list[Member]:
    rng = np.random.default_rng([seed, 9])
    made = []
    for at in range(int(rng.integers(6, 10))):
        late = []
        for _ in range(int(rng.integers(1, 4))):
            wintered = int(rng.integers(6, 30))
            late.append(Late(float(rng.choice([-1, 0, 1, 2, 4])), str(rng.choice(ACCESS[:3])), wintered,
                             int(rng.integers(0, wintered // 2))))  # fmt: skip
        hives, lost = sum(one.wintered for one in late), sum(one.lost for one in late)
        mites = int(rng.integers(0, lost + 1))
        causes = {name: n for name, n in (("mites", mites), ("queen", lost - mites)) if n}
        if rng.random() < 0.2:
            late = late[1:]  # an apiary that its pack does not tell
        made.append(member(at, hives=hives, wintered=hives, lost=lost, causes=causes, late=tuple(late),
                           place=str(rng.choice(["51 0", "52 -2"], p=[0.7, 0.3]))))  # fmt: skip
    return made


class Attack:
    """Unknowns: hives wintered and lost of each member in each cell by lateness and access, and elsewhere."""

    def __init__(self, members: list[Member]) -> None:
        self.members = members
        self.cells = [(late, access) for late, _, _ in CLASSES for access in ACCESS] + [("untold", "untold")]
        self.n = len(members) * len(self.cells)
        self.sums: list[tuple[np.ndarray, float]] = []
        self.below = np.hstack([-np.eye(self.n), np.eye(self.n)])
        for at, one in enumerate(members):  # who has nothing in a cell is known to the attacker too
            empty = {(class_of(late.weeks_late), late.access) for late in one.late}
            for cell in self.cells:
                if cell not in empty and (cell[0] != "untold" or sum(x.wintered for x in one.late) == one.wintered):
                    self.sums.append((self.of([at], [cell], "wintered"), 0.0))

    def of(self, who: list[int], cells: list[tuple[str, str]], what: str) -> np.ndarray:
        row = np.zeros(2 * self.n)
        for at in who:
            for cell in cells:
                row[(what == "lost") * self.n + at * len(self.cells) + self.cells.index(cell)] = 1
        return row

    def everywhere(self, who: list[int], what: str) -> np.ndarray:
        return self.of(who, self.cells, what)

    def learn(self, minimum: int) -> None:
        told = pool(self.members, 2025, minimum=minimum)
        everyone = list(range(len(self.members)))
        groups = [(by_size(self.members, minimum=minimum), told.tables["members"].set_index("group")),
                  (by_region(self.members, minimum=minimum), told.tables["regions"].set_index("region"))]  # fmt: skip
        for parted, table in groups:
            for name, found in parted.items():
                if not np.isnan(table.at[name, "hives"]):
                    self.sums.append(
                        (self.everywhere([self.members.index(m) for m in found], "wintered"), table.at[name, "hives"])
                    )
        if told.facts["wintered"] is not None:
            for what in ("wintered", "lost"):
                self.sums.append((self.everywhere(everyone, what), told.facts[what]))
        for row in told.tables["lateness"].dropna(subset=["wintered"]).itertuples():
            within = [
                (late, access)
                for late, access in self.cells[:-1]
                if covers(str(row.late), late) and row.access in (ALL, access)
            ]
            for what, value in (("wintered", row.wintered), ("lost", row.lost)):
                self.sums.append((self.of(everyone, within, what), float(value)))  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", range(6))
def test_no_member_and_no_few_members_of_a_pooled_report_are_pinned(seed: int) -> None:
    members = random_members(seed)
    attack = Attack(members)
    attack.learn(MINIMUM)
    for size in range(1, MINIMUM):
        for who in combinations(range(len(members)), size):
            if size > 1 and (sum(who) + seed) % 7:
                continue  # every seventh of the larger groups is enough to see
            for what in ("wintered", "lost"):
                assert width(attack.everywhere(list(who), what), attack.sums, attack.below) >= 1, (who, what)


def test_the_attack_pins_a_lone_member_where_a_report_would_be_careless() -> None:
    members = random_members(0)
    attack = Attack(members)
    attack.sums.append((attack.everywhere(list(range(len(members))), "wintered"), sum(m.hives for m in members)))
    attack.sums.append((attack.everywhere(list(range(1, len(members))), "wintered"), sum(m.hives for m in members[1:])))
    assert width(attack.everywhere([0], "wintered"), attack.sums, attack.below) < 1e-6


@pytest.mark.parametrize(
    ("leave", "all_between", "tells"),
    [(6, False, False), (1, True, True), (3, False, False), (2, False, True), (9, True, False)],
)
def test_reports_that_are_not_warned_of_pin_no_member_together_and_pinned_ones_were_warned_of(
    leave: int, all_between: bool, tells: bool
) -> None:
    """Three reports from which others stay away in turn: from their sums, each member's hives by linear programme."""
    rng = np.random.default_rng(leave)
    everyone = [member(i, hives=int(n), wintered=int(n)) for i, n in enumerate(rng.integers(50, 99, 18))]
    sets = [[m for i, m in enumerate(everyone) if not at * leave <= i < (at + 1) * leave] for at in range(3)]
    sets[1] = everyone if all_between else sets[1]
    earlier: list[Release] = []
    warned = []
    for at, who in enumerate(sets):
        now = release_of(pool_told(who, 2025, minimum=MINIMUM).told, 2025, str(at))
        warned += warnings(earlier, now, minimum=MINIMUM)
        earlier.append(now)
    sums = [(np.array([float(m in who) for m in everyone]), float(sum(m.hives for m in who))) for who in sets]
    free = [width(row, sums, np.zeros((0, 18)), most=500) for row in np.eye(18)]
    assert bool(warned) == tells
    assert tells or min(free) >= MINIMUM
