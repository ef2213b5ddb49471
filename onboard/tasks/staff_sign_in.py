"""Signing in at the desk with a name, a password and, for whoever uses one, a code.

What is wrong is never told apart: name, password or code, an account that was closed or never was. Each try is
counted before it is looked at, so many at once gain nothing; waits grow, for the name and for where it comes from
(NIST SP 800-63B-4, 3.2.2; OWASP ASVS 5.0, 6.3.1).
"""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass, replace
from datetime import timedelta
from ipaddress import ip_address, ip_network

from sqlalchemy import Connection

from onboard import codes, passwords
from onboard.errors import NotDone
from onboard.model import Owner
from onboard.office import Office
from onboard.roster import journal, sign_in_tries, staff
from onboard.roster.journal import Entry
from onboard.roster.staff import Account
from onboard.tasks import code_keys, desk_sessions

OF_A_NAME, FROM_A_PLACE = 4, 20  # wrong tries in a row without a wait
FIRST_WAIT, LONGEST_WAIT = timedelta(minutes=1), timedelta(hours=1)
MOST = 100  # wrong tries in a row of a name; from then on, only a new link lets in
KEPT = timedelta(days=30)  # after the last one
AT_ONCE = threading.BoundedSemaphore(4)  # passwords that are hashed at one time: each takes 19 MiB

FAILED = "sign-in at the desk failed"
NOBODY = "nobody signed in"  # in the change log
WRONG = "The name, the password or the code is not right."
TOO_MANY = "There were too many wrong tries."
WAIT = "Wait {minutes} minutes before you try again."
WAIT_ONE = "Wait 1 minute before you try again."
LOCKED = "There were too many wrong tries in a row. Ask an owner for a new link, or sign in by the link of onboard desk."


@dataclass(frozen=True, slots=True)
class Came:
    """Where somebody comes from: the address of their computer, and what their browser is."""

    address: str = ""
    browser: str = ""


def sign_in(office: Office, name: str, password: str, code: str, came: Came) -> str:
    """The token of a new session. Raises `NotDone`, which says how long to wait, and `StoreTrouble`."""
    of_name, place = about(staff.key_of(name)), _place(came.address)
    account = claim(office, of_name, place)
    found = _found(office, name)
    fits = is_theirs(found, password)
    with office.transaction(wait=None) as connection:
        if fits and found and not found.closed and _second_step(connection, office, found, code):
            sign_in_tries.clear(connection, of_name)
            sign_in_tries.take_back(connection, place)
            _note(connection, office, found.name, "signed in at the desk", came)
            return desk_sessions.begin(
                connection, office, found.name, staff_id=found.id, browser=came.browser
            )
        # What was typed may be a password: of a name that nobody has, only where it came from is kept.
        _note(connection, office, found.name if found else "", FAILED, came)
    raise _not_in(WRONG, _wait(account + 1, OF_A_NAME))


def has_staff(office: Office) -> bool:
    """Whether anybody has an account to sign in with. Raises `StoreTrouble`."""
    with office.reading() as connection:
        return staff.is_any(connection)


def claim(office: Office, of_name: str, place: str = "") -> int:
    """How many tries were wrong before this one, which is counted. Raises `NotDone` for whoever has to wait."""
    when = office.now()
    with office.transaction(wait=None) as connection:
        sign_in_tries.forget_older(connection, when - KEPT)
        wrong = sign_in_tries.hold(connection, of_name, when)
        there = sign_in_tries.hold(connection, place, when) if place else None
        ready = wrong.at + _wait(wrong.wrong, OF_A_NAME)
        if there:
            ready = max(ready, there.at + _wait(there.wrong, FROM_A_PLACE))
        if wrong.wrong >= MOST:
            raise NotDone(LOCKED)
        if ready > when:
            raise _not_in(TOO_MANY, ready - when)
        sign_in_tries.count(connection, of_name, when)
        if place:
            sign_in_tries.count(connection, place, when)
    return wrong.wrong


def is_theirs(account: Account | None, password: str) -> bool:
    """Whether it is the password of the account; without one it takes as long."""
    with AT_ONCE:
        return passwords.verify_chosen(password, account.password_hash if account else "")


def about(text: str) -> str:
    """What tries are kept under: what was typed as a name may be a password."""
    return passwords.digest(f"name {text}")


def _found(office: Office, name: str) -> Account | None:
    with office.reading() as connection:
        return staff.by_name(connection, name)


def _second_step(connection: Connection, office: Office, account: Account, code: str) -> bool:
    """Whether the code is right, if one is asked for; it is used up."""
    if not account.has_code:
        return True
    if staff.use_recovery(connection, account.id, codes.recovery_digest(code)):
        _note(connection, office, account.name, "recovery code used")
        return True
    key = code_keys.opened(office, account).code_key
    step = codes.step_of(key, code, office.now(), account.code_last)
    return step is not None and staff.use_code(connection, account.id, step)


def _note(
    connection: Connection, office: Office, name: str, what: str, came: Came | None = None
) -> None:
    after = {"name": name, "from": came.address if came else ""}
    after = {key: said for key, said in after.items() if said}
    signature = replace(office.signature(), who=NOBODY if what == FAILED else name)
    journal.write(connection, [Entry(what, Owner.roster(), after=after)], signature)


def _wait(wrong: int, free: int) -> timedelta:
    """How long to wait after so many wrong tries in a row.

    >>> [_wait(wrong, 4).seconds for wrong in (4, 5, 6, 7, 10, 11, 99)]
    [0, 60, 120, 240, 1920, 3600, 3600]
    """
    if wrong <= free:
        return timedelta(0)
    doubled: int = 2 ** min(wrong - free - 1, 10)
    return min(LONGEST_WAIT, FIRST_WAIT * doubled)


def _not_in(why: str, wait: timedelta) -> NotDone:
    minutes = math.ceil(wait / timedelta(minutes=1))
    told = () if not minutes else (WAIT_ONE,) if minutes == 1 else (WAIT,)
    return NotDone(why, *told, minutes=minutes)


def _place(address: str) -> str:
    """What tries from a place are kept under: of IPv6, the network that one customer has (RFC 6177)."""
    try:
        found = ip_address(address)
        shown = str(ip_network(f"{found}/64", strict=False)) if found.version == 6 else str(found)
    except ValueError:
        shown = address
    return passwords.digest(f"place {shown}")


__all__ = ["Came", "about", "claim", "has_staff", "is_theirs", "sign_in"]
