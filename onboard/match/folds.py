"""A person's fields, folded to what two spellings of one person share.

Cleaning (`onboard.clean`) has come before; what is left here is what only matching wants: small
letters without accents, name particles joined to their name, a mailbox instead of an address.
Plain text straight from a spreadsheet folds to the same thing in nearly all cases, which is what
lets a whole file be searched without cleaning every cell first.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import dropwhile
from operator import attrgetter
from typing import Any, NamedTuple, TypeAlias

from anyascii import anyascii

from onboard.clean.email.mailbox import identity
from onboard.match.written_names import in_full
from onboard.model import Person


class Folded(NamedTuple):
    """One spelling of one person; "" where unknown."""

    given: str = ""
    called: str = ""
    middle: str = ""
    family: str = ""
    former: str = ""
    suffix: str = ""
    email: str = ""
    phone: str = ""
    number: str = ""
    street: str = ""
    unit: str = ""
    city: str = ""
    zip5: str = ""
    born: str = ""
    personal: str = ""
    joint: tuple[str, ...] = ()


# Nobody's name, street or address is longer; what is, is junk, and is cut so that it costs nothing.
LONGEST = 120

SUFFIXES = {
    "jr": "jr", "jnr": "jr", "junior": "jr", "sr": "sr", "snr": "sr", "senior": "sr",
    "ii": "2", "2nd": "2", "iii": "3", "3rd": "3", "iv": "4", "4th": "4",
}  # fmt: skip
TITLES = {"mr", "mrs", "ms", "miss", "mx", "dr", "rev", "prof", "sir", "fr"}
# Written apart or together, with or without a hyphen: part of the name that follows.
PARTICLES = {
    "de", "del", "della", "di", "da", "dos", "das", "do", "du", "la", "las", "le", "los", "van",
    "von", "vander", "vande", "der", "den", "ter", "ten", "st", "saint", "san", "santa", "mac",
    "mc", "o", "d", "al", "el", "ibn", "bin", "ben", "abu", "y", "zu", "af", "av",
}  # fmt: skip
# Of these, those that callers leave out: "Ruiz" for de Ruiz, but never "John" for St. John.
LEFT_OUT = PARTICLES - {
    "st", "saint", "san", "santa", "mac", "mc", "o", "d", "ibn", "bin", "ben", "abu",
}  # fmt: skip

_WORD = re.compile(r"[a-z0-9]+")
_APOSTROPHES = re.compile("['’‘`´ʼ.]")
_NOT_DIGIT = re.compile(r"[^0-9]+")
_EXTENSION = re.compile(r"(?:;ext=|ext|x|#).*", re.I | re.S)


def plain(text: str) -> str:
    """Small letters, ASCII, at most LONGEST of them."""
    text = text[:LONGEST]
    return (text if text.isascii() else anyascii(text)[:LONGEST]).lower()


def words(text: str) -> list[str]:
    """The words of a text; apostrophes and points join, all else divides."""
    if text.isalnum() and text.isascii():
        return [text[:LONGEST].lower()]
    return _WORD.findall(_APOSTROPHES.sub("", plain(text)))


@lru_cache(maxsize=20_000)
def given_name(text: str) -> tuple[str, str]:
    """A given name and what stands behind it, which is mostly the middle name; in full where it is written short.

    >>> given_name("Dr. Mary-Ann"), given_name("Ma. Elena"), given_name("Wm.")
    (('mary', 'ann'), ('maria', 'elena'), ('william', ''))
    """
    found = words(text)
    while len(found) > 1 and found[0] in TITLES:
        del found[0]
    found = in_full(found, text)
    return (found[0] if found else "", found[1] if len(found) > 1 else "")


@lru_cache(maxsize=20_000)
def family_name(text: str) -> tuple[str, str]:
    """A family name, its parts divided by one space, and the suffix written behind it.

    >>> family_name("Van der Berg-O'Neil, III")
    ('vanderberg oneil', '3')
    """
    found = words(text)
    suffix = ""
    while len(found) > 1 and found[-1] in SUFFIXES:
        suffix = SUFFIXES[found.pop()]
    parts: list[str] = []
    held = ""
    for word in found:
        held += word
        if word not in PARTICLES:
            parts.append(held)
            held = ""
    if held:
        parts.append(held)
    return " ".join(parts), suffix


@lru_cache(maxsize=20_000)
def last_nouns(text: str) -> tuple[str, ...]:
    """The last names in a family name without the particles before them, of those that have some.

    >>> last_nouns("Zúñiga de la Cruz"), last_nouns("Lee"), last_nouns("St. John")
    (('cruz',), (), ())
    """
    if " " not in text.strip() and "-" not in text:
        return ()
    nouns: list[str] = []
    held: list[str] = []
    for word in words(text):
        held.append(word)
        if word not in PARTICLES:
            kept = list(dropwhile(LEFT_OUT.__contains__, held))
            if len(kept) < len(held) and len(word) > 1:
                nouns.append("".join(kept))
            held = []
    return tuple(nouns)


@lru_cache(maxsize=10_000)
def generation(text: str) -> str:
    """A name suffix that tells generations apart; others (PhD) say nothing of who it is."""
    return next((SUFFIXES[word] for word in words(text) if word in SUFFIXES), "")


def mailbox(text: str) -> str:
    """The mailbox that an address stands for, as its provider has it, and without any subaddress.

    >>> mailbox("Pat-Lee@protonmail.com"), mailbox("pat.lee+coop@example.org")
    ('patlee@proton.me', 'pat.lee@example.org')
    """
    local, at, domain = text[: 3 * LONGEST].strip().lower().rpartition("@")
    if not at or not local or not domain or "\n" in text:
        return ""
    found = identity(local, domain)
    if "+" not in found:
        return found
    # Most hosts take what is behind "+" for a subaddress, and which do not is not known.
    local, _, domain = found.rpartition("@")
    return f"{local.partition('+')[0] or local}@{domain}"


def telephone(text: str) -> str:
    """The digits of a telephone number, without extension and without the 1 of North America."""
    text = text[:LONGEST]
    if not (text.isdigit() and text.isascii()):
        text = _NOT_DIGIT.sub("", _EXTENSION.sub("", text))
    digits = text
    if len(digits) == 11 and digits[0] == "1":
        digits = digits[1:]
    return digits if len(digits) >= 7 else ""


# USPS Publication 28, appendix C1 (suffixes) and section 233 (directionals): the commonest only,
# as a difference in the rarer ones hardly ever tells two streets apart.
STREET_WORDS = {
    "street": "st", "str": "st", "avenue": "ave", "av": "ave", "road": "rd", "drive": "dr",
    "lane": "ln", "court": "ct", "circle": "cir", "boulevard": "blvd", "place": "pl",
    "terrace": "ter", "terr": "ter", "highway": "hwy", "parkway": "pkwy", "trail": "trl",
    "square": "sq", "crescent": "cres", "north": "n", "south": "s", "east": "e", "west": "w",
    "northeast": "ne", "northwest": "nw", "southeast": "se", "southwest": "sw", "mount": "mt",
    "saint": "st", "fort": "ft", "heights": "hts", "way": "way", "close": "cl", "parade": "pde",
    "route": "rt", "rte": "rt",
}  # fmt: skip
UNIT_WORDS = {
    "apt", "apartment", "unit", "ste", "suite", "rm", "room", "lot", "fl", "floor", "flat",
    "trlr", "spc",
}  # fmt: skip


def street_line(text: str) -> tuple[str, str, str]:
    """House number, street in standard abbreviations, unit of a delivery line.

    >>> street_line("12 North Main Street, Apt. 4-B")
    ('12', 'n main st', '4b')

    A box is numbered like a house, whether at a post office or on a route:

    >>> street_line("PO Box 7"), street_line("RR 2 Box 14")
    (('7', 'po box', ''), ('14', 'rr 2 box', ''))
    """
    found = words(text.replace("#", " apt "))
    unit = ""
    for at, word in enumerate(found):
        if word in UNIT_WORDS and at >= 2:
            unit = unit_number(" ".join(found[at:]))
            del found[at:]
            break
    number = ""
    if found[:2] in (["po", "box"], ["pobox"]) or found[:3] == ["p", "o", "box"]:
        number = found.pop() if found[-1] != "box" else ""
        return number, "po box", unit
    if found and found[0].isalpha() and "box" in found[1:-1]:
        at = found.index("box", 1) + 1
        return " ".join(found[at:]), " ".join(found[:at]), unit
    if found and (found[0].isdigit() or (len(found) > 1 and found[0][0].isdigit())):
        number = found.pop(0)
    return number, " ".join(STREET_WORDS.get(word, word) for word in found), unit


@lru_cache(maxsize=20_000)
def unit_number(text: str) -> str:
    """A unit without the word for what it is: "APT 04-B" and "#4b" are one.

    >>> unit_number("Apt. 04-B")
    '4b'
    """
    found = "".join(word for word in words(text) if word not in UNIT_WORDS)
    return found.lstrip("0") or found


@lru_cache(maxsize=20_000)
def city(text: str) -> str:
    """The letters of a city's name."""
    return "".join(words(text))


