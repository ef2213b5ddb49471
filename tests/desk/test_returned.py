"""Email that came back, as a coordinator takes it in."""

from __future__ import annotations

import json
import mailbox
import sqlite3
from email import message_from_bytes
from email.message import EmailMessage
from pathlib import Path

import listed
import pytest
from cli.office import onboard, program
from welcome.mail_server import SECRET, USER, Box, listening, proof_in

from onboard.model import State
from onboard.roster import store

REPORT = """From: MAILER-DAEMON@mx.example.net
To: hello@growers.example.org
Subject: Delivery status
Date: Mon, 23 Nov 2026 10:00:00 -0500
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status; boundary="b"

--b
Content-Type: message/delivery-status

Reporting-MTA: dns; mx.example.net

Final-Recipient: rfc822; {address}
Action: {action}
Status: {status}

--b
Content-Type: text/rfc822-headers

From: hello@growers.example.org
Message-ID: {about}

--b--
"""


def came(folder: Path, name: str, text: str) -> None:
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")


def failed(
    address: str, status: str = "5.1.1", action: str = "failed", about: str = "<x@y>"
) -> str:
    return REPORT.format(address=address, status=status, action=action, about=about)


def reply(sender: str, said: str, subject: str = "Re: Welcome") -> str:
    return f"From: {sender}\nTo: hello@growers.example.org\nSubject: {subject}\n\n{said}\n"


def asked(query: str) -> list[tuple[object, ...]]:
    with sqlite3.connect("roster.db") as roster:
        return list(roster.execute(query))


def member(handle: str) -> tuple[object, ...]:
    """(bounced, consent) of a member."""
    (found,) = asked(f"SELECT bounced, consent FROM member WHERE handle = '{handle}'")
    return found


def test_a_preview_names_whom_to_ask_and_changes_nothing(office: Path) -> None:
    came(office / "box", "1.eml", failed("pat.lee@example.org"))
    before = (office / "roster.db").read_bytes()
    said = onboard("returned", "box")
    assert said.code == 1
    assert "Pat Lee (patlee), pat.lee@example.org: there is no such mailbox (5.1.1)" in said.words
    assert "onboard correct patlee --email NEW-EMAIL --record" in said.words
    assert "Nothing was saved." in said.words
    assert (office / "roster.db").read_bytes() == before


def test_an_address_that_takes_no_mail_is_marked_once_and_can_be_undone(office: Path) -> None:
    came(office / "box", "1.eml", failed("Pat.Lee@EXAMPLE.org"))
    said = onboard("returned", "box", "--record", "--by", "Robin")
    assert member("patlee")[0] == "2026-11-23"
    assert "Saved as number 1. To undo it: onboard undo 1 --record" in said.words
    again = onboard("returned", "box", "--record")
    assert again.code == 0
    assert "1 email read: 0 for you, 1 taken in before." in again.words
    assert onboard("undo", "1", "--record").code == 0
    assert member("patlee")[0] is None


@pytest.mark.parametrize("status", ["5.7.1", "5.2.2", "4.4.7"])
def test_what_does_not_speak_against_the_address_marks_nothing(office: Path, status: str) -> None:
    came(office / "box", "1.eml", failed("pat.lee@example.org", status))
    assert onboard("returned", "box", "--record").code == 1  # somebody has to look
    assert member("patlee")[0] is None


def test_what_is_delayed_is_counted_until_somebody_calls(office: Path) -> None:
    for n in (1, 2, 3):
        text = failed("pat.lee@example.org", "4.4.1", "delayed", about=f"<{n}@y>")
        came(office / "box", f"{n}.eml", text)
        said = onboard("returned", "box", "--record")
        assert said.code == (1 if n == 3 else 0)
    assert "That is 3 times in two months" in said.words
    assert member("patlee")[0] is None


