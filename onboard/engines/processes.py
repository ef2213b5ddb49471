"""The engine of several processes on this machine, which end with the one that they help."""

from __future__ import annotations

import gc
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from functools import partial
from itertools import islice
from multiprocessing import get_context, parent_process
from types import TracebackType
from typing import Any, Generic, TypeVar

from onboard.errors import EngineTrouble

Part = TypeVar("Part")
Result = TypeVar("Result")
Answer = TypeVar("Answer")


AHEAD = 2  # parts that each process is given: the one that it does, and one that waits for it
OF_A_COPY = 3  # the same for a copy: they are short, and this process does much between two looks


def can_be_copied() -> bool:
    """Whether a copy of this process could go on by itself: on Linux, of the main thread.

    Windows makes no copies, and macOS none that are safe. A lock that another thread holds at that moment stays locked in the
    copy, so whoever serves pages from many threads is not copied.
    """
    return sys.platform == "linux" and threading.current_thread() is threading.main_thread()


class Processes(Generic[Part, Result]):
    """So many processes, each of which is given the work once; they end when this is closed.

    With `here`, this process does parts itself, too, and the others are copies of it. Raises `EngineTrouble` if one of
    them is stopped from outside.
    """

    def __init__(
        self, processes: int, work: Callable[[Part], Result], *, here: bool = False
    ) -> None:
        self._ahead = (OF_A_COPY if here else AHEAD) * processes
        self._here = work if here else None
        context, begin = ("fork", _begin_as_copy) if here else ("spawn", _begin)
        self._pool = ProcessPoolExecutor(processes, get_context(context), begin, (work,))

    def map(self, parts: Iterable[Part]) -> Iterator[Result]:
        """The result of each part, in order; two parts for each process are on their way at a time, and twice as
        many where this one helps.

        Raises `EngineTrouble` if a process is stopped.
        """
        waiting: deque[Callable[[], Result]] = deque()
        parts = iter(parts)
        if self._here:
            yield from self._with_this_one(self._here, parts)
            return
        for part in parts:
            waiting.append(self.beside(_do, part))
            if len(waiting) > self._ahead:
                yield waiting.popleft()()
        while waiting:
            yield waiting.popleft()()

    def _with_this_one(
        self, work: Callable[[Part], Result], parts: Iterator[Part]
    ) -> Iterator[Result]:
        """The first part is done before there are copies, which so have all that was loaded for it. They are given
        work before a result goes out, as much may be done with it. Where the next result is
        not there yet, this process does a part itself, and does not wait."""
        waiting = deque(_done(work(part)) for part in islice(parts, 1))
        while True:
            under_way = sum(not one.done() for one in waiting)
            is_far_ahead = len(waiting) > 4 * self._ahead
            is_wanted = under_way < self._ahead and not is_far_ahead
            if not is_wanted and waiting and (waiting[0].done() or is_far_ahead):
                yield _result(waiting.popleft())
                continue
            some = list(islice(parts, 1))
            if not some:
                break
            if is_wanted:
                with _told():
                    waiting.append(self._pool.submit(_do, some[0]))
            else:
                waiting.append(_done(work(some[0])))
        while waiting:
            yield _result(waiting.popleft())

    def beside(self, task: Callable[..., Answer], *of: object) -> Callable[[], Answer]:
        """Begin a task in one of the processes; its answer is waited for by a call.

        Both raise `EngineTrouble` if a process is stopped.
        """
        with _told():
            return partial(_result, self._pool.submit(task, *of))

    def __enter__(self) -> Processes[Part, Result]:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        trouble: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        # All results are there: nobody need wait until the others have put away what they remember.
        self._pool.shutdown(wait=False, cancel_futures=True)


def _done(result: Answer) -> Future[Answer]:
    future: Future[Answer] = Future()
    future.set_result(result)
    return future


def _result(future: Future[Answer]) -> Answer:
    with _told():
        return future.result()


@contextmanager
def _told() -> Iterator[None]:
    try:
        yield
    except BrokenProcessPool as error:
        raise EngineTrouble(
            "One of the processes that share the work was stopped, most often because memory ran "
            "out. Close other programs, then run this again."
        ) from error


_work: Callable[[Any], Any]  # of a process that helps, which has no other


def _begin(work: Callable[[Any], Any]) -> None:
    global _work
    _work = work
    threading.Thread(target=end_with_who_is_helped, daemon=True).start()
    gc.set_threshold(100_000, 20, 20)  # looking for garbage, of which there is little, took a fifth


def _begin_as_copy(work: Callable[[Any], Any]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who is helped hears Ctrl-C, and ends both
    # What waits there to be written, the other one writes.
    sys.stdout = sys.stderr = None
    gc.freeze()  # or looking for garbage would copy all that both share
    _begin(work)


def _do(part: Any) -> Any:
    return _work(part)


def end_with_who_is_helped() -> None:
    """Waits, for a thread of its own, for the end of the process that this one helps, and ends this one then.

    Left alone, a helper would wait for work for ever, with members' data in its memory."""
    helped = parent_process()
    if helped:
        helped.join()
        os._exit(1)  # from a thread, nothing less ends the process
