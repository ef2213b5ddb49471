"""The tables of Publication 28 as dictionaries: appendix B, C1, C2, and the words of 223."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from onboard.tables import rows


def bag(text: str, between: str | None = None) -> frozenset[str]:
    """The words of a text, in no order.

    >>> sorted(bag("RR HC"))
    ['HC', 'RR']
    """
    return frozenset(text.split(between))


def lengths(names: Iterable[Sequence[str]], at: int) -> dict[str, tuple[int, ...]]:
    """For each word that is number `at` of some name, how many words such names have, longest first.

    >>> lengths([("CO", "RD"), ("CO", "RD", "NO"), ("HWY",)], 0)
    {'CO': (3, 2), 'HWY': (1,)}
    """
    found: dict[str, set[int]] = {}
    for words in names:
        found.setdefault(words[at], set()).add(len(words))
    return {word: tuple(sorted(many, reverse=True)) for word, many in found.items()}


# Appendix B, 233.1: eight directions, and the ways people write them
DIRECTIONS = {
    "N": "N", "NORTH": "N", "NO": "N", "NTH": "N", "S": "S", "SOUTH": "S", "SO": "S", "STH": "S",
    "E": "E", "EAST": "E", "W": "W", "WEST": "W",
    "NE": "NE", "NORTHEAST": "NE", "NW": "NW", "NORTHWEST": "NW",
    "SE": "SE", "SOUTHEAST": "SE", "SW": "SW", "SOUTHWEST": "SW",
}  # fmt: skip
DIRECTION_WORDS = {
    "N": "NORTH", "S": "SOUTH", "E": "EAST", "W": "WEST",
    "NE": "NORTHEAST", "NW": "NORTHWEST", "SE": "SOUTHEAST", "SW": "SOUTHWEST",
}  # fmt: skip

# Appendix C1: any written form -> standard abbreviation, and -> the word
SUFFIXES: dict[str, str] = {}
SUFFIX_WORDS: dict[str, str] = {}
for _standard, _word, _variants, _practice in rows("address_suffixes"):
    for _form in (_word, _standard, *_variants.split(), *_practice.split()):
        SUFFIXES.setdefault(_form, _standard)
        SUFFIX_WORDS.setdefault(_form, _word)

# Appendix C2: any written form -> standard abbreviation; and those that need no number
UNITS: dict[str, str] = {}
UNITS_ALONE: set[str] = set()
for _standard, _word, _numbered, _practice in rows("address_units"):
    for _form in (_standard, _word, *_practice.split()):
        UNITS[_form] = _standard
    if _numbered == "no":
        UNITS_ALONE.add(_standard)

# Appendix B: any written form -> two letters
STATES: dict[str, str] = {}
STATE_NAMES: dict[str, str] = {}
OLD_STATES: set[str] = set()  # what was in use before the two letters: MASS, CALIF
for _standard, _word, _practice in rows("address_states"):
    for _form in (_standard, _word, *filter(None, _practice.split(","))):
        STATES[_form] = _standard
    STATE_NAMES[_word] = _standard
    OLD_STATES.update(form for form in _practice.split(",") if len(form) > 2 and form.isalpha())
STATE_ENDS, STATE_BEGINS = (lengths(map(str.split, STATES), at) for at in (-1, 0))
MILITARY_STATES = frozenset(("AA", "AE", "AP"))  # 225.1

# what people write where they have no address to give (common practice, English and Spanish)
NOTHING = bag(
    "N A,NA,NONE,NO,NULL,NIL,UNKNOWN,SAME,SAME AS ABOVE,TBD,X,XX,XXX,NO ADDRESS,NOT APPLICABLE,"
    "NINGUNA,NINGUNO,NO TENGO",
    ",",
)
