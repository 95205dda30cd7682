"""Things that stay where they are worked on: in threads here, or on the workers of a cluster, with the same answers.

A deed is a function, found by its name in a module, of one thing and of what is the same for all. It may change the
thing, and its answer comes back. On a cluster each deed works on a copy that takes the thing's place: of a worker that
is lost the deeds are done again from the first, so that nothing is lost with it.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from copy import copy
from functools import partial
from operator import itemgetter
from typing import TYPE_CHECKING, Any, Generic, TypeVar, TypeVarTuple, Unpack

from kit.workers import cluster_of, lost_with

if TYPE_CHECKING:
    from distributed import Client, Future

Thing = TypeVar("Thing")
Other = TypeVar("Other")
Answer = TypeVar("Answer")
Same = TypeVarTuple("Same")


class Held(ABC, Generic[Thing]):
    """Some things in their order."""

    @abstractmethod
    def each(self, deed: Callable[[Thing, Unpack[Same]], Answer], *same: *Same) -> list[Answer]:
        """The answers of a deed done to each thing."""

    @abstractmethod
    def made(self, make: Callable[[Thing, Unpack[Same]], Other], *same: *Same) -> Held[Other]:
        """What is made of each thing, held in the same place."""

    @abstractmethod
    def let_go(self) -> None:
        """Hold nothing any more."""


class Hands(ABC):
    """Whoever holds things."""

    @abstractmethod
    def hold(self, things: Sequence[Thing]) -> Held[Thing]:
        """Take them."""


@contextmanager
def hands(*, jobs: int = 1, cluster: str = "") -> Iterator[Hands]:
    """Threads here, or the workers of a cluster.

    Parameters
    ----------
    jobs : int
        Threads.
    cluster : str
        Address of a cluster's scheduler; '' works here.

    Raises
    ------
    CannotGoOnError
        As `kit.workers.map_ordered` does.
    """
    if cluster:
        with cluster_of(cluster) as client, lost_with(cluster):
            yield There(client)
    else:
        with ThreadPoolExecutor(max(jobs, 1)) as pool:
            yield Here(pool)


class Here(Hands):
    """Threads."""

    def __init__(self, pool: ThreadPoolExecutor) -> None:
        self.pool = pool

    def hold(self, things: Sequence[Thing]) -> HeldHere[Thing]:
        """Take them as they are: deeds change them."""
        return HeldHere(self.pool, list(things))


class HeldHere(Held[Thing]):
    """Held in memory."""

    def __init__(self, pool: ThreadPoolExecutor, things: list[Thing]) -> None:
        self.pool, self.things = pool, things

    def each(self, deed: Callable[[Thing, Unpack[Same]], Answer], *same: *Same) -> list[Answer]:
        """As `Held`."""
        return list(self.pool.map(partial(_with, deed, same), self.things))

    def made(self, make: Callable[[Thing, Unpack[Same]], Other], *same: *Same) -> HeldHere[Other]:
        """As `Held`."""
        return HeldHere(self.pool, self.each(make, *same))

    def let_go(self) -> None:
        """As `Held`."""
        self.things = []


class There(Hands):
    """The workers of a cluster."""

    def __init__(self, client: Client) -> None:
        self.client = client

    def hold(self, things: Sequence[Thing]) -> HeldThere[Thing]:
        """Send them."""
        return HeldThere(self.client, [self.client.submit(_itself, thing, pure=False) for thing in things])


class HeldThere(Held[Thing]):
    """Held on workers, each as a future that a cluster can make again."""

    def __init__(self, client: Client, things: list[Future]) -> None:
        self.client, self.things = client, things

    def each(self, deed: Callable[[Thing, Unpack[Same]], Answer], *same: *Same) -> list[Answer]:
        """As `Held`."""
        for_all = self.client.submit(_itself, same, pure=False)
        pairs = [self.client.submit(_done, thing, deed, for_all, pure=False) for thing in self.things]
        self.things = [self.client.submit(itemgetter(0), pair, pure=False) for pair in pairs]
        answers: list[Answer] = self.client.gather(
            [self.client.submit(itemgetter(1), pair, pure=False) for pair in pairs]
        )
        return answers

    def made(self, make: Callable[[Thing, Unpack[Same]], Other], *same: *Same) -> HeldThere[Other]:
        """As `Held`."""
        for_all = self.client.submit(_itself, same, pure=False)
        return HeldThere(
            self.client, [self.client.submit(_made, thing, make, for_all, pure=False) for thing in self.things]
        )

    def let_go(self) -> None:
        """As `Held`."""
        self.things = []


def _with(deed: Callable[..., Answer], same: Sequence[Any], thing: Any) -> Answer:
    return deed(thing, *same)


def _itself(thing: Thing) -> Thing:
    return thing


def _done(thing: Any, deed: Callable[..., Answer], same: Sequence[Any]) -> tuple[Any, Answer]:
    changed = copy(thing)
    return changed, deed(changed, *same)


def _made(thing: Any, make: Callable[..., Other], same: Sequence[Any]) -> Other:
    return make(copy(thing), *same)