def zip_code(text: str) -> str:
    """The first five digits of a ZIP code; another country's postal code in small letters."""
    digits = text[:5]
    if digits.isdigit() and digits.isascii() and len(digits) == 5:
        return digits
    found = "".join(words(text))
    return found[:5] if found[:5].isdigit() else found[:10]


_ISO = re.compile(r"([0-9]{4})(?:([0-9]{2})([0-9]{2})|\W([0-9]{1,2})\W([0-9]{1,2}))(?:\D.*)?", re.S)
_AMERICAN = re.compile(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4})")


@lru_cache(maxsize=20_000)
def birth_date(text: str) -> str:
    """An ISO date out of ISO, ISO without hyphens, or month/day/year; other text as it is.

    A date that cannot be (30 February) is kept in the same form: it is one typing slip away from
    the date that was meant.

    >>> birth_date("7/4/1976")
    '1976-07-04'
    """
    text = text[:LONGEST].strip()
    if found := _ISO.fullmatch(text):
        year, *rest = filter(None, found.groups())
        return "-".join([year, *(part.zfill(2) for part in rest)])
    if found := _AMERICAN.fullmatch(text):
        month, day, year = found.groups()
        if int(month) > 12 >= int(day):  # day first, as most of the world writes
            month, day = day, month
        return f"{year}-{int(month):02}-{int(day):02}"
    return "".join(words(text))


