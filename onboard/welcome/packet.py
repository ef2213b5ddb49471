"""A welcome packet: mail, letter, calendar and contact card for one new member."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from onboard.clean import phone
from onboard.errors import SettingsTrouble
from onboard.model import FirstPassword, Member, PersonName, ToldWindow, Way
from onboard.settings import Group, Settings, Site, Window
from onboard.welcome import blocks, printed, spelling, words
from onboard.welcome.calendar import calendar
from onboard.welcome.card import card
from onboard.welcome.message import Wording, mailbox, message
from onboard.welcome.parts import Parts
from onboard.windows import (
    Known,
    first_to_reach,
    say_day,
    say_end,
    say_start,
    say_weekday,
    upcoming,
)

MOST_WINDOWS = 4  # told in words; the calendar has them all
# How many days after it was made a packet is read: an email on the day after, a letter within a
# week (USPS First-Class Mail takes one to five days).
ARRIVES = {Way.EMAIL: timedelta(days=1), Way.LETTER: timedelta(days=7)}


@dataclass(frozen=True, slots=True)
class Packet:
    """What one new member gets. It holds their first password: its repr does not show it."""

    member: Member
    subject: str
    text: str = field(repr=False)  # plain, 72 columns
    html: str = field(repr=False)
    message: bytes = field(repr=False)  # RFC 5322; b"" for who has no email or opted out of it
    calendar: bytes = field(repr=False)  # RFC 5545; b"" when no window is set
    card: bytes = field(repr=False)  # vCard 3.0
    letter: str = field(repr=False)  # JSON that `letters.pdf` prints
    told: tuple[ToldWindow, ...] = ()  # the windows in it, if calendars know them

    def __repr__(self) -> str:
        return f"Packet({self.member.handle.text!r}, {self.subject!r}, hidden)"


def packet(
    member: Member,
    first: FirstPassword | None,
    settings: Settings,
    today: date,
    steps: tuple[str, ...],
    known: tuple[Known, ...] | None = None,
) -> Packet:
    """The packet that explains sign-in to `member`, in their language.

    `steps` are sentences, in that language (see `language_of`), that tell how the handle came
    from the name. `today` is the day at the co-op. Without a `first` password it tells how to set one on
    the ordering page. `known` are the ordering windows as calendars know them (see `calendar`). Raises `SettingsTrouble` when a template is
    broken or the co-op's sender is no email address.
    """
    return Packets(settings, today, known).packet(member, first, steps)


class Packets:
    """Makes the packets of a day: what several say is made once. It keeps no first password."""

    def __init__(
        self, settings: Settings, today: date, known: tuple[Known, ...] | None = None
    ) -> None:
        self._settings, self._today, self._known = settings, today, known
        self._parts, self._card = Parts(settings), card(settings)
        self._languages: dict[str, str] = {}
        self._words: dict[str, words.Filled] = {}
        self._calendars: dict[tuple[Group | None, str, str], bytes] = {}
        self._windows: dict[tuple[Group | None, str], tuple[ToldWindow, ...]] = {}

    def packet(
        self,
        member: Member,
        first: FirstPassword | None,
        steps: tuple[str, ...],
        *,
        shared: bool = False,
    ) -> Packet:
        """A packet, as `packet` gives it; it says whose it is where other members get email in the same mailbox (`shared`)."""
        settings, today = self._settings, self._today
        language = self.language_of(member)
        values = _values(member, first, settings, today, steps, language) | {"shared": shared}
        name = f"{language}/{words.PACKET}"
        fill = self._words.get(name) or self._words.setdefault(name, words.filled(name, settings))
        texts = [fill(values)]
        if values["mail"] and not settings.mail.host:
            # No email comes before a mail server is set: the letter speaks of none.
            texts.append(fill(values | {"mail": False}))
        said, *others = self._parts.of(*texts)
        in_print = others[0] if others else said
        title = next((part.block.text for part in said if part.block.kind == "title"), "")
        subject = words.subject(title, name, settings)
        group = _group(member, settings)
        zone = settings.zone(settings.site(member.site))
        days, ours = self._calendar(group, language, zone), self._card
        text = blocks.joined(part.text for part in said)
        html, logo = self._parts.page(language, subject, said)
        wording = Wording(language, subject, text, html, logo)
        files: tuple[tuple[str, str, bytes], ...] = (("contact.vcf", "text/vcard", ours),)
        if days:
            files = (*files, ("ordering-days.ics", "text/calendar", days))
        by_email = self._message(member, wording, files)
        return Packet(
            member=member,
            subject=subject,
            text=text,
            html=html,
            message=by_email,
            calendar=days,
            card=ours,
            letter=letter(
                member, settings, today, language, subject, (part.printed for part in in_print)
            ),
            # In words it tells the next few, in the calendar of an email all of them.
            told=self._coming(group, zone)[: None if by_email else MOST_WINDOWS],
        )

    def language_of(self, member: Member) -> str:
        """The language of a member's packet, as `words.language_of` has it."""
        if member.language not in self._languages:
            self._languages[member.language] = words.language_of(member, self._settings)
        return self._languages[member.language]

    def _message(
        self, member: Member, wording: Wording, files: tuple[tuple[str, str, bytes], ...]
    ) -> bytes:
        settings = self._settings
        to = mailbox(full_name(member.name), member.email)
        if to is None or member.consent is False:
            return b""
        sender = mailbox(settings.coop, settings.sender)
        if sender is None:
            raise SettingsTrouble(
                f"The sender “{settings.sender}” is not an email address. Fix sender in the settings."
            )
        written = datetime.combine(self._today, time(), ZoneInfo(settings.timezone))
        return message(
            wording, sender=sender, to=to, written=written, files=files, known=self._parts.lines
        )

    def _calendar(self, group: Group | None, language: str, zone: ZoneInfo) -> bytes:
        """The days of a group; to look it up by all of the settings would take longer than most of a packet."""
        whose = (group, language, zone.key)
        if group and whose not in self._calendars:
            self._calendars[whose] = calendar(
                group, self._settings, language, self._today, zone, self._known
            )
        return self._calendars.get(whose, b"")

    def _coming(self, group: Group | None, zone: ZoneInfo) -> tuple[ToldWindow, ...]:
        """The windows of a group that can be told, if calendars know them."""
        whose = (group, zone.key)
        if whose not in self._windows:
            self._windows[whose] = tuple(
                one.told_in(zone)
                for one in self._known or ()
                if group
                and one.group == group.name
                and not (one.canceled or one.is_over(self._today))
            )
        return self._windows[whose]


