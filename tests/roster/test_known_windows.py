"""Windows as calendars know them, kept in the roster, on either engine."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time

from sqlalchemy import Engine

from onboard.roster import known_windows, store
from onboard.settings import Window
from onboard.windows import Known

NOW = datetime(2026, 11, 25, 15, 0, 1, tzinfo=UTC)
TIMED = Known(
    "u1",
    "Lake",
    "2026-12",
    Window(date(2026, 12, 7), date(2026, 12, 13), time(8), time(21, 30)),
    0,
    NOW,
)
WHOLE = Known(
    "u2", "Hill", "", Window(date(2027, 1, 5), date(2027, 1, 10)), 2520, NOW, canceled=True
)


def test_what_is_kept_is_what_is_read(roster: Engine) -> None:
    with store.transaction(roster) as connection:
        known_windows.save(connection, [WHOLE, TIMED])
    with store.reading(roster) as connection:
        assert known_windows.known(connection) == (TIMED, WHOLE)


def test_a_window_that_changed_takes_the_place_of_what_was_known(roster: Engine) -> None:
    later = replace(TIMED, window=WHOLE.window, sequence=1, canceled=True)
    with store.transaction(roster) as connection:
        known_windows.save(connection, [TIMED])
        known_windows.save(connection, [later])
        known_windows.save(connection, [])
        assert known_windows.known(connection) == (later,)
        assert not known_windows.were_told_before(connection)
