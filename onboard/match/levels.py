"""How alike two people are in each field, in levels that have names.

A level is a place in its field's list, from "not known", over "differs", to the rarest agreement.
What each is worth is learned (`onboard.match.weights`); which there are is decided here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Levels: TypeAlias = NDArray[np.int8]

# Field by field: (level, words for it). The order of fields is the order in which evidence is
# told, and in which a part says what it adds to those before it (see `weights`).
FIELDS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "place": (
        ("unknown", "ZIP not known for both"),
        ("differs", "different ZIP"),
        ("region", "ZIP in the same region"),
        ("city", "same city"),
        ("near", "ZIP one typo apart"),
        ("same", "same ZIP"),
    ),
    "address": (
        ("unknown", "street not known for both"),
        ("differs", "different address"),
        ("street", "same street, different number"),
        ("number", "same number, a street with a similar name"),
        ("slip", "same street, number one typo apart"),
        ("units", "same building, different unit"),
        ("building", "same number and street, one without a unit"),
        ("same", "same address"),
        ("unit", "same address and unit"),
    ),
    "phone": (
        ("unknown", "phone not known for both"),
        ("differs", "different phone"),
        ("near", "phone one typo apart"),
        ("same", "same phone"),
    ),
    "email": (
        ("unknown", "email not known for both"),
        ("differs", "different email"),
        ("letters", "different email (with the same letters)"),
        ("near", "email one or two typos apart"),
        ("domain", "same email name at a different provider"),
        ("one", "same email (it fits the name of only one)"),
        ("family", "same email (the last name is in it)"),
        ("same", "same email"),
        ("both", "same email (it fits the names of both)"),
    ),
    "number": (
        ("unknown", "no year in both emails"),
        ("differs", "emails end in different two-digit numbers"),
        ("same", "emails end in the same number"),
    ),
    "born": (
        ("unknown", "birth date not known for both"),
        ("differs", "different birth date"),
        ("part", "part of the birth date the same"),
        ("near", "birth date one typo apart"),
        ("same", "same birth date"),
    ),
    "personal": (
        ("unknown", "personal number not known for both"),
        ("differs", "different personal number"),
        ("near", "personal number one typo apart"),
        ("same", "same personal number"),
    ),
    "family": (
        ("unknown", "last name not known for both"),
        ("differs", "different last name"),
        ("man", "different last name (and a man, who rarely takes one)"),
        ("mailbox", "different last name (but the other's email has it)"),
        ("alike", "similar last names"),
        ("part", "one part of the last name the same"),
        ("near", "last name one typo apart"),
        ("common", "same last name, very common"),
        ("usual", "same last name, common"),
        ("uncommon", "same last name, uncommon"),
        ("rare", "same last name, rare"),
    ),
    "given": (
        ("unknown", "first name not known for both"),
        ("differs", "different first name"),
        ("initial", "first names start with the same letter only"),
        ("mailbox", "different first name (but the other's email has it)"),
        ("alike", "similar first names"),
        ("own", "similar first names (each a name of its own)"),
        ("sexes", "similar first names (a man's and a woman's)"),
        ("shorts", "two short forms of one first name"),
        ("letter", "first name and its initial"),
        ("middle", "first name of the one is the middle name of the other"),
        ("joint", "first name of one person on a joint form"),
        ("nickname", "short form of the first name"),
        ("near", "first name one typo apart"),
        ("common", "same first name, very common"),
        ("usual", "same first name, common"),
        ("uncommon", "same first name, uncommon"),
        ("rare", "same first name, rare"),
    ),
    "middle": (
        ("unknown", "middle name not known for both"),
        ("differs", "different middle initial"),
        ("initial", "middle names start with the same letter only"),
        ("letter", "same middle initial"),
        ("near", "middle name one typo apart"),
        ("same", "same middle name"),
    ),
    "suffix": (
        ("unknown", "no suffix"),
        ("untold", "a father and a son can have this name"),
        ("differs", "different generation"),
        ("one", "only one has a suffix"),
        ("same", "same suffix"),
    ),
}

LEVEL: Mapping[str, Mapping[str, int]] = {
    field: {name: at for at, (name, _) in enumerate(levels)} for field, levels in FIELDS.items()
}
