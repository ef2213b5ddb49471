"""A notice that ordering days which a member was told have changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from onboard.model import Member, ToldWindow
from onboard.settings import Settings, Window
from onboard.welcome import words
from onboard.welcome.notice import Draft, Notice
from onboard.welcome.packet import called, plain
from onboard.windows import Known, closing, opening, say_end, say_start


@dataclass(frozen=True, slots=True)
class Move:
    """A window as a member was told it, and as it is for them now."""

    told: ToldWindow | None  # None: they were told nothing of it
    now: Known
    regrouped: bool = False  # the window is another group's, and theirs no longer

    @property
    def is_rezoned(self) -> bool:
        """Whether nothing but the clock by which it goes is another one."""
        return self.told is not None and self.told == self.now.told and not self.regrouped


def is_rezoned(told: ToldWindow, now: Known, zone: ZoneInfo) -> bool:
    """Whether a window that was told opens or closes at another moment by the clock of this time zone."""
    if not told.zone or told.zone == zone.key:
        return False
    was, window = ZoneInfo(told.zone), now.window
    return opening(window, was) != opening(window, zone) or closing(window, was) != closing(
        window, zone
    )


def moved(
    member: Member, moves: Sequence[Move], settings: Settings, now: datetime, *, by_email: bool
) -> Notice:
    """The notice that these windows are otherwise now, as an email with a calendar file, or as a letter. It holds no secret.

    A window of another group than the member's is no longer theirs. Raises `SettingsTrouble` when a template is broken or
    the co-op's sender is no address.
    """
    language = words.language_of(member, settings, words.MOVED)
    site = settings.site(member.site)
    group = site.group if site else moves[0].now.group
    values = {
        "name": called(member.name),
        "group": plain(group),
        "site": plain(member.site),
        "rezoned": all(move.is_rezoned for move in moves),
        "regrouped": any(move.regrouped for move in moves),
        "changes": [_told(move, language, settings) for move in moves],
        "ordering_page": settings.ordering_page,
    }
    draft = Draft(member, language, words.MOVED, values, now)
    days = [move.now for move in moves]
    return draft.with_days(settings, days, settings.zone(site), by_email=by_email)


def _told(move: Move, language: str, settings: Settings) -> dict[str, str]:
    told, was = move.told, ""
    if told and not told.canceled and not move.is_rezoned:
        window = Window(told.opens, told.closes, told.opens_at, told.closes_at)
        was = span(window, language, settings.region)
    return {
        "was": was,
        "now": "" if move.now.canceled else span(move.now.window, language, settings.region),
    }


def span(window: Window, language: str, region: str) -> str:
    """A window in words, from its first day to its last."""
    opens, closes = say_start(window, language, region), say_end(window, language, region)
    timed = window.closes_at is not None
    if language.partition("-")[0] == "es":
        if opens == closes:
            return f"solo el {opens}"
        return f"desde el {opens} hasta el {closes}" if timed else f"del {opens} al {closes}"
    if opens == closes:
        return f"on {opens} only"
    return f"from {opens} {'until' if timed else 'through'} {closes}"
