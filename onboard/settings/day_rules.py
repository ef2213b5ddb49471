"""A day of each month, as people say it: "first Monday", "the 5th, or the next working day", "6 days later"."""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from functools import cache

from onboard.late import late

MONTHS = calendar.month_name[1:]
_WEEKDAYS = tuple(name.casefold() for name in calendar.day_name)
_NTH = ("last", "first", "second", "third", "fourth", "fifth")
_LAST = -1
MOST_LATER = 31  # days from the first to the last: longer windows would run into the next ones

LIKE = '"first Monday", "the 5th", "last day", or "the 5th, or the next working day"'
LIKE_A_LAST_DAY = (
    '"6 days later", "the next Sunday", "the 12th", or "last day, or the working day before"'
)


@dataclass(frozen=True, slots=True)
class DayRule:
    """A day of a month, or a day that is counted from the opening day."""

    nth: int = (
        0  # of the weekday in the month, 1 to 4, or -1 for the last; 0: after the opening day
    )
    weekday: int | None = None  # 0 is Monday
    day: int = 0  # of the month, or -1 for its last
    later: int = 0  # days after the opening day
    next_month: bool = False
    otherwise: int = 0  # where it is no working day: 1 for the next one, -1 for the one before

    def on(
        self, year: int, month: int, opened: date, is_off: Callable[[date], bool] = lambda _: False
    ) -> date:
        """The day in a month, or after the day on which the window opens.

        `is_off` tells of holidays; Saturdays and Sundays are no working days either.
        """
        found = self._plain(year, month, opened)
        while self.otherwise and (found.weekday() > 4 or is_off(found)):
            found += timedelta(self.otherwise)
        return found

    def _plain(self, year: int, month: int, opened: date) -> date:
        if self.later:
            return opened + timedelta(self.later)
        if self.weekday is not None and not self.nth:
            return opened + timedelta((self.weekday - opened.weekday() - 1) % 7 + 1)
        first = date(year, month, 1)
        if self.next_month:
            first = month_after(first)
        if self.weekday is None:
            return (
                month_after(first) - timedelta(1)
                if self.day == _LAST
                else first.replace(day=self.day)
            )
        if self.nth == _LAST:
            last = month_after(first) - timedelta(1)
            return last - timedelta((last.weekday() - self.weekday) % 7)
        return first + timedelta((self.weekday - first.weekday()) % 7 + 7 * (self.nth - 1))


def month_after(day: date) -> date:
    """The first day of the month after a day's."""
    return (day.replace(day=1) + timedelta(31)).replace(day=1)


_OTHERWISE = late(
    r"(?P<day>.+?),? or (?:on )?(?:the )?(?P<which>next (?:working|business) day|(?:working|business) day (?P<side>before|after))"
)
_OF_MONTH = late(r"(?P<day>.+?) of (?:the|each|every) (?P<next>next )?month")
_IN_MONTH = late(r"(?P<nth>\w+) (?P<weekday>\w+day)")
_NUMBER = late(r"(?P<day>\d{1,2})(?:st|nd|rd|th)?")
_LATER = late(r"(?P<many>\d{1,2}|a|one) (?P<unit>days?|weeks?) (?:later|after(?: it opens)?)")
_WEEKDAY_AFTER = late(r"(?:next |following )(?P<a>\w+day)|(?P<b>\w+day) after(?: it opens)?")


@cache
def opening_rule(said: str) -> DayRule:
    """What is said of the first day. Raises ValueError with the words that follow the key in a message."""
    return _understood(said, LIKE, of_last_day=False)


@cache
def closing_rule(said: str) -> DayRule:
    """What is said of the last day. Raises ValueError as `opening_rule` does."""
    return _understood(said, LIKE_A_LAST_DAY, of_last_day=True)


def _understood(said: str, like: str, *, of_last_day: bool) -> DayRule:
    words = " ".join(said.casefold().split())
    otherwise = 0
    if found := _OTHERWISE.fullmatch(words):
        words, otherwise = found["day"], -1 if found["side"] == "before" else 1
    words = words.removeprefix("on ").removeprefix("the ")
    rule = _after_opening(words) if of_last_day else None
    rule = rule or _in_month(words, may_be_next=of_last_day)
    if rule is None:
        raise ValueError(f"write it as {like}.")
    return replace(rule, otherwise=otherwise or rule.otherwise)


