"""How alike two people are, field by field: the level of each pair."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import numpy as np

from onboard.match import birth, contacts, names, places
from onboard.match.columns import Columns, Index
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.levels import LEVEL, Levels


def compare(
    people: Columns, here: Index, there: Index, shares: Frequencies, shorts: ShortForms
) -> dict[str, Levels]:
    """For each field of `FIELDS` the level of each pair `here[n]`, `there[n]`, which are places from 0."""
    email, number = contacts.email(people, here, there)
    given = partial(names.given, shorts=shorts)
    found = {
        "place": places.place(people, here, there),
        "address": places.address(people, here, there),
        "phone": contacts.digits("phone", people, here, there),
        "email": email,
        "number": number,
        "born": birth.born(people["born"], here, there),
        "personal": contacts.digits("personal", people, here, there),
        "family": names.best(
            people, ("family", "former"), here, there, names.family, shares.family
        ),
        "given": names.best(people, ("given", "called"), here, there, given, shares.given),
        "middle": names.middle(people["middle"], here, there),
        "suffix": names.suffix(people["suffix"], here, there),
    }
    names.swapped(people, here, there, found)
    names.by_middle(people, here, there, found)
    names.joint(people, here, there, found["given"])
    names.in_mailbox(people, here, there, found)
    names.men(people["given"], here, there, found)
    _next_door(found)
    return found


# First names that two people of one family have: what is one typo apart is theirs each, and no typo.
_TWO = tuple(LEVEL["given"][level] for level in ("differs", "initial", "own", "sexes", "shorts"))
_NEAR: Mapping[str, tuple[str, str]] = {
    "phone": ("near", "differs"), "email": ("near", "differs"), "address": ("slip", "street"),
}  # fmt: skip


def _next_door(found: dict[str, Levels]) -> None:
    """Relatives live next door, with phones that were bought together and mailboxes that begin alike."""
    two = np.isin(found["given"], _TWO)
    for field, (near, apart) in _NEAR.items():
        found[field][two & (found[field] == LEVEL[field][near])] = LEVEL[field][apart]
