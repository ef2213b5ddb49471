"""Another program wrote into the roster: what is no member is told, and whose it is."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from cli.office import onboard

REMEDY = (
    "Put back your last copy of the roster, or have somebody put this value right who knows databases. "
    "Nothing was changed."
)


def spoil(column: str, text: str) -> None:
    with sqlite3.connect("roster.db") as raw:
        raw.execute(f"UPDATE member SET {column} = ? WHERE id = 2", (text,))
    raw.close()


READ_MEMBERS = (
    ("find", "Kim Vale"), ("why", "kimvale", "--member", "2"), ("audit", "--to", "audit"),
    ("export", "accounts.csv"), ("disclose", "2", "--to", "copy.json"), ("merge", "1", "2"),
    ("correct", "2", "--phone", "419-555-0144"), ("forget", "2"),
    ("packets", "--again", "kimvale"),
)  # fmt: skip


@pytest.mark.parametrize("words", READ_MEMBERS, ids=lambda words: words[0])
@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Kim Vale", "What the roster holds as name of member 2 is not JSON."),
        ("[" * 3000, "What the roster holds as name of member 2 is not JSON."),
        ('{"foo": 1}', "What the roster holds as name of member 2 cannot be that."),
        ('["Kim"]', "What the roster holds as name of member 2 cannot be that."),
        ('{"given": 7}', "What the roster holds as name of member 2 cannot be that."),
        ("null", "What the roster holds as name of member 2 cannot be that."),
    ],
)
def test_a_name_that_is_none(office: Path, words: tuple[str, ...], text: str, told: str) -> None:
    spoil("name", text)
    said = onboard(*words)
    assert said.code == 2, said.words
    assert f"{told} {REMEDY}" in said.err


@pytest.mark.parametrize(
    ("column", "text"), [("address", '{"a": 1'), ("handle_steps", "x"), ("extras", "[")]
)
def test_another_value_that_is_not_json(office: Path, column: str, text: str) -> None:
    spoil(column, text)
    said = onboard("export", "accounts.csv")
    assert said.code == 2
    assert f"What the roster holds as {column} of member 2 is not JSON. {REMEDY}" in said.err


@pytest.mark.parametrize(("column", "text"), [("joined", "once"), ("standing", "asleep")])
def test_another_value_that_cannot_be(office: Path, column: str, text: str) -> None:
    spoil(column, text)
    said = onboard("export", "accounts.csv")
    assert said.code == 2
    assert f"of member 2 cannot be that. {REMEDY}" in said.err