def test_who_wants_no_more_email_is_noted_as_saying_no(office: Path) -> None:
    came(
        office / "box", "1.eml", reply("Pat <pat.lee@example.org>", "Please take me off your list.")
    )
    came(office / "box", "2.eml", reply("kim@example.net", "Thanks!\n> unsubscribe here"))
    said = onboard("returned", "box", "--record")
    assert (member("patlee")[1], member("kimvale")[1]) == (0, None)
    assert "Read these yourself (1):" in said.words
    assert "Kim Vale (kimvale), kim@example.net: a reply" in said.words


@pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")
def test_the_packet_that_came_back_is_known_by_its_message_id(office: Path) -> None:
    onboard("packets", "--write")
    box, proof = Box(), proof_in(office)
    with listening(box, proof, auth=True) as server:
        with (office / "onboard.toml").open("a", encoding="utf-8") as settings:
            settings.write(
                f'\n[mail]\nhost = "{server.host}"\nport = {server.port}\nuser = "{USER}"\n'
            )
        trust = {"SSL_CERT_FILE": str(proof.file), "ONBOARD_MAIL_SECRET": SECRET}
        assert program("packets", "--send", "--really", cwd=office, **trust).code == 0
    mails = [message_from_bytes(envelope.content) for envelope in box.taken]
    (about,) = [mail["Message-ID"] for mail in mails if "pat.lee" in mail["To"]]
    # The member has another address by now: that one is not marked.
    onboard("correct", "patlee", "--email", "pat@example.net", "--record")
    came(office / "box", "1.eml", failed("pat.lee@example.org", about=about))
    said = onboard("returned", "box", "--record")
    assert "Pat Lee (patlee)" in said.words
    assert "They have another email address on file now" in said.words
    assert member("patlee")[0] is None
    assert asked("SELECT member_id FROM outgoing WHERE state = 'returned'") == [(1,)]


def test_a_packet_is_not_sent_where_email_came_back(office: Path) -> None:
    onboard("packets", "--write")
    came(office / "box", "1.eml", failed("pat.lee@example.org"))
    assert (office / "outbox" / "patlee.eml").exists()
    said = onboard("returned", "box", "--record")
    assert said.code == 1
    # Not by hand either: the email is gone from the outbox, its letter too, and its password works no more.
    assert [file.name for file in (office / "outbox").glob("*.eml")] == ["kimvale.eml"]
    assert asked("SELECT password_hash FROM member WHERE handle = 'patlee'") == [(None,)]
    said = onboard("packets", "--send")
    assert "pat.lee@example.org" not in said.words
    # It waits for an answer from the first moment, and is not to be made.
    counts = json.loads(onboard("packets", "--json").out.splitlines()[0])
    assert (counts["due"], counts["barred"]) == (0, 1)
    told = onboard("why", "--member", "patlee").words
    assert "The welcome packet waits, because the email or mailing address may be wrong." in told
    assert "packets --write" not in told
    said = onboard("packets", "--write")
    assert "Email to it came back on Nov 23, 2026. Call or write, and ask for another" in said.words
    assert not (office / "outbox" / "patlee.eml").exists()
    # Somebody has called: it is made anew, for a letter.
    onboard("answer", "patlee", "letter")
    assert onboard("packets", "--write").code == 0
    assert asked("SELECT way FROM outgoing WHERE member_id = 1 AND state = 'written'") == [
        ("letter",)
    ]


def test_a_packet_to_be_made_waits_where_email_came_back_until_nobody_doubts(office: Path) -> None:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        listed.put(connection, State.DUE)
    came(office / "box", "1.eml", failed("pat.lee@example.org"))
    onboard("returned", "box", "--record")
    query = "SELECT state FROM outgoing WHERE member_id = 1 AND state <> 'void'"
    assert asked(query) == [("waiting",)]
    waits = "The welcome packet waits, because the email or mailing address may be wrong."
    assert waits in onboard("why", "--member", "patlee").words
    onboard("undo", "1", "--record")
    said = onboard("why", "--member", "patlee").words
    assert "Nobody has made the welcome packet yet." in said
    assert waits not in said


