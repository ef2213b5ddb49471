"""Who could be alike: people who share a key are compared, all others never are.

A key is a short text whose prefix says what is shared. Several kinds overlap, so that any one
field may be missing or spoilt: on the open sign-ups 99 % of all pairs of one person share one.

    e:  mailbox                          p:  phone
    m:  local part of a mailbox          n:  given name and a part of the family name, in any order
    z:  initial, family name, ZIP        a:  house number, street, initial
    h:  house number, ZIP, initial       f:  house number, ZIP, start of the family name
    b:  birth date and initial           d:  birth date and start of the family name

Keys are stored with the roster. Changing one means computing the whole key table anew, so a new
kind is added beside the others and none is changed.
"""

from __future__ import annotations

from onboard.match.folds import Folded, fold
from onboard.model import Person

# A key shared by more people than this says nothing: a helper's phone, everybody named J Smith at
# one ZIP. It is then left out for all of them alike, whoever came first. Whoever is there twice
# shares a narrower key as well, as no person's keys are all of one kind.
CROWD = 60


def of(person: Person) -> frozenset[str]:
    """The keys of a person; none if the form says too little to be like anybody.

    >>> sorted(of(Person("row:1", given="Ana", family="Ruiz", email="ana@example.org")))
    ['e:ana@example.org', 'n:ana ruiz']
    """
    return frozenset(of_folded(fold(person)))


def of_folded(who: Folded) -> list[str]:
    """The keys of a person whose fields are folded already."""
    keys = []
    if who.email:
        keys.append(f"e:{who.email}")
        local = who.email.rpartition("@")[0]
        if len(local) >= 7:
            keys.append(f"m:{local}")
    if who.phone:
        keys.append(f"p:{who.phone}")
    givens = [who.given, who.called, *who.joint] if who.called or who.joint else [who.given]
    families = who.family.split(" ")
    if who.former:
        families += who.former.split(" ")
    for given in givens:
        if not given:
            continue
        initial = given[0]
        for family in families:
            if not family:
                continue
            first, second = (given, family) if given < family else (family, given)
            keys.append(f"n:{first} {second}")
            if who.zip5:
                keys.append(f"z:{initial} {family} {who.zip5}")
            if who.born:
                keys.append(f"d:{who.born} {family[:3]}")
        if who.number:
            if who.street:
                keys.append(f"a:{who.number} {who.street} {initial}")
            if who.zip5:
                keys.append(f"h:{who.number} {who.zip5} {initial}")
        if who.born:
            keys.append(f"b:{who.born} {initial}")
    if who.number and who.zip5:
        keys += [f"f:{who.number} {who.zip5} {family[:2]}" for family in families if family]
    return keys
