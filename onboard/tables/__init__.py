"""Data files that change, and how they are read; SOURCES.md says where each is from."""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.resources import files


@cache
def rows(name: str) -> tuple[tuple[str, ...], ...]:
    """The rows of `name`.tsv in this folder, each a tuple of its cells; "#" lines are left out.

    >>> ("info", "rfc2142") in rows("mail_roles")
    True
    """
    lines = (line for line in _text(name).splitlines() if line and not line.startswith("#"))
    return tuple(tuple(line.split("\t")) for line in lines)


def _text(name: str) -> str:
    return (files(__package__) / f"{name}.tsv").read_text("utf-8")


_kept = cache(_text)


@lru_cache(maxsize=32_768)
def row(name: str, first: str) -> tuple[str, ...]:
    """The row of `name`.tsv whose first cell is `first`; () if there is none. Its rows are in the order of these.

    Looked for in the text as it is, by halves: whoever asks for a few words of a long table need not read it all.

    >>> row("everyday_words", "goats"), row("everyday_words", "no such word")
    (('goats', 'word'), ())
    """
    text = _kept(name)
    low, high = 0, len(text)
    while low < high:  # both are where a line begins
        at = text.rfind("\n", low, (low + high) // 2) + 1 or low
        end = text.find("\n", at) + 1
        found = text[at : end - 1].split("\t")
        if found[0] == first:
            return tuple(found)
        low, high = (end, high) if found[0] < first else (low, at)
    return ()


@cache
def words(name: str, kind: str) -> frozenset[str]:
    """The words of one kind in `name`.tsv, a table of kinds and words.

    >>> "speaking" in words("call_words", "filler"), sorted(words("call_words", "sign"))
    (True, ['arroba', 'at'])
    """
    return frozenset(word for of, word in rows(name) if of == kind)
