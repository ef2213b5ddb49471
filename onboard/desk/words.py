"""The words of the screens in English, and in Spanish by a table.

Sentences that a task or a report makes are in English on both; the pages say so to screen readers.
"""

from __future__ import annotations

from datetime import date, datetime, tzinfo
from functools import cache
from importlib import resources

from babel.dates import format_date, format_time
from babel.numbers import format_decimal

from onboard.windows import say_day

LANGUAGES = ("en", "es")
NAMES = {"en": "English", "es": "Español"}

# What was done, by the word in the address of the page that follows.
DONE = {
    "signed-out": "You are signed out.",
    "language": "The screen now speaks your language.",
}


def say(text: str, language: str, **values: object) -> str:
    """The text in the language, with values in place of {names}.

    >>> say("Today", "es"), say("Today", "en")
    ('Hoy', 'Today')
    """
    told = spanish().get(text, text) if language == "es" else text
    return told.format(**values) if values else told


@cache
def spanish() -> dict[str, str]:
    """The Spanish of each English text."""
    table = resources.files("onboard.desk").joinpath("spanish.tsv").read_text("utf-8")
    lines = (line for line in table.splitlines() if line and not line.startswith("#"))
    return dict(line.split("\t") for line in lines)


def day(when: date | str, language: str) -> str:
    """The day with its weekday."""
    return say_day(date.fromisoformat(when[:10]) if isinstance(when, str) else when, language)


def short_day(when: date | str, language: str) -> str:
    """The day, short.

    >>> short_day("2026-11-09", "en"), short_day("2026-11-09", "es")
    ('Nov 9, 2026', '9 nov 2026')
    """
    at = date.fromisoformat(when[:10]) if isinstance(when, str) else when
    return str(
        format_date(at, "medium" if language == "en" else "d MMM y", locale=_locale(language))
    )


def moment(when: datetime | str, zone: tzinfo, language: str) -> str:
    """The day and the time in a time zone, as people write them."""
    at = datetime.fromisoformat(when) if isinstance(when, str) else when
    there = at.astimezone(zone)
    clock = str(format_time(there, "short", locale=_locale(language))).replace("\u202f", " ")
    return f"{short_day(there.date(), language)}, {clock}"


def number(value: int | float, language: str) -> str:
    """The number with its thousands set apart."""
    return str(format_decimal(value, locale=_locale(language)))


def _locale(language: str) -> str:
    return "es_US" if language == "es" else "en_US"
