"""A roster moved from a file to a server and back is equal to the last letter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from cli.office import onboard
from coop_forms import form, office_of
from sqlalchemy import create_engine, select, text

from onboard.errors import StoreTrouble
from onboard.roster import copying, store, tables
from onboard.settings import DeskRule, Settings
from onboard.tasks.correct_member import correct_member
from onboard.tasks.move_roster import move_roster
from onboard.tasks.process_batch import process_batch
from onboard.tasks.write_packets import write_packets


@pytest.fixture
def database(server: str) -> Iterator[str]:
    """An address in a database of its own."""
    admin = create_engine(server, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text("CREATE DATABASE moved"))
    yield server.replace("/postgres?", "/moved?")
    with admin.connect() as connection:
        connection.execute(text("DROP DATABASE moved WITH (FORCE)"))
    admin.dispose()


NAMES = (
    "José Ångström",
    "Zoë O'Neil",
    "ana quill",
    "Ana Quill",
    "李 小龍",
    "Bo Back\\slash",
    "Tab\tNew\nLine",
    "_x",
)


@pytest.fixture
def file(coop: Settings, tmp_path: Path) -> Path:
    """A roster with something in most of its tables."""
    file = tmp_path / "roster.db"
    engine = store.open_store(f"sqlite:///{file}")
    rows = [
        form(at, full_name=name, email=f"p{at}@example.org" if at % 2 else "", phone="419-555-0143",
             street=f"{at} Elm St", city="Lima", state="OH", zip="45801", site="Lima Grange",
             comments=None if at == 3 else "\u2028 ☃ \\N")
        for at, name in enumerate(NAMES, start=2)
        if name != "_x"
    ]  # fmt: skip
    rows = [one for one in rows if one]
    settings = replace(coop, desk=DeskRule(may_reissue=("Robin",)))
    office = office_of(settings, engine)
    process_batch(office, rows, file="forms ☃.csv", keep=True)
    write_packets(office)
    with store.reading(engine) as connection:
        member = connection.execute(select(tables.member.c.handle)).scalars().first()
    correct_member(office, str(member), {"phone": "419-555-0177"}, keep=True)
    engine.dispose()
    return file


def dump(url: str) -> list[str]:
    engine = store.open_store(url, to_write=False)
    with store.reading(engine) as connection:
        found = list(copying.lines(connection))
    engine.dispose()
    return found


def test_there_and_back_is_equal(file: Path, database: str, tmp_path: Path, coop: Settings) -> None:
    before = dump(f"sqlite:///{file}")
    assert len({line.split('"')[1] for line in before}) > 10  # tables
    moved = move_roster(str(file), database)
    assert dump(database) == before
    assert moved.rows == len(before)
    back = tmp_path / "back.db"
    assert move_roster(database, str(back)).digest == moved.digest
    assert dump(f"sqlite:///{back}") == before
    assert dump(f"sqlite:///{file}") == before
    # and both go on: a batch more comes to the same
    more = [form(40, full_name="Ira Vale", email="ira@example.org", street="9 Oak St", zip="45801")]
    for url in (database, f"sqlite:///{back}"):
        engine = store.open_store(url)
        process_batch(office_of(coop, engine), more, file="more.csv", keep=True)
        engine.dispose()
    assert dump(database) == dump(f"sqlite:///{back}")


def test_what_holds_something_is_not_written_over(
    file: Path, database: str, tmp_path: Path
) -> None:
    move_roster(str(file), database)
    held = dump(database)
    other = tmp_path / "other.db"
    store.open_store(f"sqlite:///{other}").dispose()
    with pytest.raises(StoreTrouble, match="is not empty"):
        move_roster(str(other), database)
    assert dump(database) == held
    with pytest.raises(StoreTrouble, match="the same roster"):
        move_roster(database, database)


def test_the_command_says_what_it_did_and_no_secret(file: Path, database: str) -> None:
    url = database.replace("@/", ":Tw0-Words@/")  # the server trusts whoever is on this machine
    said = onboard("move-roster", str(file), url)
    assert said.code == 0, said.err
    assert "Both are equal" in said.words
    assert "Tw0-Words" not in said.words


def test_a_roster_that_is_not_there_is_told(tmp_path: Path) -> None:
    said = onboard("move-roster", str(tmp_path / "none.db"), str(tmp_path / "new.db"))
    assert said.code == 2
    assert "There is no roster at" in said.words
    assert list(tmp_path.glob("*.db")) == []
