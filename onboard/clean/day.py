"""A day that somebody wrote: a birth date, the day they joined, their last order.

ISO 8601 is read as it stands, and so is a month in words (English, Spanish). A day in figures is
month first or day first, as the other days of its column show (`Order`); where nothing shows it, it
is as the region writes it, and a finding says so. What could be two days is none.
Nothing here knows a clock: `latest` is the last day that can be meant.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple

from onboard.model import Cleaned, Finding, Kind, Weight


class Order(StrEnum):
    """How a column writes days in figures."""

    UNKNOWN = "unknown"  # no day of it tells
    MONTH_FIRST = "month first"
    DAY_FIRST = "day first"
    MIXED = "mixed"  # some one way, some the other, or too few to be sure


_RIGHT = "2026-03-14"


def _kind(
    what: str, about: str, wrong: str, weight: Weight = Weight.DOUBTFUL, **context: str
) -> Kind:
    return Kind(f"day.{what}", weight, about, wrong, _RIGHT, context)


UNREADABLE = _kind("unreadable", "What was written can't be read as a day.", "last spring")
PART = _kind("part", "Only a year or a month was written, not a day.", "March 2019")
IMPOSSIBLE = _kind("impossible", "No calendar has this day.", "2/30/2019")
AMBIGUOUS = _kind(
    "ambiguous",
    "This could be two days: the list does not show for sure if the month or the day comes first.",
    "3/4/2019",
    order="mixed",
)
SHORT_YEAR = _kind(
    "short_year", "The year has two digits and could be in either century.", "3/14/19", field="born"
)
OUT_OF_RANGE = _kind("out_of_range", "The day is too long ago, or has not come yet.", "1019-03-14")
FILLER = _kind("filler", "This is the day that programs write when they have none.", "1970-01-01")
MONTH_FIRST = _kind(
    "month_first",
    "Nothing in the column says if the month or the day comes first. Read with the month first.",
    "3/4/2019",
    Weight.MENDED,
)
DAY_FIRST = _kind("day_first", "The day comes first, then the month.", "14/3/2019", Weight.MENDED)
CENTURY = _kind(
    "century", "The year has two digits. Only one century is possible.", "3/14/60", Weight.MENDED
)
NUMBER = _kind("number", "The spreadsheet wrote the day as a number.", "43538", Weight.MENDED)
NONE = _kind("none", "The cell says that there is no day.", "never", Weight.MENDED)
KINDS = (
    UNREADABLE, PART, IMPOSSIBLE, AMBIGUOUS, SHORT_YEAR, OUT_OF_RANGE, FILLER, MONTH_FIRST, DAY_FIRST,
    CENTURY, NUMBER, NONE,
)  # fmt: skip

# What a coordinator calls the day of each field.
CALLED: Mapping[str, str] = {
    "day": "day",
    "born": "date of birth",
    "joined": "day they joined",
    "last_sign_in": "day of the last sign-in",
    "last_order": "day of the last order",
    "bounced": "day on which email came back",
}
# The first year that can be meant; page lists are younger than the web.
_FIRST = {"last_sign_in": 1995, "last_order": 1950, "bounced": 1980}
_OLDEST = 1900
_LONGEST = 110  # years that somebody lives
_FILLERS = (date(1900, 1, 1), date(1899, 12, 30), date(1899, 12, 31))
_EPOCH = date(1970, 1, 1)  # POSIX: the time 0; of a birth date it may be true
# Where the month comes first: Unicode CLDR, the short date of en-US and its kin.
MONTH_FIRST_IN = frozenset(("US", "PR", "GU", "VI", "AS", "MP", "UM", "PH", "FM", "MH", "PW"))
# Serial numbers of days in spreadsheets: ISO/IEC 29500-1 section 18.17.4.1, the 1900 system. Its day 60
# never was, so that it counts from here for every later one.
_DAY_0 = date(1899, 12, 30)
_SERIALS = range(10_000, 73_051)  # 1927 to 2099

_NOTHING = frozenset(
    ("never", "none", "no", "n/a", "na", "nil", "null", "unknown", "not known", "?", "??", "-", "--",
     "—", "nunca", "ninguno", "ninguna", "no se", "no sé")
)  # fmt: skip
_ZEROS = re.compile(r"0{1,4}[-/.]0{1,2}[-/.]0{1,4}(?:[ T]0{1,2}:0{2}(?::0{2})?)?")
_TIME = r"(?:(?:,?\s+|T)\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?\s*(?:[AaPp]\.?[Mm]\.?)?\s*(?:Z|UTC|GMT|[+-]\d{2}:?\d{2})?)?"
_ISO = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})" + _TIME)
_BASIC = re.compile(r"(\d{4})(\d{2})(\d{2})(?:T\d{4,6}Z?)?")
_FIGURES = re.compile(r"(\d{1,2})(\s?[-/.]\s?| )(\d{1,2})\2(\d{4}|\d{2})" + _TIME)
_SERIAL = re.compile(r"(\d{5})(?:\.\d+)?")
_WEEKDAY = re.compile(
    r"(?:mon|tue|tues|wed|wednes|thu|thur|thurs|fri|sat|satur|sun)(?:day)?\.?,?\s+|"
    r"(?:lunes|martes|mi[eé]rcoles|jueves|viernes|s[aá]bado|domingo),?\s+",
    re.IGNORECASE,
)
_MONTH_FIRST_WORDS = re.compile(
    r"([^\W\d_]{3,10})\.?[\s-]+(\d{1,2})(?:st|nd|rd|th)?(?:,|\s|-)\s*'?(\d{4}|\d{2})" + _TIME
)
_DAY_FIRST_WORDS = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|\.|º)?(?:\s+of|\s+de|\s+del)?[\s\-/]*([^\W\d_]{3,10})\.?"
    r"(?:\s+de|\s+del)?(?:,|\s|-|/)?\s*'?(\d{4}|\d{2})" + _TIME
)
_PART = re.compile(
    r"(?:1[89]|20)\d\d|\d{1,2}/(?:1[89]|20)\d\d|(?:1[89]|20)\d\d[-/]\d{1,2}|"
    r"([^\W\d_]{3,10})\.?,?\s+(?:de\s+)?\d{4}"
)
_MONTHS = {
    word: number
    for number, words in enumerate(
        (
            "january jan enero ene", "february feb febrero", "march mar marzo", "april apr abril abr",
            "may mayo", "june jun junio", "july jul julio", "august aug agosto ago",
            "september sep sept septiembre setiembre set", "october oct octubre",
            "november nov noviembre", "december dec diciembre dic",
        ),
        start=1,
    )
    for word in words.split()
}  # fmt: skip


def clean(
    said: str,
    *,
    field: str = "day",
    order: str = Order.UNKNOWN,
    latest: date = date.max,
    region: str = "US",
) -> Cleaned[date]:
    """The day that was said, and what is odd about it; None where there is none or it is not clear.

    `field` is which day it is (`CALLED`); `order` how its column writes days, and `region` (ISO 3166)
    says it where that is not known; `latest` is the last day that can be meant. Never raises.

    >>> clean("3/9/2019", order=Order.MONTH_FIRST).value, clean("31/12/1950").value
    (datetime.date(2019, 3, 9), datetime.date(1950, 12, 31))
    >>> clean("2/30/2019").findings[0].code, clean("3/4/2019", order=Order.MIXED).value
    ('day.impossible', None)
    """
    text = said.strip()
    if not text:
        return Cleaned(said, None)
    order = Order(order)
    if order is Order.UNKNOWN and region not in MONTH_FIRST_IN:
        order = Order.DAY_FIRST
    cleaned = _clean(text, field, order, latest)
    return cleaned if text == said else cleaned._replace(said=said)


@lru_cache(maxsize=16_384)
def _clean(text: str, field: str, order: Order, latest: date) -> Cleaned[date]:
    text = " ".join(text[:60].split())
    if text.casefold() in _NOTHING or _ZEROS.fullmatch(text):
        note = f"“{text}” says that there is no {CALLED[field]}. Nothing to do."
        return _Written(text, field, latest).without_day(NONE, note)
    it = _Written(text, field, latest)
    text = _WEEKDAY.sub("", text, count=1) if text[:1].isalpha() else text
    if found := _ISO.fullmatch(text):
        year, _, month, day = found.groups()
        return _of(it, int(year), int(month), int(day))
    if found := _FIGURES.fullmatch(text):
        return _figures(it, found, order)
    if found := _SERIAL.fullmatch(text):
        number = int(found[1])
        if number in _SERIALS:
            on = _DAY_0 + timedelta(days=number)
            note = f"The spreadsheet wrote {it.said} for {on.isoformat()}. Nothing to do."
            return _in_range(it, on, (it.finding(NUMBER, note),))
    if found := _BASIC.fullmatch(text):
        return _of(it, int(found[1]), int(found[2]), int(found[3]))
    for pattern, places in ((_MONTH_FIRST_WORDS, (1, 2, 3)), (_DAY_FIRST_WORDS, (2, 1, 3))):
        found = pattern.fullmatch(text)
        month = _MONTHS.get(found[places[0]].casefold(), 0) if found else 0
        if found and month:
            return _year(it, found[3], month, int(found[places[1]]))
    if (found := _PART.fullmatch(text)) and (not found[1] or found[1].casefold() in _MONTHS):
        note = f"“{it.said}” is not a whole day. {it.ask}"
        return it.without_day(PART, note)
    note = f"“{_short(it.said)}” can't be read as a day. {it.ask}"
    return it.without_day(UNREADABLE, note)


def tells(said: str) -> Order:
    """How a day in figures is written, if that can be seen by itself: what is above 12 is no month.

    >>> tells("3/14/2019"), tells("14/3/2019"), tells("3/4/2019"), tells("2019-03-14")
    (<Order.MONTH_FIRST: 'month first'>, <Order.DAY_FIRST: 'day first'>, <Order.UNKNOWN: 'unknown'>, <Order.UNKNOWN: 'unknown'>)
    """
    found = _FIGURES.fullmatch(said.strip()[:60])
    if not found:
        return Order.UNKNOWN
    one, other = int(found[1]), int(found[3])
    if one <= 12 < other <= 31:
        return Order.MONTH_FIRST
    return Order.DAY_FIRST if other <= 12 < one <= 31 else Order.UNKNOWN


def show(value: date) -> str:
    """The day as we write it, ISO 8601."""
    return value.isoformat()


# ---------------------------------------------------------------- read


class _Written(NamedTuple):
    """A day as it was written, which day it is, and the last that can be meant."""

    said: str
    field: str
    latest: date

    @property
    def ask(self) -> str:
        return f"Ask for the {CALLED[self.field]}."

    def finding(self, kind: Kind, note: str) -> Finding:
        return kind.found(self.said, note)._replace(field=self.field)

    def without_day(self, kind: Kind, note: str) -> Cleaned[date]:
        return Cleaned(self.said, None, (self.finding(kind, note),))


def _figures(it: _Written, found: re.Match[str], order: Order) -> Cleaned[date]:
    said, one, other, year = it.said, int(found[1]), int(found[3]), found[4]
    if one > 12 >= other or (order is Order.DAY_FIRST and other <= 12):
        findings: tuple[Finding, ...] = ()
        if one != other:
            note = f"“{said}” was read with the day first, as {_MONTH_NAMES[other]} {one}. Nothing to do."
            findings = (it.finding(DAY_FIRST, note),)
        return _year(it, year, other, one, findings)
    if one == other or other > 12 or order is Order.MONTH_FIRST:
        return _year(it, year, one, other)
    if order is Order.MIXED:
        note = (
            f"“{said}” could be {_MONTH_NAMES[one]} {other} or {_MONTH_NAMES[other]} {one}: the list does "
            f"not show for sure which comes first. {it.ask}"
        )
        return it.without_day(AMBIGUOUS, note)
    note = f"“{said}” was read with the month first, as {_MONTH_NAMES[one]} {other}. Nothing to do."
    return _year(it, year, one, other, (it.finding(MONTH_FIRST, note),))


def _year(
    it: _Written, year: str, month: int, day: int, findings: tuple[Finding, ...] = ()
) -> Cleaned[date]:
    """The day in the year that its digits mean."""
    latest = it.latest
    if len(year) == 4:
        return _of(it, int(year), month, day, findings)
    could_be = [n for n in (1900 + int(year), 2000 + int(year)) if n <= latest.year]
    if it.field != "born":
        could_be = could_be[-1:]  # co-ops keep no lists of a hundred years ago
    elif latest.year < date.max.year:
        could_be = [n for n in could_be if latest.year - n <= _LONGEST]
    if len(could_be) != 1:
        note = f"The year in “{it.said}” has two digits and is not clear. {it.ask}"
        return it.without_day(SHORT_YEAR, note)
    note = f"The year in “{it.said}” was read as {could_be[0]}. Nothing to do."
    return _of(it, could_be[0], month, day, (*findings, it.finding(CENTURY, note)))


def _of(
    it: _Written, year: int, month: int, day: int, findings: tuple[Finding, ...] = ()
) -> Cleaned[date]:
    try:
        on = date(year, month, day)
    except ValueError:
        note = f"There is no day “{_short(it.said)}”. {it.ask}"
        return it.without_day(IMPOSSIBLE, note)
    return _in_range(it, on, findings)


def _in_range(it: _Written, on: date, findings: tuple[Finding, ...]) -> Cleaned[date]:
    if on in _FILLERS or (on == _EPOCH and it.field != "born"):
        note = f"“{it.said}” is what programs write when they have no day. {it.ask}"
        return it.without_day(FILLER, note)
    if on > it.latest or on.year < _FIRST.get(it.field, _OLDEST):
        why = "has not come yet" if on > it.latest else "is too long ago"
        note = f"“{it.said}” {why}. {it.ask}"
        return it.without_day(OUT_OF_RANGE, note)
    return Cleaned(it.said, on, findings)


_MONTH_NAMES = (
    "", "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December", *(f"month {n}" for n in range(13, 100)),
)  # fmt: skip


def _short(said: str) -> str:
    text = "".join(c if c.isprintable() else "·" for c in said)
    return text if len(text) <= 40 else text[:39] + "…"
