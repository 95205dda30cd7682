"""Latest wins: a drag never queues, and a late answer never stands over a newer one."""

from __future__ import annotations

import threading
from collections.abc import Iterator

from kit.panels.latest import Latest


def test_only_the_first_and_the_newest_of_a_drag_are_answered() -> None:
    go, shown, begun = threading.Event(), list[int](), list[int]()

    def answers(question: int) -> Iterator[int]:
        begun.append(question)
        go.wait(5)
        yield question

    latest = Latest(answers, shown.append, lambda error: None)
    latest.ask(0)
    while not begun:
        pass
    for question in range(1, 500):
        latest.ask(question)
    go.set()
    assert latest.wait(5)
    assert begun == [0, 499]
    assert shown == [0, 499], "a drag faster than the reckoning still redraws, and nothing stands over the newest"


def test_slow_parts_of_an_old_answer_are_left_undone() -> None:
    first_shown, go, shown = threading.Event(), threading.Event(), list[str]()

    def answers(question: str) -> Iterator[str]:
        yield f"{question} quick"
        if question == "old":
            first_shown.set()
            go.wait(5)
        yield f"{question} slow"

    latest = Latest(answers, shown.append, lambda error: None)
    latest.ask("old")
    assert first_shown.wait(5)
    latest.ask("new")
    go.set()
    assert latest.wait(5)
    assert shown == ["old quick", "new quick", "new slow"]


def test_stop_keeps_the_last_answer_and_the_next_question_is_answered() -> None:
    go, begun, shown = threading.Event(), threading.Event(), list[int]()

    def answers(question: int) -> Iterator[int]:
        begun.set()
        if question == 2:
            go.wait(5)
        yield question

    latest = Latest(answers, shown.append, lambda error: None)
    latest.ask(1)
    assert latest.wait(5)
    begun.clear()
    latest.ask(2)
    assert begun.wait(5)
    latest.stop()
    go.set()
    assert latest.wait(5)
    assert shown == [1]
    latest.ask(3)
    assert latest.wait(5)
    assert shown == [1, 3]


def test_the_worker_outlives_a_question_that_fails() -> None:
    shown, failed = list[float](), list[Exception]()

    def answers(question: float) -> Iterator[float]:
        yield 1 / question

    latest = Latest(answers, shown.append, failed.append)
    latest.ask(0)
    assert latest.wait(5)
    latest.ask(4)
    assert latest.wait(5)
    assert [type(error) for error in failed] == [ZeroDivisionError]
    assert shown == [0.25]


def test_it_tells_when_nothing_is_left_to_answer() -> None:
    go, rested = threading.Event(), threading.Semaphore(0)

    def answers(question: int) -> Iterator[int]:
        go.wait(5)
        yield question

    latest = Latest(answers, lambda answer: None, lambda error: None, rested=rested.release)
    latest.ask(1)
    assert not rested.acquire(timeout=0.05)
    go.set()
    assert rested.acquire(timeout=5)
    assert not latest.busy
