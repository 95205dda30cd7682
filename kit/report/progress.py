"""A bar with the time left, on a terminal only."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from tqdm import tqdm

FORM = "{desc:<24}{percentage:3.0f}%|{bar:24}| {n_fmt}/{total_fmt}, {remaining} left"


@contextmanager
def bar(what: str) -> Iterator[Callable[[int, int, str], None]]:
    """A function `(done, total, what)` that moves the bar; silent where nobody watches.

    Parameters
    ----------
    what : str
        The stage.
    """
    with tqdm(total=1, desc=what, bar_format=FORM, disable=None, leave=False) as shown:

        def move(done: int, total: int, _: str = "") -> None:
            shown.total = max(total, 1)
            shown.n = done
            shown.refresh()

        yield move
