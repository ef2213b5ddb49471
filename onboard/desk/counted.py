"""What a page says of all members: counted when it is asked for while they are few; else beside the pages, and kept.

To count many members takes longer than anybody waits for a page. So a page shows what was counted last, says when that
was, and has it counted again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from threading import Lock
from typing import Any

from onboard.desk.work import At, Work
from onboard.office import Act, Office, Seat
from onboard.roster import search

MANY = 5_000  # members from which on a page waits for no count
GOOD = timedelta(minutes=1)  # how long a count is good, at least
TIMES = 20  # as long as it took to count; so that counting takes a twentieth of the time at most
MOST_KEPT = 50

Gather = Callable[
    ..., Any
]  # a function of a module: from the office and what else was asked, to what a page shows


@dataclass
class Count:
    """What was counted last for a page, and how the next count stands."""

    page: str  # its path and what is asked of it
    what: Any = None
    is_kept: bool = True  # it was not counted for this page
    at: datetime | None = None  # when that was begun; None: nothing is counted yet
    good_until: datetime | None = None
    is_old: bool = True  # something was done since the last count began
    work: Work | None = None  # the count under way
    began: datetime | None = None
    words: str = ""  # why the last one failed

    @property
    def running(self) -> bool:
        """Whether it is being counted now."""
        return self.work is not None

    def take(self) -> None:
        """Take over what the work has come to, if it is done."""
        if self.work is None or self.work.at is At.RUNNING or self.began is None:
            return
        work, self.work = self.work, None
        took = datetime.now(UTC) - self.began
        self.words = work.words
        if work.at is At.DONE:
            self.what, self.at = work.outcome, self.began
        self.good_until = self.began + took + max(GOOD, TIMES * took)


class Counted:
    """What the pages of a desk have counted."""

    def __init__(self) -> None:
        self._kept: dict[tuple[object, ...], Count] = {}
        self._lock = Lock()

    def of(self, office: Office, page: str, gather: Gather, *more: object) -> Count:
        """What `gather` says of this office, as it was counted last; of few members, now."""
        with office.reading() as connection:
            few = search.last_number(connection) < MANY
        if few:
            return Count(page, gather(office, *more), is_kept=False)
        with self._lock:
            count = self._count(office, page)
            count.take()
            now = datetime.now(UTC)
            over = count.good_until is None or count.good_until < now
            if not count.running and (count.is_old or over):
                count.began, count.is_old = now, False
                count.work = Work(office.who, _gathered, gather, office.seat, more)
            return count

    def known(self, office: Office, page: str) -> Count:
        """How the count for a page stands; one of nothing, if there is none."""
        with self._lock:
            count = self._kept.get(_key(office, page)) or Count(page)
            count.take()
            return count

    def outdate(self) -> None:
        """Something was done: what was counted before is to be counted again."""
        with self._lock:
            for count in self._kept.values():
                count.is_old = True

    def close(self) -> None:
        """The desk is closed."""
        with self._lock:
            for count in self._kept.values():
                if count.work:
                    count.work.stop()

    def _count(self, office: Office, page: str) -> Count:
        key = _key(office, page)
        count = self._kept.pop(key, None) or Count(page)
        self._kept[key] = count  # the newest stands last
        for old in list(self._kept)[: max(0, len(self._kept) - MOST_KEPT)]:
            if not self._kept[old].running:
                del self._kept[old]
        return count


def _key(office: Office, page: str) -> tuple[object, ...]:
    # What somebody may do decides what they are shown.
    return page, *(office.may(act) for act in Act)


def _gathered(
    gather: Gather, seat: Seat, more: tuple[object, ...], *, progress: Callable[[int], None]
) -> Any:
    office = seat.office()
    try:
        return gather(office, *more)
    finally:
        office.close()
