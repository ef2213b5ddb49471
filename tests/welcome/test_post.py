"""Sending, against a real mail server on this machine with TLS and every bad habit."""

from __future__ import annotations

import datetime as dt
import logging
import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from email import message_from_bytes, policy
from email.utils import parsedate_to_datetime
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.smtp import AuthResult
from mail_server import SECRET, USER, Box, Proof, listening, proof_in
from packets_made import make

from onboard.errors import SendTrouble
from onboard.mail import post
from onboard.mail.line import Line
from onboard.settings import MailServer

NUMBERS = {"patlee": 1, "anaruiz": 2, "boli": 3}  # of their lines in the list of what goes out
NOW = dt.datetime(2026, 11, 27, 15, 4, 5, tzinfo=dt.UTC)

# aiosmtpd does not see that it is inside TLS from the start.
pytestmark = pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")


@pytest.fixture(scope="module")
def proof(tmp_path_factory: pytest.TempPathFactory) -> Proof:
    return proof_in(tmp_path_factory.mktemp("tls"))


def mail(name: str = "Pat Lee", email: str = "pat@example.com", **changes: Any) -> post.Mail:
    packet = make(name, email=email, **changes)
    return post.Mail(NUMBERS[packet.member.handle.text], packet.message, packet.member.consent)


def send(
    mails: list[post.Mail], server: MailServer, proof: Proof, waited: list[float] | None = None, **more: Any
) -> list[post.Outcome]:  # fmt: skip
    options: dict[str, Any] = {
        "context": proof.client, "waits": (1.0, 2.0, 3.0), "patience": 5.0,
        "wait": (waited if waited is not None else []).append,
        "environ": {"ONBOARD_MAIL_SECRET": SECRET},
    }  # fmt: skip
    dry_run = more.pop("dry_run", False)
    line = Line(server, **(options | more))
    return list(post.send(mails, line, dry_run=dry_run, now=lambda: NOW))


def taken(box: Box) -> list[str]:
    return [to for envelope in box.taken for to in envelope.rcpt_tos]


# ---------------------------------------------------------------- all is well


@pytest.mark.parametrize("how", ["starttls", "tls"])
def test_a_message_arrives_as_it_was_written(proof: Proof, how: str) -> None:
    box, one = Box(), mail()
    with listening(box, proof, how, auth=True) as server:
        (outcome,) = send([one], server, proof)
    assert outcome == post.Sent(1, NOW, "250 2.0.0 Taken")
    (envelope,) = box.taken
    assert (envelope.mail_from, envelope.rcpt_tos) == (
        "hello@furrowandfen.example",
        ["pat@example.com"],
    )
    assert box.signed_in == [USER]
    assert isinstance(envelope.content, bytes)
    assert undated(envelope.content) == undated(one.message)
    arrived = message_from_bytes(envelope.content, policy=policy.default)
    assert parsedate_to_datetime(arrived["Date"]) == NOW


def undated(message: bytes) -> list[bytes]:
    lines = message.rstrip().split(b"\r\n")
    return [line for line in lines if not line.startswith(b"Date: ")]


def test_lines_that_begin_with_a_dot_arrive(proof: Proof) -> None:
    """RFC 5321 4.5.2."""
    odd = b"From: a@example.com\r\nTo: b@example.com\r\nDate: x\r\n\r\n.\r\n..two\r\nDate: body\r\nend"
    box = Box()
    with listening(box, proof) as server:
        send([post.Mail(1, odd)], server, proof)
    content = box.taken[0].content
    assert isinstance(content, bytes)
    assert content.endswith(b"\r\n\r\n.\r\n..two\r\nDate: body\r\nend\r\n")


def test_many_messages_share_a_connection_and_nobody_sees_another(proof: Proof) -> None:
    box = Box()
    mails = [
        mail(name, f"{name.split()[0].lower()}@example.com")
        for name in ("Pat Lee", "Ana Ruiz", "Bo Li")
    ]
    with listening(box, proof) as server:
        outcomes = send(mails, server, proof)
    assert [type(o) for o in outcomes] == [post.Sent] * 3
    assert [e.rcpt_tos for e in box.taken] == [
        ["pat@example.com"],
        ["ana@example.com"],
        ["bo@example.com"],
    ]
    assert box.connections == 1


