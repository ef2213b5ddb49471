"""A roster with people in it comes through the change of its tables with nothing lost."""

from __future__ import annotations

from pathlib import Path

import earlier
from sqlalchemy import Connection, select, text

from onboard.roster import store, tables


def test_spellings_and_their_keys_come_through_the_new_tables(tmp_path: Path) -> None:
    earlier.roster(tmp_path / "roster.db", "0004", _put_people_in)
    with store.transaction(store.open_store(f"sqlite:///{tmp_path / 'roster.db'}")) as connection:
        assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        person, key = tables.person, tables.person_key
        assert connection.execute(select(person.c.given, person.c.row_key)).all() == [
            ("Pat", "k1"), ("Patricia", "k1"),
        ]  # fmt: skip
        assert sorted(map(tuple, connection.execute(select(key.c.key, key.c.person_id)))) == [
            ("e:pat@example.org", 1), ("e:pat@example.org", 2), ("n:pat lee", 1),
        ]  # fmt: skip
        assert connection.execute(select(tables.handle.c.member_id)).all() == [(1,)]
        connection.execute(tables.handle.update().values(member_id=None))
        connection.execute(person.update().values(row_key=None))


def _put_people_in(connection: Connection) -> None:
    nothing = "'', '', '', '', '', '', '', '', '', '', '', '', ''"
    for line in (
        "INSERT INTO batch VALUES (1, 'f.csv', '2026-11-25T12:00:00Z', 'Robin')",
        "INSERT INTO member (id, handle, handle_steps, name, email, phone, address, site, language,"
        " extras, joined, standing, must_change, packet) VALUES (1, 'patlee', '[]', '{}', '', '',"
        " '[]', '', '', '{}', '2026-11-25T12:00:00Z', 'open', 0, 'none')",
        "INSERT INTO handle VALUES ('patlee', 'patlee', 1)",
        "INSERT INTO row VALUES ('k1', 1, 1, 'f.csv', 2, '[]', '{}', '[]', 'enrol', 0, 1)",
        f"INSERT INTO person VALUES (1, 'member:1', 'k1', 'Pat', {nothing}, '[]')",
        f"INSERT INTO person VALUES (2, 'member:1', 'k1', 'Patricia', {nothing}, '[]')",
        "INSERT INTO person_key VALUES ('e:pat@example.org', 1), ('n:pat lee', 1),"
        " ('e:pat@example.org', 2)",
    ):
        connection.execute(text(line))
