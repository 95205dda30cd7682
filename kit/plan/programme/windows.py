"""The days on which one treatment may begin at one apiary: supers, odds of brood, and warmth together."""

from __future__ import annotations

from datetime import timedelta

from kit.plan.ahead import Ahead, Window, window_for
from kit.plan.labels import needs_label
from kit.plan.programme.wishes import IN_SPLITS, Wanted
from kit.plan.sites import Site
from kit.plan.splits import free_window


def window_at(wish: Wanted, site: Site, ahead: Ahead, *, supers_shift: int = 0) -> Window:
    """When a treatment may begin at an apiary, and from when it is late.

    Parameters
    ----------
    wish : Wanted
        The treatment; what is no medicine may be done with supers on.
    site : Site
        The apiary.
    ahead : Ahead
        The season planned.
    supers_shift : int
        Supers come off so many days later than expected [d].
    """
    if wish.basis == IN_SPLITS and site.splits is not None:
        return _while_warm(free_window(site.splits, ahead), wish)
    off = site.off._replace(day=site.off.day + timedelta(days=supers_shift))
    with_supers = not needs_label(wish.word) or (wish.label is not None and wish.label.supers_allowed is True)
    window = window_for(wish.window, ahead, off, wish.last_start, with_supers)
    if wish.window == "winter" and site.broodless is not None:
        window = site.broodless
    return _while_warm(window, wish)


def _while_warm(window: Window, wish: Wanted) -> Window:
    """The part of a window in which the whole stay is warm enough."""
    if wish.warm is None:
        return window
    opens, closes = max(window.opens, wish.warm.first), min(window.closes, wish.warm.last)
    why = f"warm enough, {wish.warm.least_c:g} to {wish.warm.most_c:g} °C" if opens > window.opens else window.why
    return Window(window.name, opens, min(window.due, closes), closes, why)
