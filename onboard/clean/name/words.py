"""The words that names are made of, from onboard/tables/name_words.tsv and census_names.tsv.

Looked up in small letters and without full stops. Both tables are read on first use.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from functools import cache, lru_cache

from onboard.tables import rows

NONE: Mapping[str, str] = {}


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


@lru_cache(maxsize=65_536)
def bare(word: str) -> str:
    """A word as the tables write it: small letters, no full stops."""
    return word.replace(".", "").lower()
