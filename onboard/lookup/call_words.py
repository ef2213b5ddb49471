"""Words that callers put around what tells who they are."""

from __future__ import annotations

from functools import cache

from onboard import tables


@cache
def call_words(kind: str) -> frozenset[str]:
    """The words of a kind: "filler", "and", "at", "of", "dot", "sign"; the table says what each is.

    >>> "speaking" in call_words("filler"), sorted(call_words("sign"))
    (True, ['arroba', 'at'])
    """
    return frozenset(word for of, word, *_ in tables.rows("call_words") if of == kind)
