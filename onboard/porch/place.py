"""The porch as it stands: the settings, the spool, by which names it is reached, how much may come from whom."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from onboard import settings as settings_file
from onboard import spool
from onboard.errors import Trouble
from onboard.porch import keys
from onboard.porch.tickets import Tickets
from onboard.porch.writer import Writer
from onboard.settings import Settings
from onboard.web.changed import state
from onboard.web.rates import Rate


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass
class Place:
    """What all pages and requests share."""

    settings: Settings
    folder: Path  # the spool
    hosts: frozenset[str]  # the Host headers that are ours, in small letters
    secure: bool = False  # reached over https
    behind_proxy: bool = False  # who asks is told by the proxy
    now: Callable[[], datetime] = _now
    writer: Writer = field(init=False)
    tickets: Tickets = field(init=False)
    sign_ups: Rate = field(init=False)
    others: Rate = field(init=False)
    _read: tuple[int, int] = field(init=False)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        spool.prepare(self.folder)
        self.writer = Writer(self.folder)
        self.tickets = Tickets(self.folder, lambda: self.now().timestamp())
        rule = self.settings.porch
        self.sign_ups = Rate(rule.sign_ups_per_hour, 3600.0)
        self.others = Rate(rule.checks_per_minute, 60.0)
        self._read = state(self.settings.file)

    def client(self, key: str) -> str:
        """Whose key it is, "" if nobody's."""
        return keys.client(key, (*self.settings.porch.keys, *os.environ.get(keys.FROM, "").split()))

    def refresh(self) -> Settings:
        """The settings as the file says them now; as it said them before, while it has a mistake."""
        with self._lock:
            if (now := state(self.settings.file)) != self._read:
                self._read = now
                with suppress(Trouble):  # whoever changed it is told by the next command they type
                    self.settings = settings_file.read(self.settings.file)
            return self.settings

    def close(self) -> None:
        """Write what waits."""
        self.writer.close()
