"""A name of two words that no table speaks of, as most names are: there is nothing to do about it."""

from __future__ import annotations

from functools import lru_cache

from onboard.clean.name import doubts, words
from onboard.model import PersonName


def read(first: str, last: str) -> PersonName | None:
    """The name, where it can only be read as first and last name and is written so; else None.

    >>> read("Pat", "Lee"), read("PAT", "Lee"), read("Pat", "Lee and Robin")
    (PersonName(given='Pat', middle='', family='Lee', suffix='', title='', called='', former='', joint=()), None, None)
    """
    given, family = _as_first(first), _as_last(last)
    if (
        given
        and family
        and given + family < _EXCHANGED
        and f"{first} {last}".lower() not in words.of("joke")
        and not doubts.is_broken_mash(first, last)
    ):
        return PersonName(first, family=last)
    return None


_EXCHANGED = 4  # the first word is a last name, and the last rather a first name


@lru_cache(maxsize=32_768)
def _as_first(word: str) -> int:
    """1 if a word can stand first, 2 if it is a last name, too; 0 if it must be looked at."""
    low = word.lower()
    if not _is_written(word) or low in words.of("family name first"):
        return 0
    return 2 if words.is_last(low) else 1


@lru_cache(maxsize=32_768)
def _as_last(word: str) -> int:
    """1 if a word can stand last, 2 if it is rather a first name; 0 if it must be looked at."""
    low = word.lower()
    if not _is_written(word):
        return 0
    return 2 if words.bearers(low) > words.last_bearers(low) else 1


def _is_written(word: str) -> bool:
    return (
        words.is_plain(word)
        and word.istitle()
        and word.lower() not in words.PARTING
        and not doubts.is_mash(word)
    )
