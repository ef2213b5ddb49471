"""Mail that comes to the co-op: reports that a message did not arrive, automatic replies, people.

Policy: what a mail system reports in the form of RFC 3464 is read as that; other forms are left to
flufl.bounce, and only where no person wrote the message. A report speaks against an address only if
its reason does: a full mailbox, a spam filter, or our own signing says nothing about it. What nobody
can tell is for somebody to read. docs/returned.md says the same for coordinators.
"""

from __future__ import annotations

import re
from dataclasses import replace
from email import message_from_bytes
from email.message import Message
from email.utils import parseaddr

from onboard.returned import people, plain, report, text
from onboard.returned.kinds import Action, Delivery, Kind, Returned
from onboard.returned.status import meaning

__all__ = ["Action", "Delivery", "Kind", "Returned", "meaning", "read"]

_MESSAGE_ID = re.compile(r"<[^<>\s]+@[^<>\s]+>")
_EXPECTED = ("From", "To", "Subject", "Date", "Received", "Return-Path", "Message-ID")


def read(message: Message | bytes | str) -> Returned:
    """What a message that came to the co-op is, and what it says of which address.

    `message`: as the standard library read it (policy `compat32`), or as it came, in bytes or text.
    Never raises.

    >>> found = read("From: pat@example.com\\nAuto-Submitted: auto-replied\\nSubject: Away\\n\\nBack Monday.")
    >>> found.kind, found.action
    (<Kind.AUTOMATIC_REPLY: 'automatic reply'>, <Action.NONE: 'none'>)
    """
    mail = _parsed(message)
    if not any(mail.get(name) for name in _EXPECTED):
        return Returned(Kind.UNREADABLE, action=Action.READ)
    found = report.feedback(mail) or report.read(mail) or plain.read(mail) or people.read(mail)
    if found.kind is Kind.COMPLAINT:
        found = replace(found, readers=report.recipients_of(mail))
    _, sender = parseaddr(text.header(mail, "From"))
    return replace(
        found, about=_about(mail), sender=sender.casefold(), said=found.said[:300],
        paths=report.paths(mail), sent_to=report.sent_to(mail),
    )  # fmt: skip


def _parsed(message: Message | bytes | str) -> Message:
    """The message out of its bytes, so that every one is read in the same way."""
    if isinstance(message, Message):
        heads = list(message.raw_items())
        try:
            message = message.as_bytes()
        except (UnicodeError, LookupError, ValueError, TypeError, AttributeError):
            # what was put together by hand may be what no mail can be
            message = "\n".join(f"{name}: {value}" for name, value in heads) + "\n\n"
    if isinstance(message, str):
        message = message.encode("utf-8", "replace")
    return message_from_bytes(message)


def _about(mail: Message) -> str:
    """The Message-ID of ours that it speaks of: in our message that it carries, or that it answers."""
    ours = report.original(mail)
    if ours is not None and (own := _MESSAGE_ID.search(text.header(ours, "Message-ID"))):
        return own[0]
    for name in ("Original-Message-ID", "In-Reply-To", "References"):
        if found := _MESSAGE_ID.findall(text.header(mail, name)):
            return str(found[-1])
    return ""
