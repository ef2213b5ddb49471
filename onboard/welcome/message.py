"""The packet as one email message, after RFC 5322 and MIME."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from email import policy, quoprimime
from email.headerregistry import Address
from email.message import EmailMessage, MIMEPart
from email.utils import format_datetime, make_msgid
from functools import lru_cache
from itertools import chain

from email_validator import EmailNotValidError, validate_email

from onboard.welcome.look import Logo

# 998 octets a line at most, 78 advised (RFC 5322 2.1.1); a name that long is junk.
LONGEST_LINE, LONGEST_NAME = 78, 60
_PLAIN = re.compile(
    rb"(?:[!-<>-~ ]*[!-<>-~])?"
)  # quoted-printable leaves it as it is (RFC 2045, 6.7)
# A name and an address that need no quotes, with no sign in them that a header writes otherwise.
_SIMPLE = re.compile(
    r"[A-Za-z]+(?:[ '-][A-Za-z]+)* <[A-Za-z0-9_+-]+(?:\.[A-Za-z0-9_+-]+)*@[A-Za-z0-9.-]+>"
)


@dataclass(frozen=True, slots=True)
class Wording:
    """What a message says."""

    language: str
    subject: str
    text: str = field(repr=False)  # plain; it may hold a first password, as the page may
    html: str = field(repr=False)
    logo: Logo | None = None  # that the page shows


def message(
    wording: Wording,
    *,
    sender: Address,
    to: Address,
    written: datetime,
    files: tuple[tuple[str, str, bytes], ...],
    known: Mapping[bytes, bytes] = {},
) -> bytes:
    """The message (RFC 5322, bytes), ready to be sent: text and page as alternatives, then the attached
    `files`, each (name, MIME type, content);
    a type may have one parameter, "text/calendar; method=PUBLISH". `language` is an ISO 639 code. `known` are
    lines of text or page, each as `encoded` gives it.

    A line break cannot get into a header: the email package refuses it, and `mailbox` leaves none.
    """
    ascii_only = (sender.addr_spec + to.addr_spec).isascii()
    rules = policy.SMTP if ascii_only else policy.SMTPUTF8
    frame = _frame(rules, wording.language, str(sender), written, wording.logo, files)
    own = (
        _header(rules, "To", to),  # one recipient each, nobody sees another member's address
        _subject(rules, " ".join(wording.subject.split())),
        _header(rules, "Message-ID", make_msgid(domain=sender.domain)),
        _encoded(wording.text, known),
        _encoded(wording.html, known),
        b"",
    )
    return b"".join(chain.from_iterable(zip(frame, own, strict=True)))


_OWN = "here-comes-what-is-of-one-member-only"


@lru_cache(maxsize=64)
def _frame(
    rules: policy.EmailPolicy[EmailMessage],
    language: str,
    sender: str,
    written: datetime,
    logo: Logo | None,
    files: tuple[tuple[str, str, bytes], ...],
) -> tuple[bytes, ...]:
    """The message without what is of one member only: the pieces before, between and after it.

    It is the same for many members, and takes ten times as long as what is their own. No text of theirs can
    hold what parts the message: quoted-printable writes its “=” as “=3D” (RFC 2045, 6.7), and base64 has one at most at the end of a file.
    """
    mail = EmailMessage(rules)
    mail["From"] = sender
    mail["To"] = _OWN
    mail["Subject"] = _OWN
    mail["Date"] = format_datetime(written)  # RFC 5322 3.6.1; set again when it is sent
    mail["Message-ID"] = _OWN
    mail["Auto-Submitted"] = "auto-generated"  # RFC 3834 5: no vacation replies, please
    mail.set_content(_OWN, cte="quoted-printable")  # RFC 2046 5.1.4: plain first, best last
    mail.add_alternative(_OWN, subtype="html", cte="quoted-printable")
    if logo:
        *_, page = mail.iter_parts()
        assert isinstance(page, EmailMessage)
        page.add_related(
            logo.content, "image", "png", cid=f"<{logo.cid}>", filename="logo.png",
            disposition="inline",
        )  # fmt: skip
    mail.make_mixed()
    for name, kind, content in files:
        mail.attach(_attached(name, kind, content))  # type: ignore[arg-type]  # typeshed is narrow
    # RFC 3282; last, or it would go into the first part
    mail["Content-Language"] = language
    return tuple(re.split(rb"(?m)^(?:[\w-]+: )?" + _OWN.encode() + rb"\r\n", mail.as_bytes()))


def _header(rules: policy.EmailPolicy[EmailMessage], name: str, value: object) -> bytes:
    line = f"{name}: {value}"
    if isinstance(value, Address) and len(line) < LONGEST_LINE and _SIMPLE.fullmatch(str(value)):
        return line.encode() + b"\r\n"  # as it would come out, in a tenth of the time
    return rules.fold_binary(*rules.header_store_parse(name, value))


@lru_cache(maxsize=64)
def _subject(rules: policy.EmailPolicy[EmailMessage], said: str) -> bytes:
    return _header(rules, "Subject", said)  # the same for many members


def _encoded(text: str, known: Mapping[bytes, bytes]) -> bytes:
    """A text in quoted-printable, as the email package writes it."""
    lines = text.encode().splitlines() or [b""]
    return b"".join([known.get(line) or encoded(line) for line in lines])


def encoded(line: bytes) -> bytes:
    """A line (UTF-8) in quoted-printable, with its end."""
    if len(line) < LONGEST_LINE and _PLAIN.fullmatch(line):
        return line + b"\r\n"
    said = quoprimime.body_encode(line.decode("latin-1") + "\n", LONGEST_LINE)
    return said.replace("\n", "\r\n").encode()


@lru_cache(maxsize=256)
def _attached(name: str, kind: str, content: bytes) -> MIMEPart:
    """A file as a part of a message; the same for many members, so made once."""
    kind, _, more = kind.partition("; ")
    named, _, value = more.partition("=")
    maintype, _, subtype = kind.partition("/")
    part = MIMEPart(policy.SMTP)
    part.set_content(
        content,
        maintype=maintype,
        subtype=subtype,
        disposition="attachment",
        filename=name,
        params={"charset": "utf-8"} | ({named: value} if named else {}),
    )
    return part


@lru_cache(maxsize=1024)
def mailbox(name: str, address: str) -> Address | None:
    """An address for a header, with the name that goes with it; None if it is no address.

    A domain with foreign letters is written as it is sent (RFC 5891); the name is cut if long.

    >>> mailbox("Pat Lee", "pat@bücher.example").addr_spec
    'pat@xn--bcher-kva.example'
    """
    try:
        found = validate_email(
            address, check_deliverability=False, test_environment=True, allow_smtputf8=True
        )
    except EmailNotValidError:
        return None
    shown = " ".join(re.sub(r"[\x00-\x1f\x7f]", " ", name).split())[:LONGEST_NAME].strip()
    return Address(shown, username=found.local_part, domain=found.ascii_domain)