TO = "to-"  # before the sign-in name: where a member's letter begins in a PDF (a named destination)


def first_window(member: Member, settings: Settings, today: date) -> Window | None:
    """The first ordering window that a member can use whose packet is made `today`; None if they
    have no drop site, or no such window is set."""
    group = _group(member, settings)
    return first_to_reach(group, today + ARRIVES[member.packet_goes_by]) if group else None


def ends_early(
    member: Member, first: FirstPassword | None, settings: Settings, today: date
) -> bool:
    """Whether the password ends before that window has closed."""
    window = first_window(member, settings, today)
    return bool(window and first and first.expires < window.closes)


def letter(
    member: Member,
    settings: Settings,
    today: date,
    language: str,
    subject: str,
    said: Iterable[str],
) -> str:
    """A letter to the member's address on file, as JSON that `letters.pdf` prints, of blocks as `printed.block` gives them."""
    return printed.letter(
        {
            "lang": language,
            "title": subject,
            "to": addressee(member, settings),
            "from": [plain(settings.coop), *_plain_lines(settings.postal_address)],
            "date": say_day(today, language, settings.region),
            "page": settings.ordering_page,
            "mark": f"{TO}{member.handle.text}",
        },
        said,
    )


def addressee(member: Member, settings: Settings) -> list[str]:
    """The lines of a member's address on file, the name first."""
    return [full_name(member.name) or plain(settings.coop), *map(plain, member.address)]


# ---------------------------------------------------------------- what templates are given


