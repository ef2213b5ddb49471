"""What many packets say alike is made once, and nobody could tell by what comes out."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from email import policy
from email.headerregistry import Address
from email.message import EmailMessage, MIMEPart
from email.utils import format_datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from packets_made import COOP, FIRST, TODAY, member

from onboard import handles, welcome
from onboard.model import FirstPassword
from onboard.welcome import blocks
from onboard.welcome.message import Wording, encoded, message
from onboard.welcome.parts import Parts

DRAWN = settings(
    derandomize=True, deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow]
)

PIECES = st.sampled_from([
    "\n", "\n\n", "\n \n", "\n\t\n\n", "# ", "## ", "> ", "- ", "* ", "+ ", "1. ", "2) ", "  ", "    ",
    "\t", "**", "*", "_", "[a](https://example.org)", "![c](code)", "[no](no-link)", "\\", "\\*", "&amp;",
    "one", "two three", "4", ".", "é", "\xa0", "\r\n", "\r", "===", "---", "```", "<b>", "\x00", "\u2028",
])  # fmt: skip


@DRAWN
@given(st.lists(PIECES, max_size=30).map("".join))
def test_pieces_of_markdown_read_one_by_one_are_the_whole(text: str) -> None:
    whole = tuple(blocks._read(text))  # in one piece
    assert blocks.read(text) == whole
    parts = Parts(COOP)
    for _ in range(3):  # made, made again and kept, from memory
        (said,) = parts.of(text)
        assert tuple(part.block for part in said) == blocks.in_mail(whole)
        assert blocks.joined(part.text for part in said) == blocks.as_text(blocks.in_mail(whole))


def test_a_list_goes_on_after_an_empty_line_and_a_paragraph_ends_it() -> None:
    read = blocks.read(
        "1. one\n\n2. two\n\n   more\n\nAn end.\n\n**Bold** is no item.\n\n* This is."
    )
    assert [(block.kind, block.text) for block in read] == [
        ("steps", "one\ntwo\nmore"),
        ("paragraph", "An end."),
        ("paragraph", "Bold is no item."),
        ("points", "This is."),
    ]


PARTS = re.compile(rb"={15}\d+==")
FILES = (
    ("contact.vcf", "text/vcard", b"BEGIN:VCARD\r\nEND:VCARD\r\n"),
    ("ordering-days.ics", "text/calendar; method=PUBLISH", b"x" * 300),
)
SENDER, WRITTEN = Address("Fen & Co.", "hello", "example.org"), datetime(2026, 11, 25, tzinfo=UTC)


def by_the_package(wording: Wording, to: Address) -> bytes:
    """The same message, made by the email package as a whole."""
    ascii_only = to.addr_spec.isascii()
    mail = EmailMessage(policy.SMTP if ascii_only else policy.SMTPUTF8)
    mail["From"], mail["To"] = SENDER, to
    mail["Subject"] = " ".join(wording.subject.split())
    mail["Date"] = format_datetime(WRITTEN)
    mail["Message-ID"] = "<x@example.org>"
    mail["Auto-Submitted"] = "auto-generated"
    mail.set_content(wording.text, cte="quoted-printable")
    mail.add_alternative(wording.html, subtype="html", cte="quoted-printable")
    mail.make_mixed()
    for name, kind, content in FILES:
        kind, _, more = kind.partition("; ")
        main, _, sub = kind.partition("/")
        named, _, value = more.partition("=")
        params = {"charset": "utf-8"} | ({named: value} if named else {})
        part = MIMEPart(policy.SMTP)
        part.set_content(content, main, sub, disposition="attachment", filename=name, params=params)
        mail.attach(part)  # type: ignore[arg-type]
    mail["Content-Language"] = wording.language
    return mail.as_bytes()


def same(message: bytes) -> bytes:
    """The message with its parts and itself called alike."""
    names = list(dict.fromkeys(PARTS.findall(message)))
    for number, name in enumerate(names):
        message = message.replace(name, b"part %d" % number)
    return re.sub(rb"(?m)^Message-ID: .*\r\n(?: .*\r\n)*", b"", message)


LINES = st.lists(
    st.one_of(st.text(st.characters(exclude_categories=["Cs"]), max_size=90), st.sampled_from(["", ".", "From here", "=", "--", " x "])),
    max_size=6,
).map("\n".join)  # fmt: skip


@DRAWN
@given(
    text=LINES, html=LINES, subject=LINES.filter(str.split),
    name=st.text(st.characters(exclude_categories=["C"]), max_size=40),
    box=st.sampled_from(["pat", "a.b+c", "o'brien", "müller", "x" * 60]),
)  # fmt: skip
def test_a_message_is_what_the_email_package_makes(
    text: str, html: str, subject: str, name: str, box: str
) -> None:
    subject = "".join(sign for sign in subject if sign.isprintable() or sign == "\n")
    wording, to = Wording("en", subject, text, html), Address(name, box, "example.org")
    lines = [*text.encode().splitlines(), *html.encode().splitlines()]
    for known in ({}, {line: encoded(line) for line in lines}):
        made = message(wording, sender=SENDER, to=to, written=WRITTEN, files=FILES, known=known)
        assert same(made) == same(by_the_package(wording, to))


@pytest.mark.parametrize(
    "name", ["Pat Lee", "Jean-Luc O'Neil", "J. R. Lee", "Zoë", "Pat", "--", "Lee' ", "A" * 60, ""]
)
@pytest.mark.parametrize("box", ["pat", "p.q+r", "o'brien", "p..q", "x" * 20])
def test_to_whom_it_goes_is_written_as_the_email_package_does(name: str, box: str) -> None:
    wording, to = Wording("en", "Hello", "a", "b"), Address(name, box, "example.org")
    made = message(wording, sender=SENDER, to=to, written=WRITTEN, files=FILES)
    assert same(made) == same(by_the_package(wording, to))


def test_packets_made_together_are_those_that_are_made_alone() -> None:
    made = welcome.Packets(COOP, TODAY)
    for language, name in (("en", "Pat Lee"), ("es", "Ana Ruiz"), ("en", "Seán O'Brien"), ("en", "Pat Lee")):  # fmt: skip
        for email in ("pat@example.org", ""):
            someone = member(name, language=language, email=email)
            steps = handles.tell(someone.handle, language)
            together = made.packet(someone, FIRST, steps)
            alone = welcome.packet(someone, FIRST, COOP, TODAY, steps)
            assert same(together.message) == same(alone.message)
            assert (together.text, together.html, together.letter, together.told) == (
                alone.text, alone.html, alone.letter, alone.told,
            )  # fmt: skip


def test_no_first_password_stays_behind_the_packet_that_tells_it() -> None:
    made = welcome.Packets(COOP, TODAY)
    phrases = ["brisk-otter-plume-sandy-vest", "ample-cedar-lilac-quilt-tulip"]
    for phrase in phrases:
        someone = member("Pat Lee")
        first = FirstPassword(phrase, FIRST.expires)
        packet = made.packet(someone, first, handles.tell(someone.handle, "en"))
        assert phrase in packet.text
    kept = repr([part.text for parts in made._parts._kept.values() for part in parts])
    assert "We will never ask you" in kept
    assert not any(phrase in kept for phrase in phrases)
    assert not any(phrase.encode() in line for phrase in phrases for line in made._parts.lines)
