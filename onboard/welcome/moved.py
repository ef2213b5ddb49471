"""A notice that ordering days which a member was told have changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from onboard.errors import SettingsTrouble
from onboard.model import Member, ToldWindow
from onboard.settings import Settings, Window
from onboard.welcome import blocks, look, words
from onboard.welcome.calendar import PUBLISH, changes
from onboard.welcome.message import Wording, mailbox, message
from onboard.welcome.notice import Notice
from onboard.welcome.packet import called, full_name, in_one_line, letter, plain
from onboard.windows import Known, say_end, say_start

FILE = "ordering-days.ics"


@dataclass(frozen=True, slots=True)
class Move:
    """A window as a member was told it, and as it is now."""

    told: ToldWindow
    now: Known


def moved(
    member: Member, moves: Sequence[Move], settings: Settings, now: datetime, *, by_email: bool
) -> Notice:
    """The notice that these windows of the member's group are otherwise now, as an email with a calendar file, or
    as a letter. It holds no secret.

    Raises `SettingsTrouble` when a template is broken or the co-op's sender is no address.
    """
    language = words.language_of(member, settings, words.MOVED)
    name = f"{language}/{words.MOVED}"
    zone = settings.zone(settings.site(member.site))
    today = now.astimezone(settings.zone()).date()
    values = {
        "coop": plain(settings.coop),
        "name": called(member.name) or member.handle.text,
        "group": plain(moves[0].now.group),
        "changes": [_told(move, language, settings) for move in moves],
        "letter": not by_email,
        "ordering_page": settings.ordering_page,
        "phone": settings.reply_phone,
        "sender": settings.sender,
        "postal_address": in_one_line(settings.postal_address),
    }
    said = blocks.read(words.markdown(name, settings, values))
    title = next((block.text for block in said if block.kind == "title"), "")
    subject = words.subject(title, name, settings)
    text = blocks.as_text(said)
    if not by_email:
        return Notice(subject, text, b"", letter(member, settings, today, language, subject, said))
    sender, to = (
        mailbox(settings.coop, settings.sender),
        mailbox(full_name(member.name), member.email),
    )
    if sender is None or to is None:
        raise SettingsTrouble(
            f"The sender “{settings.sender}” is not an email address. Fix sender in the settings."
        )
    page, logo = look.page(language, subject, said, settings)
    days = changes([move.now for move in moves], settings, language, now, zone)
    mail = message(
        Wording(language, subject, text, page, logo),
        sender=sender,
        to=to,
        written=now.astimezone(settings.zone()),
        # RFC 6047, 2.4: the part says the method that is in it.
        files=((FILE, f"text/calendar; method={PUBLISH}", days),),
    )
    return Notice(subject, text, mail, "")


def _told(move: Move, language: str, settings: Settings) -> dict[str, str]:
    told = move.told
    was = Window(told.opens, told.closes, told.opens_at, told.closes_at)
    return {
        "was": "" if told.canceled else span(was, language, settings.region),
        "now": "" if move.now.canceled else span(move.now.window, language, settings.region),
    }


def span(window: Window, language: str, region: str) -> str:
    """A window in words, from its first day to its last."""
    opens, closes = say_start(window, language, region), say_end(window, language, region)
    timed = window.closes_at is not None
    if language.partition("-")[0] == "es":
        if opens == closes:
            return f"solo el {opens}".rstrip(".")
        return (
            f"desde el {opens} hasta el {closes}" if timed else f"del {opens} al {closes}"
        ).rstrip(".")
    if opens == closes:
        return f"on {opens} only"
    return f"from {opens} {'until' if timed else 'through'} {closes}"
