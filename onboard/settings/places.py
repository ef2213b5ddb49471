"""Ordering groups, their windows and their drop sites, as [[group]] and [[site]] state them."""

from dataclasses import dataclass, field
from datetime import date, time
from typing import Annotated

from onboard.settings.checks.contacts import known_zone_or_none, phone_of_host
from onboard.settings.checks.places import (
    by_opening,
    closing,
    day,
    five_digits,
    forget_windows,
    host,
    known_group,
    new_group_name,
    new_site_name,
)
from onboard.settings.key import Key
from onboard.settings.window_rule import WindowRule


@dataclass(frozen=True, slots=True)
class Days:
    """An ordering window as the file has it: both days belong to it."""

    opens: Annotated[date, Key("its first day", "members may order on this day", day)]
    closes: Annotated[date, Key("its last day", "members may order on this day", closing)]


@dataclass(frozen=True, slots=True)
class WrittenGroup:
    """An ordering group as the file has it."""

    name: Annotated[
        str, Key("the group's name", "no two groups may have the same name", new_group_name, "Lake")
    ]
    windows: Annotated[
        tuple[Days, ...],  # by opening day
        Key(
            "its ordering windows", "they may not overlap; both days belong to a window", by_opening,
            (Days(date(2026, 12, 1), date(2026, 12, 6)), Days(date(2027, 1, 5), date(2027, 1, 10))),
            kind="a list of { opens = 2026-12-01, closes = 2026-12-06 }", start=forget_windows,
        ),
    ] = ()  # fmt: skip


@dataclass(frozen=True, slots=True)
class Window:
    """An ordering window: both days belong to it, from the time on and until the time, if there is one."""

    opens: date
    closes: date
    opens_at: time | None = None  # by the drop site's time zone; None: with the day
    closes_at: time | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """An ordering group: sites that order in the same windows.

    `windows` are those that the file writes out; `onboard.windows` has these and those made by rule.
    """

    name: str
    windows: tuple[Window, ...] = ()  # by opening day
    rule: WindowRule | None = None  # by which it has turns; None: it has none


@dataclass(frozen=True, slots=True)
class Site:
    """A drop site."""

    name: Annotated[
        str, Key("the site's name; no two sites may have the same", "it is fine if forms misspell it", new_site_name, "Lima Grange Hall")
    ]  # fmt: skip
    address: Annotated[
        str, Key("where it is", "packets show it", example="12 Elm Street, Lima, OH", lines=True)
    ]
    zip5: Annotated[
        str,
        Key(
            "its ZIP code", "five digits; in the settings file in quotes, so that a zero in front is kept", five_digits, "45801",
            'five digits in double quotes, "45801"',
        ),
    ] = field(metadata={"alias": "zip"})  # fmt: skip
    group: Annotated[str, Key("the name of its ordering group", check=known_group, example="Lake")]
    host: Annotated[
        str,
        Key(
            "who receives the goods there and hands them out", "a closed site may leave it empty", host, "Robin Vale", blank=True
        ),
    ]  # fmt: skip
    host_phone: Annotated[
        str, Key("the host's phone", "packets show it: ask the host first", phone_of_host, "(419) 555-0101", blank=True)
    ] = ""  # fmt: skip
    pickup_day: Annotated[
        str,
        Key(
            "the day on which members pick up their orders", "packets show it; a day of the week is put into Spanish, anything else is shown as it is",
            example="Saturday", blank=True,
        ),
    ] = ""  # fmt: skip
    pickup_hours: Annotated[
        str, Key("the hours", "packets show them as they are", example="9 to 11 a.m.", blank=True)
    ] = ""
    time_zone: Annotated[
        str,
        Key("its time zone, if it is not the co-op's", "windows open and close by it; if empty, the co-op's time zone", known_zone_or_none, blank=True),
    ] = ""  # fmt: skip
    capacity: Annotated[
        int,
        Key(
            "how many members it can serve", "if 0, nobody counts; a full site still takes members, and the program tells you",
            bounds=(0, 1_000_000),
        ),
    ] = 0  # fmt: skip
    also: Annotated[
        tuple[str, ...],
        Key("what else people call it, as an abbreviation", "a form that says so means this site"),
    ] = ()  # fmt: skip
    closed: Annotated[
        bool, Key("whether it has closed for good", "keep closed sites in the file, so that the program knows them when a form names one")
    ] = False  # fmt: skip
