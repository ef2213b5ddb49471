"""Windows, days and times in words, as each language writes them (Unicode CLDR)."""

from __future__ import annotations

from datetime import date, time
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from onboard.settings import Group, Window
from onboard.windows.coming import standing

if TYPE_CHECKING:
    from babel import Locale

# Babel is loaded where a day is said: whoever looks a member up says none, and would wait for it.


def tell(group: Group, today: date, language: str = "en") -> str:
    """A sentence on when the group may order, in Spanish for "es" (ISO 639), else in English.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6), closes_at=time(21)),))
    >>> tell(lake, date(2026, 11, 25))
    'Ordering for Lake opens on Tuesday, December 1, 2026 and closes on Sunday, December 6, 2026, at 9:00 PM.'
    >>> tell(lake, date(2026, 12, 7), "es")
    'Todavía no hay fechas de pedido para Lake.'
    """
    now = standing(group, today)
    spanish = language == "es"
    if window := now.open:
        day = say_end(window, language)
        if spanish:
            inclusive = "" if window.closes_at else ", inclusive"
            said = f"Los pedidos de {group.name} están abiertos hasta el {day}{inclusive}."
            return said.replace("..", ".")  # after "p.m."
        return (
            f"Ordering for {group.name} is open {'until' if window.closes_at else 'through'} {day}."
        )
    if window := now.next:
        opens, closes = say_start(window, language), say_end(window, language)
        if spanish:
            said = f"Los pedidos de {group.name} abren el {opens} y cierran el {closes}."
            return said.replace("..", ".")  # after "p.m."
        return f"Ordering for {group.name} opens on {opens} and closes on {closes}."
    if spanish:
        return f"Todavía no hay fechas de pedido para {group.name}."
    return f"No ordering dates are set for {group.name}."


def say_start(window: Window, language: str = "en", region: str = "US") -> str:
    """The day on which a window opens, with the time if it has one; see `say_day`."""
    return _at(say_day(window.opens, language, region), window.opens_at, language, region)


def say_end(window: Window, language: str = "en", region: str = "US") -> str:
    """The day on which a window closes, with the time if it has one; see `say_day`."""
    return _at(say_day(window.closes, language, region), window.closes_at, language, region)


def _at(day: str, at: time | None, language: str, region: str) -> str:
    if at is None:
        return day
    if _is_spanish(language):
        article = "la" if at.hour in (1, 13) else "las"
        return f"{day} a {article} {say_time(at, language, region)}"
    return f"{day}, at {say_time(at, language, region)}"


def say_time(at: time, language: str = "en", region: str = "US") -> str:
    """The time of day as it is written in that language and region.

    >>> say_time(time(20, 30)), say_time(time(8), "es")
    ('8:30 PM', '8:00 a.m.')
    """
    from babel.dates import format_time

    said = str(format_time(at, "short", locale=_locale(language, region)))
    return said.replace("\u202f", " ").replace(
        "\xa0", " "
    )  # CLDR's narrow gaps; not every typeface has them


@lru_cache(maxsize=1024)
def say_day(day: date, language: str = "en", region: str = "US") -> str:
    """The day with its weekday, as it is written in that language and region (Unicode CLDR).

    >>> say_day(date(2026, 12, 1)), say_day(date(2026, 12, 1), "es")
    ('Tuesday, December 1, 2026', 'martes 1 de diciembre de 2026')
    """
    from babel.dates import format_date

    # CLDR's comma is for a date that stands alone; ours follow "el", "del" and "al", which take none.
    form = "EEEE d 'de' MMMM 'de' y" if _is_spanish(language) else "full"
    return str(format_date(day, form, _locale(language, region)))


def say_short(day: date, at: time | None = None, language: str = "en", region: str = "US") -> str:
    """The day, and the time if there is one, in few letters, for a table.

    >>> say_short(date(2026, 12, 7), time(8)), say_short(date(2026, 12, 7), language="es")
    ('Mon, Dec 7, 2026, 8:00 AM', 'lun 7 dic 2026')
    """
    from babel.dates import format_date

    form = "EEE d MMM y" if _is_spanish(language) else "EEE, MMM d, y"
    said = str(format_date(day, form, _locale(language, region)))
    return f"{said}, {say_time(at, language, region)}" if at else said


def say_weekday(said: str, language: str = "en") -> str:
    """A day of the week that is said in English, in the language; anything else as it is.

    >>> say_weekday("Saturday", "es"), say_weekday("Every Saturday", "es"), say_weekday("saturday")
    ('sábado', 'Every Saturday', 'Saturday')
    """
    from babel.dates import get_day_names

    english = get_day_names("wide", locale=_locale("en", "US"))
    there = get_day_names("wide", locale=_locale(language, "US"))
    return next(
        (there[n] for n, name in english.items() if name.casefold() == said.strip().casefold()),
        said,
    )


def _is_spanish(language: str) -> bool:
    return language.partition("-")[0] == "es"


@cache
def _locale(language: str, region: str) -> Locale:
    from babel import Locale, UnknownLocaleError

    for tag in (f"{language}_{region}", language, "en_US"):
        try:
            return Locale.parse(tag.replace("-", "_"))
        except (UnknownLocaleError, ValueError):
            continue
    return Locale("en", "US")
