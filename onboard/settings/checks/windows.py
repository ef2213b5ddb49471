"""What must hold of the rule for ordering windows, key by key and as a whole."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import TYPE_CHECKING, Any

from onboard.settings import day_rules
from onboard.settings.checks.places import day, known_group
from onboard.settings.day_rules import MONTHS, month_after
from onboard.settings.words import Sentence, shown

if TYPE_CHECKING:
    from onboard.settings.checks import Check, Earlier, Info
    from onboard.settings.window_rule import WindowRule

CYCLE = 28 * 12  # months after which the calendar repeats itself (until 2099)
ALL_DAY = "leave it out. Without it, the whole last day belongs to the window."


def understood(read: Callable[[str], object]) -> Check:
    """A text that `read` understands; "" stands for nothing said."""

    def check(value: str, info: Info) -> str:
        try:
            if value:
                read(value)
        except ValueError as error:
            raise ValueError(f'is "{shown(value)}": {error}') from error
        return value

    return check


def each_understood(read: Callable[[str], object]) -> Check:
    """Texts that `read` understands."""

    def check(value: tuple[str, ...], _: Info) -> tuple[str, ...]:
        for text in value:
            try:
                read(text)
            except ValueError as error:
                raise ValueError(f'has "{shown(text)}": {error}') from error
        return value

    return check


def each_group_once(value: tuple[str, ...], info: Info) -> tuple[str, ...]:
    """Groups above, none of them twice."""
    wrong = []
    for name in dict.fromkeys(value):
        if value.count(name) > 1:
            wrong.append(f'"{shown(name)}" is there twice: name each group once.')
        try:
            known_group(name, info)
        except Sentence as error:
            wrong.append(str(error))
    if wrong:
        raise ValueError(
            f"has {len(wrong)} mistakes: {' '.join(wrong)}"
            if wrong[1:]
            else f"is wrong: {wrong[0]}"
        )
    return value


def resting(said: str) -> object:
    """A month of every year, by its name, or one month. Raises ValueError."""
    if day_rules.month_of_year(said):
        return said
    try:
        return day_rules.month(said)
    except ValueError as error:
        raise ValueError('write a month as "July", or for one year only "2027-07".') from error


def not_all_year(value: tuple[str, ...], info: Info) -> tuple[str, ...]:
    """Months of rest that leave some to order in."""
    each_understood(resting)(value, info)
    if {day_rules.month_of_year(text) for text in value} >= set(range(1, 13)):
        raise ValueError("has all twelve months, so nobody could ever order: take some out.")
    return value


def opening_time(value: str, info: Info) -> str:
    """The time of day at which windows open."""
    return str(understood(day_rules.clock)(value, info))


def closing_time(value: str, info: Info) -> str:
    """The time of day at which windows close: not the midnight with which their last day begins."""
    if "midnight" in value.casefold():
        raise ValueError(f"is midnight: {ALL_DAY}")
    if opening_time(value, info) and day_rules.clock(value) == time():
        raise ValueError(f"is midnight, when the last day begins: {ALL_DAY}")
    return value


def holiday_list(value: str, _: Info) -> str:
    """A country whose holidays are known, or a part of it."""
    if value and value != "US":
        import holidays  # it takes long to load, and only a file that names another list needs it

        country, _dash, part = value.partition("-")
        known = holidays.list_supported_countries()
        if country not in known or len(country) != 2:
            raise ValueError(f'is "{shown(value)}": give a country as "US", or a state as "US-OH".')
        if part and part not in known[country]:
            raise ValueError(
                f'is "{shown(value)}": no part "{shown(part)}" of {country} is known. Try "{country}".'
            )
    return value


def forget_moved(earlier: Earlier) -> None:
    """Begin with no moved window."""
    earlier.moved.clear()


def moved_month(value: str, info: Info) -> str:
    """A month of which nothing was said to be moved yet."""
    understood(day_rules.month)(value, info)
    first = day_rules.month(value)
    if first in info.context.moved:
        raise Sentence(f"the window of {named(first)} is moved twice: keep one of the two.")
    info.context.moved.append(first)
    return value


def moved_closing(value: date, info: Info) -> date:
    """The last day of a moved window."""
    day(value, info)
    if (opens := info.data.get("opens")) and value < opens:
        raise Sentence(f"the moved window closes ({value}) before it opens ({opens}).")
    return value


def as_a_whole(rule: WindowRule, info: Info) -> WindowRule:
    """A rule by which every window opens before it closes, and closes before the next of its group opens.

    Reckoned without holidays, for every month until the calendar repeats itself.
    """
    for group in info.data.get("group", ()):
        for window in group.windows:
            _check_order(rule, window.opens, window.closes, group.name)
    if not rule.rotation:
        return rule
    if not rule.starts:
        raise Sentence(
            '[windows] lacks starts: add the month of the first turn, starts = "2026-12".'
        )
    turns, opens, closes = [], rule.opening_rule, rule.closing_rule
    first = day_rules.month(rule.starts)
    for _ in range(CYCLE):
        if not rule.rests_in(first):
            opened = opens.on(first.year, first.month, first)
            closed = closes.on(first.year, first.month, opened)
            if closed < opened:
                raise Sentence(
                    f'[windows] closes is "{shown(rule.closes)}": in {named(first)} the window would close '
                    f"({closed}) before it opens ({opened})."
                )
            _check_order(rule, opened, closed, named(first))
            turns.append((first, opened, closed))
        first = month_after(first)
    if not turns:
        raise Sentence("[windows] rest has every month: take some out.")
    many = len(rule.rotation)
    for (begun, _, closed), (_, opened, _) in zip(turns, turns[many:], strict=False):
        if closed >= opened:
            raise Sentence(
                f'[windows] closes is "{shown(rule.closes)}": the window of {named(begun)} would still be open '
                f"({closed}) when the next one of its group opens ({opened}). Let it close earlier."
            )
    _check_exceptions(rule)
    return rule


def _check_exceptions(rule: WindowRule) -> None:
    for key, said in (("left_out", rule.left_out), ("moved", [one.month for one in rule.moved])):
        for text in said:
            first = day_rules.month(text)
            if first < day_rules.month(rule.starts):
                raise Sentence(
                    f"[windows] {key} has {named(first)}, before the first turn: take it out."
                )
            if rule.rests_in(first):
                raise Sentence(f"[windows] {key} has {named(first)}, a month of rest: take it out.")
    both = {day_rules.month(text) for text in rule.left_out} & {
        day_rules.month(m.month) for m in rule.moved
    }
    for first in sorted(both):
        raise Sentence(
            f"[windows] moved and left_out both have {named(first)}: keep one of the two."
        )
    for one in rule.moved:
        _check_order(rule, one.opens, one.closes, named(day_rules.month(one.month)))


def _check_order(rule: WindowRule, opens: date, closes: date, of: Any) -> None:
    """Of a window that is one day long, the times must leave some of the day."""
    if opens == closes and rule.closing_time and (rule.opening_time or time()) >= rule.closing_time:
        raise Sentence(
            f"[windows] closes_at ({rule.closes_at}) is not after opens_at ({rule.opens_at or 'midnight'}), and a "
            f"window of {of} opens and closes on one day, {opens}: change one of them."
        )


def named(first: date) -> str:
    """A month as people write it.

    >>> named(date(2027, 7, 1))
    'July 2027'
    """
    return f"{MONTHS[first.month - 1]} {first.year}"
