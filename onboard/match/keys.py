"""Who could be alike: people who share a key are compared, all others never are.

A key is a short text whose prefix says what is shared. Several kinds overlap, so that any one
field may be missing or spoilt: on the open sign-ups 99 % of all pairs of one person share one.

    e:  mailbox                          p:  phone
    m:  local part of a mailbox          n:  given name and a part of the family name, in any order
    z:  initial, family name, ZIP        a:  house number, street, initial
    h:  house number, ZIP, initial       f:  house number, ZIP, start of the family name
    g:  house number, street, start of the family name
    s:  street, ZIP, start of the family name
    l:  house number, street, unit; where there is no unit, ZIP
    i:  a personal number, where the sheet has one

and of those whose birth date is known

    b:  birth date, initial              d:  birth date, start of the family name
    o:  birth date, ZIP or city          k:  year of birth, house number, street
    u:  given name, year and month       x:  family name, year and month
    y:  starts of both names, year       q:  starts of both names, day and month

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
    if who.personal:
        keys.append(f"i:{who.personal}")
    givens = [who.given, who.called, *who.joint] if who.called or who.joint else [who.given]
    families = [family for family in who.family.split(" ") if family]
    if who.former:
        families += [family for family in who.former.split(" ") if family]
    for given in filter(None, givens):
        initial = given[0]
        for family in families:
            first, second = (given, family) if given < family else (family, given)
            keys.append(f"n:{first} {second}")
            if who.zip5:
                keys.append(f"z:{initial} {family} {who.zip5}")
            if who.born:
                start = f"{given[:2]} {family[:2]}"
                keys += [f"y:{start} {who.born[:4]}", f"q:{start} {who.born[5:]}"]
        if who.number:
            if who.street:
                keys.append(f"a:{who.number} {who.street} {initial}")
            if who.zip5:
                keys.append(f"h:{who.number} {who.zip5} {initial}")
        if who.born:
            keys += [f"b:{who.born} {initial}", f"u:{given} {who.born[:7]}"]
    if who.number:
        for family in families:
            if who.zip5:
                keys.append(f"f:{who.number} {who.zip5} {family[:2]}")
            if who.street:
                keys.append(f"g:{who.number} {who.street} {family[:2]}")
    if who.number and who.street and (who.unit or who.zip5):
        keys.append(f"l:{who.number} {who.street} {who.unit or who.zip5}")
    if who.street and who.zip5:
        keys += [f"s:{who.street} {who.zip5} {family[:2]}" for family in families]
    if who.born:
        for family in families:
            keys += [f"d:{who.born} {family[:3]}", f"x:{family} {who.born[:7]}"]
        if who.zip5:
            keys.append(f"o:{who.born} {who.zip5}")
        if who.city:
            keys.append(f"o:{who.born} {who.city[:4]}")
        if who.number and who.street:
            keys.append(f"k:{who.born[:4]} {who.number} {who.street}")
    return keys
