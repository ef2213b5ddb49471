"""The words that names are made of, from onboard/tables/name_words.tsv, census_names.tsv and
spanish_names.tsv.

Looked up in small letters and without full stops. Each table is read on first use.
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Mapping
from functools import cache, lru_cache
from typing import NamedTuple

from onboard.tables import row, rows, zip_codes

NONE: Mapping[str, str] = {}

# Words and marks that may part people, or stand beside a name.
PARTING = frozenset(
    ("and", "or", "und", "with", "y", "e", "et", "née", "nee", "born", "formerly", "geborene",
     "nacida", "aka", "fka", "a.k.a.", "also", "goes", "known", "called", "care", "in", "c.o.",
     "attn", "via", "for", "por", "para", "on", "the")
)  # fmt: skip


@cache
def _kinds() -> Mapping[str, Mapping[str, str]]:
    kinds: dict[str, dict[str, str]] = defaultdict(dict)
    for kind, word, written in rows("name_words"):
        kinds[kind][word] = written
    return kinds


@cache
def of(kind: str) -> Mapping[str, str]:
    """The words of one kind, each with the form it is written in (or a mark, or "")."""
    return _kinds().get(kind, NONE)


@cache
def _census() -> Mapping[str, tuple[int, int]]:
    return {name: (int(given), int(family)) for name, given, family in rows("census_names")}


def given(word: str) -> int:
    """How many in 100,000 people have this first name (1990 Census); 0 when it is not listed."""
    return _census().get(word, (0, 0))[0]


def family(word: str) -> int:
    """How many in 100,000 people have this last name (1990 Census); 0 when it is not listed."""
    return _census().get(word, (0, 0))[1]


@cache
def _sexes() -> Mapping[str, str]:
    return {name: of for name, of, *_ in rows("given_names")}


def sex(word: str) -> str:
    """Whose first name it is in the United States: "m" men's, "w" women's, "mw" both; "" if it is none."""
    return _sexes().get(word, "")


class OfSpain(NamedTuple):
    """How people of Hispanic origin bear a name: as many in ten million people (2020 Census)."""

    given: int  # as a first name
    family: int  # as a last name
    men: int  # percent of those who bear the first name


@lru_cache(maxsize=8_192)
def of_spain(word: str) -> OfSpain:
    """How people of Hispanic origin bear a word that is mostly theirs; `word` without accents."""
    return OfSpain(*map(int, row("spanish_names", word)[1:] or "000"))


@lru_cache(maxsize=8_192)
def bearers(word: str) -> int:
    """How many in ten million people have this first name, by the list that has most; `word` in small letters."""
    plain = unaccented(word)
    _, of_2020, *_ = (*row("names_2020", plain), "0", "0")
    return max(100 * given(plain), of_spain(plain).given, int(of_2020))


@lru_cache(maxsize=8_192)
def last_bearers(word: str) -> int:
    """How many in ten million people have this last name, by the list that has most; `word` in small letters."""
    plain = unaccented(word)
    _, _, of_2020 = (*row("names_2020", plain), "0", "0", "0")[:3]
    return max(100 * family(plain), of_spain(plain).family, int(of_2020))


def is_first(word: str) -> bool:
    """Whether a word in small letters is a first name by any list; of everyday words, of more than a few people.

    >>> is_first("zbigniew"), is_first("mireille"), is_first("cozy"), is_first("golden")
    (True, True, False, False)
    """
    return bearers(word) > (FEW if is_said(unaccented(word)) else 0)


FEW = 200  # in ten million


def is_last(word: str) -> bool:
    """Whether a word in small letters is a last name by any list."""
    return last_bearers(word) > 0


def are_halves(word: str, other: str) -> bool:
    """Whether two words in small letters are a last name together, as among the peoples of the Plains.

    Not where each is a last name of many: Mary Green may have married a Hill.

    >>> are_halves("two", "bears"), are_halves("mary", "heart"), are_halves("green", "hill")
    (True, False, False)
    """
    return (
        word in of("first half")
        and other in of("second half")
        and not (family(word) >= _MANY and family(other) >= _MANY)
    )


_MANY = 4  # in 100,000: the three thousand most common ones


@lru_cache(maxsize=8_192)
def bare(word: str) -> str:
    """A word as the tables write it: small letters, no full stops."""
    return word.replace(".", "").lower()


# Kinds whose words only help to tell first from last names; the others ask for a rule to look.
_HELPERS = (
    *("spanish first name", "portuguese first name", "portuguese last name"),
    *("vietnamese last name", "double first name", "first half", "second half"),
    *("family name first", "after o", "mac", "joke", "keyboard row"),
)


@cache
def _spoken_of() -> frozenset[str]:
    return frozenset(
        word for kind, found in _kinds().items() if kind not in _HELPERS for word in found
    )


def is_trade(word: str) -> bool:
    """Whether a word in small letters is a shop or a house in Spanish, by its accent; Valeria is a person.

    >>> is_trade("tortillería"), is_trade("valeria")
    (True, False)
    """
    return len(word) > 6 and word.endswith("ería")


def is_doubled(word: str) -> bool:
    """Whether a word is a shorter one twice: "testtest"."""
    half = len(word) // 2
    return half > 2 and word == 2 * word[:half]


@lru_cache(maxsize=8_192)
def is_talk(word: str) -> bool:
    """Whether a word in small letters is one of everyday talk that no name is made of.

    >>> is_talk("whispering"), is_talk("rivera"), is_talk("tree")
    (True, False, False)
    """
    if len(word) < 4 or word in _spoken_of() or _is_borne(word):
        return False
    is_word = row("everyday_words", word)[1:2] == ("word",)
    return is_word or is_several(word) or is_doing(word) or is_compound(word)


def is_several(word: str) -> bool:
    """Whether a word in small letters is the plural of an everyday word, and no list of names has it.

    >>> is_several("breads"), is_several("rivers")
    (True, False)
    """
    one = word.removesuffix("s")
    return (
        len(one) > 3
        and one != word
        and is_said(one)
        and not (_is_borne(word) or row("names_2020", word))
    )


def is_doing(word: str) -> bool:
    """Whether a word in small letters is what somebody does, or those who do it, and no list of names has it.

    >>> is_doing("stitchers"), is_doing("paddling"), is_doing("sanders"), is_doing("fleming")
    (True, True, False, False)
    """
    stem = _DOING.fullmatch(word)
    return bool(stem) and not (_is_borne(word) or row("names_2020", word))


_DOING = re.compile(r"([a-z]{3,})(?:ers|ists|ing)")


def is_doing_what_is_said(word: str) -> bool:
    """Whether what somebody does is an everyday word, so that it is no last name on no list: "knitters", "beekeeping"."""
    stem = _DOING.fullmatch(word)
    if not is_doing(word) or not stem or len(stem[1]) < 4:
        return False
    return is_said(stem[1]) or is_said(f"{stem[1]}e") or is_said(stem[1][:-1])


def is_compound(word: str) -> bool:
    """Whether a word is made of two everyday words, and no list of names has it.

    >>> is_compound("potluck"), is_compound("whitehouse")
    (True, False)
    """
    if len(word) < 7 or _is_borne(word) or row("names_2020", word):
        return False
    return any(is_said(word[:at]) and is_said(word[at:]) for at in range(3, len(word) - 2))


@lru_cache(maxsize=4_096)
def is_only_town(word: str) -> bool:
    """Whether a word in small letters is a town, and nobody's name.

    >>> is_only_town("duluth"), is_only_town("lima")
    (True, False)
    """
    return word.upper() in zip_codes.cities() and not (bearers(word) or last_bearers(word))


def is_said(word: str) -> bool:
    """Whether a word in small letters is one of everyday talk, be it a name too or not."""
    return bool(row("everyday_words", word))


def _is_borne(word: str) -> bool:
    return bool(given(word) or family(word) or any(of_spain(word)) or sex(word))


# What is built of these is a place: "lunchroom", "ecovillage".
_BUILT = re.compile(
    r"[a-z]{3,}(?:room|works|mart|village|kitchen|garden|school|market|pantry|bakery|church)s?"
)


@lru_cache(maxsize=8_192)
def is_built(word: str) -> bool:
    """Whether a word in small letters is a place by how it is built, and no list of names has it.

    >>> is_built("lunchroom"), is_built("whitehouse")
    (True, False)
    """
    return bool(_BUILT.fullmatch(word)) and not _is_borne(word) and not row("names_2020", word)


@lru_cache(maxsize=8_192)
def is_plain(word: str) -> bool:
    """Whether a word can only be a name: letters a to z that no table speaks of.

    Most people have two such words for a name, which then needs no further look.
    """
    return (
        1 < len(word) < 40
        and word.isascii()
        and word.isalpha()
        and word.lower() not in _spoken_of()
        and not any(is_such(word.lower()) for is_such in (is_doubled, is_trade, is_talk, is_built))
    )


def is_initial(word: str) -> bool:
    """Whether a word is one letter, with or without a full stop."""
    return len(word.rstrip(".")) == 1 and word[0].isalpha()


def unaccented(word: str) -> str:
    """A word without the accents on its letters."""
    if word.isascii():
        return word
    apart = unicodedata.normalize("NFD", word.replace("đ", "d"))
    return "".join(char for char in apart if not unicodedata.combining(char))
