"""Somebody's own account at the desk: the password chosen by a link or changed, the second step, recovery codes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from sqlalchemy import Connection

from onboard import codes, own_password, passwords
from onboard.errors import NotDone
from onboard.model import Owner
from onboard.office import Office
from onboard.roster import journal, sessions, sign_in_tries, staff
from onboard.roster.journal import Entry, stamp
from onboard.roster.staff import Account
from onboard.tasks import code_keys
from onboard.tasks.staff_sign_in import about, claim, is_theirs

LINK_OVER = "This link does not work any more. Ask an owner for a new one."
WRONG_PASSWORD = "The password is not right."
WRONG_CODE = "The code is not right. Type the six digits that the app shows now."
LONGER_FIRST = (
    "Without a code, a password needs at least {least} characters. Change the password first."
)


@dataclass(frozen=True, slots=True)
class Mine:
    """An account as its own person sees it."""

    account: Account
    recovery_left: int
    key: str = field(repr=False)  # to type into an app; "" if there is a second step already
    address: str = field(repr=False)  # what the picture holds that an app reads; or ""


def mine(office: Office, staff_id: int) -> Mine:
    """One's own account. Raises `NotDone` where there is none, and `StoreTrouble`."""
    with office.reading() as connection:
        account = _own(connection, staff_id)
        left = staff.count_recovery(connection, account.id)
    return _mine(office, account, left)


def invited(office: Office, token: str) -> Mine:
    """The account that a link is for. Raises `NotDone` where the link is over, and `StoreTrouble`."""
    with office.reading() as connection:
        account = _by_link(connection, office, token)
    return _mine(office, account, 0)


def accept(office: Office, token: str, password: str, code: str) -> list[str]:
    """Choose a password by a link, which works no more; with a code, also begin the second step.

    The recovery codes, if it begins. Every session that there was ends. Raises `NotDone`, and `StoreTrouble`.
    """
    with office.reading() as connection:
        account = _by_link(connection, office, token)
    begins = bool(code) and not account.has_code
    if begins and _step(office, account, code) is None:
        raise NotDone(WRONG_CODE)
    _see_that_it_is_good(office, account, password, has_code=begins or account.has_code)
    hashed = passwords.hash_chosen(password)
    with office.transaction(wait=None) as connection:
        _by_link(connection, office, token)
        if not staff.use_link(connection, passwords.digest(token)):
            raise NotDone(LINK_OVER)
        staff.put(connection, account.id, password_hash=hashed)
        sessions.end_all_of(connection, account.name, account.id)
        _note(connection, office, account, "password chosen by a link")
        return _begin_code(connection, office, account, code) if begins else []


def change_password(office: Office, staff_id: int, old: str, new: str, *, token: str) -> None:
    """Change one's own password; every other session ends. Raises `NotDone`, and `StoreTrouble`."""
    account = _prove(office, staff_id, old)
    _see_that_it_is_good(office, account, new, has_code=account.has_code)
    hashed = passwords.hash_chosen(new)
    with office.transaction(wait=None) as connection:
        staff.put(connection, account.id, password_hash=hashed, link="", link_until="")
        _end_others(connection, account, token)
        _note(connection, office, account, "password changed")


def begin_code(office: Office, staff_id: int, password: str, code: str, *, token: str) -> list[str]:
    """Begin the second step, with the key that was offered; the recovery codes. Raises `NotDone`, `StoreTrouble`."""
    account = _prove(office, staff_id, password)
    if account.has_code or _step(office, account, code) is None:
        raise NotDone(WRONG_CODE)
    with office.transaction(wait=None) as connection:
        _end_others(connection, account, token)
        return _begin_code(connection, office, account, code)


def end_code(office: Office, staff_id: int, password: str, *, token: str) -> None:
    """Sign in without a code from now on. Raises `NotDone`, also for a password too short alone, `StoreTrouble`."""
    account = _prove(office, staff_id, password)
    if len(password) < own_password.ALONE:
        raise NotDone(LONGER_FIRST, least=own_password.ALONE)
    with office.transaction(wait=None) as connection:
        new = code_keys.new_key(office)
        staff.put(connection, account.id, code_key=new, code_since=None, code_last=0)
        staff.keep_recovery(connection, account.id, ())
        _end_others(connection, account, token)
        _note(connection, office, account, "second step ended")


def new_recovery(office: Office, staff_id: int, password: str) -> list[str]:
    """Recovery codes in place of those before. Raises `NotDone`, and `StoreTrouble`."""
    account = _prove(office, staff_id, password)
    with office.transaction(wait=None) as connection:
        _note(connection, office, account, "recovery codes made")
        return _recovery(connection, account)


def _prove(office: Office, staff_id: int, password: str) -> Account:
    """One's own account, by the password once more: wrong tries are counted with those of signing in."""
    with office.reading() as connection:
        account = _own(connection, staff_id)
    of_name = about(staff.key_of(account.name))
    claim(office, of_name)
    if not is_theirs(account, password):
        raise NotDone(WRONG_PASSWORD)
    with office.transaction(wait=None) as connection:
        sign_in_tries.clear(connection, of_name)
    return account


def _see_that_it_is_good(
    office: Office, account: Account, password: str, *, has_code: bool
) -> None:
    names = (office.settings.coop, account.name)
    if wrong := own_password.trouble(password, has_code=has_code, names=names):
        least = own_password.WITH_CODE if has_code else own_password.ALONE
        raise NotDone(wrong, least=least, most=own_password.LONGEST)


def _step(office: Office, account: Account, code: str) -> int | None:
    key = code_keys.opened(office, account).code_key
    return codes.step_of(key, code, office.now(), account.code_last)


def _begin_code(connection: Connection, office: Office, account: Account, code: str) -> list[str]:
    step = _step(office, account, code)
    staff.put(connection, account.id, code_since=stamp(office.now()), code_last=step or 0)
    _note(connection, office, account, "second step begun")
    return _recovery(connection, account)


def _recovery(connection: Connection, account: Account) -> list[str]:
    made = codes.recovery_codes()
    staff.keep_recovery(connection, account.id, map(codes.recovery_digest, made))
    return made


def _own(connection: Connection, staff_id: int) -> Account:
    account = staff.by_id(connection, staff_id)
    if account is None or account.closed:
        raise NotDone(WRONG_PASSWORD)
    return account


def _by_link(connection: Connection, office: Office, token: str) -> Account:
    account = staff.by_link(connection, passwords.digest(token)) if token else None
    if account is None or not account.link_works(office.now()):
        raise NotDone(LINK_OVER)
    return account


def _end_others(connection: Connection, account: Account, token: str) -> None:
    sessions.end_all_of(connection, account.name, account.id, but=passwords.digest(token))


def _mine(office: Office, account: Account, recovery_left: int) -> Mine:
    if account.has_code:
        return Mine(account, recovery_left, "", "")
    key = code_keys.opened(office, account).code_key
    return Mine(account, recovery_left, key, codes.address(key, account.name, office.settings.coop))


def _note(connection: Connection, office: Office, account: Account, what: str) -> None:
    signature = replace(office.signature(), who=account.name)
    journal.write(
        connection, [Entry(what, Owner.roster(), after={"name": account.name})], signature
    )


__all__ = [
    "Mine", "accept", "begin_code", "change_password", "end_code", "invited", "mine", "new_recovery",
]  # fmt: skip
