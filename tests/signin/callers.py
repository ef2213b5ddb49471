"""An invented member and what is known of her, for many tests."""

from __future__ import annotations

from datetime import date

from onboard import handles
from onboard.model import PersonName
from onboard.settings import Group, Window
from onboard.signin import Account, PasswordState


def member(name: PersonName, number: str = "", **known: object) -> Account:
    """An account of the house's rule: handle of the name, with a number where one is given."""
    handle = handles.clean(PersonName(name.given, family=name.family)).value
    assert handle
    if number:
        taken = {handle.text} | {f"{handle.text}{n}" for n in range(2, int(number))}
        handle = handles.free(handle, taken)
    return Account(handle, (name,), **known)  # type: ignore[arg-type]


LAKE = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
RUNS = PasswordState(expires=date(2026, 12, 9))
USED = PasswordState(expires=date(2026, 11, 9), used=True)
