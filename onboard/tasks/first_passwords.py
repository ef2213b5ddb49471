"""First passwords for packets, made and hashed ahead: no processor waits while packets are written."""

from __future__ import annotations

import os
from collections import Counter, defaultdict, deque
from collections.abc import Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import date
from types import TracebackType
from typing import NamedTuple

from onboard import passwords
from onboard.model import FirstPassword
from onboard.settings import PasswordRule


class Wanted(NamedTuple):
    """What a first password depends on."""

    language: str
    through: date | None  # the day before which it should not end


class Made(NamedTuple):
    """A first password, and its hash when that is done."""

    first: FirstPassword
    hashed: Future[str]


class FirstPasswords:
    """Hands out each first password once. Those that nobody took go when it is closed."""

    def __init__(self, rule: PasswordRule, today: date) -> None:
        self._rule, self._today = rule, today
        self._made: dict[Wanted, deque[Made]] = defaultdict(deque)
        # argon2 lets other threads run, so they are hashed on all cores.
        self._hashing = ThreadPoolExecutor(max_workers=os.cpu_count() or 1)

    def expect(self, wanted: Iterable[Wanted]) -> None:
        """As many are made as will be taken next: those that are made already count."""
        for one, number in Counter(wanted).items():
            while len(self._made[one]) < number:
                first = passwords.make(
                    self._rule, self._today, language=one.language, through=one.through
                )
                hashed = self._hashing.submit(passwords.hashed, first)
                self._made[one].append(Made(first, hashed))

    def take(self, wanted: Wanted) -> Made:
        self.expect([wanted])
        return self._made[wanted].popleft()

    def __enter__(self) -> FirstPasswords:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._hashing.shutdown(cancel_futures=True)
