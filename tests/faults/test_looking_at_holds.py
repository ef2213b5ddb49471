"""A look at the forms on hold is told by reading: it waits for nobody, and says what trying it would."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from coop_forms import PAT, ROBIN, contents, form, office_of
from sqlalchemy import Engine, update

from onboard.model import Answer, RawRow, Ruling, SameAs
from onboard.office import Office
from onboard.roster import record, sqlite_file, store, tables
from onboard.settings import Settings
from onboard.tasks import process_batch as batches
from onboard.tasks import said_dead
from onboard.tasks.answer_form import form_on_hold, forms_on_hold
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import look_at_holds, process_batch

TWINS = ("Ines Calder", "Tobias Wren", "Ottilie Marsh")


def rows() -> Iterator[RawRow]:
    """Two forms of each: the second could be of the same person, and waits for an answer."""
    for at, name in enumerate(TWINS):
        for twin, street in enumerate(("Fir St", "Elm St")):
            said = {"full_name": name, "email": f"{twin}{at}@example.org", "street": f"{at + 9} {street}"}  # fmt: skip
            yield form(2 * at + twin + 2, **PAT | said | {"phone": f"419-555-01{2 * at + twin:02}"})


def on_hold(coop: Settings, engine: Engine) -> Office:
    """An office with three forms on hold."""
    office = office_of(coop, engine)
    process_batch(office, list(rows()), file="forms.csv", keep=True)
    assert len(forms_on_hold(office)) == len(TWINS)
    return office


def tried(office: Office, only: str = "") -> dict[str, Outcome]:
    """What comes of it in a transaction that is taken back."""
    found: dict[str, Outcome] = {}
    process_batch(
        office, (), file="", keep=False, only=only,
        tell=lambda one: found.update({one.decision.applicant.raw.key: one}),
    )  # fmt: skip
    return found


def see_that_both_say_the_same(office: Office) -> dict[str, Outcome]:
    """What is told by reading, once it is seen that it is what trying tells, of all and of each."""
    before = contents(office.to_look())
    told = look_at_holds(office)
    assert told == tried(office)
    for key in told:
        assert look_at_holds(office, key) == tried(office, key)
    assert contents(office.to_look()) == before
    return told


@pytest.fixture
def both(roster: Engine, tmp_path: Path) -> Iterator[tuple[Engine, Engine]]:
    """A roster that two have open: a file, or on a server."""
    at_server = roster.dialect.name == "postgresql"
    url = roster.url if at_server else f"sqlite:///{tmp_path / 'roster.db'}"
    said = url if isinstance(url, str) else url.render_as_string(hide_password=False)
    two = store.open_store(said), store.open_store(said)
    yield two
    for engine in two:
        engine.dispose()


def test_it_waits_for_nobody_who_writes_and_copies_nothing(
    coop: Settings, both: tuple[Engine, Engine], monkeypatch: pytest.MonkeyPatch
) -> None:
    writing, looking = both
    office = on_hold(coop, looking)
    keys = [one.applicant.raw.key for one in forms_on_hold(office)]
    monkeypatch.setattr(store, "TURN", 0.1)
    monkeypatch.setattr(store, "A_BATCH", 0.1)
    monkeypatch.setattr(sqlite_file, "copy_of", None)
    with store.transaction(writing) as connection:
        connection.execute(update(tables.row).values(line=7))
        assert [one.applicant.raw.key for one in forms_on_hold(office)] == keys
        for key in keys:
            assert form_on_hold(office, key).applicant.raw.key == key


def test_nor_does_anybody_who_writes_wait_for_it(
    coop: Settings, both: tuple[Engine, Engine], monkeypatch: pytest.MonkeyPatch
) -> None:
    writing, looking = both
    office = on_hold(coop, looking)
    monkeypatch.setattr(store, "TURN", 0.1)
    wrote = []

    def write(*_: object) -> dict[str, object]:
        with store.transaction(writing) as connection:
            connection.execute(update(tables.row).values(line=7))
        wrote.append(True)
        return {}

    monkeypatch.setattr(said_dead, "remarks", write)  # while it is being told
    assert len(forms_on_hold(office)) == len(TWINS)
    assert wrote


def test_forms_that_are_as_they_were(coop: Settings, roster: Engine) -> None:
    told = see_that_both_say_the_same(on_hold(coop, roster))
    assert len(told) == len(TWINS)


def test_forms_that_would_be_asked_otherwise(coop: Settings, roster: Engine) -> None:
    office = on_hold(coop, roster)
    with store.transaction(roster) as connection:  # as an earlier program asked
        connection.execute(update(tables.decision).values(questions=[["match", "Who?", []]]))
    told = see_that_both_say_the_same(office)
    assert len(told) == len(TWINS)


@pytest.mark.parametrize("at_once", [1, 500])
def test_forms_that_would_be_settled(
    coop: Settings, roster: Engine, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    office = on_hold(coop, roster)
    holds = forms_on_hold(office)
    with store.transaction(roster) as connection:  # ruled on, and not judged since
        whose = holds[0].matches[0].person.owner
        rulings = (
            Ruling(holds[0].applicant.raw.key, Answer.SAME, "Robin", "", whose),
            Ruling(holds[1].applicant.raw.key, Answer.ENROL, "Robin", ""),
        )
        record.rulings(connection, rulings, ROBIN)
    monkeypatch.setattr(batches, "AT_ONCE", at_once)
    told = look_at_holds(office)
    assert {key: one.decision for key, one in told.items()} == {
        key: one.decision for key, one in tried(office).items()
    }
    assert isinstance(told[holds[0].applicant.raw.key].decision, SameAs)
    assert [one.applicant.raw.key for one in forms_on_hold(office)] == [holds[2].applicant.raw.key]
