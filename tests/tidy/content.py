"""What a roster says, line by line, for laws about changing it and taking changes back."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from sqlalchemy import Connection, Engine, select

from onboard.roster import index_check, outgoing, store, tables

# What only grows: it tells how the roster came to be as it is, and is no part of what it says.
HISTORY = {"journal", "applied", "applied_change", "exported", "batch", "outgoing"}
NUMBERS = {"person": {"id"}, "finding": {"id"}, "decision": {"id"}, "ruling": {"id"}}


def content(engine: Engine) -> list[str]:
    """Every fact of the roster in a canonical form, sorted; its look-up index must be sound."""
    with store.transaction(engine, keep=False) as connection:
        assert index_check.check(connection) == []
        found = [_person(connection, line) for line in connection.execute(select(tables.person))]
        for table in tables.metadata.sorted_tables:
            told_elsewhere = table.name.startswith("index_") or table.name.startswith("person")
            if table.name in HISTORY or told_elsewhere:
                continue
            columns = [c for c in table.c if c.name not in NUMBERS.get(table.name, ())]
            found += [
                json.dumps([table.name, *line]) for line in connection.execute(select(*columns))
            ]
        members = connection.execute(select(tables.member.c.id)).scalars().all()
        packets = outgoing.current_packets(connection, members)
        found += [json.dumps(["packet", *pair]) for pair in packets.items()]
    return sorted(found)


def digest(engine: Engine) -> str:
    """One short text for all of it."""
    return hashlib.sha256("\n".join(content(engine)).encode()).hexdigest()


def _person(connection: Connection, line: Any) -> str:
    """A spelling with the keys under which it is found; its number may differ."""
    key = tables.person_key.c
    keys = connection.execute(select(key.key).where(key.person_id == line.id)).scalars()
    return json.dumps(["person", *line[1:], sorted(keys)])
