"""Signing in at the desk, and out again. The browser holds a random token; the roster holds its digest.

Times after OWASP ASVS 5.0, 7.3: a session ends when nobody works in it, and after a working day in any
case.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import timedelta

from onboard import passwords
from onboard.errors import StoreBusy
from onboard.office import Office
from onboard.roster import sessions

IDLE = timedelta(hours=2)  # without a click
LONGEST = timedelta(hours=12)
NOTED = timedelta(minutes=1)  # how exactly it is noted when somebody last worked


@dataclass(frozen=True, slots=True)
class Session:
    """Somebody signed in at the desk."""

    who: str
    language: str  # of the screen; "" for the browser's own


def sign_in(office: Office) -> str:
    """The token of a new session of whoever is at work. Raises `StoreTrouble`."""
    token, when = passwords.token(), office.now()
    with office.transaction(wait=None) as connection:
        sessions.end_older(connection, when - LONGEST, when - IDLE)
        sessions.begin(connection, passwords.digest(token), office.who, when)
    return token


def session(office: Office, token: str) -> Session | None:
    """Whose session the token is; None when it has ended, or never was. Raises `StoreTrouble`.

    That somebody works is noted once a minute; a batch that is being saved does not keep them waiting for it.
    """
    if not token:
        return None
    digest, when = passwords.digest(token), office.now()
    with office.reading() as connection:
        kept = sessions.find(connection, digest)
    if kept is None or when - kept.seen > IDLE or when - kept.made > LONGEST:
        return None
    if when - kept.seen >= NOTED:
        with suppress(StoreBusy), office.noting() as connection:
            sessions.see(connection, digest, when)
    return Session(kept.who, kept.language)


def choose_language(office: Office, token: str, language: str) -> None:
    """Show the screen in this language for the rest of the session. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        sessions.speak(connection, passwords.digest(token), language)


def sign_out(office: Office, token: str) -> None:
    """End the session. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        sessions.end(connection, passwords.digest(token))


def sign_out_everywhere(office: Office) -> int:
    """End every session of whoever is at work; how many they were. Raises `StoreTrouble`."""
    with office.transaction(wait=None) as connection:
        return sessions.end_all_of(connection, office.who)
