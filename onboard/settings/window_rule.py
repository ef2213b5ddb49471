"""The rule for ordering windows, as [windows] states it: groups take turns, one a month."""

from dataclasses import dataclass
from datetime import date, time
from typing import Annotated

from onboard.settings import day_rules
from onboard.settings.checks.places import day
from onboard.settings.checks.windows import (
    closing_time,
    each_group_once,
    each_understood,
    forget_moved,
    holiday_list,
    moved_closing,
    moved_month,
    not_all_year,
    opening_time,
    understood,
)
from onboard.settings.day_rules import DayRule, clock, month, month_of_year
from onboard.settings.key import Key


@dataclass(frozen=True, slots=True)
class Moved:
    """One window that is otherwise than the rule says."""

    month: Annotated[
        str, Key("the month whose turn it is", 'written "2027-01"; the days may be in another month', moved_month, "2027-01")
    ]  # fmt: skip
    opens: Annotated[date, Key("its first day", check=day)]
    closes: Annotated[date, Key("its last day", check=moved_closing)]


@dataclass(frozen=True, slots=True)
class WindowRule:
    """When groups may order, if that follows a rule."""

    rotation: Annotated[
        tuple[str, ...],
        Key(
            "the groups that take turns, one group a month, in this order",
            "if empty, no windows are made by rule, and you write the windows under each [[group]]", each_group_once,
        ),
    ] = ()  # fmt: skip
    starts: Annotated[
        str,
        Key("the month of the first group's first turn", 'written "2026-12"', understood(month), blank=True),
    ] = ""  # fmt: skip
    rest: Annotated[
        tuple[str, ...],
        Key(
            "the months in which nobody orders",
            '"July" for every year, "2027-07" for one; no group loses its turn, it comes a month later', not_all_year,
        ),
    ] = ()  # fmt: skip
    opens: Annotated[
        str,
        Key("the first day of each window", f"write {day_rules.LIKE}", understood(day_rules.opening_rule)),
    ] = "first Monday"  # fmt: skip
    closes: Annotated[
        str,
        Key("the last day", f"write {day_rules.LIKE_A_LAST_DAY}", understood(day_rules.closing_rule)),
    ] = "6 days later"  # fmt: skip
    opens_at: Annotated[
        str,
        Key(
            "the time of day at which every window opens, also those you write under a [[group]]",
            'written "8:00 AM", by the time zone of the drop site; if empty, windows open with the first day', opening_time,
            blank=True,
        ),
    ] = ""  # fmt: skip
    closes_at: Annotated[
        str,
        Key(
            "the time of day at which every window closes", "if empty, windows close when the last day ends",
            closing_time, blank=True,
        ),
    ] = ""  # fmt: skip
    holidays: Annotated[
        str,
        Key(
            "whose holidays are days off", '"US" for the federal holidays, "US-OH" for those of a state too; if empty, only Saturdays and Sundays are days off',
            holiday_list, blank=True,
        ),
    ] = "US"  # fmt: skip
    left_out: Annotated[
        tuple[str, ...],
        Key(
            "months whose window does not happen", 'written "2027-07"; that group waits for its next turn',
            each_understood(month),
        ),
    ] = ()  # fmt: skip
    moved: Annotated[
        tuple[Moved, ...],
        Key(
            "windows on other days than the rule says", "write each as { month = \"2027-01\", opens = 2027-01-11, closes = 2027-01-17 }",
            kind='a list of { month = "2027-01", opens = 2027-01-11, closes = 2027-01-17 }', start=forget_moved,
        ),
    ] = ()  # fmt: skip

    @property
    def opening_rule(self) -> DayRule:
        """The first day, understood."""
        return day_rules.opening_rule(self.opens)

    @property
    def closing_rule(self) -> DayRule:
        """The last day, understood."""
        return day_rules.closing_rule(self.closes)

    @property
    def opening_time(self) -> time | None:
        """The time of day at which windows open; None: with the day."""
        return clock(self.opens_at) if self.opens_at else None

    @property
    def closing_time(self) -> time | None:
        """The time of day at which windows close; None: with the day."""
        return clock(self.closes_at) if self.closes_at else None

    def rests_in(self, first: date) -> bool:
        """Whether nobody orders in the month that begins on a day."""
        return any(
            month_of_year(text) == first.month if month_of_year(text) else month(text) == first
            for text in self.rest
        )
