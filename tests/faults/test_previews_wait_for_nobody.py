"""A preview records nothing: it waits for nobody who writes, and nobody who writes waits for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Thread
from time import monotonic, sleep
from typing import Any

import pytest
from coop_forms import PAT, contents, form, office_of
from sqlalchemy import Connection, Engine, func, select, text, update
from sqlalchemy.exc import IntegrityError

from onboard.errors import StoreBusy
from onboard.model import Answer, Enrol, RawRow, Ruling
from onboard.office import Office
from onboard.reports.decisions import Seen
from onboard.roster import store, tables
from onboard.roster.bulk import insert
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.answer_form import answer_form, forms_on_hold
from onboard.tasks.enroll_batch import Watch, enroll_batch
from onboard.tasks.forget_member import forget_member
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import process_batch

NAMES = ("Ines Calder", "Tobias Wren", "Ottilie Marsh")
NEW = ("Wanda Pike", "Amos Teel", "Ines Calder-Ruiz")


def rows(names: tuple[str, ...], first: int) -> list[RawRow]:
    return [
        form(at, **PAT | {"full_name": name, "email": f"{name.split()[0].lower()}{at}@example.org", "phone": f"419-555-01{at:02}"})
        for at, name in enumerate(names, first)
    ]  # fmt: skip


def listed_rows() -> list[RawRow]:
    return [
        form(at, handle=name.replace(" ", "").lower(), **one.fields)
        for at, (name, one) in enumerate(zip(("Hal Boone", "Jo Ames"), rows(("Hal Boone", "Jo Ames"), 60), strict=True), 2)
    ]  # fmt: skip


def batch(office: Office, *, keep: bool, progress: Any = None) -> Any:
    told: list[Outcome] = []
    sums = process_batch(
        office, rows(NEW, 40), file="new.csv", keep=keep, tell=told.append, progress=progress or (lambda done: None)
    )  # fmt: skip
    found = [
        (type(one.decision), one.owner, one.decision.handle.text if isinstance(one.decision, Enrol) else "")
        for one in told
    ]  # fmt: skip
    return sums, found


def adopt(office: Office, *, keep: bool) -> Any:
    return adopt_members(office, listed_rows(), file="old.csv", keep=keep, with_new_names=True)


def forget(office: Office, *, keep: bool) -> Any:
    done = forget_member(office, "ottiliemarsh", keep=keep)
    return done.handles, done.numbers, done.removed, done.masked, done.left


def answers(office: Office, *, keep: bool) -> Any:
    """A batch that brings an answer along."""
    held = forms_on_hold(office)[0].applicant.raw.key
    ruling = Ruling(held, Answer.ENROL, "Robin", "They said so")
    return process_batch(office, (), file="", keep=keep, rulings=[ruling])


TRIED: tuple[Callable[..., Any], ...] = (batch, adopt, forget, answers)


@pytest.fixture
def both(roster: Engine, tmp_path: Path, coop: Settings) -> Iterator[tuple[Engine, Engine]]:
    """A roster with a few members and a form on hold that two have open: a file, or on a server."""
    at_server = roster.dialect.name == "postgresql"
    url = roster.url if at_server else f"sqlite:///{tmp_path / 'roster.db'}"
    said = url if isinstance(url, str) else url.render_as_string(hide_password=False)
    two = store.open_store(said), store.open_store(said)
    office = office_of(coop, two[0])
    process_batch(office, rows(NAMES, 2), file="forms.csv", keep=True)
    again = form(
        9,
        **rows(NAMES, 2)[0].fields
        | {"email": "other@example.org", "street": "9 Fir St", "phone": "419-555-0177"},
    )
    process_batch(office, [again], file="forms.csv", keep=True)
    assert len(forms_on_hold(office)) == 1
    yield two
    for engine in two:
        engine.dispose()


@pytest.mark.parametrize("tried", TRIED, ids=lambda one: one.__name__)
def test_a_preview_goes_on_beside_somebody_who_writes_all_of_it(
    coop: Settings,
    both: tuple[Engine, Engine],
    tried: Callable[..., Any],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    writing, looking = both
    office = office_of(coop, looking)
    for _ in range(7):  # until the driver has had the server plan its questions
        forms_on_hold(office)
        process_batch(office, (), file="", keep=False)
    before = contents(looking)
    monkeypatch.setattr(store, "TURN", 0.1)
    monkeypatch.setattr(store, "A_BATCH", 0.1)
    with store.transaction(writing) as connection:
        process_batch_within(connection, coop)
        told = tried(office, keep=False)
        assert contents(looking) == before
        connection.rollback()
    assert contents(looking) == before
    assert told == tried(office, keep=True)
    assert contents(looking) != before


def process_batch_within(connection: Any, coop: Settings) -> None:
    """What a batch holds while it is saved: lines of all members and forms, and new ones."""
    for table in (tables.member, tables.row, tables.person, tables.outgoing, tables.journal):
        key = next(iter(table.primary_key))
        connection.execute(update(table).values({key.name: key}))
    for name in ("wandapike", "halboone", "joames"):
        connection.execute(
            tables.handle.insert().values(text=name, base=name, member_id=None)
        )  # fmt: skip


def test_nobody_who_writes_waits_for_a_preview(
    coop: Settings, both: tuple[Engine, Engine], monkeypatch: pytest.MonkeyPatch
) -> None:
    writing, looking = both
    monkeypatch.setattr(store, "TURN", 0.1)
    monkeypatch.setattr(store, "A_BATCH", 0.1)
    wrote = []

    def meanwhile(done: int) -> None:
        if not wrote:
            wrote.append(batch(office_of(coop, writing), keep=True))

    told = batch(office_of(coop, looking), keep=False, progress=meanwhile)
    assert wrote == [told]


def test_the_copies_are_gone_afterward(coop: Settings, both: tuple[Engine, Engine]) -> None:
    _, looking = both
    if looking.dialect.name != "postgresql":
        pytest.skip("a file is copied as a whole")
    batch(office_of(coop, looking), keep=False)
    with looking.connect() as connection:
        of_ours = "SELECT count(*) FROM pg_class WHERE relpersistence = 't'"
        assert connection.execute(text(of_ours)).scalar_one() == 0
        made = "SELECT count(*) FROM pg_proc WHERE proname LIKE 'add_to_%'"
        assert connection.execute(text(made)).scalar_one() == 0
        assert connection.connection.driver_connection.prepare_threshold  # type: ignore[union-attr]


def test_whoever_answers_a_form_does_not_wait_as_long_as_a_batch_does(
    coop: Settings, both: tuple[Engine, Engine], monkeypatch: pytest.MonkeyPatch
) -> None:
    writing, looking = both
    if looking.dialect.name != "postgresql":
        pytest.skip("a file knows one wait for all")
    office = office_of(coop, looking)
    key = forms_on_hold(office)[0].applicant.raw.key
    monkeypatch.setattr(store, "TURN", 0.1)
    monkeypatch.setattr(store, "A_BATCH", 4.0)
    began = monotonic()
    with store.transaction(writing):
        with pytest.raises(StoreBusy):
            answer_form(office, key, "enroll", why="They said so")
    assert monotonic() - began < 4.0
    with store.reading(looking) as connection:
        assert not connection.execute(select(tables.ruling)).all()


def test_the_packets_of_a_batch_wait_for_their_turn_as_long_as_the_batch(
    coop: Settings,
    both: tuple[Engine, Engine],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Another program saves between the batch and its packets, as a second batch does."""
    writing, looking = both
    if looking.dialect.name != "postgresql":
        pytest.skip("a file knows one wait for all")
    monkeypatch.setattr(store, "TURN", 0.1)
    has_turn = Event()

    def save() -> None:
        with store.transaction(writing, wait=60.0):
            has_turn.set()
            sleep(1)

    other = Thread(target=save)

    @contextmanager
    def bar(what: str, total: int | None) -> Iterator[Callable[[int], None]]:
        if what == "Packets":
            other.start()
            assert has_turn.wait(60)
        yield lambda done: None

    office = office_of(coop, looking)
    seen = Seen(tmp_path / "forms.csv")
    done = enroll_batch(office, rows(("Cleo Dorn",), 20), seen, keep=True, watch=Watch(bar=bar))
    other.join()
    assert done.packets


