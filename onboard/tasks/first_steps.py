"""What a new co-op does first, from an empty folder to its first welcome packet, and how far it is.

The settings file says how far: what still says what the starter says is to be done. So the steps can be
left and come back to, in any order, also in an editor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from onboard.office import Office
from onboard.roster import search
from onboard.settings import samples
from onboard.settings.editing import Edit
from onboard.settings.model import KEYS
from onboard.tasks.change_settings import (
    WrittenSettings,
    may_change_settings,
    written_settings,
)

FORM = "form"  # the last step: the first join form


@dataclass(frozen=True, slots=True)
class Step:
    """A step: what is asked in it, by table, and what is missing."""

    name: str
    asks: tuple[tuple[str, tuple[str, ...]], ...] = ()  # (table, its keys)
    missing: tuple[tuple[str, str], ...] = ()  # (table, key) that still say what the starter says
    done: bool = False


STEPS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "name": (("coop", ("name", "time_zone", "languages")),),
    "pages": (("coop", ("ordering_page", "shop_page")),),
    "reach": (("coop", ("reply_phone", "postal_address")),),
    "group": (("group", ("name", "windows")),),
    "site": (
        ("site", ("name", "address", "zip", "host", "host_phone", "pickup_day", "pickup_hours")),
    ),
    "mail": (("coop", ("sender",)), ("mail", ("host", "port", "security", "user"))),
}
# A step is done when these are the co-op's own; in a group or site, when any of them is.
_OWN = {
    "name": ("name",), "pages": ("ordering_page", "shop_page"), "reach": ("reply_phone", "postal_address"),
    "group": ("name", "windows"), "site": ("address", "host_phone"), "mail": ("sender",),
}  # fmt: skip
_ANY = ("group",)


def first_steps(office: Office) -> tuple[Step, ...]:
    """All steps, with what is missing in each. Raises `NotAllowed`, `SettingsTrouble`, `StoreTrouble`."""
    written = written_settings(office)
    steps = [_step(name, written) for name in STEPS]
    return (*steps, Step(FORM, done=_has_somebody(office)))


def asks_for_first_steps(office: Office) -> bool:
    """Whether whoever is at work should be led to the first steps."""
    return may_change_settings(office) and bool(samples(office.settings))


def awaits_first_member(office: Office) -> bool:
    """Whether whoever is at work should be led to the last step: all is set up, and nobody is there."""
    return (
        may_change_settings(office) and not samples(office.settings) and not _has_somebody(office)
    )


def _has_somebody(office: Office) -> bool:
    with office.reading() as connection:
        return search.count(connection) + search.count_held(connection) > 0


def has_own_group(office: Office) -> bool:
    """Whether the first ordering group is the co-op's own, not the starter's."""
    return _step("group", written_settings(office)).done


def renamed(group: str, written: WrittenSettings, edits: list[Edit]) -> list[Edit]:
    """The edits, and those that make its sites and its turns follow a group to its new name."""
    new = next((e.value for e in edits if (e.table, e.key) == ("group", "name")), group)
    if new == group:
        return edits
    follow = [
        Edit("site", "group", new, number)
        for number, site in enumerate(written.said.get("site", []))
        if site.get("group") == group
    ]
    turns = written.said.get("windows", {}).get("rotation", [])
    if group in turns:
        follow.append(Edit("windows", "rotation", [new if one == group else one for one in turns]))
    return edits + follow


def is_sample(table: str, key: str, value: Any) -> bool:
    """Whether a value is still what the starter writes for it."""
    example = KEYS[table][key].example
    if example is None or key in ("time_zone", "languages"):
        return False
    if key == "windows":
        return [_days(one) for one in value or ()] == [(w.opens, w.closes) for w in example]
    return bool((value.strip() if isinstance(value, str) else value) == example)


def _days(window: Any) -> tuple[Any, Any]:
    return (
        (window.get("opens"), window.get("closes")) if isinstance(window, Mapping) else (None, None)
    )


def _step(name: str, written: WrittenSettings) -> Step:
    sample = []
    for table, keys in STEPS[name]:
        said = written.said.get(table, {})
        said = said[0] if isinstance(said, list) else said
        sample += [(table, key) for key in keys if is_sample(table, key, said.get(key))]
    own = [key for _, key in sample if key in _OWN[name]]
    done = len(own) < len(_OWN[name]) if name in _ANY else not own
    return Step(name, STEPS[name], () if done else tuple(sample), done)
