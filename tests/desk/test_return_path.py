"""A report is about the email whose return path it came to, whatever else it says."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from cli.office import onboard
from desk.test_returned import asked, came, failed, member, reply

TOKEN = "k4q2x7mzr5t3w6y1a8b9c0d2ef"
PATH = f"bounce+{TOKEN}@growers.example.org"


@pytest.fixture
def sent(office: Path) -> Path:
    """Pat's packet has gone out, with a return path of its own."""
    with (office / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write('\n[mail]\nbounces_to = "bounce+TOKEN@growers.example.org"\n')
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'sent', token = ? WHERE member_id = 1", [TOKEN])
        roster.execute("UPDATE outgoing SET message_id = '<kim@y>' WHERE member_id = 2")
    return office


def to(path: str, text: str) -> str:
    return text.replace("To: hello@growers.example.org", f"To: <{path.upper()}>", 1)


def test_the_address_that_it_came_to_says_which_email_it_is_about(sent: Path) -> None:
    # What the report names, and the Message-ID in it, are of somebody else.
    came(sent / "box", "1.eml", to(PATH, failed("kim@example.net", about="<kim@y>")))
    said = onboard("returned", "box", "--record")
    assert "Pat Lee (patlee)" in said.words
    assert "Kim Vale" not in said.words
    assert asked("SELECT member_id FROM outgoing WHERE state = 'returned'") == [(1,)]
    assert (member("patlee")[0], member("kimvale")[0]) == (None, None)


def test_an_address_that_forwards_to_one_that_fails_is_marked(sent: Path) -> None:
    text = failed("pat.of.old@elsewhere.example").replace(
        "From: hello@growers.example.org\nMessage", "To: Pat Lee <Pat.Lee@example.org>\nMessage"
    )
    came(sent / "box", "1.eml", to(PATH, text))
    said = onboard("returned", "box", "--record")
    assert member("patlee")[0] == "2026-11-23"
    assert "another email address on file now" not in said.words


def test_a_complaint_names_the_path_in_its_own_way(sent: Path) -> None:
    """RFC 5965, 3.2: the reader's address is often blotted out."""
    came(
        sent / "box", "1.eml",
        "From: fbl@provider.example\nTo: abuse@growers.example.org\nSubject: complaint\nMIME-Version: 1.0\n"
        'Content-Type: multipart/report; report-type=feedback-report; boundary="b"\n\n--b\n'
        "Content-Type: message/feedback-report\n\nFeedback-Type: abuse\nVersion: 1\nUser-Agent: x/1\n"
        f"Original-Mail-From: <{PATH}>\n\n--b--\n",
    )  # fmt: skip
    onboard("returned", "box", "--record")
    assert (member("patlee")[1], member("kimvale")[1]) == (0, None)


@pytest.mark.parametrize("header", ["Delivered-To", "X-Original-To", "Envelope-To"])
def test_servers_note_where_a_report_went(sent: Path, header: str) -> None:
    came(sent / "box", "1.eml", f"{header}: {PATH}\n" + failed("somebody@else.example"))
    assert "Pat Lee (patlee)" in onboard("returned", "box").words


def test_a_token_that_was_never_given_is_nobody_s(sent: Path) -> None:
    guess = PATH.replace("k4q", "aaa")
    came(sent / "box", "1.eml", to(guess, failed("somebody@else.example")))
    said = onboard("returned", "box", "--record")
    assert "nobody's on the roster" in said.words
    assert member("patlee")[0] is None


def test_a_no_that_comes_to_the_path_is_the_member_s(sent: Path) -> None:
    came(sent / "box", "1.eml", to(PATH, reply("other@mail.example", "unsubscribe")))
    onboard("returned", "box", "--record")
    assert member("patlee")[1] == 0
