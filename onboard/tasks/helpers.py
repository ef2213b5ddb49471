"""Processes that help with a task, and end with the one that they help."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context, parent_process
from threading import Thread
from typing import Any


def start_helpers(
    processes: int, begin: Callable[..., None] | None = None, *about: Any
) -> ProcessPoolExecutor:
    """So many processes; each calls `begin` with what the work is about before it does any."""
    return ProcessPoolExecutor(processes, get_context("spawn"), _begin, (begin, about))


def _begin(begin: Callable[..., None] | None, about: tuple[Any, ...]) -> None:
    Thread(target=_end_with_who_is_helped, daemon=True).start()
    if begin:
        begin(*about)


def _end_with_who_is_helped() -> None:
    """Left alone, a helper would wait for work for ever, with members' data in its memory."""
    helped = parent_process()
    if helped:
        helped.join()
        os._exit(1)  # from a thread, nothing less ends the process
