"""Given names that people write short by hand, as they are in full: "Wm." is read as William."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache

from onboard import tables

ONLY = "only"  # a mark of the table: without a point it is no short form either


@cache
def _written() -> dict[str, tuple[str, ...]]:
    """By what is written: the name in full, and what else it is without a point."""
    return {short: (full, *mark) for full, short, *mark in tables.rows("written_names")}


def in_full(words: Sequence[str], said: str) -> list[str]:
    """The words of given names, each in full that is written short; `said` is what they were read from.

    Whether "Geo" is George or a name of its own, the point tells. "Ma" with another name behind it is María.

    >>> in_full(["wm", "henry"], "Wm. Henry"), in_full(["jas"], "Jas."), in_full(["jas"], "Jas")
    (['william', 'henry'], ['james'], ['jas'])
    >>> in_full(["ma", "elena"], "Ma Elena"), in_full(["ma"], "Ma")
    (['maria', 'elena'], ['ma'])
    """
    found = list(words)
    for at, word in enumerate(found):
        full, *mark = _written().get(word, ("",))
        before_another = mark == [ONLY] and at == 0 and len(found) > 1
        if full and (not mark or before_another or _has_point(word, said)):
            found[at] = full
    return found


def _has_point(word: str, said: str) -> bool:
    return bool(re.search(rf"\b{word}\.", said, re.IGNORECASE))


def short() -> Iterator[tuple[str, str]]:
    """Each name in full, with what is written for it and is a short form of it even without a point."""
    return ((full, one) for one, (full, *mark) in _written().items() if mark != [ONLY])
