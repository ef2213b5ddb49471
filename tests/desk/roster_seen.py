"""What the roster and the outbox hold, as the tests of the desk look at it."""

from __future__ import annotations

import email
from email.policy import default
from pathlib import Path

import listed
from sqlalchemy import select

from onboard.model import State
from onboard.roster import journal, outgoing, store, tables


def member(office: Path, number: int = 1) -> dict[str, object]:
    """The member's line."""
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine, keep=False) as connection:
        line = connection.execute(select(tables.member).where(tables.member.c.id == number)).one()
        packet = outgoing.current_packets(connection, [number]).get(number)
        return dict(line._mapping) | {"packet": packet}


def journaled(office: Path, about: str = "member:1") -> list[str]:
    """What was done, in order."""
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine, keep=False) as connection:
        return [what for _, _, what, _, _ in journal.read(connection, about)]


def spelt(office: Path, owner: str = "member:1") -> list[tuple[str, str, str, str]]:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine, keep=False) as connection:
        person = tables.person.c
        query = select(person.given, person.family, person.email, person.phone)
        return [tuple(line) for line in connection.execute(query.where(person.owner == owner))]


def sent(office: Path) -> None:
    """As if all packets had gone out."""
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        listed.put(connection, State.SENT)


def mail(file: Path) -> tuple[str, str]:
    """To whom, and the words."""
    message = email.message_from_bytes(file.read_bytes(), policy=default)
    body = message.get_body(("plain",))
    assert body is not None
    return str(message["To"]), " ".join(body.get_content().split())
