"""Who could be alike: people who share a key are compared, all others never are.

A key is a short text: a letter that says what is shared, and that. Several kinds overlap, so that
any one field may be missing or spoilt: on the open sign-ups 99 % of all pairs of one person share
one. A whole file is searched by the same rules in numbers (`blocks`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import TypeAlias

from onboard.match.folds import Folded, fold
from onboard.model import Person

# A letter, and the pieces that two people share; somebody of whom one is not known has no such key.
# Keys are stored with the roster. Changing one means computing the whole key table anew, so a new
# kind is added beside the others and none is changed.
RULES = tuple(
    (rule[0], tuple(rule[2:].split()))
    for rule in (
        "e email",
        "m local",
        "p phone",
        "i personal",
        "n names",
        "z initial family zip5",
        "a number street initial",
        "h number zip5 initial",
        "f number zip5 family2",
        "g number street family2",
        "s street zip5 family2",
        "l number street near",
        "b born initial",
        "d born family3",
        "o born zip5",
        "o born city4",
        "k year number street",
        "u given month",
        "x family month",
        "y given2 family2 year",
        "q given2 family2 day",
    )
)
# The pieces that are part of a field, by field. Others are whole fields, but for "local", the local
# part of a mailbox if it is `LONG`; "near", the unit, or where there is none the ZIP; and "names",
# a given and a family name in the order of the alphabet.
CUTS: Mapping[str, Mapping[str, slice]] = {
    "given": {"initial": slice(0, 1), "given2": slice(0, 2)},
    "family": {"family2": slice(0, 2), "family3": slice(0, 3)},
    "city": {"city4": slice(0, 4)},
    "born": {"year": slice(0, 4), "month": slice(0, 7), "day": slice(5, None)},
}
# Fields of which somebody has one.
WHOLE = ("email", "phone", "personal", "number", "street", "zip5", "city", "born")
# Somebody may have several given names, and parts of a family name: a key for each.
GIVEN = frozenset({"given", *CUTS["given"]})
FAMILY = frozenset({"family", *CUTS["family"]})
# A shorter local part ("info", "jsmith") is that of many.
LONG = 7

# A key shared by more people than this says nothing: a helper's phone, everybody named J Smith at
# one ZIP. It is then left out for all of them alike, whoever came first. Whoever is there twice
# shares a narrower key as well, as no person's keys are all of one kind.
CROWD = 60

Forms: TypeAlias = tuple[str, ...]


def names_of(pieces: Iterable[str]) -> tuple[bool, bool]:
    """Whether a rule of these pieces takes a given name, and a family name.

    >>> names_of(("number", "zip5", "initial")), names_of(("names",))
    ((True, False), (True, True))
    """
    some = set(pieces)
    both = "names" in some
    return both or bool(some & GIVEN), both or bool(some & FAMILY)


def of(person: Person) -> frozenset[str]:
    """The keys of a person; none if the form says too little to be like anybody.

    >>> sorted(of(Person("row:1", given="Ana", family="Ruiz", email="ana@example.org")))
    ['e:ana@example.org', 'n:ana ruiz']
    """
    return frozenset(of_folded(fold(person)))


def of_folded(who: Folded) -> list[str]:
    """The keys of a person whose fields are folded already."""
    said = _said(who)
    plain, by_given, by_family, by_both = _forms(tuple(said))
    keys = [form % said for form in plain]
    givens = [name for name in (who.given, who.called, *who.joint) if name]
    families = [name for name in f"{who.family} {who.former}".split(" ") if name]
    for given in givens:
        _put(said, "given", given)
        keys += [form % said for form in by_given]
        for family in families:
            _put(said, "family", family)
            said["names"] = f"{given} {family}" if given < family else f"{family} {given}"
            keys += [form % said for form in by_both]
    for family in families:
        _put(said, "family", family)
        keys += [form % said for form in by_family]
    return keys


def _said(who: Folded) -> dict[str, str]:
    """The pieces that are known of a person, but those of names."""
    said: dict[str, str] = {}
    for field in WHOLE:
        if text := getattr(who, field):
            _put(said, field, text)
    local = who.email.rpartition("@")[0]
    if len(local) >= LONG:
        said["local"] = local
    if near := who.unit or who.zip5:
        said["near"] = near
    return said


def _put(said: dict[str, str], field: str, text: str) -> None:
    """The field, and the pieces that are cut from it."""
    said[field] = text
    if field in CUTS:
        for piece, cut in CUTS[field].items():
            said[piece] = text[cut]


@cache
def _forms(known: Forms) -> tuple[Forms, Forms, Forms, Forms]:
    """How the keys are written of somebody of whom these pieces are known, and perhaps names.

    Those without a name, with a given name, with a family name, with both.
    """
    forms: dict[tuple[bool, bool], list[str]] = {
        (given, family): [] for family in (False, True) for given in (False, True)
    }
    there = {*known, *GIVEN, *FAMILY, "names"}
    for letter, pieces in RULES:
        if there.issuperset(pieces):
            forms[names_of(pieces)].append(f"{letter}:{' '.join(f'%({p})s' for p in pieces)}")
    plain, by_given, by_family, by_both = map(tuple, forms.values())
    return plain, by_given, by_family, by_both
