"""What every task is given: settings, the roster, the clock, who is at work and what they may do."""

from __future__ import annotations

import getpass
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Engine

from onboard import settings as settings_file
from onboard import unfinished
from onboard.errors import NotAllowed
from onboard.model import Act, Role, Signature
from onboard.model.role import IN_WORDS, MAY
from onboard.roster import address, store
from onboard.settings import Settings

if TYPE_CHECKING:
    from dns.resolver import Resolver


A_MOMENT = 0.5  # seconds that a look may wait to be noted


def utc_now() -> datetime:
    """The time now, UTC."""
    return datetime.now(UTC)


def _login() -> str:
    try:
        return getpass.getuser()
    except OSError:
        return "unknown"


@dataclass(frozen=True, slots=True)
class Seat:
    """Whose office it is, and who is at work there as what: all that another process needs."""

    settings: Path
    who: str
    role: Role | None = None

    def office(self) -> Office:
        """The office there. Raises `SettingsTrouble`."""
        return Office(settings_file.read(self.settings), who=self.who, role=self.role)


@dataclass(frozen=True)
class Office:
    """Settings, roster, clock, and somebody at work.

    The roster is the one that the settings name, opened when it is first asked for and kept open;
    or `engine`, an open one that stays the caller's to close. `resolver` is dnspython's, for the name
    servers to ask about email domains; by default the machine's own. Whoever signed in at the desk with
    an account has a `role`; whoever works at the computer itself has none.
    """

    settings: Settings
    engine: Engine | None = field(default=None, repr=False)
    who: str = field(default_factory=_login)
    now: Callable[[], datetime] = utc_now
    resolver: Resolver | None = field(default=None, repr=False)
    role: Role | None = None
    _opened: dict[str, Engine] = field(
        default_factory=dict, repr=False, compare=False
    )  # by what for

    def signature(self) -> Signature:
        """Who is at work, and the time."""
        return Signature(self.who, self.now())

    def today(self) -> date:
        """The day it is at the co-op."""
        return self.now().astimezone(ZoneInfo(self.settings.timezone)).date()

    def may(self, act: Act) -> bool:
        """Whether whoever is at work may do this: by their role, if they have one. The computer itself is
        the owner's; there the settings say who may look up and reissue, and the rest is open."""
        if self.role is not None:
            return act in MAY[self.role]
        desk = self.settings.desk
        asked = {Act.LOOK_UP: desk.lets_look_up, Act.REISSUE: desk.lets_reissue}.get(act)
        return asked is None or asked(self.who)

    def see_that_one_may(self, act: Act) -> None:
        """Raises `NotAllowed`, a `SettingsTrouble`, unless whoever is at work may do this."""
        if self.may(act):
            return
        told = f"{self.who} is not allowed to {IN_WORDS[act]}."
        if self.role is not None:
            raise NotAllowed(
                f"{told} The role is {self.role}. An owner can change it, under Staff."
            )
        raise NotAllowed(
            f"{told} A coordinator can add the name to may_{act}, under [desk] in {self.settings.file}."
        )

    def sees_contacts(self, *works: Act) -> bool:
        """Whether members' email, phone, mailing address and date of birth are shown to whoever is at work, where they do
        this work, or one of these: to those who may look members up, and may do it.

        For a call it is `Act.REISSUE`: a caller is checked by what is on file, so who answers without that must not know it.
        """
        return self.may(Act.LOOK_UP) and any(map(self.may, works))

    @property
    def seat(self) -> Seat:
        """What another process needs to work for whoever is at work here."""
        return Seat(self.settings.file, self.who, self.role)

    @property
    def roster_url(self) -> str:
        """The roster's SQLAlchemy URL: roster.db beside the settings unless they name another."""
        if self.engine is not None:
            return self.engine.url.render_as_string(hide_password=False)
        return self.settings.store or f"sqlite:///{self.settings.file.parent / 'roster.db'}"

    @property
    def lacks_roster(self) -> bool:
        """Whether the roster that the settings name is a file that is not there."""
        file = address.file_of(address.parsed(self.roster_url))
        return self.engine is None and file is not None and not file.exists()

    @property
    def roster_name(self) -> str:
        """The roster as screens name it: its file, or its address without a secret.

        Raises `StoreTrouble` when the settings name what is no address of a database.
        """
        return store.name_of(self.roster_url)

    def to_look(self) -> Engine:
        """The roster, to look or to try; where there is none yet, an empty one in memory.

        Raises `StoreTrouble`, as all do here that open it.
        """
        return self._open(to_write=False)

    def to_write(self) -> Engine:
        """The roster, to change it; made where there is none yet. Raises `StoreTrouble`."""
        return self._open(to_write=True)

    def reading(self) -> AbstractContextManager[Connection]:
        """A connection that sees the roster as it is now; see `store.reading`.

        Raises `StoreTrouble`, also out of its block.
        """
        return store.reading(self.to_look())

    def transaction(
        self, *, keep: bool = True, wait: float | None = 0.0
    ) -> AbstractContextManager[Connection]:
        """A connection within one transaction; without `keep` it is tried, and nothing
        changes. See `store.transaction`. Raises `StoreTrouble`, also out of its block."""
        engine = self.to_write() if keep else self.to_look()
        return store.transaction(engine, keep=keep, wait=wait)

    @contextmanager
    def noting(self) -> Iterator[Connection]:
        """A transaction for a word in the change log beside a look. It hardly waits for somebody who
        writes, because a look never does. Raises `StoreTrouble`, also out of its block."""
        in_file = address.file_of(address.parsed(self.roster_url)) is not None
        if self.engine is not None or not in_file:
            with self.transaction(wait=None) as connection:
                yield connection
            return
        if "note" not in self._opened:
            self._opened["note"] = store.open_store(self.roster_url, wait=A_MOMENT)
        with store.transaction(self._opened["note"]) as connection:
            yield connection

    def work(self, *, keep: bool) -> AbstractContextManager[Connection]:
        """A connection within one transaction if `keep`, else one that only reads: for what can be
        told without trying it. Raises `StoreTrouble`, also out of its block."""
        return self.transaction() if keep else self.reading()

    def close(self) -> None:
        """Close the roster that was opened here; whoever asks for it again opens it again."""
        while self._opened:
            self._opened.popitem()[1].dispose()

    def _open(self, *, to_write: bool) -> Engine:
        if self.engine is not None:
            return self.engine
        writer = self._opened.get("write")
        if writer and not writer.url.database:  # in memory: it is nowhere else
            return writer
        wanted = "write" if to_write else "look"
        if wanted not in self._opened:
            if to_write:  # what a program left behind that was killed as it wrote
                unfinished.sweep(self.settings.file.parent)
                unfinished.sweep(self.settings.outbox)
            engine = store.open_store(self.roster_url, to_write=to_write)
            if (
                not engine.url.database and self.lacks_roster
            ):  # it only stands in for one to be made
                return engine
            look = self._opened.get("look")
            if to_write and look and not look.url.database:  # a copy of a roster as it was
                del self._opened["look"]
            self._opened[wanted] = engine
        return self._opened[wanted]


def open_office(
    settings: Path | None = None,
    beside: Path | None = None,
    who: str = "",
    now: Callable[[], datetime] = utc_now,
) -> Office:
    """The office whose settings are at `settings`, or are found (see `settings.find`).

    `who` is at work, or else whoever is logged in. Raises `SettingsTrouble`.
    """
    file = settings or settings_file.find(beside)
    return Office(settings_file.read(file), who=who or _login(), now=now)


open_workplace = open_office  # its name before; to go in the version after next

__all__ = ["IN_WORDS", "Act", "Office", "Role", "Seat", "open_office", "open_workplace", "utc_now"]
