"""The keys of the second step, which the roster holds sealed. What opens them lies next to the settings, not in it: a copy
of the roster alone makes no codes."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from onboard import codes, unfinished
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.roster import staff
from onboard.roster.staff import Account

FILE = "onboard-codes.key"


def new_key(office: Office) -> str:
    """A new key, as the roster holds it. Raises `FileTrouble`."""
    return codes.sealed(codes.new_key(), _seal(office, may_make=True))


def opened(office: Office, account: Account) -> Account:
    """The account with its key as an app has it. Raises `FileTrouble` where it cannot be opened."""
    if not codes.is_sealed(account.code_key):
        return account
    try:
        return replace(account, code_key=codes.unsealed(account.code_key, _seal(office)))
    except ValueError:
        raise FileTrouble(
            f"{_file(office)} is not the file with which the codes from the app were set up. Put the right one back from a "
            "copy. Until then, sign in with a recovery code, or ask an owner to start the account over, under Staff."
        ) from None


def seal_all(office: Office) -> int:
    """Seal the keys that an earlier version kept as they are; how many. Raises `FileTrouble` and `StoreTrouble`."""
    with office.reading() as connection:
        bare = [one for one in staff.every(connection) if not codes.is_sealed(one.code_key)]
    if not bare:
        return 0
    seal = _seal(office, may_make=True)
    with office.transaction(wait=None) as connection:
        return sum(
            staff.reseal(connection, one.id, one.code_key, codes.sealed(one.code_key, seal))
            for one in bare
        )


def _file(office: Office) -> Path:
    return office.settings.file.parent / FILE


def _seal(office: Office, *, may_make: bool = False) -> bytes:
    """What the file holds; it is made where there is none, readable by its owner only."""
    file = _file(office)
    try:
        if may_make and not file.exists():
            _make(file)
        return file.read_bytes().strip()
    except FileNotFoundError:
        raise FileTrouble(
            f"{file} is missing: without it the codes from the app can't be checked. Put it back from a copy. Until then, "
            "sign in with a recovery code, or ask an owner to start the account over, under Staff."
        ) from None
    except OSError as error:
        raise FileTrouble(f"Can't use {file}: {error.strerror}.") from error


def _make(file: Path) -> None:
    """Whole or not at all, and never in place of one that another program made meanwhile."""
    part = file.with_name(f"{unfinished.prefix()}codes{unfinished.SUFFIX}")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(codes.new_seal() + b"\n")
            out.flush()
            os.fsync(out.fileno())
        try:
            os.link(part, file)
        except FileExistsError:
            return
    finally:
        part.unlink()


__all__ = ["FILE", "new_key", "opened", "seal_all"]