def test_a_foreign_address_needs_a_server_that_can(proof: Proof) -> None:
    """RFC 6531 3.1."""
    one = mail(email="josé@example.com")
    box = Box()
    with listening(box, proof, utf8=True) as server:
        (outcome,) = send([one], server, proof)
    assert isinstance(outcome, post.Sent)
    assert taken(box) == ["josé@example.com"]
    with listening(box, proof) as server:
        (outcome,) = send([one], server, proof)
    assert isinstance(outcome, post.NotSent)
    assert outcome.permanent
    assert "can't send to “josé@example.com”" in outcome.why


def test_a_dry_run_sends_and_connects_nowhere(proof: Proof) -> None:
    box = Box()
    with listening(box, proof) as server:
        outcomes = send([mail(), mail("Ana Ruiz", consent=None)], server, proof, dry_run=True)
    assert outcomes == [
        post.Ready(1, "pat@example.com"),
        post.Ready(2, "pat@example.com"),
    ]
    assert box.connections == 0


# ---------------------------------------------------------------- who must not be written to


def test_who_said_no_is_not_written_to(proof: Proof) -> None:
    message = mail().message  # written before they said no
    box = Box()
    with listening(box, proof) as server:
        outcomes = send([post.Mail(1, message, consent=False)], server, proof)
    assert outcomes == [
        post.NotSent(1, 0, "This member opted out of email. Print the letter.", permanent=True)
    ]
    assert box.connections == 0


@pytest.mark.parametrize(
    "message",
    [b"", b"no headers at all", b"From: a@example.com\r\n\r\nTo: b@example.com\r\n",
     b"From: a@example.com\r\nTo: b@example.com, c@example.com\r\n\r\n",
     b"From: a@example.com\r\nTo: \xff\r\n\r\n"],
)  # fmt: skip
def test_a_message_without_one_recipient_is_refused(proof: Proof, message: bytes) -> None:
    box = Box()
    with listening(box, proof) as server:
        (outcome,) = send([post.Mail(1, message)], server, proof)
    assert isinstance(outcome, post.NotSent)
    assert (outcome.permanent, box.connections) == (True, 0)


# ---------------------------------------------------------------- the server says no, or not now


@pytest.mark.parametrize("step", ["mail", "rcpt", "data"])
def test_what_is_put_off_is_tried_again_after_the_others(proof: Proof, step: str) -> None:
    """RFC 5321 4.2.1: 4yz may be tried again; grey-listing is common practice."""
    box, waited = Box(), list[float]()
    replies = ["451 4.7.1 Try again later", "450 4.2.0 Not yet"]
    if step == "rcpt":
        box.rcpt = {"pat@example.com": replies}
    else:
        setattr(box, step, replies[:1])
    with listening(box, proof) as server:
        outcomes = send([mail(), mail("Ana Ruiz", "ana@example.com")], server, proof, waited)
    assert [(o.id, type(o)) for o in outcomes] == [
        (2, post.Sent),
        (1, post.Sent),
    ]
    assert sorted(taken(box)) == ["ana@example.com", "pat@example.com"]
    assert waited == ([1.0, 2.0] if step == "rcpt" else [1.0])


def test_what_is_put_off_for_ever_is_given_up(proof: Proof) -> None:
    box, waited = Box(rcpt={"pat@example.com": ["451 4.7.1 Later"] * 9}), list[float]()
    with listening(box, proof) as server:
        outcomes = send([mail()], server, proof, waited)
    assert outcomes == [post.NotSent(1, 451, "451 4.7.1 Later", permanent=False)]
    assert waited == [1.0, 2.0, 3.0]
    assert len(box.rcpt["pat@example.com"]) == 5


def test_a_refused_recipient_stops_nobody_else(proof: Proof) -> None:
    box, waited = (
        Box(rcpt={"pat@example.com": ["550 5.1.1 No such user \x1b[31mhere"]}),
        list[float](),
    )
    with listening(box, proof) as server:
        outcomes = send([mail(), mail("Ana Ruiz", "ana@example.com")], server, proof, waited)
    refused, sent = outcomes
    assert refused == post.NotSent(1, 550, "550 5.1.1 No such user [31mhere", permanent=True)
    assert isinstance(sent, post.Sent)
    assert waited == []
    assert box.connections == 1


def test_a_refused_message_is_not_tried_again(proof: Proof) -> None:
    box = Box(data=["554 5.7.1 Looks like spam"])
    with listening(box, proof) as server:
        outcomes = send([mail()], server, proof)
    assert outcomes == [post.NotSent(1, 554, "554 5.7.1 Looks like spam", permanent=True)]


