"""The one place that chooses: which settings, which roster, what time it is, who is at work."""

from __future__ import annotations

import getpass
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sqlalchemy import Engine

from onboard import settings as settings_file
from onboard.model import Signature
from onboard.roster import store
from onboard.settings import Settings


def utc_now() -> datetime:
    """The time now, UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Workplace:
    """Settings, roster and clock, as the commands use them."""

    settings: Settings
    who: str
    now: Callable[[], datetime] = utc_now

    def signature(self) -> Signature:
        """Who is at work, and the time."""
        return Signature(self.who, self.now())

    def today(self) -> date:
        """The day it is at the co-op."""
        return self.now().astimezone(ZoneInfo(self.settings.timezone)).date()

    @property
    def roster_url(self) -> str:
        """The roster's SQLAlchemy URL: roster.db beside the settings unless they name another."""
        return self.settings.store or f"sqlite:///{self.settings.file.parent / 'roster.db'}"

    @property
    def roster_name(self) -> str:
        """The roster as screens name it: its file, or its address without a secret."""
        return store.name_of(self.roster_url)

    def roster(self, *, to_write: bool) -> Engine:
        """The roster; a look changes nothing in it (see `store.open_store`)."""
        return store.open_store(self.roster_url, to_write=to_write)


def open_workplace(
    settings: Path | None = None,
    beside: Path | None = None,
    who: str = "",
    now: Callable[[], datetime] = utc_now,
) -> Workplace:
    """The workplace whose settings are at `settings`, or are found (see `settings.find`).

    Raises `SettingsTrouble`.
    """
    file = settings or settings_file.find(beside)
    return Workplace(settings_file.read(file), who or _login(), now)


def _login() -> str:
    try:
        return getpass.getuser()
    except OSError:
        return "unknown"
