"""Calls to come back to: about anything, open ones first, closed, opened again, handed over, undone."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cli.office import PAT, onboard, write_csv
from sqlalchemy import select

from onboard.office import open_office
from onboard.roster import store, tables
from onboard.tasks.calls import Ended, note_call

MONDAY = datetime(2026, 11, 23, 19, 15, tzinfo=UTC)  # 2:15 PM at the co-op


def note(office: Path, days: int, who: str = "patlee", **more: object) -> int:
    place = open_office(office / "onboard.toml", who="kim")
    when = MONDAY + timedelta(days=days)
    place = type(place)(place.settings, who="kim", now=lambda: when)
    said = {"causes": (), "ended": Ended.OPEN, "about": ["dates"], **more}
    return note_call(place, who, **said)  # type: ignore[arg-type]


def log(office: Path) -> list[tuple[str, str, object, object]]:
    """(who, what, before, after) of the change log about calls."""
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine, keep=False) as connection:
        entry = tables.journal.c
        query = select(entry.who, entry.what, entry.before, entry.after)
        lines = connection.execute(query.where(entry.what.contains("call ")).order_by(entry.id))
        return [tuple(line) for line in lines if line.what != "contact info shown"]


def test_open_calls_come_first_with_their_notes_the_oldest_first(office: Path) -> None:
    note(office, 3, "kimvale", about=["asked for a recipe"], note="try the host", hand_to="ana")
    note(office, 0, causes=["typed.email"], about=[], note="calls again")
    note(office, 1, ended=Ended.HELPED, about=["order"])
    said = onboard("calls")
    assert said.code == 0
    assert said.out.split("\n")[0].strip() == "2 open calls, the oldest first"
    first, second = (line for line in said.out.splitlines() if ", 2:15 PM" in line)
    assert " ".join(first.split()) == (
        "2 Nov 23, 2026, 2:15 PM Pat Lee (patlee) typed.email calls again kim"
    )
    assert " ".join(second.split()) == (
        "1 Nov 26, 2026, 2:15 PM Kim Vale (kimvale) asked for a recipe ana try the host kim"
    )
    assert "3 calls: 1 helped, 2 open." in said.out
    assert said.out.index("2 open calls") < said.out.index("3 calls: ")
    told = onboard("calls", "--json").json()
    assert [one.get("call") for one in told] == [2, 1, None, None, None, None]
    assert told[1] | {"at": ""} == {
        "call": 1, "at": "", "who": "kim", "about": "member:2", "owner": "member:2",
        "handle": "kimvale", "name": "Kim Vale", "site": "Lima Grange", "causes": ["about.other"],
        "words": "asked for a recipe", "ended": "open", "handed_to": "ana", "note": "try the host",
    }  # fmt: skip
    assert told[-1] == {"calls": 3, "ended": {"helped": 1, "open": 2}}


def test_open_calls_of_any_day_are_listed(office: Path) -> None:
    note(office, -700)
    assert "1 open call, the oldest first" in onboard("calls").out


@pytest.mark.parametrize(
    ("about", "causes", "words"),
    [
        (["dates"], ["about.dates"], ""), (["Order", "leaving"], ["about.leaving", "about.order"], ""),
        (["moves to Ohio", "order"], ["about.order", "about.other"], "moves to Ohio"),
    ],
)  # fmt: skip
def test_a_call_may_be_about_anything(
    office: Path, about: list[str], causes: list[str], words: str
) -> None:
    options = [word for one in about for word in ("--about", one)]
    said = onboard("call", "patlee", *options, "--ended", "open")
    assert (said.code, said.out) == (0, "Saved as call 1.\n")
    told = onboard("calls", "1", "--json").json()[0]
    assert (told["causes"], told["words"]) == (causes, words)
    assert onboard("calls").code == 0


def test_a_call_is_handed_over_closed_opened_and_undone(office: Path) -> None:
    note(office, 0)
    said = onboard("calls", "1", "--hand-to", "ana", "--by", "robin")
    assert "Call 1 (Pat Lee (patlee)) is open, and is with ana." in said.out
    assert "To undo it: onboard undo 1 --record --by robin" in said.out
    assert "is closed." in onboard("calls", "1", "--close", "--note", "told her", "--by", "ana").out
    assert onboard("calls").out.startswith("1 call: 1 helped.")
    assert "is open, and is with lou." in onboard("calls", "1", "--reopen", "--hand-to", "lou").out
    handed = [
        (who, what, before["call 1"]["handed_to"], after["call 1"]["handed_to"])
        for who, what, before, after in log(office)
        if what == "call handed over"
    ]
    assert handed[0] == ("robin", "call handed over", "", "ana")
    assert handed[1][2:] == ("ana", "lou")
    refused = onboard("undo", "2", "--record")
    assert "was changed again later, under number 3. Undo that first." in refused.words
    assert onboard("undo", "3", "--record").code == 0
    assert onboard("calls", "1", "--json").json()[0]["ended"] == "helped"
    said = onboard("undo", "2", "--record")
    assert "The ordering page" not in said.words
    told = onboard("calls", "1", "--json").json()[0]
    assert (told["ended"], told["handed_to"], told["note"]) == ("open", "ana", "")


def test_a_call_about_a_form_on_hold_is_settled_too_and_becomes_the_members(office: Path) -> None:
    write_csv(office / "more.csv", [("Nora Quist", "", "419-555-0166", "3 Oak Ave", *PAT[4:])])
    onboard("batch", "more.csv", "--record")
    (key,) = re.findall(r"onboard answer (\w{6}) wait", onboard("answer").out)
    assert onboard("call", f"row:{key}", "--about", "dates", "--ended", "open").code == 0
    assert "Nora Quist (on hold, row " in onboard("calls").out
    said = onboard("calls", "1", "--close")
    assert "To change it again: onboard calls 1 --reopen" in said.out
    assert onboard("calls", "1", "--reopen").code == 0
    onboard("answer", key, "enroll", "--why", "asked")
    assert "Nora Quist (noraquist)" in onboard("calls").out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("calls", "9"), "There is no call 9. To see the open calls: onboard calls"),
        (("calls", "9" * 30), "There is no call 9"),
        (("calls", "--close"), "Say which call, by its number"),
        (("calls", "1", "--reopen"), "Call 1 is open already."),
        (("calls", "1", "--close", "--reopen"), "Leave one of them out."),
        (("calls", "2", "--close"), "Call 2 is closed already."),
        (("calls", "2", "--hand-to", "ana maria"), "onboard calls 2 --reopen --hand-to 'ana maria'"),
        (("calls", "1", "--note", "her password is Tulip42!"), "seems to hold a password"),
        (("call", "patlee", "--about", "password Tulip42!", "--ended", "open"), "seems to hold a password"),
        (("call", "patlee", "--about", "order", "--ended", "helped", "--hand-to", "ana"),
         "A call that is handed to somebody is still open."),
        (("call", "patlee", "--ended", "helped"), "Say what it was about: --cause CODE"),
    ],
)  # fmt: skip
def test_what_cannot_be_says_why_and_changes_nothing(
    office: Path, words: tuple[str, ...], told: str
) -> None:
    note(office, 0)
    note(office, 0, ended=Ended.HELPED)
    before = log(office)
    said = onboard(*words)
    assert said.code == 2
    assert told in said.words
    assert log(office) == before


def test_only_those_whom_the_settings_name_see_or_settle_a_call(office: Path) -> None:
    note(office, 0, note="about her order")
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace("[desk]", '[desk]\nmay_look_up = ["robin"]'))
    for words in (("calls",), ("calls", "1"), ("calls", "1", "--close")):
        said = onboard(*words, "--by", "lou")
        assert said.code == 2
        assert "her order" not in said.out + said.err


def test_forgetting_takes_the_words_of_a_call_and_disclosing_tells_them(office: Path) -> None:
    note(office, 0, about=["moves in with Rosa"], note="calls at noon", hand_to="anabel")
    note(office, 0, "kimvale", about=["spoke of Pat Lee"])
    onboard("calls", "1", "--hand-to", "louise")
    onboard("disclose", "patlee", "--to", "all.json")
    told = (office / "all.json").read_text()
    assert "moves in with Rosa" in told
    assert "louise" not in told
    assert "anabel" not in told
    assert onboard("forget", "patlee", "--record").code in (0, 1)
    listed = onboard("calls", "--json").json()
    assert [one["words"] for one in listed if "call" in one] == ["spoke of [deleted member]"]
    assert listed[-1]["ended"] == {"helped": 1, "open": 1}
    for file in (office / "roster.db", office / "roster.db-wal"):
        if file.exists():
            assert b"Rosa" not in file.read_bytes()
            assert b"louise" not in file.read_bytes()


def test_what_was_noted_in_words_is_told_in_words_with_how_often(office: Path) -> None:
    for days in range(2):
        note(office, days, about=["wants a bigger site"], ended=Ended.HELPED)
    for number in range(6):
        note(office, number, about=[f"recipe {number}"], ended=Ended.HELPED)
    said = onboard("calls", "--since", "2026-11-01", "--until", "2026-12-31")
    line = next(line for line in said.out.splitlines() if "about.other" in line)
    assert "In your words: wants a bigger site 2, recipe 0 1" in " ".join(line.split())
    assert "and 2 more" in " ".join(said.out.split())
    told = onboard("calls", "--json").json()
    (other,) = (one for one in told if one.get("cause") == "about.other")
    assert other["in_words"][0] == ["wants a bigger site", 2]
