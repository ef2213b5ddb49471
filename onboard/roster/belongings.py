"""What belongs to a member, and goes to the one who stays when two accounts are merged."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from sqlalchemy import Column, Connection, Row, select, update

from onboard.model import Change, Owner
from onboard.roster import search, tables

# What goes to the member who stays: its key, the column of its owner, and the owner as it is there.
_BELONGINGS: dict[str, tuple[Column[Any], Column[Any], Callable[[int], Owner | int]]] = {
    "spellings": (tables.person.c.id, tables.person.c.owner, Owner.of_member),
    "rows": (tables.row.c.key, tables.row.c.member_id, int),
    "handles": (tables.handle.c.text, tables.handle.c.member_id, int),
}


def hand_over(connection: Connection, merged: Change) -> Change:
    """Give all that belongs to the merged member to the one who stays; what that was."""
    what: dict[str, list[Any]] = {}
    for name, (key, owner, form) in _BELONGINGS.items():
        old, new = map(form, (merged.member_id, merged.after))
        what[name] = sorted(k for (k,) in connection.execute(select(key).where(owner == old)))
        connection.execute(update(key.table).where(owner == old).values({owner.name: new}))
    return replace(merged, field="belongings", before=what)


def give_back(connection: Connection, part: Row[Any]) -> None:
    for name, (key, owner, form) in _BELONGINGS.items():
        stayed, old = map(form, (part.after, part.member_id))
        for some in search.parts(part.before[name], search.AT_ONCE):
            change = update(key.table).where(key.in_(some), owner == stayed)
            connection.execute(change.values({owner.name: old}))