def _after_opening(words: str) -> DayRule | None:
    if found := _LATER.fullmatch(words):
        many = int(found["many"]) if found["many"].isdigit() else 1
        days = many * (7 if found["unit"].startswith("week") else 1)
        if not 1 <= days <= MOST_LATER:
            raise ValueError(f"use at most {MOST_LATER} days later.")
        return DayRule(later=days)
    found = _WEEKDAY_AFTER.fullmatch(words)
    named = found and (found["a"] or found["b"])
    return DayRule(weekday=_WEEKDAYS.index(named)) if named in _WEEKDAYS else None


def _in_month(words: str, *, may_be_next: bool) -> DayRule | None:
    following = False
    if found := _OF_MONTH.fullmatch(words):
        words, following = found["day"], bool(found["next"])
    if following and not may_be_next:
        raise ValueError("a window opens in the month of its turn: leave the next month out.")
    if words == "last day":
        return DayRule(day=_LAST, next_month=following)
    if words in ("first working day", "last working day"):
        first = words.startswith("first")
        return DayRule(
            day=1 if first else _LAST, otherwise=1 if first else -1, next_month=following
        )
    if found := _NUMBER.fullmatch(words):
        day = int(found["day"])
        if not 1 <= day <= 28:
            raise ValueError(
                'not every month has that day: use the 1st to the 28th, or "last day".'
            )
        return DayRule(day=day, next_month=following)
    found = _IN_MONTH.fullmatch(words)
    if not found or found["weekday"] not in _WEEKDAYS:
        return None
    nth = _ordinal(found["nth"])
    if nth == 5:
        raise ValueError(
            f'not every month has a fifth one: write "last {found["weekday"].title()}".'
        )
    return DayRule(nth=nth, weekday=_WEEKDAYS.index(found["weekday"])) if nth else None


def _ordinal(word: str) -> int:
    """The number of "first" or "1st", -1 of "last", 0 of what is none."""
    if word in _NTH:
        return _NTH.index(word) or _LAST
    return int(word[0]) if word in ("1st", "2nd", "3rd", "4th", "5th") else 0


_CLOCK = late(r"(?P<hour>\d{1,2})(?:[:.](?P<minute>\d\d))? ?(?P<half>[ap])?\.?(?:m\.?)?")


def clock(said: str) -> time:
    """The time of day that is said: "8:00 AM", "8 p.m.", "20:30", "noon". Raises ValueError with what to do.

    >>> clock("8 PM"), clock("12:15 a.m.")
    (datetime.time(20, 0), datetime.time(0, 15))
    """
    words = " ".join(said.casefold().split())
    if words == "noon":
        return time(12)
    found = _CLOCK.fullmatch(words)
    if not found or not (found["half"] or found["minute"]):
        raise ValueError('write the time as "8:00 AM".')
    hour, minute = int(found["hour"]), int(found["minute"] or 0)
    if minute > 59 or not (1 <= hour <= 12 if found["half"] else hour <= 23):
        raise ValueError('there is no such time: write it as "8:00 AM".')
    if found["half"]:
        hour = hour % 12 + (12 if found["half"] == "p" else 0)
    return time(hour, minute)


_NAMED_MONTH = late(rf"(?P<name>{'|'.join(MONTHS)}),? (?P<year>\d{{4}})", re.IGNORECASE)


def month(said: str) -> date:
    """The first day of the month that is said, "2026-12" or "December 2026". Raises ValueError with what to do.

    >>> month("December 2026") == month("2026-12") == date(2026, 12, 1)
    True
    """
    words = " ".join(said.split())
    if found := _NAMED_MONTH.fullmatch(words):
        words = f"{found['year']}-{month_of_year(found['name']):02}"
    if not re.fullmatch(r"20\d\d-(0[1-9]|1[0-2])", words):
        raise ValueError('write the month as "2026-12".')
    return date(int(words[:4]), int(words[5:]), 1)


def month_of_year(said: str) -> int:
    """The number of a month that is said by name, 0 of what is none.

    >>> month_of_year("july"), month_of_year("Dec"), month_of_year("Yule")
    (7, 12, 0)
    """
    word = said.strip().casefold().removesuffix(".")
    names = [name.casefold() for name in MONTHS]
    return next((n for n, name in enumerate(names, 1) if word in (name, name[:3])), 0)
