"""Texts in a name box that are no person's name: organisations, tests, jokes, keyboard mash."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from onboard.clean.name import words

_VOWELS = frozenset("aeiouy")
_ABOUT = frozenset(("the", "of", "for", "our"))
_APART = re.compile(r"[^\w'.\-]+")


def is_organisation(text: str, *, surely: bool = False) -> bool:
    """Whether a text reads as an organisation's name: "Sunrise Bakery LLC".

    Words that are last names too (Church, Temple) count by what stands around them; with `surely`
    they do not count.

    >>> is_organisation("Church of the Valley"), is_organisation("Frank Church")
    (True, False)
    >>> is_organisation("Smith, Charity"), is_organisation("Lima Charity")
    (False, True)
    """
    known = words.of("organisation")
    found = [words.bare(word) for word in _APART.split(text) if word]
    kinds = [known.get(word) for word in found]
    if len(found) < 2 or not any(kind is not None for kind in kinds):
        return False
    if "" in kinds or surely:
        return "" in kinds
    if not _ABOUT.isdisjoint(found) or any(word.endswith("'s") for word in found):
        return True
    first, last = found[0], found[-1]
    if "," in text and len(found) == 2 and words.given(last):
        return False  # "Smith, Charity"
    return kinds[-1] is not None and not (
        words.given(first) or first in words.of("title") or first in words.of("spanish first name")
    )


def is_household(text: str) -> bool:
    """Whether a text names a home: "Lee Household", "The Lee Family", "The Lees"."""
    found = [words.bare(word) for word in text.split()]
    return len(found) > 1 and (
        (
            found[-1] in words.of("household")
            and found[-2] not in ("and", "&", "+", "y", "his", "her")
        )
        or found[0] == "familia"
        or (len(found) == 2 and found[0] == "the")
    )


def is_no_name(text: str) -> bool:
    """Whether a text only says that there is no name: "N/A", "none", "-", "same as above", "Mr"."""
    known = words.of("no name")
    found = text.lower().split()
    if len(found) == 1 and (word := words.bare(text)) in words.of("title"):
        return not words.given(word) and not words.family(word)
    return bool(found) and all(word in known or word.strip(".-") in known for word in found)


def is_test(text: str) -> bool:
    """Whether somebody tried the form out: "Test Test", "test user"."""
    known = words.of("test")
    marks = [known.get(words.bare(word).rstrip("0123456789")) for word in text.split()]
    return "" in marks and None not in marks


def is_joke(text: str) -> bool:
    """Whether a text is a name that people give in jest; some people do bear one."""
    return words.bare(text) in words.of("joke")


def is_mash(text: str) -> bool:
    """Whether a hand ran over the keyboard: "asdf", "qwerty", "aaa", "xcvbn".

    >>> is_mash("asdf jkl"), is_mash("Ng Trew")
    (True, False)
    """
    return any(map(_is_mashed, text.lower().replace("-", " ").split()))


@lru_cache(maxsize=65_536)
def _is_mashed(word: str) -> bool:
    if words.family(word) or words.given(word):
        return False
    if len(word) < 4:
        return len(word) == 3 and len(set(word)) == 1 and word != "iii"
    if len(set(word)) == 1 or (word.isascii() and len(word) > 4 and not _VOWELS & set(word)):
        return True
    return bool(_runs().search(word))


@cache
def _runs() -> re.Pattern[str]:
    """Runs along a keyboard row, either way, so long that no name of the 1990 Census has them."""
    return re.compile(
        "|".join(
            run[at : at + length]
            for row, written in words.of("keyboard row").items()
            for length in (int(written),)
            for run in (row, row[::-1])
            for at in range(len(run) - length + 1)
        )
    )
