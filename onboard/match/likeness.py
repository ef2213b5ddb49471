"""How alike two people are, field by field: the level of each pair."""

from __future__ import annotations

from functools import partial

from onboard.match import birth, contacts, names, places
from onboard.match.columns import Columns, Index
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.levels import Levels


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
    return found