@pytest.mark.parametrize("where", ["greeting", "mail"])
def test_a_server_that_closes_is_called_again(proof: Proof, where: str) -> None:
    """RFC 5321 3.8: 421 may come at any time, and ends the connection."""
    box, waited = Box(), list[float]()
    setattr(box, where, ["421 4.3.2 Closing down"])
    with listening(box, proof) as server:
        outcomes = send([mail()], server, proof, waited)
    assert [type(o) for o in outcomes] == [post.Sent]
    assert box.connections == 2
    assert waited[0] == 1.0
    assert taken(box) == ["pat@example.com"]


def test_a_late_greeting_is_waited_for(proof: Proof) -> None:
    box, waited = Box(late=1.0), list[float]()
    with listening(box, proof) as server:
        (outcome,) = send([mail()], server, proof, waited)
    assert isinstance(outcome, post.Sent)
    assert (box.connections, waited) == (1, [])


def test_a_greeting_that_does_not_come_is_given_up(proof: Proof) -> None:
    box, waited = Box(late=3.0), list[float]()
    with (
        listening(box, proof) as server,
        pytest.raises(SendTrouble, match=r"can't be used \(.*timed out.*\)"),
    ):
        send([mail()], server, proof, waited, patience=0.2)
    assert waited == [1.0, 2.0, 3.0]


# ---------------------------------------------------------------- never twice


def test_a_line_lost_after_the_message_was_taken_is_unsure_and_not_sent_again(proof: Proof) -> None:
    box = Box(data=["drop after"])
    with listening(box, proof) as server:
        outcomes = send([mail(), mail("Ana Ruiz", "ana@example.com")], server, proof)
    unsure, sent = outcomes
    assert isinstance(unsure, post.Unsure)
    assert "It may have arrived. Ask the member" in unsure.why
    assert isinstance(sent, post.Sent)
    assert taken(box) == ["pat@example.com", "ana@example.com"]  # once each


@contextmanager
def scripted(*lines: tuple[bytes, bytes]) -> Iterator[tuple[MailServer, list[bytes]]]:
    """A server without TLS that waits for some bytes and answers, then hangs up; each time anew."""
    heard: list[bytes] = []
    listener = socket.create_server(("127.0.0.1", 0))
    listener.settimeout(10)

    def serve() -> None:
        while True:
            try:
                line, _ = listener.accept()
            except OSError:
                return
            with line:
                line.settimeout(10)
                got = b""
                for awaited, reply in lines:
                    while not got.endswith(awaited):
                        more = line.recv(65536)
                        if not more:
                            break
                        got += more
                    line.sendall(reply)
                heard.append(got)

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    try:
        port = listener.getsockname()[1]
        yield MailServer("127.0.0.1", port, security="plain"), heard
    finally:
        listener.shutdown(socket.SHUT_RDWR)
        listener.close()
        thread.join(5)


HELLO = (b"", b"220 hi\r\n"), (b"\r\n", b"250 hi\r\n")


def test_a_line_lost_before_the_message_was_sent_is_tried_again(proof: Proof) -> None:
    waited = list[float]()
    with scripted(*HELLO, (b"\r\n", b"250 OK\r\n"), (b"\r\n", b"250 OK\r\n")) as (server, heard):
        outcomes = send([mail()], server, proof, waited, plain_on_loopback=True, waits=(1.0,))
    (outcome,) = outcomes
    assert isinstance(outcome, post.NotSent)
    assert not outcome.permanent
    assert outcome.why.startswith("The connection was lost")
    assert len(heard) == 2
    assert waited == [1.0, 1.0]  # of the message, and of the server


@pytest.mark.parametrize("answer", [b"garbled\r\n", b"299\r\n", b""])
def test_an_answer_that_makes_no_sense_is_unsure(proof: Proof, answer: bytes) -> None:
    steps = (*HELLO, (b"\r\n", b"250 OK\r\n"), (b"\r\n", b"250 OK\r\n"), (b"\r\n", b"354 go\r\n"))
    with scripted(*steps, (b"\r\n.\r\n", answer)) as (server, heard):
        (outcome,) = send([mail()], server, proof, plain_on_loopback=True)
    assert isinstance(outcome, post.Sent if answer.startswith(b"2") else post.Unsure)
    assert len(heard) == 1


# ---------------------------------------------------------------- who it is that we talk to


def test_a_server_that_cannot_prove_itself_gets_nothing(proof: Proof) -> None:
    for how in ("starttls", "tls"):
        box = Box()
        with (
            listening(box, proof, how, auth=True) as server,
            pytest.raises(SendTrouble, match=r"does not prove who it is .*certificate"),
        ):
            send([mail()], server, proof, context=ssl.create_default_context())
        assert (box.taken, box.signed_in) == ([], [])