def _kind(connection: Connection, name: str) -> str:
    """What the name stands for within this transaction: "r" a table, "v" a view (PostgreSQL, pg_class)."""
    query = text("SELECT relkind::text FROM pg_class WHERE oid = to_regclass(:name)")
    return str(connection.execute(query, {"name": name}).scalar_one())


def test_a_table_is_copied_only_once_lines_of_it_change(both: tuple[Engine, Engine]) -> None:
    _, looking = both
    if looking.dialect.name != "postgresql":
        pytest.skip("a file is copied as a whole")
    call, many = tables.call, select(func.count()).select_from(tables.call)
    line = {
        "at": "2026-12-02T12:00:00Z", "who": "Robin", "about": "member:1", "site": "", "ended": "open", "note": "",
    }  # fmt: skip
    with looking.begin() as connection:
        connection.execute(call.insert().values(line))
    with store.transaction(looking, keep=False) as connection:
        insert(connection, call, [line | {"who": "Lou"}] * 2)  # numbered, and "words" left out
        assert _kind(connection, "call") == "v"
        found = connection.execute(
            select(call.c.id, call.c.who, call.c.words).order_by(call.c.id)
        ).all()
        assert [(one.who, one.words) for one in found] == [("Robin", ""), ("Lou", ""), ("Lou", "")]
        assert len({one.id for one in found}) == 3
        connection.execute(call.update().where(call.c.id == found[1].id).values(words="rent"))
        assert _kind(connection, "call") == "r"
        connection.execute(call.delete().where(call.c.who == "Robin"))
        insert(connection, call, [line | {"who": "Sam"}])
        said = connection.execute(select(call.c.who, call.c.words).order_by(call.c.id)).all()
        assert [tuple(one) for one in said] == [("Lou", "rent"), ("Lou", ""), ("Sam", "")]
        with pytest.raises(IntegrityError), connection.begin_nested():
            insert(connection, call, [line | {"id": found[1].id}])
    with looking.connect() as connection:
        assert connection.execute(many).scalar_one() == 1


def test_lines_that_are_held_are_held_in_a_copy(both: tuple[Engine, Engine]) -> None:
    writing, looking = both
    if looking.dialect.name != "postgresql":
        pytest.skip("a file is copied as a whole")
    held = select(tables.member.c.id).with_for_update()
    with writing.begin() as theirs:
        theirs.execute(held)
        with store.transaction(looking, keep=False) as connection:
            assert len(connection.execute(held).all()) == len(NAMES)
            assert _kind(connection, "member") == "r"
