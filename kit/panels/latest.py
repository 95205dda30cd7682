"""The newest question is the one that is answered: older ones that wait are dropped, begun ones cut short."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextvars import copy_context
from typing import Generic, TypeVar

Q = TypeVar("Q")
A = TypeVar("A")


class Latest(Generic[Q, A]):
    """One worker beside the kernel's own thread, with room for one question.

    Parameters
    ----------
    answers : callable
        From a question to its answers, the quick ones first; when a newer one is asked the slow ones are left undone.
    show : callable
        Takes each answer while it is still wanted.
    fail : callable
        Takes what `answers` or `show` raised.
    quick : int
        How many answers of a question that was begun are shown although a newer one waits, so that a drag faster than
        the reckoning still redraws. They come before the newer ones: nothing is ever put over a newer answer.
    rested : callable
        Called when nothing is left to answer.
    """

    def __init__(
        self,
        answers: Callable[[Q], Iterator[A]],
        show: Callable[[A], None],
        fail: Callable[[Exception], None],
        *,
        quick: int = 1,
        rested: Callable[[], None] = lambda: None,
    ) -> None:
        self._quick, self._rested = quick, rested
        self._answers, self._show, self._fail = answers, show, fail
        self._changed = threading.Condition()
        self._waiting: list[Q] = []
        self._busy = False
        self._number = 0
        self._stopped = 0
        self._thread: threading.Thread | None = None

    def ask(self, question: Q) -> None:
        """Answer this one and drop every other."""
        with self._changed:
            self._number += 1
            self._waiting = [question]
            if self._thread is None:
                # Output of a thread goes to the cell in whose context it was started.
                run = copy_context().run
                self._thread = threading.Thread(target=run, args=(self._work,), name="panel", daemon=True)
                self._thread.start()
            self._changed.notify_all()

    def stop(self) -> None:
        """Drop what waits and what is being answered; what was shown stays."""
        with self._changed:
            self._stopped = self._number
            self._waiting = []

    def wait(self, seconds: float) -> bool:
        """Wait until nothing is asked or being answered, at most so long; says whether it came to rest.

        A control's handler that waits a moment holds back the browser's next message for as long: that is what keeps
        a drag from running ahead of the drawing.
        """
        with self._changed:
            return self._changed.wait_for(lambda: not (self._busy or self._waiting), seconds)

    @property
    def busy(self) -> bool:
        """Whether something is asked or being answered."""
        with self._changed:
            return self._busy or bool(self._waiting)

    def _work(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: bool(self._waiting))
                question, number, self._busy = self._waiting.pop(), self._number, True
            try:
                self._answer(question, number)
            except Exception as error:  # the worker must outlive any one question
                self._fail(error)
            with self._changed:
                self._busy = False
                self._changed.notify_all()
            if not self.busy:
                self._rested()

    def _answer(self, question: Q, number: int) -> None:
        for n, answer in enumerate(self._answers(question)):
            with self._changed:
                newer = number != self._number and n >= self._quick
                if newer or number <= self._stopped:
                    return
            self._show(answer)
