"""The keys by which `match` finds the spellings of everybody, made anew."""

from __future__ import annotations

from sqlalchemy import Connection, select

from onboard.match import keys
from onboard.roster import tables
from onboard.roster.among import AT_ONCE
from onboard.roster.bulk import insert
from onboard.roster.journal import sound
from onboard.roster.search import _person


def rebuild(connection: Connection) -> None:
    """Make the keys of every spelling from what it says, within the transaction of the connection."""
    connection.execute(tables.person_key.delete())
    person, last = tables.person, 0
    query = select(person).order_by(person.c.id).limit(AT_ONCE)
    while lines := connection.execute(query.where(person.c.id > last)).all():
        last = lines[-1].id
        found = {(sound(key), line.id) for line in lines for key in keys.of(_person(line))}
        made = [{"key": key, "person_id": number} for key, number in sorted(found)]
        insert(connection, tables.person_key, made)
