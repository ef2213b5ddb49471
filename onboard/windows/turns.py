"""Groups take turns, one a month: the windows that the rule makes, and those that are written out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache

from onboard.settings import Group, Window, WindowRule
from onboard.settings.day_rules import month, month_after
from onboard.windows.days_off import day_off


class How(StrEnum):
    """Where a window comes from."""

    WRITTEN = "written"  # under its [[group]]
    RULE = "rule"
    MOVED = "moved"  # it is a turn by rule, on other days


@dataclass(frozen=True, slots=True)
class Turn:
    """A month, and whose turn it is; nobody's in a month of rest."""

    first: date  # of the month
    group: str
    left_out: bool = False  # the window does not happen


@dataclass(frozen=True, slots=True)
class Made:
    """A window, and where it comes from."""

    window: Window
    how: How
    turn: date | None = None  # the month whose turn it is; None of a written one
    # What keeps it from happening: another window of the group on one of its days, or itself, where holidays
    # would have it close before it opens.
    kept_out_by: Window | None = None


def turns(rule: WindowRule, last: date) -> Iterator[Turn]:
    """The months from the first turn to that of the day `last`.

    >>> rule = WindowRule(("Lake", "Hill"), starts="2026-12", rest=("January",))
    >>> [turn.group for turn in turns(rule, date(2027, 3, 1))]
    ['Lake', '', 'Hill', 'Lake']
    """
    if not rule.rotation:
        return
    left_out = {month(text) for text in rule.left_out}
    first, number = month(rule.starts), 0
    while first <= last:
        if rule.rests_in(first):
            yield Turn(first, "")
        else:
            group = rule.rotation[number % len(rule.rotation)]
            yield Turn(first, group, first in left_out)
            number += 1
        first = month_after(first)


def made(group: Group, last: date) -> tuple[Made, ...]:
    """The windows of a group that open no later than in the month of the day `last`, by opening day; also those
    that another window keeps out. All that are written out are among them.

    A written window goes before a moved one, and that before one by rule; of two by rule the earlier stays. So a
    day is in one window of the group at most.
    """
    return _made(group, month_after(last))


@lru_cache(maxsize=512)
def _made(group: Group, before: date) -> tuple[Made, ...]:
    found = [Made(window, How.WRITTEN) for window in group.windows]
    if group.rule:
        by_rule = list(_by_rule(group.rule, group.name, before))
        for how in (How.MOVED, How.RULE):
            for one in by_rule:
                if one.how is how:
                    found.append(_beside(one, found))
    return tuple(sorted(found, key=lambda one: (one.window.opens, one.window.closes)))


def _beside(one: Made, others: list[Made]) -> Made:
    """The window, kept out if it cannot stand beside the others."""
    window = one.window
    if window.closes < window.opens:
        return Made(window, one.how, one.turn, kept_out_by=window)
    for other in others:
        there = other.window
        if not other.kept_out_by and there.opens <= window.closes and window.opens <= there.closes:
            return Made(window, one.how, one.turn, kept_out_by=there)
    return one


def _by_rule(rule: WindowRule, group: str, before: date) -> Iterator[Made]:
    moved = {month(one.month): one for one in rule.moved}
    times = rule.opening_time, rule.closing_time
    for turn in turns(rule, before):
        if turn.group != group or turn.left_out or turn.first >= before:
            continue
        if one := moved.get(turn.first):
            yield Made(Window(one.opens, one.closes, *times), How.MOVED, turn.first)
            continue
        year, number = turn.first.year, turn.first.month
        opens = rule.opening_rule.on(year, number, turn.first, _is_off(rule))
        closes = rule.closing_rule.on(year, number, opens, _is_off(rule))
        yield Made(Window(opens, closes, *times), How.RULE, turn.first)


def _is_off(rule: WindowRule) -> Callable[[date], bool]:
    return lambda day: bool(day_off(rule.holidays, day))
