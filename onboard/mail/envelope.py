"""What of a message its way to the server asks for: who sends it, who gets it, its form on the wire."""

from __future__ import annotations

import re
from datetime import datetime
from email import message_from_string, policy
from email.errors import MessageError
from email.utils import format_datetime

from onboard.settings.checks.mail import TOKEN


def recipient(message: bytes) -> str:
    """The email address that a message (RFC 5322) is addressed to; "" if that is not one address."""
    found = ends(message)
    return found[1] if found else ""


def ends(message: bytes) -> tuple[str, str] | None:
    """The sender's and the recipient's email address in a message (RFC 5322); None unless there is one of each."""
    try:
        # As text, for the foreign letters that RFC 6532 allows in headers.
        head = message.partition(b"\r\n\r\n")[0].decode("utf-8", "replace")
        headers = message_from_string(head, policy=policy.default)
        (sender,), (to,) = headers["From"].addresses, headers["To"].addresses
    except (MessageError, AttributeError, ValueError, IndexError):
        return None
    return (sender.addr_spec, to.addr_spec) if sender.domain and to.domain else None


def message_id(message: bytes) -> str:
    """The Message-ID of a message (RFC 5322, 3.6.4), with its angle brackets; "" if it has none."""
    head = message.partition(b"\r\n\r\n")[0]
    found = re.search(rb"^Message-ID:\s*(<[^<>\s]+>)", head, re.MULTILINE | re.IGNORECASE)
    return found[1].decode("utf-8", "replace") if found else ""


def dated(message: bytes, when: datetime) -> bytes:
    """The message with the time at which it is sent (RFC 5322 3.6.1), not that of its writing:
    what waited in the outbox must not go under among old mail."""
    date = b"Date: " + format_datetime(when).encode() + b"\r\n"
    return re.sub(rb"^Date: [^\r\n]*\r\n", date, message, count=1, flags=re.MULTILINE)


def on_the_wire(message: bytes) -> bytes:
    """The message with the ends of lines that it is sent with (RFC 5321 2.3.8)."""
    lines = re.sub(rb"\r\n|\r|\n", b"\r\n", message)
    return lines if lines.endswith(b"\r\n") else lines + b"\r\n"


def stuffed(lines: bytes) -> bytes:
    """The lines with a further dot before each that begins with one (RFC 5321 4.5.2)."""
    return re.sub(rb"^\.", b"..", lines, flags=re.MULTILINE)


def return_path(pattern: str, token: str) -> str:
    """The address that reports about one message come back to (RFC 5321, 4.4)."""
    return pattern.replace(TOKEN, token)


def token_in(pattern: str, address: str) -> str:
    """The token in an address of the pattern; "" if it is another address.

    >>> token_in("bounce+TOKEN@example.org", "Bounce+abc123@EXAMPLE.org")
    'abc123'
    """
    if not pattern:
        return ""
    before, _, after = pattern.casefold().partition(TOKEN.casefold())
    shape = f"{re.escape(before)}([a-z0-9]+){re.escape(after)}"
    found = re.fullmatch(shape, address.casefold())
    return found[1] if found else ""