def test_a_server_without_tls_gets_nothing(proof: Proof) -> None:
    box = Box()
    with listening(box, None) as server, pytest.raises(SendTrouble, match="STARTTLS"):
        send([mail()], server, proof)
    assert box.taken == []
    assert box.connections == 1  # it will not have TLS the next time either


@pytest.mark.parametrize(
    ("server", "allowed"),
    [
        (MailServer("127.0.0.1", 25, security="plain"), False),
        (MailServer("mail.furrowandfen.example", 25, security="plain"), True),
        (MailServer("127.0.0.1", 25, security="none"), True),
    ],
)
def test_plain_mail_is_refused(proof: Proof, server: MailServer, allowed: bool) -> None:
    with pytest.raises(SendTrouble, match=r"not “(plain|none)”: it has passwords"):
        send([mail()], server, proof, plain_on_loopback=allowed)


def test_no_server_is_told(proof: Proof) -> None:
    with pytest.raises(SendTrouble, match="No mail server is set"):
        send([mail()], MailServer(), proof)


def test_a_server_that_is_not_there_is_told(proof: Proof) -> None:
    with socket.create_server(("127.0.0.1", 0)) as closed:
        port = closed.getsockname()[1]
    waited = list[float]()
    with pytest.raises(SendTrouble, match=f"127.0.0.1, port {port}, can't be used .*refused"):
        send([mail()], MailServer("127.0.0.1", port), proof, waited)
    assert waited == [], "waiting does not make it listen"


def test_a_sender_that_the_server_does_not_take_stops_all(proof: Proof) -> None:
    box = Box(mail=["553 5.7.1 Not your address"])
    with (
        listening(box, proof) as server,
        pytest.raises(SendTrouble, match=r"does not accept email from hello@furrowandfen.example"),
    ):
        send([mail()], server, proof)


# ---------------------------------------------------------------- the server's secret


def test_the_secret_is_taken_from_the_environment_and_shown_nowhere(
    proof: Proof, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    caplog.set_level(logging.DEBUG)
    box = Box()
    with listening(box, proof, auth=True) as server:
        wrong = {"ONBOARD_MAIL_SECRET": "wrong-" + SECRET}
        with pytest.raises(
            SendTrouble, match=r"refused the sign-in of hello@.* \(535\)"
        ) as trouble:
            send([mail()], server, proof, environ=wrong)
        with pytest.raises(SendTrouble, match="environment variable ONBOARD_MAIL_SECRET"):
            send([mail()], server, proof, environ={})
        assert isinstance(send([mail()], server, proof)[0], post.Sent)
        file = proof.file.with_name("its-password")
        file.write_text(SECRET)
        file.chmod(0o600)
        filed = replace(server, secret_file=str(file))
        assert isinstance(send([mail()], filed, proof, environ={})[0], post.Sent)
        file.chmod(0o604)
        with pytest.raises(SendTrouble, match="chmod 600 its-password"):
            send([mail()], filed, proof, environ={})
    ours = "".join(r.getMessage() for r in caplog.records if r.name.startswith("onboard"))
    shown = ours + "".join(capfd.readouterr()) + str(trouble.value) + repr(trouble.value)
    assert SECRET not in shown
    assert "clasp-gravy" not in shown + repr(mail())


def test_a_sign_in_put_off_is_tried_again(proof: Proof, monkeypatch: pytest.MonkeyPatch) -> None:
    """RFC 4954 section 6: 454 is temporary."""
    box, waited = Box(), list[float]()
    later = AuthResult(success=False, handled=False, message="454 4.7.0 Later")
    answers = [later, later, AuthResult(success=True)]  # two ways to sign in are offered
    monkeypatch.setattr(box, "sign_in", lambda *_: answers.pop(0))
    with listening(box, proof, auth=True) as server:
        outcomes = send([mail()], server, proof, waited)
    assert [type(o) for o in outcomes] == [post.Sent]
    assert waited[:1] == [1.0]


def test_outcomes_come_as_soon_as_they_are_known(proof: Proof) -> None:
    box = Box()
    with listening(box, proof) as server:
        outcomes = post.send([mail(), mail("Ana Ruiz")], Line(server, proof.client))
        assert isinstance(next(outcomes), post.Sent)
        assert len(box.taken) == 1
        outcomes.close()  # type: ignore[attr-defined]
    assert len(box.taken) == 1


def test_nothing_is_written_to_disk(
    proof: Proof, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with listening(Box(), proof) as server:
        send([mail()], server, proof)
    assert list(tmp_path.iterdir()) == []
