"""Work on many things at once: in threads here, or on the workers of a cluster; the same answers in the same order.

Few things wait at a time, so that memory does not grow with their number.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import TYPE_CHECKING, Protocol, TypeVar

import kit
from kit.errors import CannotGoOnError

if TYPE_CHECKING:
    from distributed import Client

Item = TypeVar("Item")
Made = TypeVar("Made")
Answer = TypeVar("Answer", covariant=True)
AHEAD = 4
"""Things given out for each hand that works on them."""
PATIENCE_S = 15
"""To reach a cluster, and for its first worker to be there [s]."""


class Waiting(Protocol[Answer]):
    """An answer to come."""

    def result(self) -> Answer:
        """The answer, once it is there."""


def map_ordered(
    function: Callable[[Item], Made], items: Iterable[Item], *, jobs: int = 1, cluster: str = ""
) -> Iterator[Made]:
    """The function of each item, in their order, one at a time as they are asked for.

    Parameters
    ----------
    function : callable
        Of one item; on a cluster it, the item and the answer are sent, and it must change nothing else.
    items : iterable
        Taken as they are needed.
    jobs : int
        Threads here.
    cluster : str
        Address of a cluster's scheduler, as `tcp://10.0.0.5:8786`; '' works here.

    Raises
    ------
    CannotGoOnError
        When the cluster cannot be reached, has no worker, runs another kit, or loses workers over one item again and
        again. A worker that is lost loses nothing: what it had is given to another.
    """
    if cluster:
        with cluster_of(cluster) as client, lost_with(cluster):
            hands = sum(client.nthreads().values())
            yield from _in_turn(lambda item: client.submit(function, item, pure=False), items, AHEAD * hands)
    elif jobs > 1:
        with ThreadPoolExecutor(jobs) as pool:
            yield from _in_turn(lambda item: pool.submit(function, item), items, AHEAD * jobs)
    else:
        yield from map(function, items)


def version() -> str:
    """Of this kit, asked of the scheduler and of every worker."""
    return kit.__version__


def _in_turn(give: Callable[[Item], Waiting[Made]], items: Iterable[Item], ahead: int) -> Iterator[Made]:
    waiting: deque[Waiting[Made]] = deque()
    for item in items:
        waiting.append(give(item))
        if len(waiting) >= ahead:
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()


@contextmanager
def cluster_of(address: str) -> Iterator[Client]:
    """The cluster whose scheduler is at an address, once it is known to run this kit."""
    try:
        from distributed import Client
    except ImportError as error:
        raise CannotGoOnError("a cluster needs `pip install 'season-kit[cluster]'` here and on its workers") from error
    try:
        client = Client(address, timeout=PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise CannotGoOnError(f"no cluster answers at {address}: {error}; its scheduler prints its address") from error
    with client:
        _refuse_strange_workers(client, address)
        yield client


def _refuse_strange_workers(client: Client, address: str) -> None:
    try:
        client.wait_for_workers(1, timeout=PATIENCE_S)
        found = {client.run_on_scheduler(version), *client.run(version).values()}
    except TimeoutError as error:
        raise CannotGoOnError(f"the cluster at {address} has no worker; start one and run again") from error
    except ImportError as error:
        raise CannotGoOnError(f"the cluster at {address} lacks this kit: {error}") from error
    if found != {version()}:
        told = ", ".join(sorted(found))
        raise CannotGoOnError(f"the cluster at {address} runs kit {told}, here it is {version()}; install one of them")


@contextmanager
def lost_with(address: str) -> Iterator[None]:
    """Say it in a sentence when the cluster breaks under the work."""
    from distributed import KilledWorker
    from distributed.client import FutureCancelledError
    from distributed.comm import CommClosedError

    try:
        yield
    except (KilledWorker, FutureCancelledError, CommClosedError) as error:
        raise CannotGoOnError(f"the cluster at {address} is lost: {error}; run again, or here") from error
