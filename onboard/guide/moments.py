"""A moment as the guide says it: "Wednesday, December 16, at 9 in the evening".

scripts/moments.js says the same of the moment at which somebody reads the page; a test holds the two together.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from babel.dates import format_date, get_timezone_name

from onboard.settings import Window
from onboard.windows import closing, opening

LOCALES = {"en": "en_US", "es": "es_US"}


def say_start(moment: datetime, now: datetime, language: str) -> str:
    """The moment as the start of something: without a time if that is the start of the day.

    >>> say_start(datetime(2026, 12, 11), datetime(2026, 11, 29), "es")
    'el viernes 11 de diciembre'
    """
    day = _day(moment, now, language)
    return day if not (moment.hour or moment.minute) else _at(day, moment, language)


def say_end(moment: datetime, now: datetime, language: str) -> str:
    """The moment as the end of something: midnight is the end of the day before.

    >>> say_end(datetime(2026, 12, 16, 21), datetime(2026, 11, 29), "en")
    'Wednesday, December 16, at 9 in the evening'
    """
    if moment.hour or moment.minute:
        return _at(_day(moment, now, language), moment, language)
    day = _day(moment - timedelta(days=1), now, language)
    return f"al final {'d' + day}" if language == "es" else f"at the end of {day}"


def standing(windows: tuple[Window, ...], zone: ZoneInfo, now: datetime, language: str) -> str:
    """How it stands with these windows at a moment, by the clocks of a zone."""
    here = now.astimezone(zone)
    spans = [(opening(one, zone), closing(one, zone)) for one in windows]
    spans = [span for span in spans if span[1].timestamp() > now.timestamp()]
    spanish = language == "es"
    if not spans:
        return "Todavía no hay fechas." if spanish else "No days are set yet."
    opens, closes = spans[0]
    if opens.timestamp() <= now.timestamp():
        end = say_end(closes, here, language)
        return f"Abierto ahora. Cierra {end}." if spanish else f"Open now. Closes {end}."
    start = say_start(opens, here, language)
    return f"Cerrado ahora. Abre {start}." if spanish else f"Not open now. Opens {start}."


def say_zone(zone: ZoneInfo, now: datetime, language: str) -> str:
    """The name of a time zone, as "Central Time"; of one that has no summer time, where others of the name may have it, as
    "Mountain Standard Time" (UTS 35, part 4, "Time Zone Format Terminology").

    >>> [say_zone(ZoneInfo(f"America/{place}"), datetime(2026, 11, 29), "en") for place in ("Denver", "Phoenix")]
    ['Mountain Time', 'Mountain Standard Time']
    """
    has_summer = any(datetime(now.year, month, 1, tzinfo=zone).dst() for month in (1, 7))
    variant: Literal["generic", "standard"] = "generic" if has_summer else "standard"
    return str(get_timezone_name(zone, zone_variant=variant, locale=LOCALES[language]))


def _day(moment: datetime, now: datetime, language: str) -> str:
    year = moment.year != now.year
    if language == "es":
        return "el " + str(
            format_date(moment, f"EEEE d 'de' MMMM{chr(39) + ' de' + chr(39) + ' y' if year else ''}", "es_US")
        )  # fmt: skip
    return str(format_date(moment, f"EEEE, MMMM d{', y' if year else ''}", "en_US"))


def _at(day: str, moment: datetime, language: str) -> str:
    hour, minute = moment.hour, moment.minute
    clock = f"{hour % 12 or 12}{f':{minute:02}' if minute else ''}"
    if language == "es":
        if hour == 12 and not minute:
            return f"{day} al mediodía"
        part = ["noche", "madrugada", "mañana", "tarde", "noche"][
            (hour > 0) + (hour > 5) + (hour > 11) + (hour > 18)
        ]
        return f"{day} a {'la' if hour % 12 == 1 else 'las'} {clock} de la {part}"
    if hour == 12 and not minute:
        return f"{day}, at noon"
    part = ("at night", "in the morning", "in the afternoon", "in the evening", "at night")[
        (hour > 0) + (hour > 11) + (hour > 17) + (hour > 21)
    ]
    return f"{day}, at {clock} {part}"
