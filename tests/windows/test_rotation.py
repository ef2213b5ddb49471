"""Groups take turns by a rule: laws that hold of every rule, and what the rule comes to in known months."""

from __future__ import annotations

from datetime import date, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import settings as effort
from hypothesis import strategies as st

from onboard.settings import Group, Moved, Window, WindowRule
from onboard.settings.day_rules import MONTHS, month_after
from onboard.windows import How, horizon, made, past, turns, upcoming

NAMES = ("Lake", "Hill", "Valley", "Prairie", "Bluff", "Harbor")
OPENS = ("first Monday", "the 5th", "the 5th, or the next working day", "last Friday", "last day",
         "first working day", "the 28th, or the working day before", "fourth Sunday")  # fmt: skip
CLOSES = ("6 days later", "the next Sunday", "2 weeks later", "1 day later, or the next working day",
          "the 20th of the next month", "last day of the next month", "the next Friday, or the working day before")  # fmt: skip


@st.composite
def rules(draw: st.DrawFn) -> WindowRule:
    first = date(2026, draw(st.integers(1, 12)), 1)
    rest = draw(st.lists(st.sampled_from(MONTHS), max_size=6, unique=True))
    return WindowRule(
        rotation=tuple(draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=6, unique=True))),
        starts=f"{first:%Y-%m}",
        rest=tuple(rest),
        opens=draw(st.sampled_from(OPENS)),
        closes=draw(st.sampled_from(CLOSES)),
        opens_at=draw(st.sampled_from(("", "8:00 AM"))),
        closes_at=draw(st.sampled_from(("", "9 PM"))),
        holidays=draw(st.sampled_from(("", "US", "US-PR"))),
    )


LAST = date(2029, 6, 30)
WRITTEN = st.lists(st.integers(0, 900), max_size=8, unique=True).map(
    lambda edges: tuple(
        Window(date(2026, 3, 1) + timedelta(a), date(2026, 3, 1) + timedelta(b))
        for a, b in zip(sorted(edges)[::2], sorted(edges)[1::2], strict=False)
    )
)


def stand(group: Group) -> list[Window]:
    return [one.window for one in made(group, LAST) if not one.kept_out_by]


@given(rules(), WRITTEN)
@effort(max_examples=150, deadline=None)
def test_every_window_opens_before_it_closes_and_a_day_is_in_one_window_of_a_group_at_most(
    rule: WindowRule, written: tuple[Window, ...]
) -> None:
    for name in rule.rotation:
        found = stand(Group(name, written, rule))
        assert set(written) <= set(found)
        for window in found:
            assert window.opens <= window.closes
        for one, other in pairwise(found):
            assert one.closes < other.opens


@given(rules())
@effort(max_examples=100, deadline=None)
def test_each_group_has_its_turn_in_order_and_months_of_rest_have_none(rule: WindowRule) -> None:
    whose = [turn.group for turn in turns(rule, LAST)]
    busy = [name for name in whose if name]
    assert busy == [rule.rotation[n % len(rule.rotation)] for n in range(len(busy))]
    for turn in turns(rule, LAST):
        assert (turn.group == "") == (MONTHS[turn.first.month - 1] in rule.rest)
    for name in rule.rotation:
        of_group = [one.turn for one in made(Group(name, (), rule), LAST)]
        assert of_group == sorted(turn.first for turn in turns(rule, LAST) if turn.group == name)


@given(rules(), st.integers(0, 1000))
@effort(max_examples=100, deadline=None)
def test_what_is_told_does_not_hang_on_the_day_on_which_it_is_asked(
    rule: WindowRule, days: int
) -> None:
    group = Group(rule.rotation[0], (), rule)
    today = date(2026, 1, 1) + timedelta(days)
    assume(today < LAST)
    told = {one.window for one in made(group, LAST) if not one.kept_out_by}
    seen = upcoming(group, today)
    assert set(past(group, today)) | {w for w in seen if w.opens <= LAST} <= told
    assert [
        w
        for w in sorted(told, key=lambda w: w.opens)
        if w.closes >= today and w.opens <= horizon(today)
    ] == [w for w in seen if w.opens <= LAST]


