"""Federal holidays of 2026 to 2030 against the law: 5 U.S.C. 6103(a) names them, 6103(b) and Executive Order 11582,
section 3, say on which day they are kept when they fall on a Saturday or a Sunday (as OPM lists them)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import pytest

from onboard.windows import day_off

MONDAY, THURSDAY, SATURDAY, SUNDAY = 0, 3, 5, 6
FIXED = {(1, 1): "New Year's Day", (6, 19): "Juneteenth", (7, 4): "Independence Day",
         (11, 11): "Veterans Day", (12, 25): "Christmas Day"}  # fmt: skip


def nth(year: int, month: int, weekday: int, number: int) -> date:
    days = [date(year, month, 1) + timedelta(n) for n in range(31)]
    found = [day for day in days if day.month == month and day.weekday() == weekday]
    return found[number - 1 if number > 0 else number]


def by_law(year: int) -> Iterator[date]:
    """The legal holidays of a year, and the days in lieu, also of the next year's first."""
    yield nth(year, 1, MONDAY, 3)  # Birthday of Martin Luther King, Jr.
    yield nth(year, 2, MONDAY, 3)  # Washington's Birthday
    yield nth(year, 5, MONDAY, -1)  # Memorial Day
    yield nth(year, 9, MONDAY, 1)  # Labor Day
    yield nth(year, 10, MONDAY, 2)  # Columbus Day
    yield nth(year, 11, THURSDAY, 4)  # Thanksgiving Day
    for when in (*((year, *fixed) for fixed in FIXED), (year + 1, 1, 1)):
        day = date(*when)
        yield day
        if day.weekday() == SATURDAY:
            yield day - timedelta(1)
        if day.weekday() == SUNDAY:
            yield day + timedelta(1)


@pytest.mark.parametrize("year", range(2026, 2031))
def test_federal_holidays_and_the_days_in_lieu_are_those_of_the_law(year: int) -> None:
    days = [date(year, 1, 1) + timedelta(n) for n in range(366)]
    found = {day for day in days if day.year == year and day_off("US", day)}
    assert found == {day for day in by_law(year) if day.year == year}


def test_days_in_lieu_that_are_easily_missed() -> None:
    assert day_off("US", date(2026, 7, 3))  # the Friday before Saturday, July 4
    assert day_off("US", date(2027, 7, 5))  # the Monday after Sunday, July 4
    assert day_off("US", date(2027, 12, 31))  # New Year's Day of 2028, a Saturday
    assert not day_off("US", date(2028, 1, 3))
    assert not day_off(
        "US", date(2029, 1, 20)
    )  # inauguration: a day off in and around Washington only


def test_a_state_has_its_own_days_too_and_no_list_has_none() -> None:
    assert day_off("US-PR", date(2027, 3, 22)) == "Emancipation Day"
    assert not day_off("US", date(2027, 3, 22))
    assert not day_off("", date(2026, 12, 25))


def test_asking_for_another_year_does_not_change_what_was_said() -> None:
    before = [day_off("US", date(2026, 1, 1) + timedelta(n)) for n in range(365)]
    day_off("US", date(2030, 1, 1))
    assert before == [day_off("US", date(2026, 1, 1) + timedelta(n)) for n in range(365)]
