"""The words of a text with their places, and the runs of them that are one name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from anyascii import anyascii

LONGEST_NAME = 4  # words of a first or of a last name

_WORD = re.compile(r"(?:[^\W_][\u0300-\u036f]*)+(?:['’ʼ`´](?:[^\W_][\u0300-\u036f]*)+)*")
_OWNED = re.compile(r"['’ʼ`´][sS]$")
_JOINED = re.compile(r"[\s.\-_'’]?")  # what parts the words of one name
_SIGNS = {code: None for code in range(128) if not chr(code).isalnum()}
# Letters that German and Nordic writers also write as two.
AS_TWO = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "å": "aa", "ø": "oe"}
)


class Word(NamedTuple):
    """A word of a text, and where it stands in it."""

    start: int
    end: int
    folded: str
    is_small: bool  # written in small letters


class Run(NamedTuple):
    """Words that are one name: the numbers of the first, and of the one after the last."""

    first: int
    after: int


def read(text: str) -> list[Word]:
    """The words of a text, without what says whose something is: Lee's."""
    found = []
    for match in _WORD.finditer(text):
        said = _OWNED.sub("", match.group())
        if folded := fold(said):
            end = match.start() + len(said)
            found.append(Word(match.start(), end, folded, said == said.lower()))
    return found


def runs(text: str, words: Sequence[Word], wanted: frozenset[str]) -> Iterator[Run]:
    """The words, one or several as one, that are one of the wanted; the longest first."""
    n = 0
    while n < len(words):
        for size in range(min(LONGEST_NAME, len(words) - n), 0, -1):
            some = words[n : n + size]
            gaps = (text[a.end : b.start] for a, b in pairwise(some))
            said = "".join(word.folded for word in some)
            if _one_of(said, wanted) and all(map(_JOINED.fullmatch, gaps)):
                yield Run(n, n + size)
                n += size - 1
                break
        n += 1


def _one_of(said: str, wanted: frozenset[str]) -> bool:
    """Whether it is one of the wanted, or the plural of one: the Quills."""
    if said in wanted:
        return True
    return len(said) > 4 and said.endswith("s") and said[:-1] in wanted


def apart(one: Run, other: Run) -> int:
    """How many words are between the two."""
    return max(other.first - one.after, one.first - other.after, 0)


def fold(text: str) -> str:
    """Small letters and digits, without accents, blanks and signs."""
    plain = text if text.isascii() else anyascii(text)
    return plain.lower().translate(_SIGNS)


def forms(text: str) -> set[str]:
    """A first name as one word, and each of its words alone: Mai of Thị Mai."""
    spelt = {fold(text), fold(text.translate(AS_TWO))}
    return spelt | {word for word in map(fold, words_of(text)) if len(word) > 2}


def words_of(text: str) -> list[str]:
    """The words of a text, as written."""
    return [match.group() for match in _WORD.finditer(text)]


def digits(text: str) -> str:
    """The digits of a phone, without the 1 of this continent; without its extension."""
    found = re.sub(r"[^0-9]", "", re.split(r";ext=|ext|x", text, maxsplit=1)[0])
    return found[1:] if len(found) == 11 and found.startswith("1") else found
