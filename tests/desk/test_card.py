"""What is at hand for whoever helps a member: who sees the contact info on file, and whose it is besides."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from cli.office import PAT, onboard, write_csv
from desk.roster_seen import journaled
from sqlalchemy import Engine, event, select

from onboard.office import open_office
from onboard.roster import store, tables
from onboard.tasks.look_up import look_up
from onboard.tasks.open_card import Tried, open_card

PHONE, EMAIL = "(419) 555-0143", "pat.lee@example.org"
HELP = (
    ("find", "Pat Lee 0143"),
    ("why", "Patlee", "--member", "1"),
    ("why", "--member", "patlee", "--say", "text"),
    ("reissue", "patlee"),
)


def shown_to(office: Path) -> list[tuple[str, str, object]]:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine, keep=False) as connection:
        entry = tables.journal.c
        query = select(entry.who, entry.about, entry.after).where(
            entry.what == "contact info shown"
        )
        return [tuple(line) for line in connection.execute(query.order_by(entry.id))]


@pytest.mark.parametrize("words", HELP, ids=" ".join)
def test_whoever_may_reissue_sees_where_to_call_back_and_the_log_says_so(
    office: Path, words: tuple[str, ...]
) -> None:
    said = onboard(*words, "--by", "robin")
    assert f"Call back: {PHONE}." in said.out
    assert f"Email on file: {EMAIL}." in said.out
    assert shown_to(office) == [("robin", "member:1", {"shown": ["phone", "email"]})]
    told = onboard(*words, "--by", "robin", "--json").json()[0]["call_back"]
    assert [(one["check"], one["contact"]) for one in told] == [
        ("call-back", "tel:+14195550143"),
        ("mail", EMAIL),
    ]
    assert len(shown_to(office)) == 2


@pytest.mark.parametrize("more", [(), ("--json",)])
@pytest.mark.parametrize("words", HELP, ids=" ".join)
def test_whoever_may_not_sees_nothing_of_it(
    office: Path, words: tuple[str, ...], more: tuple[str, ...]
) -> None:
    said = onboard(*words, *more, "--by", "lou")
    everything = said.out + said.err
    assert not [
        part for part in ("0143)", "555-0143", "+1419", EMAIL, "call_back") if part in everything
    ]
    assert shown_to(office) == []


def test_without_the_right_one_is_told_who_has_it(office: Path) -> None:
    said = onboard("why", "patlee", "--by", "lou")
    assert "The phone and email on file are shown to: robin." in said.out


def test_the_check_given_nothing_more_is_shown(office: Path) -> None:
    said = onboard("reissue", "patlee", "--checked", "call-back", "--by", "robin")
    assert PHONE not in said.out
    assert shown_to(office) == []


def test_a_shared_number_is_named_as_such(office: Path) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace(
        'host = "Robin Vale"', 'host = "Robin Vale"\nhost_phone = "419.555.0143"'
    ))  # fmt: skip
    write_csv(office / "more.csv", [("Ana Soto", "ana@example.org", *PAT[2:])])
    onboard("batch", "more.csv", "--record")
    said = onboard("why", "patlee", "--by", "robin")
    assert (
        f"Call back: {PHONE}. This phone is also the site host's (Lima Grange) and Ana Soto's, so "
        "somebody else may answer."
    ) in said.out
    assert f"Email on file: {EMAIL}.\n" in said.out
    told = onboard("why", "patlee", "--by", "robin", "--json").json()[0]["call_back"]
    assert told[0]["shared_with"] == [{"host_of": "Lima Grange"}, "member:3"]


def test_a_household_with_one_mailbox_is_named(office: Path) -> None:
    write_csv(office / "more.csv", [("Ana Soto", "Pat.Lee@Example.org", "419-555-0111", *PAT[3:])])
    onboard("batch", "more.csv", "--record")
    onboard("answer")
    engine = sqlite3.connect(office / "roster.db")
    assert engine.execute("SELECT count(*) FROM member").fetchone()[0] == 3
    said = onboard("find", "pat lee 0143", "--by", "robin")
    assert f"Email on file: {EMAIL}. This email address is also Ana Soto's, so" in said.out


def test_a_number_changed_a_short_time_ago_is_said_to_prove_nothing(office: Path) -> None:
    onboard("correct", "1", "--phone", "419-555-0190", "--record")
    said = onboard("reissue", "patlee", "--by", "robin")
    assert "Call back: (419) 555-0190. It changed on " in said.out
    assert "so it proves nothing before" in said.out


def test_what_cannot_be_logged_is_not_shown(office: Path) -> None:
    other = sqlite3.connect(office / "roster.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        said = onboard("why", "Patlee", "--member", "1", "--by", "robin")
        assert said.code == 0
        assert "“P” is a capital." in said.words
        assert "are not shown: the change log must say who saw them" in said.words
        assert PHONE not in said.out
        assert "call_back" not in onboard("why", "patlee", "--by", "robin", "--json").out
    finally:
        other.close()


def test_a_member_sees_in_the_disclosure_when_it_was_shown(office: Path) -> None:
    onboard("why", "patlee", "--by", "robin")
    assert journaled(office)[-1] == "contact info shown"
    onboard("disclose", "patlee", "--to", "all.json")
    log = json.loads((office / "all.json").read_text())["journal"]["lines"]
    assert [line["after"] for line in log if line["what"] == "contact info shown"]


@pytest.mark.parametrize("words", HELP, ids=" ".join)
def test_notes_are_shown_where_a_member_is_helped(office: Path, words: tuple[str, ...]) -> None:
    write_csv(
        office / "old.csv",
        [("Zita Quill", "zitaquill", "zita@example.net", "Calls are for her daughter")],
        headings=("Full name", "Handle", "Email", "Notes"),
    )
    onboard("adopt", "old.csv", "--record")
    asked = [
        {"patlee": "zitaquill", "1": "3", "Pat Lee 0143": "Zita Quill"}.get(w, w) for w in words
    ]
    said = onboard(*asked, "--by", "robin")
    assert "Notes: Calls are for her daughter" in said.out
    told = onboard(*asked, "--by", "robin", "--json").json()[0]
    assert told["member_notes"] == "Calls are for her daughter"
    assert isinstance(told.get("notes", []), list)  # what the search has to say keeps its place


def test_screens_speak_as_people_do_and_programs_get_the_machine_forms(office: Path) -> None:
    said = onboard("correct", "1", "--phone", "614-555-0190", "--record", "--by", "robin")
    assert "phone (419) 555-0143 (614) 555-0190" in said.words
    assert "tel:" not in said.out
    assert re.search(r" [A-Z][a-z]{2} \d{1,2}, 2\d{3}, \d{1,2}:\d\d [AP]M ", onboard("undo").words)
    assert "phone (614) 555-0190 (419) 555-0143" in onboard("undo", "1").words
    told = onboard("undo", "1", "--json").json()[0]
    assert (told["before"], told["after"]) == ("tel:+14195550143", "tel:+16145550190")


def test_a_packet_that_is_held_has_a_line_that_names_the_member(office: Path) -> None:
    for who, email in (("patlee", "a@example.org"), ("kimvale", "b@example.org")):
        onboard("correct", who, "--email", email, "--record")
    said = onboard("packets").out
    assert "  onboard reissue kimvale --checked call-back --record\n" in said
    assert "  onboard reissue patlee --checked call-back --record\n" in said
    assert "MEMBER" not in said


@pytest.mark.parametrize("email", ["pat.lee@gmail.con", "test@test.com"])
def test_a_doubted_email_is_no_check(office: Path, email: str) -> None:
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE member SET email = ? WHERE id = 1", (email,))
    told = onboard("find", "Pat Lee", "--by", "robin")
    assert email not in told.out
    assert "The email address on file may be wrong, so do not check by email." in told.words
    assert "Call back: (419) 555-0143." in told.words
    said = json.loads(onboard("find", "Pat Lee", "--by", "robin", "--json").out)
    assert [one["check"] for one in said["call_back"]] == ["call-back"]
    refused = onboard("reissue", "patlee", "--checked", "mail", "--by", "robin", "--record")
    assert "so do not check by email" in refused.words
    assert refused.code == 1
    allowed = onboard("reissue", "patlee", "--by", "robin")
    assert "--checked call-back" in allowed.words
    assert "--checked mail" not in allowed.words.partition("To do it:")[2]


def test_a_preview_of_a_correction_is_noted_where_it_shows_what_was_on_file(office: Path) -> None:
    onboard("correct", "patlee", "--email", "new@example.net", "--by", "kim")
    assert shown_to(office) == [], "Kim may not see it"
    onboard("correct", "patlee", "--name", "Pat Moor", "--by", "robin")
    assert shown_to(office) == [], "nothing that is private was shown"
    said = onboard(
        "correct", "patlee", "--email", "new@example.net", "--phone", "", "--by", "robin"
    )
    assert EMAIL in said.out
    assert shown_to(office) == [("robin", "member:1", {"shown": ["email", "phone"]})]


@contextmanager
def plans() -> Iterator[set[str]]:
    """What SQLite says of how it finds the lines of each question that is asked meanwhile, in whatever way."""
    asked: dict[str, sqlite3.Connection] = {}
    found: set[str] = set()

    def listen(raw: sqlite3.Connection, _: object) -> None:
        raw.set_trace_callback(lambda statement: asked.setdefault(statement, raw))

    event.listen(Engine, "connect", listen)
    try:
        yield found
    finally:
        event.remove(Engine, "connect", listen)
        for statement, raw in asked.items():
            if statement.lstrip().upper().startswith("SELECT"):
                raw.set_trace_callback(None)
                lines = raw.execute(f"EXPLAIN QUERY PLAN {statement}").fetchall()
                found.update(f"{line[3]}\n    {statement}" for line in lines)


def test_neither_a_card_nor_a_search_reads_a_whole_table(office: Path) -> None:
    onboard("packets", "--write")
    place = open_office(office / "onboard.toml", who="robin")
    with plans() as found:
        shown = open_card(place, "patlee", Tried(typed=EMAIL))
        for words in ("Pat Lee", "pat", EMAIL, "419-555-0143", "Lee from Lima Grange"):
            look_up(place, words)
    place.close()
    assert shown.card
    assert shown.card.contacts
    large = tuple(
        f"SCAN {name}" for name in tables.metadata.tables if name not in ("batch", "apart")
    )
    assert [plan for plan in found if f"{plan} ".startswith(large)] == []
    assert len(found) > 30


@pytest.mark.parametrize("number", ["419-555-0199", "419-555-0188"])
def test_a_number_is_shared_whichever_of_theirs_it_is(office: Path, number: str) -> None:
    ruth = ("Ruth Olsen", "ruth@example.org", "419-555-0199 or 419-555-0188", "9 Oak St", *PAT[4:])
    amos = ("Amos Birch", "amos@example.org", number, "7 Fir Rd", *PAT[4:])
    onboard("batch", write_csv(office / "two.csv", [ruth, amos]), "--record")
    onboard("answer")
    said = onboard("find", "amos birch", "--by", "robin")
    assert "is also Ruth Olsen's, so" in said.out
