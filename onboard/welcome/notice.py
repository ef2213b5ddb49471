"""A notice of a change, to the contact that was on file before it.

NIST SP 800-63B-4, section 4.6: whoever had the account must be told by a way that the change
itself did not touch, and what to do if they did not ask for it. The address of before may be a
stranger's, a slip on a join form: so a notice names nobody, and tells nothing that is new.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from email.headerregistry import Address
from zoneinfo import ZoneInfo

from onboard.errors import SettingsTrouble
from onboard.model import Member
from onboard.settings import Settings
from onboard.welcome import blocks, look, printed, words
from onboard.welcome.blocks import Block
from onboard.welcome.calendar import PUBLISH, changes
from onboard.welcome.message import Wording, mailbox, message
from onboard.welcome.packet import full_name, in_one_line, letter, plain
from onboard.windows import Known, say_day

Files = tuple[tuple[str, str, bytes], ...]  # name, type and content of each
CALENDAR = "ordering-days.ics"
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
    values = {"changed": list(changed), "day": say_day(today, language, settings.region)}
    written = datetime.combine(today, time(), ZoneInfo(settings.timezone))
    draft = Draft(replace(member, address=tuple(address)), language, words.NOTICE, values, written)
    return draft.as_email(settings, mailbox("", email)) if email else draft.as_letter(settings)


@dataclass(frozen=True, slots=True)
class Draft:
    """The words of a notice to a member, that go out as an email or as a letter."""

    member: Member
    language: str
    template: str
    values: Mapping[str, object]  # what the template may speak of, beside what every notice may
    written: datetime

    def as_letter(self, settings: Settings) -> Notice:
        """The notice as a letter. Raises `SettingsTrouble` when the template is broken."""
        subject, said = self._said(settings, by_email=False)
        today = self.written.astimezone(settings.zone()).date()
        made = letter(
            self.member, settings, today, self.language, subject,
            map(printed.block, blocks.in_print(said)),
        )  # fmt: skip
        return Notice(subject, blocks.as_text(said), b"", made)

    def as_email(self, settings: Settings, to: Address | None, files: Files = ()) -> Notice:
        """The notice as an email. Raises `SettingsTrouble` when the template is broken, or the co-op's sender is no address."""
        subject, said = self._said(settings, by_email=True)
        sender = mailbox(settings.coop, settings.sender)
        if sender is None or to is None:
            raise SettingsTrouble(
                f"The sender “{settings.sender}” is not an email address. Fix sender in the settings."
            )
        text = blocks.as_text(said)
        page, logo = look.page(self.language, subject, said, settings)
        wording = Wording(self.language, subject, text, page, logo)
        written = self.written.astimezone(settings.zone())
        return Notice(subject, text, message(wording, sender=sender, to=to, written=written, files=files), "")  # fmt: skip

    def with_days(
        self, settings: Settings, days: Sequence[Known], zone: ZoneInfo, *, by_email: bool
    ) -> Notice:
        """The notice as a letter, or as an email to the member, with a calendar file of these ordering days if there are
        any. Raises `SettingsTrouble` as both do."""
        if not by_email:
            return self.as_letter(settings)
        files: Files = ()
        if days:
            made = changes(days, settings, self.language, self.written, zone)
            # RFC 6047, 2.4: the part says the method that is in it.
            files = ((CALENDAR, f"text/calendar; method={PUBLISH}", made),)
        to = mailbox(full_name(self.member.name), self.member.email)
        return self.as_email(settings, to, files)

    def _said(self, settings: Settings, *, by_email: bool) -> tuple[str, tuple[Block, ...]]:
        name = f"{self.language}/{self.template}"
        values = {
            "coop": plain(settings.coop),
            "letter": not by_email,
            "phone": settings.reply_phone,
            "sender": settings.sender,
            "postal_address": in_one_line(settings.postal_address),
            **self.values,
        }
        said = blocks.read(words.markdown(name, settings, values))
        title = next((block.text for block in said if block.kind == "title"), "")
        return words.subject(title, name, settings), said
