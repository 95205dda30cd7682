"""What "power and warm-up" says."""

from __future__ import annotations

from collections.abc import Sequence

from kit.calc.causes import RankedCause
from kit.calc.doses import DosesPerCharge, charges_needed_for
from kit.calc.slowed import AtPower
from kit.calc.sublimator import Sublimator
from kit.panels.fields import Values
from kit.panels.panel import Words
from kit.report.words.phrases import capital
from kit.report.words.trying import trying

CAUSES_SHOWN = 3
FULL_PCT = 99.0
"""From this share of its power on a machine is said to have it all."""


def words(values: Values, now: AtPower, doses: DosesPerCharge | None, machine: Sublimator) -> Words:
    """What a charge gives, or how the machine does on a supply that does not run down."""
    if doses is not None:
        minds = [doses.caution] if doses.caution else []
        return Words([*_charge_said(doses, int(values["hives"])), *_power_said(now, machine)], minds)
    said = _power_said(now, machine) or [trying()("power.full_power", watts=f"{machine.watts:g}")]
    if now.works:
        minutes = now.warm_up_min + values["hives"] * values["minutes_per_colony"]
        said.append(trying()("power.unending", hives=values["hives"], minutes=f"{minutes:.0f}"))
    wet = {"generator": ["power.exhaust", "power.wet"], "mains": ["power.wet"]}
    return Words(said, [trying()(key) for key in wet.get(values["supply"], [])])


def slow(values: Values, causes: Sequence[RankedCause]) -> Words:
    """What a dose and a warm-up that were timed mean, likeliest cause first."""
    say, seen, usual = trying(), values["seen_s"], values["expel_s"]
    times = {"seen": f"{seen:g}", "usual": f"{usual:g}", "seen_min": f"{values['seen_min']:g}"}
    warm = "power.slow_and_warm" if values["seen_min"] else "power.slow"
    first = say("power.in_order" if seen <= usual else warm, usual_min=f"{values['warm_up_min']:g}", **times)
    found = [
        say("power.cause", cause=capital(one.cause), pct=f"{one.share_pct:.0f}", check=one.check)
        for one in causes[:CAUSES_SHOWN]
    ]
    if seen <= usual:
        return Words([first, *found])
    more, hives = seen - usual, values["hives"]
    return Words([first, *found, say("power.costs", more=f"{more:g}", minutes=f"{more * hives / 60:.0f}", hives=hives)])


def _charge_said(doses: DosesPerCharge, hives: int) -> list[str]:
    say = trying()
    points = {"middle": f"{doses.p50:.0f}", "low": f"{doses.p05:.0f}", "high": f"{doses.p95:.0f}"}
    limit = say.file["power_limits"].get(doses.limit, doses.limit)
    return [
        say("power.charge", **points),
        _enough(doses, hives),
        say("power.ended", pct=f"{doses.limit_pct:.0f}", limit=limit),
    ]


def _enough(doses: DosesPerCharge, hives: int) -> str:
    if doses.p05 < 1:
        return trying()("power.none")
    full = charges_needed_for(hives, doses.p05)
    return trying()("power.one_battery" if full == 1 else "power.batteries", hives=hives, n=full)


def _power_said(now: AtPower, machine: Sublimator) -> list[str]:
    """How the machine does on less than its full power; nothing on all of it."""
    watts = {"given": f"{now.power_w:.0f}", "watts": f"{machine.watts:g}"}
    if not now.works:
        return [trying()("power.cold", **watts)]
    if 100 * now.power_w >= FULL_PCT * machine.watts:
        return []
    times = {"warm": f"{now.warm_up_min:.1f}", "warm_usual": f"{machine.warm_up_s / 60:.1f}"}
    low, high = f"{now.expel_s:.0f}", f"{now.expel_most_s:.0f}"
    dose = low if low == high else trying()("panel.span", low=low, high=high)
    return [trying()("power.low_power", **watts, **times, dose=dose, dose_usual=f"{machine.expel_s:g}")]
