"""Who has an account at the desk. It is kept here and judged nowhere: tasks do that."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, delete, func, select, update

from onboard.model import Role
from onboard.roster.journal import sound, stamp
from onboard.roster.tables import recovery_code
from onboard.roster.tables import staff as table


@dataclass(frozen=True, slots=True)
class Account:
    """Somebody's account."""

    id: int
    name: str
    role: Role
    password_hash: str = field(repr=False)  # "" until one is chosen
    code_key: str = field(repr=False)  # sealed: `tasks/code_keys.py` opens it
    code_since: datetime | None  # None: there is no second step
    code_last: int
    link: str = field(repr=False)  # digest; "" for none
    link_until: datetime | None
    made: datetime
    closed: datetime | None

    @property
    def has_code(self) -> bool:
        """Whether there is a second step."""
        return self.code_since is not None

    def link_works(self, when: datetime) -> bool:
        """Whether a link to choose a password waits to be used."""
        return bool(self.link and self.link_until and when <= self.link_until and not self.closed)


def key_of(name: str) -> str:
    """A name, however it is written: what makes two of them the same.

    >>> key_of("  Robin\\tVALE "), key_of("Ｒobin Vale")
    ('robin vale', 'robin vale')
    """
    return " ".join(unicodedata.normalize("NFKC", sound(name)).casefold().split())


def add(connection: Connection, name: str, role: Role, code_key: str, when: datetime) -> int:
    """A new account, which nobody can sign in with yet; its number."""
    line = {
        "name": sound(name), "key": key_of(name), "role": str(role), "password_hash": "", "code_key": code_key,
        "code_since": None, "code_last": 0, "link": "", "link_until": "", "made": stamp(when), "closed": None,
    }  # fmt: skip
    made = connection.execute(table.insert(), line).inserted_primary_key
    assert made
    return int(made[0])


def put(connection: Connection, number: int, **columns: Any) -> None:
    """Keep these columns of an account."""
    connection.execute(update(table).where(table.c.id == number).values(**columns))


def reseal(connection: Connection, number: int, before: str, after: str) -> bool:
    """Whether a key is kept in place of the one before; not if somebody changed it meanwhile."""
    same = (table.c.id == number) & (table.c.code_key == before)
    return connection.execute(update(table).where(same).values(code_key=after)).rowcount == 1


def use_code(connection: Connection, number: int, step: int) -> bool:
    """Whether the code of this step was not used before; it is from here on."""
    fresh = (table.c.id == number) & (table.c.code_last < step)
    return connection.execute(update(table).where(fresh).values(code_last=step)).rowcount == 1


def use_link(connection: Connection, digest: str) -> bool:
    """Whether the link was not used before; it is from here on."""
    line = update(table).where(table.c.link == digest).values(link="", link_until="")
    return connection.execute(line).rowcount == 1


def every(connection: Connection) -> list[Account]:
    """All accounts, open ones first, by their names."""
    order = (table.c.closed.is_not(None), table.c.key)
    return [_account(row) for row in connection.execute(select(table).order_by(*order))]


def by_id(connection: Connection, number: int) -> Account | None:
    """The account with this number."""
    return _one(connection, table.c.id == number)


def by_name(connection: Connection, name: str) -> Account | None:
    """The account with this name, however it is written."""
    return _one(connection, table.c.key == key_of(name))


def by_link(connection: Connection, digest: str) -> Account | None:
    """The account whose link has this digest."""
    return _one(connection, table.c.link == digest) if digest else None


def is_any(connection: Connection) -> bool:
    """Whether there is an account to sign in with."""
    query = select(table.c.id).where(table.c.closed.is_(None)).limit(1)
    return connection.execute(query).first() is not None


def hold_owners(connection: Connection) -> int:
    """How many owners there are that can sign in; until the transaction ends, their lines are ours."""
    mine = (
        (table.c.role == str(Role.OWNER)) & table.c.closed.is_(None) & (table.c.password_hash != "")
    )
    return len(connection.execute(select(table.c.id).where(mine).with_for_update()).all())


# ---------------------------------------------------------------- recovery codes


def keep_recovery(connection: Connection, number: int, digests: Iterable[str]) -> None:
    """Keep the digests of recovery codes in place of those before."""
    connection.execute(delete(recovery_code).where(recovery_code.c.staff_id == number))
    lines = [{"digest": digest, "staff_id": number} for digest in digests]
    if lines:
        connection.execute(recovery_code.insert(), lines)


def use_recovery(connection: Connection, number: int, digest: str) -> bool:
    """Whether it is a recovery code of theirs. If so, it works no more."""
    mine = (recovery_code.c.staff_id == number) & (recovery_code.c.digest == digest)
    return connection.execute(delete(recovery_code).where(mine)).rowcount == 1


def count_recovery(connection: Connection, number: int) -> int:
    """How many recovery codes are left."""
    query = select(func.count()).where(recovery_code.c.staff_id == number)
    return int(connection.scalar(query) or 0)


def _one(connection: Connection, where: Any) -> Account | None:
    row = connection.execute(select(table).where(where)).first()
    return None if row is None else _account(row)


def _account(row: Row[Any]) -> Account:
    def at(text: str | None) -> datetime | None:
        return datetime.fromisoformat(text) if text else None

    return Account(
        row.id, row.name, Role(row.role), row.password_hash, row.code_key, at(row.code_since), row.code_last,
        row.link, at(row.link_until), datetime.fromisoformat(row.made), at(row.closed),
    )  # fmt: skip
