"""Data files that change, and how they are read; SOURCES.md says where each is from."""

from __future__ import annotations

from functools import cache
from importlib.resources import files


@cache
def rows(name: str) -> tuple[tuple[str, ...], ...]:
    """The rows of `name`.tsv in this folder, each a tuple of its cells; "#" lines are left out.

    >>> ("info", "rfc2142") in rows("mail_roles")
    True
    """
    text = (files(__package__) / f"{name}.tsv").read_text("utf-8")
    lines = (line for line in text.splitlines() if line and not line.startswith("#"))
    return tuple(tuple(line.split("\t")) for line in lines)


@cache
def words(name: str, kind: str) -> frozenset[str]:
    """The words of one kind in `name`.tsv, a table of kinds and words.

    >>> "speaking" in words("call_words", "filler"), sorted(words("call_words", "sign"))
    (True, ['arroba', 'at'])
    """
    return frozenset(word for of, word in rows(name) if of == kind)
