"""Signing in at the desk, and out again. The browser holds a random token; the roster holds its digest.

Times after OWASP ASVS 5.0, 7.3: a session ends when nobody works in it, and after a working day in any
case.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from onboard import passwords
from onboard.errors import StoreBusy
from onboard.office import Office, Role
from onboard.roster import sessions, staff

IDLE = timedelta(hours=2)  # without a click
LONGEST = timedelta(hours=12)
NOTED = timedelta(minutes=1)  # how exactly it is noted when somebody last worked


@dataclass(frozen=True, slots=True)
class Session:
    """Somebody signed in at the desk."""

    who: str
    language: str  # of the screen; "" for the browser's own
    role: Role | None = None  # None: whoever works at the computer itself
    staff_id: int | None = None


@dataclass(frozen=True, slots=True)
class Listed:
    """A session as its owner sees it."""

    digest: str
    made: datetime
    seen: datetime
    browser: str  # "Firefox, Windows"; "" where nobody knows
    is_this: bool


def sign_in(office: Office, *, browser: str = "") -> str:
    """The token of a new session of whoever works at the computer itself. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        return begin(connection, office, office.who, browser=browser)


def begin(
    connection: Connection,
    office: Office,
    who: str,
    *,
    staff_id: int | None = None,
    browser: str = "",
) -> str:
    """The token of a new session; those that are over are cleared away."""
    token, when = passwords.token(), office.now()
    sessions.end_older(connection, when - LONGEST, when - IDLE)
    sessions.begin(
        connection, passwords.digest(token), who, when, staff_id=staff_id, browser=browser
    )
    return token


def session(office: Office, token: str) -> Session | None:
    """Whose session the token is, and what they may do now; None when it has ended, or never was. Raises
    `StoreTrouble`.

    That somebody works is noted once a minute; a batch that is being saved does not keep them waiting for it.
    """
    if not token:
        return None
    digest, when = passwords.digest(token), office.now()
    with office.reading() as connection:
        kept = sessions.find(connection, digest)
        account = staff.by_id(connection, kept.staff_id) if kept and kept.staff_id else None
    if kept is None or when - kept.seen > IDLE or when - kept.made > LONGEST:
        return None
    if kept.staff_id and (account is None or account.closed):
        return None
    if when - kept.seen >= NOTED:
        with suppress(StoreBusy), office.noting() as connection:
            sessions.see(connection, digest, when)
    if account:
        return Session(account.name, kept.language, account.role, account.id)
    return Session(kept.who, kept.language)


def sessions_of(office: Office, mine: Session, token: str) -> list[Listed]:
    """Every session of whoever this one is of, that has not ended. Raises `StoreTrouble`."""
    return listed(office, mine.who, mine.staff_id, token)


def listed(office: Office, who: str, staff_id: int | None, token: str = "") -> list[Listed]:
    """Every session of somebody, that has not ended; the one of the token is marked. Raises `StoreTrouble`."""
    when, digest = office.now(), passwords.digest(token)
    with office.reading() as connection:
        found = sessions.all_of(connection, who, staff_id)
    return [
        Listed(one.digest, one.made, one.seen, one.browser, one.digest == digest)
        for one in found
        if when - one.seen <= IDLE and when - one.made <= LONGEST
    ]


def end_one(office: Office, mine: Session, digest: str) -> None:
    """End one of their sessions, and nobody else's. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        kept = sessions.find(connection, digest)
        if kept and (kept.who, kept.staff_id) == (mine.who, mine.staff_id):
            sessions.end(connection, digest)


def choose_language(office: Office, token: str, language: str) -> None:
    """Show the screen in this language for the rest of the session. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        sessions.speak(connection, passwords.digest(token), language)


def sign_out(office: Office, token: str) -> None:
    """End the session. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        sessions.end(connection, passwords.digest(token))


def sign_out_everywhere(office: Office, mine: Session) -> int:
    """End every session of whoever this one is of; how many they were. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        return sessions.end_all_of(connection, mine.who, mine.staff_id)
