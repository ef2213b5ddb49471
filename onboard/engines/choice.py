"""Which engine does a work: the one place where that is chosen."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from onboard.engines.engine import Engine
from onboard.engines.here import Here
from onboard.engines.processes import Processes

Part = TypeVar("Part")
Result = TypeVar("Result")


@contextmanager
def choose(
    processes: int, work: Callable[[Part], Result], *, small: bool = False
) -> Iterator[Engine[Part, Result]]:
    """The engine for this work, until it is done.

    `processes` is how many work at once, 0 is one a processor. What is `small` is done here: it
    would be over before another process has begun. Raises `EngineTrouble` if a process is stopped.
    """
    processes = processes or os.cpu_count() or 1
    if small or processes == 1:
        yield Here(work)
        return
    with Processes(processes, work) as engine:
        yield engine
