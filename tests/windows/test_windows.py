"""Ordering windows: both days belong to one, and the co-op's time zone says what day it is."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onboard import settings as settings_file
from onboard import windows
from onboard.office import open_office
from onboard.settings import Group, Window

DECEMBER = Window(date(2026, 12, 1), date(2026, 12, 6))
JANUARY = Window(date(2027, 1, 5), date(2027, 1, 5))
LAKE = Group("Lake", (JANUARY, DECEMBER))  # in no order


@pytest.mark.parametrize(
    ("today", "now", "later", "english", "spanish"),
    [
        (date(2026, 11, 30), None, DECEMBER,
         "Ordering for Lake opens on Tuesday, December 1, 2026 and closes on Sunday, December 6, 2026.",
         "Los pedidos de Lake abren el martes 1 de diciembre de 2026 y cierran el domingo 6 de diciembre"
         " de 2026."),
        (date(2026, 12, 1), DECEMBER, JANUARY,
         "Ordering for Lake is open through Sunday, December 6, 2026.",
         "Los pedidos de Lake están abiertos hasta el domingo 6 de diciembre de 2026, inclusive."),
        (date(2026, 12, 6), DECEMBER, JANUARY,
         "Ordering for Lake is open through Sunday, December 6, 2026.",
         "Los pedidos de Lake están abiertos hasta el domingo 6 de diciembre de 2026, inclusive."),
        (date(2026, 12, 7), None, JANUARY,
         "Ordering for Lake opens on Tuesday, January 5, 2027 and closes on Tuesday, January 5, 2027.",
         "Los pedidos de Lake abren el martes 5 de enero de 2027 y cierran el martes 5 de enero de 2027."),
        (date(2027, 1, 5), JANUARY, None,
         "Ordering for Lake is open through Tuesday, January 5, 2027.",
         "Los pedidos de Lake están abiertos hasta el martes 5 de enero de 2027, inclusive."),
        (date(2027, 1, 6), None, None, "No ordering dates are set for Lake.",
         "Todavía no hay fechas de pedido para Lake."),
    ],
)  # fmt: skip
def test_how_a_group_stands(
    today: date, now: Window | None, later: Window | None, english: str, spanish: str
) -> None:
    assert windows.standing(LAKE, today) == windows.Standing(now, later)
    assert windows.tell(LAKE, today) == english
    assert windows.tell(LAKE, today, "es") == spanish


@given(
    st.lists(st.integers(0, 60), min_size=0, max_size=12, unique=True).map(sorted),
    st.integers(-5, 70),
)
def test_a_day_is_in_a_window_just_when_the_group_is_open(edges: list[int], at: int) -> None:
    first = date(2026, 12, 1)
    pairs = zip(edges[::2], edges[1::2], strict=False)
    found = tuple(Window(first + timedelta(a), first + timedelta(b)) for a, b in pairs)
    today = first + timedelta(at)
    now = windows.standing(Group("Any", found), today)
    assert (now.open is not None) == any(w.opens <= today <= w.closes for w in found)
    coming = windows.upcoming(Group("Any", found), today)
    assert list(coming) == sorted(coming, key=lambda w: w.opens)
    assert all(w.closes >= today for w in coming)
    assert len(coming) + sum(w.closes < today for w in found) == len(found)
    if now.next:
        assert now.next.opens > today


# At 03:30 UTC on 7 December it is still the evening of the 6th in Chicago (UTC-6 in winter).
@pytest.mark.parametrize(
    ("zone", "day"),
    [("America/Chicago", date(2026, 12, 6)), ("Europe/Berlin", date(2026, 12, 7))],
)
def test_the_time_zone_of_the_coop_says_what_day_it_is(
    tmp_path: Path, zone: str, day: date
) -> None:
    file = tmp_path / "onboard.toml"
    file.write_text(settings_file.starter().replace("America/New_York", zone), encoding="utf-8")
    moment = datetime(2026, 12, 7, 3, 30, tzinfo=UTC)
    today = open_office(file, now=lambda: moment).today()
    assert today == day
    assert (windows.standing(LAKE, today).open is not None) is (zone == "America/Chicago")


def test_clocks_that_go_back_or_forward_move_no_window(tmp_path: Path) -> None:
    file = tmp_path / "onboard.toml"
    file.write_text(settings_file.starter(), encoding="utf-8")
    # The night of 14 March 2027 has no 02:30 in New York; 7 November 2027 has 01:30 twice.
    for moment, day in (
        (datetime(2027, 3, 14, 7, 30, tzinfo=UTC), date(2027, 3, 14)),
        (datetime(2027, 11, 7, 5, 30, tzinfo=UTC), date(2027, 11, 7)),
        (datetime(2027, 11, 7, 6, 30, tzinfo=UTC), date(2027, 11, 7)),
        (datetime(2027, 11, 8, 4, 59, tzinfo=UTC), date(2027, 11, 7)),
    ):
        assert open_office(file, now=lambda moment=moment: moment).today() == day
