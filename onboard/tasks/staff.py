"""Who works here: people invited, their roles, accounts closed. For owners; each step is in the change log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from sqlalchemy import Connection

from onboard import passwords
from onboard.errors import NotDone
from onboard.model import Owner
from onboard.office import Act, Office, Role
from onboard.roster import journal, sessions, sign_in_tries, staff
from onboard.roster.journal import Entry, stamp
from onboard.roster.staff import Account
from onboard.tasks import code_keys, desk_sessions
from onboard.tasks.desk_sessions import Listed
from onboard.tasks.staff_sign_in import about

LINK_LASTS = timedelta(hours=24)
LONGEST_NAME = 60

NO_NAME = "Type the name of the person: at most 60 characters."
TAKEN = "There is an account with this name already. Choose another name, or open that one."
UNKNOWN = "There is no such account."
NO_ROLE = "Choose a role."
LAST_OWNER = "This is the last owner who can sign in. Make somebody else an owner first."
IS_CLOSED = "This account is closed. Open it again first."


@dataclass(frozen=True, slots=True)
class Invited:
    """Somebody's account, and the token of the link with which they choose a password, once."""

    account: Account
    token: str


def list_staff(office: Office) -> list[Account]:
    """All accounts, open ones first. Raises `NotAllowed` and `StoreTrouble`."""
    office.see_that_one_may(Act.STAFF)
    with office.reading() as connection:
        return staff.every(connection)


def one_of_staff(office: Office, number: int) -> Account:
    """The account with this number. Raises `NotDone` where there is none, `NotAllowed` and `StoreTrouble`."""
    office.see_that_one_may(Act.STAFF)
    with office.reading() as connection:
        return _account(connection, number)


def invite(office: Office, name: str, role: str) -> Invited:
    """A new account, and the link for its person. Raises `NotDone`, `NotAllowed` and `StoreTrouble`."""
    office.see_that_one_may(Act.STAFF)
    name = " ".join(name.split())
    if not (any(map(str.isalnum, name)) and name.isprintable() and len(name) <= LONGEST_NAME):
        raise NotDone(NO_NAME)
    given = _role(role)
    with office.transaction(wait=None) as connection:
        if staff.by_name(connection, name):
            raise NotDone(TAKEN)
        number = staff.add(connection, name, given, code_keys.new_key(office), office.now())
        _note(connection, office, "staff invited", name, after={"role": str(given)})
        return _with_link(connection, office, number)


def new_link(office: Office, number: int) -> Invited:
    """A new link for whoever forgot the password, or did not use the first one; a second step stays.

    Raises as `invite` does.
    """
    office.see_that_one_may(Act.STAFF)
    with office.transaction(wait=None) as connection:
        account = _open(connection, number)
        _note(connection, office, "staff link made", account.name)
        return _with_link(connection, office, number)


def start_over(office: Office, number: int) -> Invited:
    """The same for whoever lost the second step too: password, code and sessions end. Raises as `invite`."""
    office.see_that_one_may(Act.STAFF)
    with office.transaction(wait=None) as connection:
        account = _open(connection, number)
        _see_that_an_owner_stays(connection, account)
        staff.put(
            connection,
            number,
            password_hash="",
            code_key=code_keys.new_key(office),
            code_since=None,
            code_last=0,
        )
        staff.keep_recovery(connection, number, ())
        sessions.end_all_of(connection, account.name, number)
        _note(connection, office, "staff account started over", account.name)
        return _with_link(connection, office, number)


def change_role(office: Office, number: int, role: str) -> None:
    """Give somebody another role; it counts from their next click. Raises as `invite` does."""
    office.see_that_one_may(Act.STAFF)
    given = _role(role)
    with office.transaction(wait=None) as connection:
        account = _open(connection, number)
        if account.role is given:
            return
        _see_that_an_owner_stays(connection, account)
        staff.put(connection, number, role=str(given))
        before, after = {"role": str(account.role)}, {"role": str(given)}
        _note(connection, office, "staff role changed", account.name, before=before, after=after)


def sessions_of(office: Office, number: int) -> list[Listed]:
    """Where somebody is signed in. Raises as `one_of_staff` does."""
    account = one_of_staff(office, number)
    return desk_sessions.listed(office, account.name, number)


def sign_out(office: Office, number: int) -> None:
    """Sign somebody out wherever they are; they may sign in again. Raises as `invite` does."""
    office.see_that_one_may(Act.STAFF)
    with office.transaction(wait=None) as connection:
        account = _account(connection, number)
        if ended := sessions.end_all_of(connection, account.name, number):
            _note(connection, office, "staff signed out", account.name, after={"browsers": ended})


def close_account(office: Office, number: int) -> None:
    """Close somebody's account: their sessions and their link end. Raises as `invite` does."""
    office.see_that_one_may(Act.STAFF)
    with office.transaction(wait=None) as connection:
        account = _open(connection, number)
        _see_that_an_owner_stays(connection, account)
        staff.put(connection, number, closed=stamp(office.now()), link="", link_until="")
        sessions.end_all_of(connection, account.name, number)
        _note(connection, office, "staff account closed", account.name)


def open_account(office: Office, number: int) -> None:
    """Open a closed account again, with its password. Raises as `invite` does."""
    office.see_that_one_may(Act.STAFF)
    with office.transaction(wait=None) as connection:
        account = _account(connection, number)
        if account.closed:
            staff.put(connection, number, closed=None)
            _note(connection, office, "staff account opened again", account.name)


def _with_link(connection: Connection, office: Office, number: int) -> Invited:
    token, account = passwords.token(), _account(connection, number)
    until = stamp(office.now() + LINK_LASTS)
    staff.put(connection, number, link=passwords.digest(token), link_until=until)
    sign_in_tries.clear(connection, about(staff.key_of(account.name)))
    return Invited(_account(connection, number), token)


def _see_that_an_owner_stays(connection: Connection, account: Account) -> None:
    signs_in = account.role is Role.OWNER and account.password_hash
    if signs_in and staff.hold_owners(connection) == 1:
        raise NotDone(LAST_OWNER)


def _role(said: str) -> Role:
    found = {str(role): role for role in Role}.get(said)
    if found is None:
        raise NotDone(NO_ROLE)
    return found


def _open(connection: Connection, number: int) -> Account:
    account = _account(connection, number)
    if account.closed:
        raise NotDone(IS_CLOSED)
    return account


def _account(connection: Connection, number: int) -> Account:
    account = staff.by_id(connection, number) if 0 < number < 2**31 else None
    if account is None:
        raise NotDone(UNKNOWN)
    return account


def _note(connection: Connection, office: Office, what: str, name: str, **more: Any) -> None:
    after = {"name": name} | more.pop("after", {})
    entry = Entry(what, Owner.roster(), after=after, **more)
    journal.write(connection, [entry], office.signature())