def rule(**said: object) -> WindowRule:
    return WindowRule(**{"rotation": ("Lake", "Hill"), "starts": "2026-12"} | said)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("opens", "closes", "month", "window"),
    [
        ("first Monday", "6 days later", "2026-12", (date(2026, 12, 7), date(2026, 12, 13))),
        ("First monday of the month", "the Sunday after", "2026-12", (date(2026, 12, 7), date(2026, 12, 13))),
        ("last Friday", "next Friday", "2026-12", (date(2026, 12, 25), date(2027, 1, 1))),
        ("the 5th", "the 12th", "2026-12", (date(2026, 12, 5), date(2026, 12, 12))),
        ("the 5th, or the next working day", "a week later", "2026-12", (date(2026, 12, 7), date(2026, 12, 14))),
        # July 4, 2026 is a Saturday, kept on Friday the 3rd.
        ("the 3rd, or the next working day", "1 day later", "2026-07", (date(2026, 7, 6), date(2026, 7, 7))),
        ("the 3rd or working day before", "1 day later", "2026-07", (date(2026, 7, 2), date(2026, 7, 3))),
        # New Year's Day of 2028 is a Saturday, kept on December 31, 2027.
        ("last working day", "the 5th of the next month", "2027-12", (date(2027, 12, 30), date(2028, 1, 5))),
        ("first working day", "last day", "2027-05", (date(2027, 5, 3), date(2027, 5, 31))),
        ("last day", "2 weeks after it opens", "2028-02", (date(2028, 2, 29), date(2028, 3, 14))),
    ],
)  # fmt: skip
def test_days_as_people_say_them(
    opens: str, closes: str, month: str, window: tuple[date, date]
) -> None:
    only = WindowRule(("Lake",), starts=month, opens=opens, closes=closes)
    first = made(Group("Lake", (), only), date(2028, 12, 1))[0].window
    assert (first.opens, first.closes) == window


def test_times_hold_for_every_window_and_exceptions_are_heard() -> None:
    said = rule(
        opens_at="8 AM", closes_at="21:30", left_out=("2027-02",),
        moved=(Moved("2027-01", date(2027, 1, 18), date(2027, 1, 20)),),
    )  # fmt: skip
    lake, hill = (upcoming(Group(name, (), said), date(2026, 12, 1)) for name in said.rotation)
    assert lake[0] == Window(date(2026, 12, 7), date(2026, 12, 13), time(8), time(21, 30))
    assert hill[0] == Window(date(2027, 1, 18), date(2027, 1, 20), time(8), time(21, 30))
    assert lake[1].opens == date(2027, 4, 5), "February is left out, and not made up for"
    assert made(Group("Hill", (), said), date(2027, 2, 1))[0].how is How.MOVED


def test_a_month_of_rest_delays_the_turn_and_a_month_of_one_year_only_that_year() -> None:
    said = rule(rest=("January", "2027-03"))
    months = {turn.first: turn.group for turn in turns(said, date(2028, 3, 1))}
    assert [months[date(2026, 12, 1)], months[date(2027, 1, 1)], months[date(2027, 2, 1)]] == [
        "Lake",
        "",
        "Hill",
    ]
    assert months[date(2027, 3, 1)] == "" != months[date(2028, 3, 1)]
    assert months[date(2028, 1, 1)] == ""


def test_a_written_window_goes_before_the_rule() -> None:
    mine = Window(date(2026, 12, 10), date(2026, 12, 11))
    lake = Group("Lake", (mine,), rule())
    assert upcoming(lake, date(2026, 12, 1))[0] == mine
    (kept_out,) = [one for one in made(lake, date(2026, 12, 1)) if one.kept_out_by]
    assert (kept_out.kept_out_by, kept_out.how) == (mine, How.RULE)


def test_windows_by_rule_are_told_for_eighteen_months() -> None:
    today = date(2026, 11, 29)
    seen = upcoming(Group("Lake", (), rule(rotation=("Lake",))), today)
    assert [w.opens.replace(day=1) for w in seen] == [
        _later(date(2026, 12, 1), n) for n in range(18)
    ]


def _later(first: date, months: int) -> date:
    for _ in range(months):
        first = month_after(first)
    return first
