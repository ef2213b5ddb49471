"""Ordering windows: those that are written out and those made by rule, and how a group stands. Both days belong
to a window.

What time it is, the caller says: nothing here knows a clock.
"""

from onboard.windows.checking import check, gap, remarks
from onboard.windows.coming import (
    MONTHS_AHEAD,
    Standing,
    first_to_reach,
    horizon,
    open_now,
    past,
    standing,
    standing_at,
    upcoming,
)
from onboard.windows.days_off import day_off
from onboard.windows.known import Known, follow, fresh
from onboard.windows.moments import closing, is_open, opening
from onboard.windows.reminding import Reminding, reminders
from onboard.windows.turns import How, Made, Turn, made, turns
from onboard.windows.words import (
    say_day,
    say_end,
    say_short,
    say_start,
    say_time,
    say_weekday,
    tell,
)

__all__ = [
    "MONTHS_AHEAD", "How", "Known", "Made", "Reminding", "Standing", "Turn", "check", "closing", "day_off", "first_to_reach", "follow", "fresh", "gap",
    "horizon", "is_open", "made", "open_now", "opening", "past", "remarks", "reminders", "say_day", "say_end", "say_short", "say_start", "say_time",
    "say_weekday", "standing", "standing_at", "tell", "turns", "upcoming",
]  # fmt: skip
