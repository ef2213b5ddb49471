"""Mail that comes to the co-op, told apart and bound to whom it is about.

facts/returned.csv and facts/returned_mail: RFC 3463 with the IANA registry of enhanced status codes,
RFC 5321, RFC 3464, RFC 6533, RFC 7505, RFC 3834, RFC 5965 and RFC 8098, as each row says. The mail is
invented. The other messages here are our own.
"""

from __future__ import annotations

import base64
import csv
from email.message import Message
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onboard import returned
from onboard.returned import Action, Delivery, Kind

FACTS = Path(__file__).parents[1] / "facts"
with (FACTS / "returned.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
CODES = [row for row in ROWS if row["section"] in ("status_code", "smtp_reply")]
MAILS = [row for row in ROWS if row["section"] in ("dsn", "not_dsn")]


@pytest.mark.parametrize("row", CODES, ids=[row["input"] for row in CODES])
def test_a_code_means_what_its_standard_says(row: dict[str, str]) -> None:
    delivery, action = returned.meaning(row["input"])
    assert (delivery, action) == (row["expect_kind"], row["expect_action"])


@pytest.mark.parametrize("row", MAILS, ids=[row["input"] for row in MAILS])
def test_a_report_names_whom_it_is_about(row: dict[str, str]) -> None:
    found = returned.read((FACTS / "returned_mail" / row["input"]).read_bytes())
    assert set(found.permanent) == set(filter(None, row["expect_permanent"].split("|")))
    assert set(found.temporary) == set(filter(None, row["expect_temporary"].split("|")))


@pytest.mark.parametrize("code", ["", "6.1.1", "5", "5.1", "abc", "5.1.1.1", "５.1.1", "5550"])
def test_what_is_no_code_is_for_somebody_to_read(code: str) -> None:
    assert returned.meaning(code) == (Delivery.UNKNOWN, Action.READ)


def mail(body: str, **headers: str) -> str:
    said = {"From": "pat@example.com", "To": "hello@coop.example.org", "Subject": "Re: Welcome"}
    said |= {name.replace("_", "-"): text for name, text in headers.items()}
    return "".join(f"{name}: {text}\n" for name, text in said.items() if text) + "\n" + body


def report(block: str, kind: str = "message/delivery-status", head: str = "") -> str:
    return mail(
        f"--b\nContent-Type: {kind}\n{head}\n{block}\n--b--\n",
        From="MAILER-DAEMON@mx.example.net",
        Content_Type="multipart/report; report-type=delivery-status; boundary=b",
    )


FIRST = "Reporting-MTA: dns; mx.example.net\n\n"


@pytest.mark.parametrize(
    ("block", "permanent", "status", "action"),
    [
        ("Final-Recipient: rfc822; lo@example.com\nStatus: 5.1.1", "lo@example.com", "5.1.1", Action.CHECK_ADDRESS),
        ("Final-Recipient: RFC822;lo@example.com\nAction: FAILED (gone)\nStatus: 5.2.1 (disabled)", "lo@example.com", "5.2.1", Action.ASK_NEW_ADDRESS),
        ("Final-Recipient: lo@example.com\nAction: failed\nDiagnostic-Code: smtp; 550 5.1.2 no host", "lo@example.com", "5.1.2", Action.CHECK_DOMAIN),
        ("Final-Recipient: rfc822; lo@example.com\nAction: failed\nStatus: 5.0.0\nDiagnostic-Code: smtp; 552 5.2.2 full", "lo@example.com", "5.2.2", Action.RETRY_THEN_CALL),
        ("Final-Recipient: rfc822; lo@example.com\nAction: failed", "lo@example.com", "", Action.STOP_AND_CALL),
        # forwarded: the address that we wrote to is the one on file
        ("Original-Recipient: rfc822; lo@example.com\nFinal-Recipient: rfc822; x@elsewhere.example\nAction: failed\nStatus: 5.1.1", "lo@example.com", "5.1.1", Action.CHECK_ADDRESS),
    ],
)  # fmt: skip
def test_what_a_block_leaves_out_is_taken_from_the_rest(
    block: str, permanent: str, status: str, action: Action
) -> None:
    found = returned.read(report(FIRST + block))
    assert (found.kind, found.permanent) == (Kind.REPORT, (permanent,))
    assert (found.status, found.action) == (status, action)


def test_a_block_in_base64_is_read() -> None:
    block = FIRST + "Final-Recipient: utf-8; josé@example.com\nAction: failed\nStatus: 5.1.1\n"
    coded = base64.b64encode(block.encode()).decode()
    head = "Content-Transfer-Encoding: base64\n"
    found = returned.read(report(coded, "message/global-delivery-status", head))
    assert found.permanent == ("josé@example.com",)


def test_the_message_it_is_about_is_known_by_its_id() -> None:
    (ours,) = [row for row in MAILS if row["input"] == "headers_only.eml"]
    found = returned.read((FACTS / "returned_mail" / ours["input"]).read_bytes())
    assert found.about == "<w1@coop.example.org>"
    assert returned.read(mail("Hi", In_Reply_To="<w2@coop.example.org>")).about == "<w2@coop.example.org>"  # fmt: skip


@pytest.mark.parametrize(
    ("said", "permanent", "temporary", "action"),
    [
        ("Your message to dee@example.com could not be delivered: no such user here.", ("dee@example.com",), (), Action.CHECK_ADDRESS),
        ("No se pudo entregar su mensaje a dee@example.com. El buzón está lleno.", (), ("dee@example.com",), Action.RETRY_THEN_CALL),
        ("Warning: message to dee@example.com delayed 4 hours. We will keep trying for 3 days.", (), ("dee@example.com",), Action.RETRY),
        ("<dee@example.com>: 554 5.7.1 Message rejected as spam", ("dee@example.com",), (), Action.FIX_OUR_SIDE),
        ("Something went wrong, the delivery failed.", (), (), Action.READ),
    ],
)  # fmt: skip
def test_a_report_in_free_text(
    said: str, permanent: tuple[str, ...], temporary: tuple[str, ...], action: Action
) -> None:
    found = returned.read(
        mail(said, From="Mail Delivery System <postmaster@mx.example.net>", Subject="Undeliverable")
    )
    assert (found.kind, found.permanent) == (Kind.PLAIN_REPORT, permanent)
    assert (found.temporary, found.action) == (temporary, action)


@pytest.mark.parametrize(
    ("said", "headers", "kind", "action"),
    [
        ("Back on the 9th.", {"Subject": "Automatic reply: Welcome"}, Kind.AUTOMATIC_REPLY, Action.NONE),
        ("Regreso el lunes.", {"Subject": "Respuesta automática: Bienvenida"}, Kind.AUTOMATIC_REPLY, Action.NONE),
        ("Regreso el lunes.", {"Subject": "=?utf-8?q?Fuera_de_la_oficina?="}, Kind.AUTOMATIC_REPLY, Action.NONE),
        ("I no longer use this. Write to me elsewhere.", {"Auto_Submitted": "auto-replied"}, Kind.AUTOMATIC_REPLY, Action.ASK_NEW_ADDRESS),
        ("To have your message delivered, click here.", {"Subject": "Please verify", "Auto_Submitted": "auto-replied"}, Kind.AUTOMATIC_REPLY, Action.READ),
        ("unsubscribe", {}, Kind.UNSUBSCRIBE, Action.STOP_MAIL),
        ("Please take me off, thanks, Dee", {}, Kind.UNSUBSCRIBE, Action.STOP_MAIL),
        ("Ya no quiero correos, gracias", {}, Kind.UNSUBSCRIBE, Action.STOP_MAIL),
        ("", {"Subject": "Unsubscribe"}, Kind.UNSUBSCRIBE, Action.STOP_MAIL),
        ("Stop.", {}, Kind.UNSUBSCRIBE, Action.STOP_MAIL),
        # people, who must be read
        ("Which stop is the greenhouse at?", {}, Kind.REPLY, Action.READ),
        ("Thanks!\n\nOn Mon, Nov 23, the co-op <a@coop.example.org> wrote:\n> To unsubscribe, write to us.", {}, Kind.REPLY, Action.READ),
        ("Gracias\n\nEl lun, 23 nov, la coop <a@coop.example.org> escribió:\n> darme de baja", {}, Kind.REPLY, Action.READ),
        ("My sister got this from her provider: <x@example.com>: 550 5.1.1 user unknown. What do I do?", {"Subject": "Undeliverable?"}, Kind.REPLY, Action.READ),
        ("I was on vacation. What is my password?", {}, Kind.REPLY, Action.READ),
    ],
)  # fmt: skip
def test_what_people_and_their_programs_write(
    said: str, headers: dict[str, str], kind: Kind, action: Action
) -> None:
    found = returned.read(mail(said, **headers))
    assert (found.kind, found.action) == (kind, action)
    assert not found.permanent + found.temporary
    assert found.sender == "pat@example.com"


def test_a_complaint_names_whom_our_mail_went_to() -> None:
    found = returned.read((FACTS / "returned_mail" / "arf.eml").read_bytes())
    assert (found.kind, found.action, found.readers) == (
        Kind.COMPLAINT, Action.STOP_MAIL, ("pat@example.com",),
    )  # fmt: skip
    assert not found.permanent  # the address is good


@pytest.mark.parametrize("nothing", ["", "hello", b"", b"\x00\xff\xfe", b"\x89PNG\r\n\x1a\n"])
def test_what_is_no_mail_is_told(nothing: str | bytes) -> None:
    assert returned.read(nothing).kind is Kind.UNREADABLE


# Always the same draws, however busy the machine is.
DRAWN = settings(derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
HEADS = st.sampled_from(
    ["From: Mailer-Daemon", "Content-Type: multipart/report; boundary=b", "--b", "Subject: =?x?q?=FF?=",
     "Content-Type: message/delivery-status", "Content-Type: text/plain; charset=none", "Status: 5.1.1",
     "Content-Type: message/rfc822", "Content-Transfer-Encoding: base64", "Final-Recipient: utf-8; \\x{D800}", ""]
)  # fmt: skip


@DRAWN
@given(st.lists(HEADS | st.text(max_size=30), max_size=20).map("\n".join))
def test_no_text_makes_it_raise(said: str) -> None:
    assert isinstance(returned.read(said), returned.Returned)


@pytest.mark.parametrize("name", ["Subject", "From", "Content-Type", "In-Reply-To"])
def test_half_a_character_is_no_trouble(name: str) -> None:
    ready = Message()
    ready["To"], ready[name] = "pat@example.com", "\ud800 \udcff"
    assert returned.read(ready).kind in Kind
    assert returned.read(f"To: pat@example.com\n{name}: \ud800\n\n\udcff").kind in Kind


@DRAWN
@given(st.binary(max_size=300))
def test_no_bytes_make_it_raise(raw: bytes) -> None:
    assert returned.read(b"From: a@example.com\nContent-Type: text/html\n\n" + raw).kind in Kind


def test_a_message_that_was_read_already_is_taken_too() -> None:
    ready = Message()
    ready["From"], ready["Subject"] = "pat@example.com", "Hello"
    ready.set_payload("Is Saturday open?")
    assert returned.read(ready).kind is Kind.REPLY