def test_a_no_from_another_address_is_a_no_of_whom_it_answers(office: Path) -> None:
    with sqlite3.connect("roster.db") as roster:
        roster.execute(
            "UPDATE outgoing SET message_id = '<w1@growers.example.org>' WHERE member_id = 1"
        )
    text = reply("pat@elsewhere.example", "Please take me off your list.")
    came(office / "box", "1.eml", f"In-Reply-To: <w1@growers.example.org>\n{text}")
    onboard("returned", "box", "--record")
    assert member("patlee")[1] == 0


def test_who_shares_a_mailbox_can_have_email_again(office: Path) -> None:
    onboard("correct", "kimvale", "--email", "pat.lee@example.org", "--record")
    came(office / "box", "1.eml", reply("pat.lee@example.org", "unsubscribe"))
    said = onboard("returned", "box", "--record")
    assert (member("patlee")[1], member("kimvale")[1]) == (0, 0)
    assert "onboard correct kimvale --consent yes --record" in said.words
    assert onboard("correct", "kimvale", "--consent", "yes", "--record").code in (0, 1)
    assert (member("patlee")[1], member("kimvale")[1]) == (0, 1)


def test_an_mbox_and_a_maildir_are_read_and_stay_as_they_are(office: Path) -> None:
    box = mailbox.mbox("inbox.mbox")
    for said in (
        failed("pat.lee@example.org"),
        reply("kim@example.net", "Vuelvo el lunes.", "Respuesta automática"),
    ):
        box.add(said.encode())
    box.close()
    before = Path("inbox.mbox").read_bytes()
    lines = [
        json.loads(line) for line in onboard("returned", "inbox.mbox", "--json").out.splitlines()
    ]
    assert [line["kind"] for line in lines] == ["report", "automatic reply"]
    assert lines[0] | {"day": ""} == {
        "file": "inbox.mbox, message 1", "kind": "report", "permanent": ["pat.lee@example.org"], "temporary": [],
        "status": "5.1.1", "action": "check_address", "day": "", "members": ["member:1"], "changed": ["bounced"],
        "given_before": False, "recorded": False,
    }  # fmt: skip
    maildir = mailbox.Maildir("kept")
    maildir.add(EmailMessage())
    maildir.add(failed("kim@example.net").encode())
    names = {str(file) for file in Path("kept").rglob("*")}
    kinds = {
        json.loads(line)["kind"] for line in onboard("returned", "kept", "--json").out.splitlines()
    }
    assert kinds == {"unreadable", "report"}
    assert {str(file) for file in Path("kept").rglob("*")} == names
    assert Path("inbox.mbox").read_bytes() == before


@pytest.mark.parametrize("path", ["nowhere", "empty", "roster.toml"])
def test_what_holds_no_mail_is_told_in_words(office: Path, path: str) -> None:
    (office / "empty").mkdir()
    said = onboard("returned", path)
    assert said.code == 2
    assert "can't be read" in said.words or "holds no email" in said.words


def test_markup_and_control_characters_in_a_mail_stay_text(office: Path) -> None:
    came(office / "box", "1.eml", reply("kim@example.net", "[bold]hi[/bold] \x1b[31mred"))
    said = onboard("returned", "box")
    assert "[bold]hi[/bold]" in said.words
    assert "\x1b[31m" not in said.out


def test_who_is_deleted_leaves_nothing_of_it(office: Path) -> None:
    came(office / "box", "1.eml", failed("pat.lee@example.org"))
    onboard("returned", "box", "--record")
    assert asked("SELECT member_id FROM came_back") == [(1,)]
    assert onboard("forget", "patlee", "--record").code in (0, 1)
    assert asked("SELECT * FROM came_back") == []
