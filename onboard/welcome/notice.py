"""A notice of a change, to the contact that was on file before it.

NIST SP 800-63B-4, section 4.6: whoever had the account must be told by a way that the change
itself did not touch, and what to do if they did not ask for it. The address of before may be a
stranger's, a slip on a join form: so a notice names nobody, and tells nothing that is new.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from onboard.errors import SettingsTrouble
from onboard.model import Member
from onboard.settings import Settings
from onboard.welcome import blocks, look, words
from onboard.welcome.message import Wording, mailbox, message
from onboard.welcome.packet import in_one_line, letter, plain
from onboard.windows import say_day

PASSWORD = "password"  # what is told of, beside "email", "phone" and "address"


@dataclass(frozen=True, slots=True)
class Notice:
    """What is told, as a mail or as a letter; the other one is empty."""

    subject: str
    text: str = field(repr=False)
    message: bytes = field(repr=False)  # RFC 5322
    letter: str = field(repr=False)  # JSON that `letters.pdf` prints


def notice(
    member: Member,
    changed: Sequence[str],
    settings: Settings,
    today: date,
    *,
    email: str = "",
    address: Sequence[str] = (),
) -> Notice:
    """The notice that `changed` ("email", "phone", "address", or `PASSWORD`) is otherwise now.

    It goes to `email`, or as a letter to the lines of `address`: as they were before the change.
    Raises `SettingsTrouble` when a template is broken or the co-op's sender is no address.
    """
    language = words.language_of(member, settings, words.NOTICE)
    name = f"{language}/{words.NOTICE}"
    values = {
        "coop": plain(settings.coop),
        "changed": list(changed),
        "letter": not email,
        "day": say_day(today, language, settings.region),
        "phone": settings.reply_phone,
        "sender": settings.sender,
        "postal_address": in_one_line(settings.postal_address),
    }
    said = blocks.read(words.markdown(name, settings, values))
    title = next((block.text for block in said if block.kind == "title"), "")
    subject = words.subject(title, name, settings)
    text = blocks.as_text(said)
    if not email:
        to = replace(member, address=tuple(address))
        return Notice(subject, text, b"", letter(to, settings, today, language, subject, said))
    sender, to_whom = mailbox(settings.coop, settings.sender), mailbox("", email)
    if sender is None or to_whom is None:
        raise SettingsTrouble(
            f"The sender “{settings.sender}” is not an email address. Fix sender in the settings."
        )
    page, logo = look.page(language, subject, said, settings)
    mail = message(
        Wording(language, subject, text, page, logo),
        sender=sender,
        to=to_whom,
        written=datetime.combine(today, time(), ZoneInfo(settings.timezone)),
        files=(),
    )
    return Notice(subject, text, mail, "")
