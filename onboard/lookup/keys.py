"""Under what an owner is found: words, pairs of words, and things written as one.

- A **word** of a name, a street, a ZIP code. A misspelt one is found by the keys it shares with
  the right one: what is left of both when up to two letters are taken out, and how both sound.
- A **pair** of a given name and a family name, in whatever order a caller says them.
- What is **written** as one: the local part of a mailbox, a phone, and a handle that does not
  come from the name (one that does is found by the pair). Each stands there twice, from its
  beginning and from its end: whatever slips are in one half of it, the other half finds it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from zlib import crc32

import jellyfish

from onboard.lookup import sounding
from onboard.lookup.facts import Facts, bare

FAR = 6  # letters from which on a word is found with two slips in it, not only one
LONG = 12  # letters of a word that are read for its keys


@dataclass(frozen=True, slots=True)
class Keys:
    """Under what one owner is found."""

    words: frozenset[str]
    pairs: frozenset[tuple[str, str]]  # given, family
    written: frozenset[str]


def of(facts: Facts) -> Keys:
    """The keys of an owner.

    >>> from onboard.lookup.facts import Name
    >>> found = of(Facts(handles=("anaruiz2", "sunny"), names=(Name(("ana",), ("ruiz",)),)))
    >>> sorted(found.words), sorted(found.pairs), sorted(found.written)
    (['ana', 'ruiz'], [('ana', 'ruiz')], ['sunny'])
    """
    words: set[str] = set()
    pairs: set[tuple[str, str]] = set()
    for name in facts.names:
        givens = [word for word in name.given + name.more if len(word) > 1]
        families = name.family + name.former + name.nouns
        words.update(givens, families)
        pairs.update((given, family) for given in givens for family in families)
    for home in facts.homes:
        words.update(home.street)
        words.add(home.zip5)
    words.discard("")
    written = {bare(email.rpartition("@")[0]) for email in facts.emails}
    written.update(map(phone, facts.phones))
    named = {a + b for a, b in pairs}
    for handle in map(bare, facts.handles):
        if handle.rstrip("0123456789") not in named:
            written.add(handle)
    written.discard("")
    return Keys(frozenset(words), frozenset(pairs), frozenset(written))


def phone(digits: str) -> str:
    """A phone as it is written in the index: apart from mailboxes that are digits."""
    return f"+{digits}"


def turned(text: str) -> str:
    """The text from its end, so that what ends alike stands together.

    >>> turned("patlee"), turned("+4195550143")
    ('eeltap', '+3410555914')
    """
    return "+" + text[:0:-1] if text.startswith("+") else text[::-1]


def near(word: str, slips: int = 2) -> set[int]:
    """The keys of a word that a misspelt one shares: two words with one slip between them share one.

    With `slips` 1, the fewer keys by which another word is found that has one slip.

    >>> near("benack") & near("bennack") != set(), near("ann") & near("bob")
    (True, set())
    """
    text = word[:LONG]
    left = {text}
    if len(text) > 2 and text.isalpha():
        least = len(text) - (slips if len(text) >= FAR else 1)
        for size in range(least, len(text)):
            left.update(map("".join, combinations(text, size)))
    found = {crc32(some.encode()) >> 1 for some in left}
    if sound := sounds(word):
        found.add(crc32(b"~" + sound.encode()) >> 1)
    return found


def of_word(word: str) -> set[int]:
    """All keys under which a word that somebody has is found: as it is misspelt, and as it is heard."""
    return near(word) | _heard(sounding.of_known(word) if word.isalpha() else ())


def heard(word: str) -> set[int]:
    """The keys of a word that was written as it was heard.

    >>> heard("shivon") & of_word("siobhan") != set(), heard("shivon") & of_word("walter")
    (True, set())
    """
    return _heard(sounding.as_heard(word))


def _heard(sounds: Iterable[str]) -> set[int]:
    return {crc32(b"=" + sound.encode()) >> 1 for sound in sounds}


@lru_cache(maxsize=100_000)
def sounds(word: str) -> str:
    """How the word sounds in English, as Metaphone writes it; "" if that says too little.

    >>> sounds("schmidt"), sounds("shmit")
    ('SXMTT', 'XMT')
    >>> sounds("pheuffer"), sounds("feufer")
    ('FFR', 'FFR')
    """
    if len(word) < 4 or not word.isalpha() or not word.isascii():
        return ""
    found = jellyfish.metaphone(word)
    return found if len(found) > 2 else ""
