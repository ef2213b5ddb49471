"""A roster with people in it comes through the change of its tables with nothing lost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import earlier
import postgres_server
import pytest
from coop_forms import NOON
from sqlalchemy import Connection, Engine, create_engine, select, text

from onboard.match import keys
from onboard.model import Signature, State, Way, What
from onboard.roster import doubts, outgoing, search, store, tables, taking_back


def test_spellings_and_their_keys_come_through_the_new_tables(tmp_path: Path) -> None:
    earlier.roster(tmp_path / "roster.db", "0004", _put_people_in)
    with store.transaction(store.open_store(f"sqlite:///{tmp_path / 'roster.db'}")) as connection:
        assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        person, key = tables.person, tables.person_key
        assert connection.execute(select(person.c.given, person.c.row_key)).all() == [
            ("Pat", "k1"), ("Patricia", "k1"),
        ]  # fmt: skip
        made = set(map(tuple, connection.execute(select(key.c.key, key.c.person_id))))
        spelt = connection.execute(select(person)).all()
        assert made == {(one, line.id) for line in spelt for one in keys.of(search._person(line))}
        assert {number for one, number in made if one.startswith("e:pat@example.org")} == {1, 2}
        assert connection.execute(select(tables.handle.c.member_id)).all() == [(1,)]
        connection.execute(tables.handle.update().values(member_id=None))
        connection.execute(person.update().values(row_key=None))


def _put_people_in(connection: Connection) -> None:
    known = "'', 'Lee', '', '', '', 'pat@example.org', '', '', '', '', '', '', ''"
    for line in (
        "INSERT INTO batch VALUES (1, 'f.csv', '2026-11-25T12:00:00Z', 'Robin')",
        "INSERT INTO member (id, handle, handle_steps, name, email, phone, address, site, language,"
        " extras, joined, standing, must_change, packet) VALUES (1, 'patlee', '[]', '{}', '', '',"
        " '[]', '', '', '{}', '2026-11-25T12:00:00Z', 'open', 0, 'none')",
        "INSERT INTO handle VALUES ('patlee', 'patlee', 1)",
        "INSERT INTO row VALUES ('k1', 1, 1, 'f.csv', 2, '[]', '{}', '[]', 'enrol', 0, 1)",
        f"INSERT INTO person VALUES (1, 'member:1', 'k1', 'Pat', {known}, '[]')",
        f"INSERT INTO person VALUES (2, 'member:1', 'k1', 'Patricia', {known}, '[]')",
        "INSERT INTO person_key VALUES ('e:pat@example.org', 1), ('n:of before', 1),"
        " ('e:pat@example.org', 2)",
    ):
        connection.execute(text(line))


# ---------------------------------------------------------------- one list of what goes out

FORMER = {  # how a packet stood, and how it stands now
    1: ("due", State.DUE), 2: ("barred", State.WAITING), 3: ("written", State.WRITTEN),
    4: ("sent", State.SENT), 5: ("unsure", State.UNSURE), 6: ("none", None),
}  # fmt: skip


def _put_packets_in(connection: Connection) -> None:
    at = "2026-11-25T12:00:00Z"
    connection.execute(text(
        "INSERT INTO applied (id, at, who, what, file) VALUES (1, :at, 'Robin', 'corrected', '')"
    ), {"at": at})  # fmt: skip
    for number, (stood, _) in FORMER.items():
        connection.execute(text(
            "INSERT INTO member (id, handle, handle_steps, name, email, phone, address, site, language,"
            " extras, joined, standing, must_change, packet, letters, consent)"
            " VALUES (:id, :handle, '[]', '{\"given\": \"Pat\"}', :email, '', '[]', '', '', '{}', :at,"
            " :standing, :no, :packet, :letters, :consent)"
        ), {
            "id": number, "handle": f"pat{number}", "email": f"pat{number}@example.org", "at": at,
            "standing": "closed" if number == 6 else "open", "no": False, "packet": stood,
            "letters": "letters-1-6.pdf", "consent": False if number == 4 else None,
        })  # fmt: skip
        entry = {
            "about": f"member:{number}",
            "what": f"packet {stood}",
            "at": f"2026-11-2{number}T12:00:00Z",
        }
        connection.execute(text(
            "INSERT INTO journal (at, who, what, about, why, before, after)"
            " VALUES (:at, 'Robin', :what, :about, '', '{}', '{}')"
        ), entry)  # fmt: skip
    for field, before, after in (
        ("standing", '"open"', '"closed"'), ("packet", '"due"', '"none"'), ("closed", "null", "null"),
    ):  # fmt: skip
        connection.execute(text(
            "INSERT INTO applied_change (applied_id, line, member_id, field, before, after, why)"
            " VALUES (1, 1, 6, :field, :before, :after, '')"
        ), {"field": field, "before": before, "after": after})  # fmt: skip
    connection.execute(text(
        "INSERT INTO notice (at, member_id, file, stands) VALUES"
        " (:at, 1, 'notice-1-1.eml', 'written'), (:at, 2, 'notice-2-1.pdf', 'sent')"
    ), {"at": at})  # fmt: skip


@pytest.fixture(params=["sqlite", "postgresql"])
def former(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Engine]:
    """The roster of an earlier program, brought up to date."""
    if request.param == "sqlite":
        earlier.roster(tmp_path / "roster.db", "0006", _put_packets_in)
        yield store.open_store(f"sqlite:///{tmp_path / 'roster.db'}")
        return
    with postgres_server.running(postgres_server.programs() or pytest.skip("no PostgreSQL")) as url:
        engine = create_engine(url)
        with engine.begin() as connection:
            earlier.upgrade(connection, "0006")
            _put_packets_in(connection)
        engine.dispose()
        yield store.open_store(url)


def test_packets_and_notices_are_one_list_from_here_on(former: Engine) -> None:
    with store.reading(former) as connection:
        assert outgoing.current_packets(connection, FORMER) == {
            number: state for number, (_, state) in FORMER.items() if state
        }
        (waits,) = outgoing.by_state(connection, What.PACKET, State.WAITING)
        assert f"{waits.made:%Y-%m-%d}" == f"{waits.at:%Y-%m-%d}" == "2026-11-22"
        (written,) = outgoing.by_state(connection, What.PACKET, State.WRITTEN)
        assert (written.way, written.file, written.letter) == (
            Way.EMAIL, "pat3.eml", "letters-1-6.pdf",
        )  # fmt: skip
        (sent,) = outgoing.by_state(connection, What.PACKET, State.SENT)
        assert (sent.way, sent.file) == (Way.LETTER, "letters-1-6.pdf")
        notices = [
            line
            for state in (State.WRITTEN, State.SENT)
            for line in outgoing.by_state(connection, What.NOTICE, state)
        ]
        assert [(line.member_id, line.way, line.file) for line in notices] == [
            (1, Way.EMAIL, "notice-1-1.eml"), (2, Way.LETTER, "notice-2-1.pdf"),
        ]  # fmt: skip
        assert outgoing.kept(connection) == {"letters-1-6.pdf", "notice-1-1.eml", "notice-2-1.pdf"}
        assert outgoing.count(connection) == {state: 1 for _, state in FORMER.values() if state}


def test_an_account_that_an_earlier_program_closed_gets_its_packet_back(former: Engine) -> None:
    with store.transaction(former) as connection:
        assert taking_back.undo(connection, 1, Signature("Sam", NOON)).kept == ()
        assert outgoing.current_packets(connection, [6]) == {6: State.DUE}


# ---------------------------------------------------------------- what was left in doubt


def _put_doubts_in(connection: Connection) -> None:
    """Two members whose sites and phones nobody understood; of one, the site was put right since."""
    for number in (1, 2):
        said = {"id": number, "handle": f"pat{number}", "key": f"k{number}", "no": False}
        for line in (
            "INSERT INTO member (id, handle, handle_steps, name, email, phone, address, site, language,"
            " extras, joined, standing, must_change) VALUES (:id, :handle, '[]', '{\"given\": \"Pat\"}',"
            " '', '', '[]', '', '', '{}', '2026-11-25T12:00:00Z', 'open', :no)",
            "INSERT INTO batch VALUES (:id, 'f.csv', '2026-11-25T12:00:00Z', 'Robin')",
            "INSERT INTO \"row\" VALUES (:key, :id, :id, 'f.csv', 2, '[]', '{}', '[]', 'enrol', :no, :id)",
            "INSERT INTO finding (row_key, code, field, weight, said, note) VALUES"
            " (:key, 'site.unknown', 'site', 'doubtful', 'The Old Mill', 'Ask.'),"
            " (:key, 'name.aside', 'given', 'doubtful', 'Pat (gone)', 'Ask.'),"
            " (:key, 'phone.words', 'phone', 'mended', 'home: 419', 'Done.')",
        ):
            used = {name: value for name, value in said.items() if f":{name}" in line}
            connection.execute(text(line), used)
    connection.execute(text(
        "INSERT INTO applied (id, at, who, what, file)"
        " VALUES (1, '2026-11-26T12:00:00Z', 'Robin', 'corrected', '')"
    ))  # fmt: skip
    connection.execute(text(
        "INSERT INTO applied_change (applied_id, line, member_id, field, before, after, why)"
        " VALUES (1, 1, 2, 'site', '\"\"', '\"Lima Grange\"', '')"
    ))  # fmt: skip


@pytest.fixture(params=["sqlite", "postgresql"])
def doubted(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Engine]:
    """A roster whose program did not tell what was left in doubt, brought up to date."""
    if request.param == "sqlite":
        earlier.roster(tmp_path / "roster.db", "0007", _put_doubts_in)
        yield store.open_store(f"sqlite:///{tmp_path / 'roster.db'}")
        return
    with postgres_server.running(postgres_server.programs() or pytest.skip("no PostgreSQL")) as url:
        engine = create_engine(url)
        with engine.begin() as connection:
            earlier.upgrade(connection, "0007")
            _put_doubts_in(connection)
        engine.dispose()
        yield store.open_store(url)


def test_what_an_earlier_program_left_in_doubt_is_told_from_here_on(doubted: Engine) -> None:
    with store.reading(doubted) as connection:
        stand = doubts.of_members(connection, search.members(connection))
    assert {number: [f.code for f in found] for number, found in stand.items()} == {
        1: ["site.unknown", "name.aside"], 2: ["name.aside"],
    }  # fmt: skip
