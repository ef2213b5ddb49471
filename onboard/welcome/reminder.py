"""Reminders of ordering windows, as emails.

Thousands say the same: what is said is rendered once for each language, window and hint, and each member's email is
made of that, with their name, their email address and a Message-ID of its own.
"""

from __future__ import annotations

import re
from binascii import a2b_qp, b2a_qp
from dataclasses import dataclass, field
from datetime import datetime
from email import policy
from email.headerregistry import Address, HeaderRegistry
from enum import StrEnum
from hashlib import sha256
from html import escape
from uuid import uuid4

from onboard.errors import SettingsTrouble
from onboard.model import PersonName, ReminderKind
from onboard.settings import Settings, Window
from onboard.welcome import blocks, look, words
from onboard.welcome.message import Wording, mailbox, message
from onboard.welcome.moved import span
from onboard.welcome.packet import called, full_name, in_one_line, plain
from onboard.windows import Known, say_end

KEY = "{key}"  # in the page to unsubscribe: the key of the email
_NAME = "NAME0OF0THE0MEMBER"  # stands in the form for the name


class Hint(StrEnum):
    """What keeps a member from ordering, as far as we know."""

    NONE = ""
    PACKET = "packet"  # their welcome packet has not reached them
    NEVER_IN = "never in"  # they never signed in, and no packet of ours told them how
    UNUSED = "unused"  # they never signed in
    ENDED = "ended"  # nor can they: their temporary password no longer works


@dataclass(frozen=True, slots=True)
class Says:
    """What a reminder says; all who have the same get the same."""

    kind: ReminderKind
    known: Known
    next: Window | None  # the window after it
    hint: Hint
    language: str  # there are words in it


@dataclass(frozen=True, slots=True)
class _Form:
    """A finished email without what is each member's own. The lines of the name are as they read, not yet encoded."""

    parts: tuple[bytes, ...]  # between the greetings
    greetings: tuple[tuple[str, bool], ...]  # each a line, and whether it is of the page


@dataclass(slots=True)
class Reminders:
    """The emails of one run."""

    settings: Settings
    now: datetime
    _forms: dict[tuple[Says, bool], _Form] = field(default_factory=dict)
    _headers: HeaderRegistry = field(default_factory=HeaderRegistry)

    def email(self, says: Says, name: PersonName, address: str) -> bytes:
        """The reminder (RFC 5322) to a member of this name and email address; b"" where that is none.

        It holds no secret. Raises `SettingsTrouble` when a template is broken or the co-op's sender is no address.
        """
        to = mailbox(full_name(name), address)
        if to is None:
            return b""
        greeted = called(name)
        kind = says, bool(greeted)
        form = self._forms.get(kind) or self._forms.setdefault(kind, self._form(*kind))
        lines = [
            b2a_qp(line.replace(_NAME, escape(greeted) if page else greeted).encode(), istext=True)
            for line, page in form.greetings
        ]
        body = form.parts[0] + b"".join(
            line.replace(b"\n", b"\r\n") + rest
            for line, rest in zip(lines, form.parts[1:], strict=True)
        )
        return self._head(to) + body

    def _head(self, to: Address) -> bytes:
        """The headers that are the member's own."""
        key = uuid4().hex  # of chance, and in this email alone
        domain = self.settings.sender.rpartition("@")[2]
        rules = policy.SMTP if to.addr_spec.isascii() else policy.SMTPUTF8
        head: str = rules.fold("To", self._headers("To", to))
        head += f"Message-ID: <{id_of(key)}@{domain}>\r\n"
        sender = self.settings.sender
        ways = [f"<mailto:{sender}?subject=unsubscribe>"]
        if page := self.settings.reminders.unsubscribe_page:
            ways.insert(0, f"<{page.replace(KEY, key)}>")
        head += (
            f"List-Unsubscribe: {(',' + chr(13) + chr(10) + ' ').join(ways)}\r\n"  # RFC 2369, 3.2
        )
        if page:
            head += "List-Unsubscribe-Post: List-Unsubscribe=One-Click\r\n"  # RFC 8058, 3.1
        return head.encode()

    def _form(self, says: Says, by_name: bool) -> _Form:
        settings = self.settings
        name = f"{says.language}/{words.REMINDER}"
        greeted = {"name": _NAME if by_name else ""}
        said = blocks.read(words.markdown(name, settings, values(says, settings) | greeted))
        title = next((block.text for block in said if block.kind == "title"), "")
        subject = words.subject(title, name, settings)
        page, logo = look.page(says.language, subject, said, settings)
        # Each greeting is a line by itself, so that it can be encoded by itself.
        page = re.sub(rf">([^<>]*{_NAME}[^<>]*)<", r">\n\1\n<", page)
        sender = mailbox(settings.coop, settings.sender)
        if sender is None:
            raise SettingsTrouble(
                f"The sender “{settings.sender}” is not an email address. Fix sender in the settings."
            )
        whole = message(
            Wording(says.language, subject, blocks.as_text(said), page, logo),
            sender=sender,
            to=sender,  # taken out below
            written=self.now.astimezone(settings.zone()),
            files=(),
        )
        whole = re.sub(
            rb"^(?:To|Message-ID): [^\r\n]*\r\n", b"", whole, count=2, flags=re.MULTILINE
        )
        parts, greetings = [b""], []
        for line in whole.splitlines(keepends=True):
            if _NAME.encode() in line:
                greeting = a2b_qp(line).decode().rstrip("\r\n") + "\n"
                greetings.append((greeting, any(b"text/html" in part for part in parts)))
                parts.append(b"")
            else:
                parts[-1] += line
        return _Form(tuple(parts), tuple(greetings))


def id_of(key: str) -> str:
    """What stands before the @ in the Message-ID of the email with this key. It is made of the key and not the other way:
    a Message-ID goes along with each reply, and whoever reads one could say no for somebody else."""
    return sha256(f"one click {key}".encode()).hexdigest()[:32]


def values(says: Says, settings: Settings) -> dict[str, object]:
    """All that a template may speak of, but the name."""
    window, language = says.known.window, says.language
    return {
        "kind": str(says.kind),
        "hint": str(says.hint),
        "coop": plain(settings.coop),
        "group": plain(says.known.group),
        "days": span(window, language, settings.region),
        "closes": say_end(window, language, settings.region),
        "timed": window.closes_at is not None,
        "next": span(says.next, language, settings.region) if says.next else "",
        "ordering_page": settings.ordering_page,
        "guide": words.guide(settings, language),
        "phone": settings.reply_phone,
        "sender": settings.sender,
        "postal_address": in_one_line(settings.postal_address),
    }
