"""What an email has on its way: a signature, a return path of its own, the server's pace, and an end."""

from __future__ import annotations

import asyncio
import datetime as dt
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import dkim
import name_server
import pytest
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import rsa
from mail_server import Box, Proof, listening, proof_in
from test_post import NOW, mail, send

from onboard import signing_key
from onboard.errors import SendTrouble
from onboard.mail import post, signing
from onboard.mail.envelope import return_path, token_in
from onboard.mail.line import Line
from onboard.mail.tries import next_try
from onboard.settings import MailServer

SEED = "nWGxne/9WmC6hEr0kuwsxERJxWl7MmkZcDusAxyuf2A="  # RFC 8463, A.2
PUBLIC = "11qYAYKxCrfVS/7TyWQHOg7hcvPapiMlrwIaaPcHURo="
DOMAIN = "furrowandfen.example"  # of the sender


@pytest.fixture(scope="module")
def proof(tmp_path_factory: pytest.TempPathFactory) -> Proof:
    return proof_in(tmp_path_factory.mktemp("tls"))


# ---------------------------------------------------------------- signed


@pytest.fixture(params=["rsa", "ed25519"])
def key(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    file = tmp_path / "dkim.key"
    if request.param == "ed25519":
        file.write_text(SEED)
    else:
        made = rsa.generate_private_key(65537, 2048)
        form = serialization.PrivateFormat.PKCS8
        file.write_bytes(made.private_bytes(serialization.Encoding.PEM, form, serialization.NoEncryption()))  # fmt: skip
    file.chmod(0o600)
    return file


def told_by(file: Path) -> Iterator[Any]:
    """What dkimpy asks for keys: a name server of our own that publishes the key."""
    found = signing_key.read(file)
    with name_server.running() as server:
        text = f"v=DKIM1; k={found.kind}; p={found.public}"
        parts = " ".join(f'"{text[at : at + 200]}"' for at in range(0, len(text), 200))
        server.zone = {(f"mail2026._domainkey.{DOMAIN}", "TXT"): [parts]}
        resolver = server.resolver()

        def ask(name: bytes, timeout: int = 5) -> bytes:
            (record,) = resolver.resolve(name.decode(), "TXT")
            return b"".join(record.strings)

        yield ask


def test_a_signature_holds_after_the_journey(proof: Proof, key: Path) -> None:
    box = Box()
    one = mail()
    odd = one.message.replace(b"\r\n\r\n", b"\r\n\r\n.\r\n..dots\r\n", 1)
    listed = b"List-Unsubscribe: <mailto:u@x.example>\r\nList-Unsubscribe-Post: List-Unsubscribe=One-Click\r\n"
    mails = [one, replace(one, id=2, message=listed + odd)]
    with listening(box, proof) as server:
        signs = replace(server, dkim_key=str(key), dkim_selector="mail2026")
        outcomes = send(mails, signs, proof)
    assert [type(o) for o in outcomes] == [post.Sent] * 2
    ask = next(asked := told_by(key))
    for envelope in box.taken:
        assert isinstance(envelope.content, bytes)
        assert dkim.verify(envelope.content, dnsfunc=ask)
        forged = envelope.content.replace(b"Subject: ", b"Subject: Re: ", 1)
        assert not dkim.verify(forged, dnsfunc=ask)
        another = b"From: x@y.example\r\n" + envelope.content
        assert not dkim.verify(another, dnsfunc=ask)
    header = box.taken[1].content.split(b"\r\nList-")[0].lower()  # type: ignore[union-attr]
    assert b"list-unsubscribe : list-unsubscribe-post" in b" ".join(header.split())
    bare = box.taken[1].content.replace(b"One-Click", b"No-Click")  # type: ignore[union-attr, arg-type]
    assert not dkim.verify(bare, dnsfunc=ask)
    asked.close()  # type: ignore[attr-defined]


def test_the_key_of_the_standard_signs_as_the_standard_says(tmp_path: Path) -> None:
    """RFC 8463, A: this message, signed with this key, is the one that verifies by this record."""
    file = tmp_path / "dkim.key"
    file.write_text(SEED)
    file.chmod(0o600)
    message = (
        b"From: Joe SixPack <joe@football.example.com>\r\nTo: Suzie Q <suzie@shopping.example.net>\r\n"
        b"Subject: Is dinner ready?\r\nDate: Fri, 11 Jul 2003 21:00:37 -0700 (PDT)\r\n"
        b"Message-ID: <20030712040037.46341.5F8J@football.example.com>\r\n\r\nHi.\r\n\r\nWe lost the game.  Are you hungry yet?\r\n\r\nJoe.\r\n"
    )
    sign = signing.signer(MailServer(dkim_selector="brisbane", dkim_key=str(file)))
    assert sign
    signed = sign(message)
    head = b"".join(signed.split(b"From:")[0].split())
    assert b"a=ed25519-sha256" in head
    assert b"d=football.example.com" in head
    # The hash of this body, as A.3 has it.
    assert b"bh=2jUSOH9NhtVGCQWNr9BrIAPreKQjO6Sn7XIkfJVOzv8=" in head

    def ask(name: bytes, timeout: int = 5) -> bytes:
        assert name == b"brisbane._domainkey.football.example.com."
        return f"v=DKIM1; k=ed25519; p={PUBLIC}".encode()

    assert dkim.verify(signed, dnsfunc=ask)


def test_a_key_that_can_not_be_used_stops_before_anything_is_sent(
    proof: Proof, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    box = Box()
    file = tmp_path / "dkim.key"
    file.write_text(SEED)
    file.chmod(0o644)
    with listening(box, proof) as server:
        signs = replace(server, dkim_key=str(file), dkim_selector="mail2026")
        with pytest.raises(SendTrouble, match=r"can be read by others") as told:
            send([mail()], signs, proof)
        assert SEED not in str(told.value)
        file.chmod(0o600)
        monkeypatch.setitem(sys.modules, "dkim", None)
        with pytest.raises(SendTrouble, match=r"pip install onboard\[dkim\]"):
            send([mail()], signs, proof)
    assert box.connections == 0


# ---------------------------------------------------------------- a return path of its own


class Tokens(post.Claims):
    def return_path(self, mail: post.Mail) -> str:
        return return_path("bounce+TOKEN@furrowandfen.example", f"t{mail.id}")


def test_reports_come_back_to_an_address_of_the_message_s_own(proof: Proof) -> None:
    box = Box()
    with listening(box, proof) as server:
        line = Line(server, proof.client, wait=lambda seconds: None)
        list(post.send([mail(), mail("Ana Ruiz")], line, claims=Tokens()))
    assert [e.mail_from for e in box.taken] == [f"bounce+t{n}@{DOMAIN}" for n in (1, 2)]


def test_tokens_are_known_however_they_are_written() -> None:
    pattern = "Bounce+TOKEN@example.org"
    assert token_in(pattern, "BOUNCE+ABC@EXAMPLE.ORG") == "abc"
    for other in ("bounce+@example.org", "bounce+a.b@example.org", "xbounce+a@example.org", "bounce+a@example.org.x"):  # fmt: skip
        assert token_in(pattern, other) == ""
    assert token_in("", "bounce+a@example.org") == ""


# ---------------------------------------------------------------- no faster than the server likes


def at_pace(per_minute: int, box: Box, proof: Proof, count: int = 3) -> list[float]:
    """How long it rested before each message but the first; a message takes no time by this clock."""
    now, rested = [100.0], list[float]()

    def rest(seconds: float) -> None:
        rested.append(seconds)
        now[0] += seconds

    with listening(box, proof) as server:
        line = Line(
            replace(server, per_minute=per_minute),
            proof.client,
            rest=rest,
            clock=lambda: now[0],
            wait=lambda seconds: None,
        )
        mails = [replace(mail(), id=n) for n in range(count)]
        assert [type(o) for o in post.send(mails, line)] == [post.Sent] * count
    return rested


def test_so_many_a_minute_and_no_more(proof: Proof) -> None:
    box = Box()
    assert at_pace(30, box, proof) == [2.0, 2.0]
    assert box.connections == 1
    box = Box()
    assert at_pace(0, box, proof) == []
    box = Box()
    assert at_pace(1, box, proof) == [60.0, 60.0]
    assert box.connections == 3  # nobody is silent for a minute on an open line


def test_a_server_that_takes_a_few_at_a_time_is_called_again_at_once(proof: Proof) -> None:
    box, waited = Box(mail=["250 OK", "250 OK", "421 4.7.0 Too many on this line"]), list[float]()
    mails = [replace(mail(), id=n) for n in range(4)]
    with listening(box, proof) as server:
        outcomes = send(mails, server, proof, waited)
    assert [type(o) for o in outcomes] == [post.Sent] * 4
    assert (box.connections, waited) == (2, [])
    # One that says so at the first message means it.
    box = Box(mail=["421 4.7.0 Not now"])
    with listening(box, proof) as server:
        send(mails[:1], server, proof, waited)
    assert waited[0] == 1.0


# ---------------------------------------------------------------- an end to trying


def test_what_comes_too_late_is_not_tried_again(proof: Proof) -> None:
    box, waited = Box(rcpt={"pat@example.com": ["451 4.7.1 Later"] * 9}), list[float]()
    with listening(box, proof) as server:
        outcomes = send([replace(mail(), until=NOW)], server, proof, waited)
        assert waited == []
        (outcome,) = outcomes
        assert isinstance(outcome, post.NotSent)
        assert (outcome.permanent, outcome.too_late, outcome.code) == (True, True, 451)
        # One that is sent at the first try is sent, however late.
        box.rcpt.clear()
        (sent,) = send([replace(mail(), until=NOW)], server, proof, waited)
    assert isinstance(sent, post.Sent)


def test_pauses_double_up_to_a_length_and_there_are_no_more_than_five_days_of_them() -> None:
    now, pauses = NOW, list[float]()
    while now < NOW + dt.timedelta(days=5):
        later = next_try(NOW, now)
        pauses.append((later - now).total_seconds())
        now = later
    assert pauses[:6] == [300, 300, 600, 1200, 2400, 4000]
    assert set(pauses[6:]) == {4000}
    assert len(pauses) < 120


# ---------------------------------------------------------------- a server that hangs


@dataclass
class Hanging(Box):
    """A server that says nothing for a while, once: to a recipient, or to the whole message."""

    at: str = ""

    async def hang(self, here: str) -> None:
        if self.at == here:
            self.at = ""
            await asyncio.sleep(6)

    async def handle_RCPT(self, *given: Any) -> str:
        await self.hang("rcpt")
        return await super().handle_RCPT(*given)

    async def handle_DATA(self, *given: Any) -> str:
        reply = await super().handle_DATA(*given)
        await self.hang("data")
        return reply


def test_silence_before_the_message_is_tried_again_and_after_it_is_unsure(proof: Proof) -> None:
    for at, outcome in (("rcpt", post.Sent), ("data", post.Unsure)):
        box, waited = Hanging(at=at), list[float]()
        with listening(box, proof) as server:
            outcomes = send([mail()], server, proof, waited, patience=1.5)
        assert [type(o) for o in outcomes] == [outcome]
        assert len(box.taken) == 1
        assert bool(waited) == (at == "rcpt")


# ---------------------------------------------------------------- who it is that we talk to


@pytest.mark.parametrize("how", ["starttls", "tls"])
@pytest.mark.parametrize(("address", "ended"), [("127.0.0.1", 1), ("127.0.0.9", -1)])
def test_a_certificate_that_ran_out_or_names_another_is_refused(
    tmp_path: Path, how: str, address: str, ended: int
) -> None:
    shown = proof_in(tmp_path, address, ended)
    box = Box()
    with listening(box, shown, how) as server:
        with pytest.raises(
            SendTrouble, match=r"does not prove who it is \(.*(expired|not valid for)"
        ):
            send([mail()], server, shown)
    assert box.taken == []
