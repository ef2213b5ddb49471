"""A notice about a member's drop site: it closes, it has moved, they have another one, or a new one is near."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from onboard import nearby
from onboard.clean import phone
from onboard.model import Member, SiteNews, ToldSite, ToldWindow
from onboard.settings import Settings, Site
from onboard.welcome import words
from onboard.welcome.moved import span
from onboard.welcome.notice import Draft, Notice
from onboard.welcome.packet import (
    MOST_WINDOWS,
    called,
    in_one_line,
    pickup,
    plain,
)
from onboard.windows import Known, say_day


@dataclass(frozen=True, slots=True)
class About:
    """What a notice is about: the news, the member's own site and the one that it shows, and its windows if they are others."""

    told: ToldSite
    old: Site | None
    new: Site | None
    windows: tuple[Known, ...] = ()
    zone: ZoneInfo | None = None  # of the site that it shows

    @property
    def told_windows(self) -> tuple[ToldWindow, ...]:
        """The ordering windows that the notice tells; of a site that the member was only asked about, none counts."""
        if self.told.news is SiteNews.OPENS:
            return ()
        return tuple(one.told_in(self.zone) if self.zone else one.told for one in self.windows)


def about(
    member: Member, told: ToldSite, settings: Settings, known: Sequence[Known], now: datetime
) -> About:
    """What a notice of this news to the member is about."""
    old = settings.site(told.site if told.news is SiteNews.CLOSES else member.site)
    new = settings.site(told.instead if told.news is SiteNews.CLOSES else told.site)
    differs = new and (told.news is SiteNews.NOW or (old and old.group != new.group))
    today = now.astimezone(settings.zone()).date()
    windows = [
        one
        for one in known
        if differs and new and one.group == new.group and not (one.canceled or one.is_over(today))
    ]
    return About(told, old, new, tuple(windows[:MOST_WINDOWS]), settings.zone(new))


def site_news(
    member: Member, what: About, settings: Settings, now: datetime, *, by_email: bool
) -> Notice:
    """The notice, as an email (with a calendar file where the ordering days are others) or as a letter. It holds no secret.

    Raises `SettingsTrouble` when a template is broken or the co-op's sender is no address.
    """
    language = words.language_of(member, settings, words.SITE)
    days = what.windows if what.told_windows else ()
    values = _values(member, what, settings, language)
    draft = Draft(member, language, words.SITE, values | {"calendar": by_email and bool(days)}, now)
    return draft.with_days(settings, days, settings.zone(what.new), by_email=by_email)


def _values(member: Member, what: About, settings: Settings, language: str) -> dict[str, object]:
    """What the template may speak of."""
    told, new = what.told, what.new
    zip5 = nearby.zip_of(member.address)
    far = nearby.miles(zip5, new) if new else None
    asked = told.news is SiteNews.OPENS and far is not None
    closed = asked and what.old is not None and what.old.closed
    own = nearby.miles(zip5, what.old) if what.old and asked and not closed else None
    shows_way = told.news is not SiteNews.NOW and far is not None
    return {
        "name": called(member.name),
        "news": str(told.news),
        "old": plain(what.old.name) if what.old else "",
        "closed": closed,
        "day": say_day(told.on, language, settings.region) if told.on else "",
        "site": None if new is None else {
            "name": plain(new.name), "address": in_one_line(new.address), "host": plain(new.host),
            "host_phone": plain(phone.said_aloud(new.host_phone, region=settings.region)), "pickup": pickup(new, language),
        },
        "miles": _miles(far, language) if shows_way and far is not None else "",
        "own": _miles(own, language) if own is not None else "",
        "windows": [_sentence(span(one.window, language, settings.region)) for one in what.windows],
    }  # fmt: skip


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _miles(far: float, language: str) -> str:
    """A distance in the language: see `nearby.say_miles`."""
    if language.partition("-")[0] != "es":
        return nearby.say_miles(far)
    if far < 1:
        return "menos de 1 milla"
    return "cerca de 1 milla" if far < 1.5 else f"unas {far:,.0f} millas"
