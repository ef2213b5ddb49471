"""What must hold of groups, their windows and sites, each beside those that stand above it."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any

from onboard.settings.words import Sentence, nearest, shown

if TYPE_CHECKING:
    from onboard.settings.checks import Check, Earlier, Info

FIRST_YEAR, LAST_YEAR = 2000, 2099  # whatever is reckoned from a day in them is a day, too


def some(words: str) -> Check:
    """At least one."""

    def check(value: tuple[Any, ...], _: Info) -> tuple[Any, ...]:
        if not value:
            raise Sentence(words)
        return value

    return check


def new_group_name(value: str, info: Info) -> str:
    """A name that no group above has."""
    if value.casefold() in [name.casefold() for name in info.context.groups]:
        raise Sentence(
            f'there are two groups named "{shown(value)}": give each its own name, or put all '
            "windows under one."
        )
    info.context.groups.append(value)
    return value


def known_group(value: str, info: Info) -> str:
    """The name of a group above."""
    if value not in (groups := info.context.groups):
        near = nearest(value, sorted(groups)) if groups else "."
        raise Sentence(f'there is no group "{shown(value)}"{near}')
    return value


def new_site_name(value: str, info: Info) -> str:
    """A name that no site above has."""
    if value.casefold() in [name.casefold() for name in info.context.sites]:
        raise Sentence(f'there are two sites named "{shown(value)}": give each its own name.')
    info.context.sites.append(value)
    return value


def host(value: str, info: Info) -> str:
    """Who is at the site; nobody is, once it has closed."""
    if not value.strip() and info.data.get("name") not in info.context.closed:
        raise ValueError("is empty: fill it in.")
    return value


def five_digits(value: str, _: Info) -> str:
    """A ZIP code."""
    if not re.fullmatch("[0-9]{5}", value):
        raise ValueError(f'is "{shown(value)}": give five digits, such as "45801".')
    return value


def day(value: date, _: Info) -> date:
    """A day that people could order on."""
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise ValueError(
            f"is {value}: give a day from the year {FIRST_YEAR} to {LAST_YEAR}, such as 2026-12-01."
        )
    return value


def closing(value: date, info: Info) -> date:
    """The last day of a window that overlaps none above it in its group."""
    day(value, info)
    if opens := info.data.get("opens"):
        if value < opens:
            raise Sentence(f"the window closes ({value}) before it opens ({opens}).")
        for other in info.context.windows:
            if other[0] <= value and opens <= other[1]:
                (first, last), (second, _) = sorted([other, (opens, value)])
                raise Sentence(f"the window from {second} overlaps the one from {first} to {last}.")
        info.context.windows.append((opens, value))
    return value


def forget_windows(earlier: Earlier) -> None:
    """Begin with the windows of another group."""
    earlier.windows.clear()


def by_opening(value: tuple[Any, ...], _: Info) -> tuple[Any, ...]:
    """Windows in the order in which they open."""
    return tuple(sorted(value, key=lambda window: window.opens))
