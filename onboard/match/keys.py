"""Who could be alike: people who share a key are compared, all others never are.

A key is a short text: a letter that says what is shared, and that. Several kinds overlap, so that
any one field may be missing or spoilt: on the open sign-ups over 99 % of all pairs of one person
share one. A whole file is searched by the same rules in numbers (`blocks`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import TypeAlias

from onboard.match.folds import Folded, fold
from onboard.model import Owner, Person

# A letter, and the pieces that two people share; somebody of whom one is not known has no such key.
# Keys are stored with the roster, and made anew when a roster is brought up to date: whoever changes
# them adds a migration.
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
        "w letters",
        "t ending family3 zip5",
    )
)
# The pieces that are part of a field, by field. Others are whole fields, but for "local", the local
# part of a mailbox if it is `LONG`; "near", the unit, or where there is none the ZIP; "names", a
# given and a family name in the order of the alphabet; and "letters", those of a mailbox, or of a given
# and a family name as many mailboxes have them, if they are so many that they tell (`MANY_LETTERS`).
CUTS: Mapping[str, Mapping[str, slice]] = {
    "given": {"initial": slice(0, 1), "given2": slice(0, 2), "ending": slice(-3, None)},
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
# In a mailbox "annieleitch59" is the name of somebody whom another form calls Annie Leitch.
MANY_LETTERS = 10
_NO_LETTERS = re.compile("[^a-z]+")

# A key shared by more people than this says nothing: a helper's phone, everybody named J Smith at
# one ZIP. It is then left out for all of them alike, whoever came first. Whoever is there twice
# shares a narrower key as well, as no person's keys are all of one kind.
CROWD = 60

Pieces: TypeAlias = tuple[str, ...]


def named(pieces: Iterable[str]) -> str:
    """What names a rule of these pieces takes: "given", "family", "both", "letters"; "" if none.

    >>> named(("number", "zip5", "initial")), named(("names",)), named(("email",))
    ('given', 'both', '')
    """
    some = set(pieces)
    if "letters" in some:
        return "letters"
    given, family = bool(some & GIVEN), bool(some & FAMILY)
    if "names" in some or (given and family):
        return "both"
    return "given" if given else "family" if family else ""


def of(person: Person) -> frozenset[str]:
    """The keys of a person; none if the form says too little to be like anybody.

    >>> sorted(of(Person("row:1", given="Ana", family="Ruiz", email="ana@example.org")))
    ['e:ana@example.org', 'n:ana ruiz']
    """
    return frozenset(of_folded(fold(person)))


def of_folded(who: Folded) -> list[str]:
    """The keys of a person whose fields are folded already."""
    said = _said(who)
    forms = _forms(tuple(said))
    keys = _written(forms[""], said)
    givens = [name for name in (who.given, who.called, *who.joint) if name]
    families = [name for name in f"{who.family} {who.former}".split(" ") if name]
    letters = [letters_of(who.email.rpartition("@")[0])]
    for given in givens:
        _put(said, "given", given)
        keys += _written(forms["given"], said)
        for family in families:
            _put(said, "family", family)
            said["names"] = f"{given} {family}" if given < family else f"{family} {given}"
            keys += _written(forms["both"], said)
            letters.append(given + family)
    for family in families:
        _put(said, "family", family)
        keys += _written(forms["family"], said)
    for some in letters:
        if len(some) >= MANY_LETTERS:
            said["letters"] = some
            keys += _written(forms["letters"], said)
    return keys


def of_mailbox(identity: str) -> str:
    """The key under which everybody is found who ever had this mailbox (`Email.identity`); "" for none.

    >>> of_mailbox("pat.lee+coop@example.org")
    'e:pat.lee@example.org'
    """
    made = of(Person(Owner("row:"), email=identity))
    return next((key for key in made if key.startswith("e:")), "")


def letters_of(local: str) -> str:
    """The letters in the local part of a mailbox.

    >>> letters_of("annie_leitch59")
    'annieleitch'
    """
    return _NO_LETTERS.sub("", local)


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


def _written(form: str, said: Mapping[str, str]) -> list[str]:
    """The keys of a form with what is said: written at once, and cut, in a fifth of the time that each by itself
    takes. No piece has a line break in it."""
    return (form % said).split("\n") if form else []


@cache
def _forms(known: Pieces) -> Mapping[str, str]:
    """How the keys are written of somebody of whom these pieces are known, one a line, by the names that they take."""
    forms: dict[str, list[str]] = {
        names: [] for names in ("", "given", "family", "both", "letters")
    }
    there = {*known, *GIVEN, *FAMILY, "names", "letters"}
    for letter, pieces in RULES:
        if there.issuperset(pieces):
            forms[named(pieces)].append(f"{letter}:{' '.join(f'%({p})s' for p in pieces)}")
    return {names: "\n".join(some) for names, some in forms.items()}
