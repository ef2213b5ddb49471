"""Long work for the pages, each in a process of its own: pages stay quick, and a bad file harms nothing else.

A page only reads how far a work is. It goes on when the page is closed, and can be stopped. A batch is one
transaction, and each part of its packets is one: what was saved by then is whole, and the rest is not there.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from contextlib import suppress
from enum import StrEnum
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any

from onboard import passwords
from onboard.engines.processes import end_with_who_is_helped
from onboard.errors import FileTrouble, Trouble, in_words, where

log = logging.getLogger(__name__)

MOST_KEPT = 100  # works whose outcome a page can still ask for
AGAIN = "What was saved by then stays saved. Start it again for the rest: nobody is enrolled twice."
STOPPED = "The work was stopped."
DIED = "The work ended before it was done, most often because memory ran out."
FAULT = "This is a fault of the program, not of what you did. Reference: {}."


class At(StrEnum):
    """Where a work stands."""

    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"  # or stopped; `Work.words` says why


class Work:
    """One work: how far it is, and what it came to."""

    def __init__(self, who: str, task: Callable[..., Any], *of: Any, again: str = AGAIN) -> None:
        self.number, self.who, self._again = passwords.token(), who, again
        self.at, self.done, self.outcome, self.words = At.RUNNING, 0, None, ""
        self._ended = threading.Event()
        context = get_context("spawn")
        here, there = context.Pipe(duplex=False)
        self._process = context.Process(target=_do, args=(there, task, of))
        self._process.start()
        there.close()
        threading.Thread(target=self._listen, args=(here,), daemon=True).start()

    def wait(self, seconds: float) -> bool:
        """Whether it has ended by then."""
        return self._ended.wait(seconds)

    def result(self, seconds: float) -> Any:
        """What it came to, waited for; raises `FileTrouble` where it failed, or takes longer."""
        if not self.wait(seconds):
            self.stop()
            raise FileTrouble("Reading this took too long. Try a smaller file.")
        if self.at is At.FAILED:
            raise FileTrouble(self.words)
        return self.outcome

    def stop(self) -> None:
        """End it."""
        if self.at is At.RUNNING:
            self._end(At.FAILED, f"{STOPPED} {self._again}")
            self._process.terminate()

    def _listen(self, here: Connection) -> None:
        try:
            while self.at is At.RUNNING:
                what, told = here.recv()
                if what == "progress":
                    self.done += told
                elif what == "done":
                    self.outcome = told
                    self._end(At.DONE)
                elif what == "fault":
                    self._end(At.FAILED, f"{FAULT.format(told)} {self._again}")
                else:
                    self._end(At.FAILED, told)
        except (EOFError, OSError):
            self._end(At.FAILED, f"{DIED} {self._again}")
        finally:
            here.close()
            self._process.join()

    def _end(self, at: At, words: str = "") -> None:
        if not self._ended.is_set():
            self.at, self.words = at, words
            self._ended.set()


def _do(there: Connection, task: Callable[..., Any], of: tuple[Any, ...]) -> None:
    """The work itself, in its process."""
    threading.Thread(target=end_with_who_is_helped, daemon=True).start()
    try:
        told = "done", task(*of, progress=lambda done: there.send(("progress", done)))
    except (Trouble, OSError) as trouble:
        told = "failed", in_words(trouble)
    except Exception as fault:
        # Where it happened, and no value of it, which may be a member's data.
        reference = passwords.token()[:8]
        log.error("A fault of the program, reference %s\n%s", reference, where(fault))
        told = "fault", reference
    with suppress(OSError):  # nobody listens to a work that was stopped
        there.send(told)
    there.close()


class Works:
    """The works of a desk, by their numbers."""

    def __init__(self) -> None:
        self._kept: dict[str, Work] = {}
        self._named: dict[str, Work] = {}
        self._lock = threading.Lock()

    def named(self, name: str) -> Work | None:
        """The newest work of a name, whoever began it."""
        return self._named.get(name)

    def once(self, name: str, again: str, who: str, task: Callable[..., Any], *of: Any) -> Work:
        """The work of this name that is running; if none is, a new one. `again` is what is said where it is
        stopped, or fails."""
        with self._lock:
            work = self._named.get(name)
            if work is None or work.at is not At.RUNNING:
                work = self._named[name] = Work(who, task, *of, again=again)
            return work

    def begin(self, who: str, task: Callable[..., Any], *of: Any, again: str = AGAIN) -> Work:
        """A new work. `task` is a function of a module, called with `of` and `progress=…`; `again` is as for
        `once`."""
        for old in list(self._kept)[: max(0, len(self._kept) - MOST_KEPT + 1)]:
            self._kept.pop(old).stop()
        work = Work(who, task, *of, again=again)
        self._kept[work.number] = work
        return work

    def close(self) -> None:
        """Stop them all: the desk is closed."""
        for work in (*self._kept.values(), *self._named.values()):
            work.stop()

    def of(self, number: str, who: str) -> Work:
        """Somebody's work. Raises `FileTrouble` if there is none such."""
        work = self._kept.get(number)
        if work is None or work.who != who:
            raise FileTrouble("The desk no longer knows of this work. It was started again since.")
        return work
