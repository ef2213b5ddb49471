"""Sign-ups on their way to the disk: those that come while others are being synced go together with the next sync."""

from __future__ import annotations

import queue
import threading
from collections import OrderedDict
from collections.abc import Sequence
from concurrent.futures import Future
from pathlib import Path

from onboard import spool
from onboard.spool import Entry

WAITING = 5_000  # sign-ups that wait for the disk; beyond that, whoever comes is told to come again
REMEMBERED = 100_000  # identities that came last
AT_ONCE = 500  # in one sync


class TooMany(Exception):
    """More come in than the disk takes."""


class OtherContent(Exception):
    """The identity was used for another sign-up."""


class Writer:
    """Adds to the spool from one thread, so that one sync serves many."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._queue: queue.Queue[tuple[Entry | None, Future[None]] | None] = queue.Queue(WAITING)
        # By identity a digest of what was said: nothing that anybody can read is kept here.
        self._known: OrderedDict[str, str] = OrderedDict(spool.identities(folder))
        self._lock = threading.Lock()
        self._thread = threading.Thread(target=self._work, name="spool", daemon=True)
        self._thread.start()

    def add(self, entry: Entry, *, may_change: bool) -> Future[None]:
        """Done when the entry is on the disk. One that was there already is not written again, and takes as long:
        nobody can tell by the time whether it had come before.

        A known identity with another content takes the place of the earlier if it `may_change`, and raises
        `OtherContent` if not. Raises `TooMany`. The future raises `OSError` where the disk did not take it.
        """
        done: Future[None] = Future()
        with self._lock:
            known = self._known.get(entry.identity)
            if known is not None and known != entry.content and not may_change:
                raise OtherContent
        try:
            self._queue.put_nowait((None if known == entry.content else entry, done))
        except queue.Full:
            raise TooMany from None
        return done

    def close(self) -> None:
        """Write what waits, and end."""
        self._queue.put(None)
        self._thread.join()

    def _work(self) -> None:
        ends = False
        while not ends:
            first = self._queue.get()
            together = [first] if first else []
            ends = first is None
            while not ends and len(together) < AT_ONCE:
                try:
                    one = self._queue.get_nowait()
                except queue.Empty:
                    break
                if one is None:
                    ends = True
                else:
                    together.append(one)
            self._write(together)

    def _write(self, together: Sequence[tuple[Entry | None, Future[None]]]) -> None:
        if not together:
            return
        new = [entry for entry, _ in together if entry]
        try:
            if new:
                spool.add(self._folder, new)
            else:
                spool.repeat(self._folder)
        except BaseException as error:
            for _, done in together:
                done.set_exception(error)
            return
        with self._lock:
            for entry in new:
                self._known[entry.identity] = entry.content
                self._known.move_to_end(entry.identity)
            while len(self._known) > REMEMBERED:
                self._known.popitem(last=False)
        for _, done in together:
            done.set_result(None)
