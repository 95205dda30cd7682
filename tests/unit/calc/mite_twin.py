"""The law of the mites a second time, in plain NumPy from the head of `kit.calc.mites`: the oracle of the kernel.

All lanes at once, one day after the other; mites in cells as lists of cohorts by the day they will come out, so that
nothing is shared with the kernel but its packed inputs.
"""

import numpy as np

from kit.calc import _kernel

WORKER_DAYS, DRONE_DAYS = 12, 14


def run(p: _kernel.Lanes) -> tuple[np.ndarray, np.ndarray]:  # noqa: PLR0915 - one day from top to bottom, to be read beside the law
    """As `_kernel.run`, every day in full: (n, days, 11) and (n,)."""
    n, span = len(p.mites), p.curves.shape[1]
    days = span - _kernel.LEAD
    rate = p.rates.T
    on_bees, tally = p.mites.copy(), np.zeros((5, n))
    worker: dict[int, tuple] = {}
    drone: dict[int, tuple] = {}
    dying, dead, lingering, struck, fallen = (np.zeros(n) for _ in range(5))
    infested, raised = np.zeros(n), np.zeros(n)
    out = np.empty((n, days, 11))
    for t in range(-_kernel.LEAD, days):
        adults, w_cells, d_cells, bees_kept, brood_kept = bees_of(p, t)
        growth, guests = (factor(p, t, column) for column in (2, 3))
        w_out, d_out = worker.pop(t, None), drone.pop(t, None)
        season = np.minimum(1, w_cells / rate[11])
        if t < 0:
            on_bees = on_bees + sum(cohort[0] for cohort in (w_out, d_out) if cohort)
        else:
            worker, gone_w = thinned(worker, brood_kept)
            drone, gone_d = thinned(drone, brood_kept)
            opened = [
                tuple(part * brood_kept for part in cohort) if cohort else (0.0, 0.0) for cohort in (w_out, d_out)
            ]
            left_open = sum(cohort[0] * (1 - brood_kept) for cohort in (w_out, d_out) if cohort)
            tally[4] += gone_w + gone_d + left_open + on_bees * (1 - bees_kept)
            on_bees = on_bees * bees_kept
            (wm, wd), (dm, dd) = opened
            fell = rate[7] * (wm + wd) + rate[8] * (dm + dd)
            new = wm + wd + dm + dd - fell + guests
            stay, come, lives, in_worker, in_drone = treated(p, t)
            slowly = on_bees * (1 - stay) + new * (1 - come)
            on_bees = on_bees * stay + new * come
            at_once, on_bees = on_bees * (1 - lives), on_bees * lives
            worker, killed_w = thinned(worker, in_worker)
            drone, killed_d = thinned(drone, in_drone)
            dying = dying + slowly + killed_w
            struck = struck + at_once
            moves, falls, late, soon = rate[12] * dying, rate[12] * dead, rate[14] * lingering, rate[15] * struck
            dying, dead, struck = dying - moves, dead - falls + moves * (1 - rate[13]), struck - soon
            lingering = lingering - late + moves * rate[13]
            kill = slowly + at_once
            dies = on_bees * (rate[10] * (1 - season) + rate[9] * season)
            on_bees = on_bees - dies
            fallen = fallen + fell + dies + falls + late + soon
            tally += np.stack([wd + dd + np.zeros(n), guests, fell + dies, kill + killed_w + killed_d, np.zeros(n)])
        hazard = (rate[0] * w_cells + rate[1] * d_cells) / adults
        meet = np.where(hazard > 1e-12, (1 - np.exp(-hazard)) / np.maximum(hazard, 1e-12), 1.0)
        per_w, per_d = (on_bees / adults * meet * rate[k] for k in (0, 1))
        young_w = rate[2] * season + rate[3] * (1 - season)
        worker[t + WORKER_DAYS] = (per_w * w_cells, per_w * w_cells * growth * young_w * np.exp(-rate[5] * per_w))
        drone[t + DRONE_DAYS] = (per_d * d_cells, per_d * d_cells * growth * rate[4] * np.exp(-rate[6] * per_d))
        on_bees = on_bees - per_w * w_cells - per_d * d_cells
        if t >= 0:
            in_brood = sum(cohort[0] for cohort in [*worker.values(), *drone.values()])
            out[:, t] = np.stack([on_bees, in_brood, adults, fallen, *tally, w_cells, per_w], axis=-1)
            if p.winter[0] <= t + WORKER_DAYS < p.winter[1]:
                infested, raised = infested + w_cells * (1 - np.exp(-per_w)), raised + w_cells
    with np.errstate(invalid="ignore"):
        return out, infested / raised


def bees_of(p: _kernel.Lanes, t: int) -> list[np.ndarray]:
    """Adults, worker cells, drone cells, bees kept, brood kept of all lanes."""
    low = p.year_at.astype(int)
    high, mix = np.minimum(low + 1, len(p.curves) - 1), p.year_at - low
    today = p.curves[:, _kernel.LEAD + t]
    values = ((1 - mix)[:, None] * today[low] + mix[:, None] * today[high]).T
    return [values[0] * factor(p, t, 0), *(values[k] * factor(p, t, 1) for k in (1, 2)), values[3], values[4]]


def factor(p: _kernel.Lanes, t: int, column: int) -> np.ndarray:
    """A wandering factor of all lanes on a day."""
    days, knots = p.curves.shape[1] - _kernel.LEAD, p.factors.shape[1]
    at = np.linspace(0, max(days - 1, 1), knots) if knots > 1 else np.zeros(1)
    return np.array([np.interp(max(t, 0), at, row) for row in p.factors[:, :, column]])


def thinned(cohorts: dict[int, tuple], share) -> tuple[dict[int, tuple], np.ndarray]:
    """What stays of the cohorts in cells, and the mothers gone."""
    gone = sum((cohort[0] * (1 - share) for cohort in cohorts.values()), np.zeros(np.shape(share)))
    return {day: tuple(part * share for part in cohort) for day, cohort in cohorts.items()}, gone


def treated(p: _kernel.Lanes, t: int) -> tuple[np.ndarray, ...]:
    """Shares that live: on bees before the round, of those come today, of all on bees, in worker, in drone cells."""
    n = t - p.when[:, :, 0]
    kill, active, fade, daily, in_worker, in_drone = np.moveaxis(p.effects, -1, 0)
    in_place = (n >= 0) & (t < p.when[:, :, 1])
    meets = np.where(n >= 0, kill * residue(active, fade, n), 0.0)
    cells = (np.where(in_place, 1 - share, 1.0) for share in (daily, in_worker, in_drone))
    return tuple(share.prod(axis=1) for share in (np.where(n == 0, 1 - kill, 1.0), 1 - meets, *cells))


def residue(active: np.ndarray, fade: np.ndarray, n: np.ndarray) -> np.ndarray:
    """Mean over the day of min(1, max(0, (active − u) / fade)), u days after a midday round; 1 before the round.

    By pieces: the length at full strength, and the trapezium of the ramp.
    """
    begin, end = np.where(n == 0, 0.0, n - 0.5), n + 0.5
    knee = active - fade
    full = np.clip(knee, begin, end) - begin
    a, b = np.clip(knee, begin, end), np.clip(active, begin, end)
    height = (2 * active - a - b) / 2 / np.where(fade > 0, fade, 1.0)
    return np.where(n == 0, 0.5, 0.0) + full + np.where(fade > 0, (b - a) * height, 0.0)
