"""Ordering windows: which come next, and how a group stands today. Both days belong to a window.

What day it is, the co-op's time zone decides (`onboard.office.Office.today`); nothing here
knows a clock.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date, get_day_names

from onboard.settings import Group, Window


@dataclass(frozen=True, slots=True)
class Standing:
    """How a group stands: the window that is open, and the one that opens next, if any."""

    open: Window | None
    next: Window | None


def upcoming(group: Group, today: date) -> tuple[Window, ...]:
    """The group's windows that are open or still to come, the next one first.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> upcoming(lake, date(2026, 12, 6)) == lake.windows, upcoming(lake, date(2026, 12, 7))
    (True, ())
    """
    return tuple(
        sorted((w for w in group.windows if w.closes >= today), key=lambda w: (w.opens, w.closes))
    )


def first_to_reach(group: Group, there: date) -> Window | None:
    """The first window in which somebody can order who knows how from the day `there` on; None if
    none is set.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> first_to_reach(lake, date(2026, 12, 6)) == lake.windows[0]
    True
    """
    return next(iter(upcoming(group, there)), None)


def standing(group: Group, today: date) -> Standing:
    """Whether the group may order today, and when it may next.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> standing(lake, date(2026, 12, 6)).open == lake.windows[0]
    True
    """
    coming = upcoming(group, today)
    return Standing(
        open=next((w for w in coming if w.opens <= today), None),
        next=next((w for w in coming if w.opens > today), None),
    )


def open_now(group: Group, today: date) -> Window | None:
    """The window that is open today, or None."""
    return standing(group, today).open


def tell(group: Group, today: date, language: str = "en") -> str:
    """A sentence on when the group may order, in Spanish for "es" (ISO 639), else in English.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> tell(lake, date(2026, 11, 25))
    'Ordering for Lake opens on Tuesday, December 1, 2026 and closes on Sunday, December 6, 2026.'
    >>> tell(lake, date(2026, 12, 7), "es")
    'Todavía no hay fechas de pedido para Lake.'
    """
    now = standing(group, today)
    spanish = language == "es"
    if now.open:
        day = say_day(now.open.closes, language)
        if spanish:
            return f"Los pedidos de {group.name} están abiertos hasta el {day}, inclusive."
        return f"Ordering for {group.name} is open through {day}."
    if now.next:
        opens, closes = say_day(now.next.opens, language), say_day(now.next.closes, language)
        if spanish:
            return f"Los pedidos de {group.name} abren el {opens} y cierran el {closes}."
        return f"Ordering for {group.name} opens on {opens} and closes on {closes}."
    if spanish:
        return f"Todavía no hay fechas de pedido para {group.name}."
    return f"No ordering dates are set for {group.name}."


def say_day(day: date, language: str = "en", region: str = "US") -> str:
    """The day with its weekday, as it is written in that language and region (Unicode CLDR).

    >>> say_day(date(2026, 12, 1)), say_day(date(2026, 12, 1), "es")
    ('Tuesday, December 1, 2026', 'martes 1 de diciembre de 2026')
    """
    # CLDR's comma is for a date that stands alone; ours follow "el", "del" and "al", which take none.
    form = "EEEE d 'de' MMMM 'de' y" if language.partition("-")[0] == "es" else "full"
    return str(format_date(day, form, _locale(language, region)))


def say_weekday(said: str, language: str = "en") -> str:
    """A day of the week that is said in English, in the language; anything else as it is.

    >>> say_weekday("Saturday", "es"), say_weekday("Every Saturday", "es")
    ('sábado', 'Every Saturday')
    """
    english = get_day_names("wide", locale=_locale("en", "US"))
    there = get_day_names("wide", locale=_locale(language, "US"))
    return next((there[n] for n, name in english.items() if name == said), said)


@cache
def _locale(language: str, region: str) -> Locale:
    for tag in (f"{language}_{region}", language, "en_US"):
        try:
            return Locale.parse(tag.replace("-", "_"))
        except (UnknownLocaleError, ValueError):
            continue
    return Locale("en", "US")
