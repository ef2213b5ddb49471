"""Laws of changing and taking back, over changes in any order, on a real store."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest
from coop_forms import NOON, PAT, form, office_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine, event, select
from tidy.conftest import PEOPLE
from tidy.content import content

from onboard.intake.changes import Reviewed
from onboard.model import Change, PersonName, Signature
from onboard.reports.changes import HERE
from onboard.roster import index, store, tables, taking_back
from onboard.settings import Settings
from onboard.tasks import tidy as tidy_task
from onboard.tasks.correct_member import correct_member
from onboard.tasks.process_batch import process_batch
from onboard.tasks.tidy import tidy
from onboard.tasks.undo import undo

ROBIN = Signature("Robin", NOON)
QUICK = settings(
    max_examples=18, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip


COOP: list[Settings] = []
FOLDER: list[Path] = []
COUNT = count()


@pytest.fixture(autouse=True)
def _office(coop: Settings, tmp_path: Path) -> None:
    """A roster file with Pat Lee (1) and four others, their spellings, and packets that are due."""
    COOP[:], FOLDER[:] = [coop], [tmp_path]
    engine = store.open_store(f"sqlite:///{tmp_path / 'first.db'}")
    town = {"city": "Lima", "state": "OH", "zip": "45801", "site": "Lima Grange"}
    rows = [form(2, **PAT), *(form(n, **(who | town)) for n, who in enumerate(PEOPLE, 3))]
    process_batch(office_of(coop, engine, ROBIN), rows, file="forms.csv", keep=True)
    with store.transaction(engine) as connection:
        index.rebuild(connection)
    engine.dispose()


def fresh() -> Engine:
    """A copy of that roster, under a name that no example before had."""
    file = FOLDER[0] / f"roster-{next(COUNT)}.db"
    copyfile(FOLDER[0] / "first.db", file)
    return store.open_store(f"sqlite:///{file}")


MEMBERS = range(1, 6)
KIM_MOOR = PersonName("Kim", "A", "Moor")._asdict()
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "email": st.sampled_from(["", "a@example.org", "b@example.org"]),
    "phone": st.sampled_from(["", "tel:+14195550101", "tel:+14195550102"]),
    "site": st.sampled_from(["Lima Grange", "Athens Barn", ""]),
    "consent": st.sampled_from([None, True, False]),
    "address": st.sampled_from([["9 ELM ST", "LIMA OH 45801"], []]),
    "extras": st.sampled_from([{}, {"Needs": "a ramp"}]),
    "name": st.sampled_from([KIM_MOOR, KIM_MOOR | {"joint": [KIM_MOOR | {"given": "Ana"}]}]),
    "language": st.sampled_from(["en", "es"]),
    "confirmed": st.sampled_from([None, "2026-11-01", "2026-11-25"]),
    "standing": st.sampled_from(["open", "closed"]),
    "merged_into": st.sampled_from(list(MEMBERS)),
}
# What somebody approves: lines (member, field, value), some of one field twice.
LINE = st.sampled_from(sorted(VALUES)).flatmap(
    lambda field: st.tuples(st.sampled_from(MEMBERS), st.just(field), VALUES[field])
)
FILES = st.lists(st.lists(LINE, min_size=1, max_size=5), min_size=1, max_size=4)


def reviewed(engine: Engine, lines: Sequence[tuple[int, str, Any]]) -> list[Reviewed]:
    """The lines as an audit would write them today, all approved."""
    with store.transaction(engine, keep=False) as connection:
        members = {m.id: m._mapping for m in connection.execute(select(tables.member))}
    return [
        Reviewed(number, Change(member, field, members[member][field], value, "found so"), True)
        for number, (member, field, value) in enumerate(lines, 2)
    ]


def run(engine: Engine, lines: Sequence[Reviewed], keep: bool = True) -> tidy_task.TidyReport:
    return tidy(office_of(COOP[0], engine, ROBIN), lines, file="review.csv", keep=keep)


def numbers_in_force(engine: Engine) -> list[tuple[int, int]]:
    """The (number, line) of every change in force."""
    with store.transaction(engine, keep=False) as connection:
        return sorted(
            {
                (one.number, line)
                for one in taking_back.applied(connection)
                for line, _, in_force in taking_back.lines_of(connection, one.number)
                if in_force
            }
        )


@QUICK
@given(files=FILES, data=st.data())
def test_what_was_approved_and_taken_back_in_any_order_leaves_the_roster_as_it_was(
    files: list[list[tuple[int, str, Any]]], data: st.DataObject
) -> None:
    engine = fresh()
    before = content(engine)
    for lines in files:
        run(engine, reviewed(engine, lines))
        # Now and then something is taken back in between.
        if (in_force := numbers_in_force(engine)) and data.draw(st.booleans()):
            number, line = data.draw(st.sampled_from(in_force))
            undo(office_of(COOP[0], engine, ROBIN), number, lines=[line], keep=True)
        content(engine)  # its index is sound at every step
    while in_force := numbers_in_force(engine):
        # In any order; what cannot be taken back yet is left, and comes again.
        taken = 0
        for number, line in data.draw(st.permutations(in_force)):
            done = undo(office_of(COOP[0], engine, ROBIN), number, lines=[line], keep=True)
            taken += len(done.undone.taken)
        assert taken, "something can always be taken back"
    assert content(engine) == before
    engine.dispose()


# What the desk puts right: (member, field, as it was said, whether the handle follows).
CALLS = st.lists(
    st.tuples(
        st.sampled_from(MEMBERS),
        st.sampled_from(
            [
                ("name", "Kim Moor"),
                ("name", "PAT LEE-VALE"),
                ("email", "c@example.org"),
                ("phone", "419 555 0109"),
                ("address", "8 Ash St Apt 2, Athens OH 45701"),
                ("site", "Athens Barn"),
            ]
        ),
        st.booleans(),
    ),
    min_size=1,
    max_size=4,
)


@QUICK
@given(calls=CALLS, files=FILES, data=st.data())
def test_what_the_desk_and_files_changed_is_taken_back_in_any_order(
    calls: list[tuple[int, tuple[str, str], bool]],
    files: list[list[tuple[int, str, Any]]],
    data: st.DataObject,
) -> None:
    engine = fresh()
    before = content(engine)
    for work in data.draw(st.permutations([*calls, *files])):
        if isinstance(work, list):
            run(engine, reviewed(engine, work))
        else:
            member, (field, said), new_handle = work
            correct_member(office_of(COOP[0], engine, ROBIN), str(member), {field: said}, new_handle=new_handle, keep=True)  # fmt: skip
        content(engine)
    while in_force := numbers_in_force(engine):
        taken = 0
        for number, line in data.draw(st.permutations(in_force)):
            taken += len(
                undo(
                    office_of(COOP[0], engine, ROBIN), number, lines=[line], keep=True
                ).undone.taken
            )
        assert taken, "something can always be taken back"
    after = content(engine)
    assert set(before) <= set(after)
    # A handle once given is never given to anybody else, so it stays reserved.
    assert all(line.startswith('["handle"') for line in set(after) - set(before))
    engine.dispose()


@QUICK
@given(files=FILES)
def test_applying_a_file_twice_changes_nothing_the_second_time(
    files: list[list[tuple[int, str, Any]]],
) -> None:
    engine = fresh()
    for lines in files:
        # A file that says two things of one field of a member is not one anybody approves.
        once = list({(member, field): (member, field, v) for member, field, v in lines}.values())
        file = reviewed(engine, once)
        run(engine, file)
        after = content(engine)
        again = run(engine, file)
        assert (again.made, again.number) == ([], 0)
        assert content(engine) == after
    engine.dispose()


@QUICK
@given(lines=st.lists(LINE, min_size=1, max_size=5))
def test_looking_tells_what_recording_does_and_changes_nothing(
    lines: list[tuple[int, str, Any]],
) -> None:
    engine = fresh()
    before = content(engine)
    file = reviewed(engine, lines)
    looked = run(engine, file, keep=False)
    assert content(engine) == before
    done = run(engine, file)
    told = [(line, made) for line, made in done.made if made.field not in HERE]
    assert (told, done.left_out) == (looked.made, looked.left_out)
    assert looked.number == 0
    engine.dispose()


@QUICK
@given(lines=st.lists(LINE, min_size=2, max_size=6), data=st.data())
def test_a_crash_in_the_middle_changes_nothing(
    lines: list[tuple[int, str, Any]], data: st.DataObject
) -> None:
    engine = fresh()
    before = content(engine)
    file = reviewed(engine, lines)
    statements: list[str] = []

    def note(*args: Any) -> None:
        statements.append(args[2])

    def crash(*args: Any) -> None:
        statements.append(args[2])
        if len(statements) == at:
            raise ZeroDivisionError

    calm = fresh()
    event.listen(calm, "before_cursor_execute", note)
    run(calm, file)
    calm.dispose()
    at, statements[:] = data.draw(st.integers(1, len(statements))), []
    event.listen(engine, "before_cursor_execute", crash)
    with pytest.raises(ZeroDivisionError):
        run(engine, file)
    event.remove(engine, "before_cursor_execute", crash)
    assert content(engine) == before
    with store.transaction(engine, keep=False) as connection:
        assert taking_back.applied(connection) == []
    engine.dispose()
