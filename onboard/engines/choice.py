"""Which engine does a work: the one place where that is chosen."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from onboard.engines.engine import Engine
from onboard.engines.here import Here
from onboard.engines.processes import Processes, can_be_copied

if TYPE_CHECKING:
    from onboard.engines.cluster import Cluster

Part = TypeVar("Part")
Result = TypeVar("Result")


@contextmanager
def choose(
    processes: int,
    work: Callable[[Part], Result],
    *,
    small: bool = False,
    also_here: bool = False,
    cluster: Cluster | None = None,
) -> Iterator[Engine[Part, Result]]:
    """The engine for this work, until it is done.

    `processes` is how many work at once, 0 is one a processor. What is `small` is done here: it
    would be over before another process has begun. With `also_here` this process is one of them: it has much to do
    with each result. The others are copies of it, which begin at once; where there can be none, it does all. With a `cluster` its workers do it. Raises
    `EngineTrouble` if a process is stopped, or the cluster is lost.
    """
    if cluster:
        from onboard.engines.cluster import Spread  # the extra `cluster` is there, then

        yield Spread(cluster, work)
        return
    processes = processes or os.cpu_count() or 1
    if small or processes == 1 or (also_here and not can_be_copied()):
        yield Here(work)
        return
    with Processes(processes - also_here, work, here=also_here) as engine:
        yield engine


def on(
    address: str,
    folder: Path | None = None,
    say: Callable[[str], None] = lambda words: None,
) -> AbstractContextManager[Cluster | None]:
    """The cluster at an address, until it is let go; none if there is no address. See `reaching.reached`."""
    if not address:
        return nullcontext()
    from onboard.engines import reaching  # most work needs none

    return reaching.reached(address, folder, say)