def _values(
    member: Member,
    first: FirstPassword | None,
    settings: Settings,
    today: date,
    steps: tuple[str, ...],
    language: str,
) -> dict[str, object]:
    """All that a template may speak of; docs/packets.md lists it."""
    site = _open_site(member, settings)
    group = _group(member, settings)
    windows = upcoming(group, today) if group else ()
    handle, phrase = member.handle.text, first.phrase if first else ""
    return {
        "coop": plain(settings.coop),
        "name": called(member.name),
        "full_name": full_name(member.name),
        "handle": handle,
        "spelled": words.one_by_one(handle),
        "traps": spelling.traps(handle, language),
        "steps": tuple(map(plain, steps)),
        "password": phrase,
        "expires": say_day(first.expires, language, settings.region) if first else "",
        "set_link": plain(settings.password.set_link),
        "email": member.email,
        "ends_early": ends_early(member, first, settings, today),
        "small": phrase == phrase.lower(),
        "hyphens": phrase.count("-"),
        "spaces": phrase.count(" "),
        "security_question": settings.security_question,
        "ordering_page": settings.ordering_page,
        "shop_page": blocks.bare(settings.shop_page),
        "site": None if site is None else {
            "name": plain(site.name), "address": in_one_line(site.address), "host": plain(site.host),
            "host_phone": plain(phone.said_aloud(site.host_phone, region=settings.region)), "group": plain(site.group),
            "pickup": pickup(site, language),
        },
        "windows": [_told(w, today, language, settings) for w in windows[:MOST_WINDOWS]],
        "more": max(0, len(windows) - MOST_WINDOWS),
        "sender": settings.sender,
        "phone": settings.reply_phone,
        "postal_address": in_one_line(settings.postal_address),
        "mail": bool(member.email) and member.consent is not False,
        "guide": words.guide(settings, language),
    }  # fmt: skip


def _open_site(member: Member, settings: Settings) -> Site | None:
    """The drop site where the member can pick up; None where it has closed for good, too."""
    site = settings.site(member.site) if member.site else None
    return None if site is None or site.closed else site


def _group(member: Member, settings: Settings) -> Group | None:
    site = _open_site(member, settings)
    return settings.group(site.group) if site else None


def pickup(site: Site, language: str) -> str:
    """When the goods are picked up, as the settings say it; a day of the week in the language."""
    day = plain(site.pickup_day)
    return ", ".join(filter(None, (say_weekday(day, language), plain(site.pickup_hours))))


def _told(window: Window, today: date, language: str, settings: Settings) -> dict[str, object]:
    return {
        "opens": say_start(window, language, settings.region),
        "closes": say_end(window, language, settings.region),
        "timed": bool(window.opens_at or window.closes_at),
        # A packet knows the day and not the hour: of a day that is open in part, it says nothing.
        "open_now": (window.opens < today or (window.opens == today and not window.opens_at))
        and (today < window.closes or (today == window.closes and not window.closes_at)),
    }


# ---------------------------------------------------------------- text from strangers

LONGEST = 200  # characters of a name or a line; more is junk, and would fill the page
# Control and surrogate characters, and those that turn the direction of what follows (UAX 9).
_UNSHOWN = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]")


def plain(text: str) -> str:
    """Text on one line, without characters that are not seen but do something."""
    text = text.encode("utf-8", "replace").decode() if not text.isascii() else text
    text = " ".join(_UNSHOWN.sub(" ", text).split())
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def in_one_line(address: str) -> str:
    """An address of several lines as one, for a sentence."""
    return ", ".join(_plain_lines(address))


def _plain_lines(text: str) -> list[str]:
    return [shown for line in text.splitlines() if (shown := plain(line))]


def called(name: PersonName) -> str:
    """What to call somebody, "" if it is not known."""
    return plain(unicodedata.normalize("NFC", name.called or name.given or name.family))


def full_name(name: PersonName) -> str:
    """The whole name, on one line."""
    parts = (name.title, name.given, name.middle, name.family, name.suffix)
    return plain(unicodedata.normalize("NFC", " ".join(filter(None, parts))))
