"""What the roster is asked, however much is asked at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from coop_forms import NOON, PAT, form, office_of
from sqlalchemy import Connection, Engine, update

from onboard import settings
from onboard.model import RawRow, Signature, State, What
from onboard.roster import outgoing, search, store, tables
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.process_batch import process_batch

MANY = 1_900  # more than two questions' worth of values
ROBIN = Signature("Robin", NOON)


def member_row(number: int) -> RawRow:
    return form(
        number + 1,
        full_name=f"Pat Lee{chr(97 + number % 26)}{chr(97 + number // 26 % 26)}{chr(97 + number // 676)}",
        email=f"p{number}@example.org",
        handle=f"pat{number}x",
    )


@pytest.fixture(scope="module")
def full() -> Iterator[Engine]:
    """A roster of many members."""
    coop = settings.read(Path(__file__).parents[2] / "fixtures_demo" / "onboard.toml")
    engine = store.open_store("sqlite://")
    rows = (member_row(n) for n in range(1, MANY + 1))
    report = adopt_members(office_of(replace(coop), engine, ROBIN), rows, file="m.csv", keep=True)  # fmt: skip
    assert report.adopted == MANY
    yield engine
    engine.dispose()


@pytest.fixture
def asked(full: Engine) -> Iterator[Connection]:
    with store.transaction(full, keep=False) as connection:
        yield connection


def test_values_are_asked_in_parts_smaller_than_any_engine_takes(asked: Connection) -> None:
    assert MANY > 2 * search.AT_ONCE
    keys = [member_row(n).key for n in range(1, MANY + 1)]
    handles = [f"pat{n}x" for n in range(1, MANY + 1)]
    assert search.seen(asked, [*keys, "no such row"]).keys() == set(keys)
    assert search.raw_rows(asked, keys)[keys[7]].cells == member_row(8).cells
    assert search.handles(asked, [*handles, "nobody"]) == set(handles)
    assert search.existing(asked, range(5 * MANY)) == set(range(1, MANY + 1))
    assert {m.id for m in search.members_by_handle(asked, handles).values()} == set(
        range(1, MANY + 1)
    )
    assert search.rulings(asked, keys) == {}
    assert search.apart(asked, keys) == {}
    assert search.last_questions(asked, keys) == {key: [] for key in keys}


def test_people_are_found_by_any_of_their_keys_each_once(asked: Connection) -> None:
    every = {key for (key,) in asked.execute(tables.person_key.select().with_only_columns(tables.person_key.c.key))}  # fmt: skip
    assert len(every) > search.AT_ONCE
    people = [person for person, _ in search.people(asked, every)]
    assert len(people) == len({p.owner for p in people}) == MANY
    assert [p.owner for p in people] == [f"member:{n}" for n in range(1, MANY + 1)], "oldest first"
    assert search.people(asked, ()) == search.people(asked, ["no such key"]) == []


def test_members_come_by_number_some_at_a_time(asked: Connection) -> None:
    found, after = [], 0
    while some := search.members(asked, after=after, most=700):
        assert len(some) <= 700
        after = some[-1].id
        found += [m.id for m in some]
    assert found == list(range(1, MANY + 1))
    assert search.count(asked) == MANY
    assert outgoing.by_state(asked, What.PACKET, State.DUE) == []


def test_a_handle_is_found_with_the_numbers_given_after_it(roster: Engine, coop: Settings) -> None:
    rows = [form(n, full_name="Pat Lee", handle=h) for n, h in enumerate(
        ("patlee", "patlee2", "patlee30", "patleeann", "PatLee4", "7", "pat2lee"))]  # fmt: skip
    adopt_members(office_of(coop, roster, ROBIN), rows, file="m.csv", keep=True)
    with store.transaction(roster, keep=False) as connection:
        assert search.handles(connection, ["patlee"]) == {
            "patlee",
            "patlee2",
            "patlee30",
            "patlee4",
        }
        assert search.handles(connection, ["7", "pat"]) == {"7"}
        assert search.handles(connection, []) == set()


@pytest.fixture
def waiting(roster: Engine, coop: Settings, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Seven rows on hold in the roster, which is asked for two at a time."""
    monkeypatch.setattr(search, "AT_ONCE", 2)
    given = ("Ana", "Bo", "Cy", "Dee", "Eli", "Flo", "Gus")
    rows = [
        form(n, **(PAT | {"full_name": f"{g} {g}son", "email": "", "phone": f"419-555-01{n:02}",
                          "street": f"{n}1 {g} St"}))
        for n, g in enumerate(given)
    ]  # fmt: skip
    process_batch(office_of(coop, roster, ROBIN), rows, file="f.csv", keep=True)
    return [row.key for row in rows]


def test_rows_on_hold_come_in_the_order_of_arrival(roster: Engine, waiting: list[str]) -> None:
    with store.transaction(roster, keep=False) as connection:
        assert [raw.key for raw in search.held(connection)] == waiting
        assert search.count_held(connection) == len(waiting)


def test_rows_on_hold_come_once_each_while_they_are_settled(
    roster: Engine, waiting: list[str]
) -> None:
    """Each is settled as soon as it is met, and the one that would be second from then too."""
    met = []
    with store.transaction(roster, keep=False) as connection:
        for raw in search.held(connection):
            met.append(raw.key)
            at = waiting.index(raw.key)
            gone = {raw.key, *waiting[at + 3 : at + 4]}
            connection.execute(
                update(tables.row).where(tables.row.c.key.in_(gone)).values(decision="drop")
            )
        assert search.count_held(connection) == 0
    assert met == sorted(set(met), key=waiting.index), "in order, none twice"
    assert met[:2] == waiting[:2]


def test_no_question_means_no_answer(roster: Engine) -> None:
    with store.transaction(roster, keep=False) as connection:
        for ask in (search.seen, search.raw_rows, search.rulings, search.apart,
                    search.last_questions, search.members_by_handle):  # fmt: skip
            assert ask(connection, ()) == {}
        assert list(search.held(connection)) == []
        assert outgoing.kept(connection) == set()


def test_a_crowd_is_told_by_how_many_share_a_key_not_by_how_many_spellings(roster: Engine) -> None:
    helped = [
        form(n, full_name=f"Pat Lee{chr(96 + n)}", email=f"p{n}@example.org", phone="419-555-0143",
             handle=f"pat{n}x")
        for n in range(2, 7)
    ]  # fmt: skip
    coop = settings.read(Path(__file__).parents[2] / "fixtures_demo" / "onboard.toml")
    adopt_members(office_of(coop, roster, ROBIN), helped, file="m.csv", keep=True)
    keys = ["p:4195550143", "e:p2@example.org", "no such key"]
    with store.transaction(roster, keep=False) as connection:
        assert search.crowds(connection, keys, 5) == {"p:4195550143"}
        assert search.crowds(connection, keys, 6) == search.crowds(connection, (), 1) == set()
        # The same by one question, whether few lines are found or more than are read at once.
        one, some = keys[1:2], [*keys, *(f"nobody's {n}" for n in range(9))]
        for wanted in (keys[:2], keys[:1], some):
            others, shared = search.sharing(connection, wanted, 5)
            assert shared == {"p:4195550143"}
            assert others == search.people(connection, set(wanted) & set(one))
        assert search.sharing(connection, keys, 6) == (search.people(connection, keys), set())
        assert search.sharing(connection, (), 1) == ([], set())
        connection.execute(update(tables.person).values(owner="member:1"))
        assert search.crowds(connection, keys, 2) == set()