def personal_number(text: str) -> str:
    """The letters and digits of a number that one person has, a tax or card number; "" for filler.

    >>> personal_number("12-34 567x"), personal_number("000-00-0000"), personal_number("none")
    ('1234567x', '', '')
    """
    found = "".join(words(text))
    return found if len(found) >= 4 and len(set(found)) > 1 and not found.isalpha() else ""


def first_name(text: str) -> str:
    """A given name, without what stands behind it."""
    return given_name(text)[0]


def whole_name(text: str) -> str:
    """A family name, without a suffix."""
    return family_name(text)[0]


# What each text said of a person folds to: the text of one field, or those of several. A field that
# is filled stays: a middle name of its own comes before one behind the given name, and so on.
Folding: TypeAlias = tuple[str, Callable[[str], Any], tuple[str, ...]]
FOLDINGS: tuple[Folding, ...] = (
    ("middle", first_name, ("middle",)),
    ("given", given_name, ("given", "middle")),
    ("called", first_name, ("called",)),
    ("suffix", generation, ("suffix",)),
    ("family", family_name, ("family", "suffix")),
    ("former", whole_name, ("former",)),
    ("unit", unit_number, ("unit",)),
    ("street", street_line, ("number", "street", "unit")),
    ("email", mailbox, ("email",)),
    ("phone", telephone, ("phone",)),
    ("city", city, ("city",)),
    ("zip5", zip_code, ("zip5",)),
    ("born", birth_date, ("born",)),
)
_SAID = attrgetter(*(said for said, _, _ in FOLDINGS))  # of a person, the text for each
# Of a spreadsheet, not of a `Person`: it is never kept.
PERSONAL: Folding = ("personal", personal_number, ("personal",))


@lru_cache(maxsize=8192)
def fold(person: Person) -> Folded:
    """The person's fields as matching compares them.

    >>> fold(Person("member:1", given="José", family="de la Cruz Jr.", zip5="45801-1234")).family
    'delacruz'
    """
    found: dict[str, str] = {}
    for (_, how, fields), text in zip(FOLDINGS, _SAID(person), strict=True):
        if text:
            folded = how(text)
            for field, value in zip(fields, folded if len(fields) > 1 else (folded,)):  # noqa: B905
                if value and field not in found:
                    found[field] = value
    return Folded(**found, joint=joint_names(person.joint))


def joint_names(names: Iterable[str]) -> tuple[str, ...]:
    """The given names of those who signed up with somebody."""
    return tuple(filter(None, map(first_name, names)))
