"""The spellings, emails and phones by which somebody is known, each with the keys that find it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any, NamedTuple

from sqlalchemy import Connection

from onboard.model import Owner, Person
from onboard.roster import tables
from onboard.roster.bulk import insert, next_number
from onboard.roster.journal import sound

TEXTS = tuple(field for field in Person._fields if field not in ("owner", "joint"))


class Spelling(NamedTuple):
    """One spelling of somebody."""

    owner: Owner
    row_key: str | None  # of the join form that it came from
    person: Person
    keys: Collection[str]  # under which `match` finds it


def add(connection: Connection, spelt: Iterable[Spelling]) -> list[int]:
    """The numbers of the spellings that are now kept, in their order."""
    first = next_number(connection, tables.person.c.id)
    lines: list[dict[str, Any]] = []
    keys = []
    for number, (owner, row_key, person, match_keys) in enumerate(spelt, first):
        line: dict[str, Any] = {name: sound(getattr(person, name)) for name in TEXTS}
        joint = [sound(name) for name in person.joint]
        lines.append(line | {"id": number, "owner": owner, "row_key": row_key, "joint": joint})
        keys += [(sound(key), number) for key in match_keys]
    insert(connection, tables.person, lines)
    keys.sort()  # neighbours go into the same pages of the table
    found = [{"key": key, "person_id": number} for key, number in keys]
    insert(connection, tables.person_key, found)
    return [line["id"] for line in lines]
