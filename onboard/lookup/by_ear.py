"""How far a name as a listener wrote it is from the name as it stands: "Eenez" for Ines, "Tao" for Thao.

The bits of each letter are learned from how names are spelled and said (`by_ear.tsv`).
"""

from __future__ import annotations

from functools import cache, lru_cache

from onboard import tables
from onboard.lookup import sounding

HEARD = 4.0  # bits: a name is written as it sounds, and not as it stands
MOST = 12.0  # bits: what is further does not sound alike
SIMPLE = 5.0  # bits: a letter more or less, or another, that no sound explains
VOWEL = 2.5  # bits: one vowel for another
DOUBLE = 0.5  # bits: a letter twice, or once
LETTERS = 4  # the most that go together
_VOWELS = frozenset("aeiouy")


SOUNDS_SO = 11.0  # bits: its consonants sound alike in the language that it is of
FEW_SOUNDS = 1.5  # for each that is missing to three, as many names sound so


@lru_cache(maxsize=100_000)
def heard(said: str, known: str) -> float:
    """The bits of writing `said` for a name that was heard, by its letters or by how another language
    reads them; infinite if it does not sound alike.

    >>> heard("shivon", "siobhan"), heard("shivon", "walter")
    (11.0, inf)
    """
    by_letters = by_ear(said, known)
    both = sounding.meet(said, known)
    if not both:
        return by_letters
    return min(by_letters, SOUNDS_SO + FEW_SOUNDS * max(0, 3 - max(map(len, both))))


# What is written for some letters, with its bits, by the letter with which it begins; "" is nothing.
_Written = dict[str, list[tuple[str, float]]]


@cache
def _heard() -> dict[str, _Written]:
    """By letters as they stand, what is written for them; nothing may be, whatever letter comes next."""
    found: dict[str, _Written] = {}
    for known, said, bits in tables.rows("by_ear"):
        text = "" if said == "-" else said
        found.setdefault(known, {"": []}).setdefault(text[:1], []).append((text, float(bits)))
    for written in found.values():
        for letter in written.keys() - {""}:
            written[letter] = written[""] + written[letter]
    return found


@lru_cache(maxsize=50_000)
def by_ear(said: str, known: str) -> float:
    """The bits of writing `said` for a name that was heard; infinite if it does not sound alike.

    >>> by_ear("eenez", "ines") < MOST, by_ear("kovalsky", "kowalski") < MOST, by_ear("walter", "ines") < MOST
    (True, True, False)
    """
    unlike = float("inf")
    if abs(len(said) - len(known)) > 4 or min(len(said), len(known)) < 2:
        return unlike
    if not _skeletons_meet(said, known):
        return unlike
    # By letters of the known name, then by letters written: the least bits. Few are near enough to go on from.
    best: list[dict[int, float]] = [{} for _ in range(len(known) + 1)]
    best[0][0] = 0.0
    for i, row in enumerate(best):
        ways = _ways(known, i) if row else []
        for j in range(min(row, default=0), len(said) + 1):
            here = row.get(j)
            if here is None:
                continue
            for to, along, bits in _steps(said, known, i, j, ways):
                bits += here
                if bits <= MOST - HEARD and bits < best[to].get(along, unlike):
                    best[to][along] = bits
        if i < len(known) and not any(best[i + 1 : i + 1 + LETTERS]):
            return unlike
    return best[-1].get(len(said), unlike) + HEARD


def _ways(known: str, at: int) -> list[tuple[int, _Written]]:
    """Where letters of a name that are written otherwise end which begin at a place, and as what (`_heard`)."""
    table = _heard()
    return [
        (end, table[letters])
        for end in range(at + 1, min(len(known), at + LETTERS) + 1)
        if (letters := known[at:end]) in table
    ]


def _steps(
    said: str, known: str, i: int, j: int, ways: list[tuple[int, _Written]]
) -> list[tuple[int, int, float]]:
    """Where the next letters lead, and at what bits: the same, another, one more or less, or as they sound."""
    one, other = known[i : i + 1], said[j : j + 1]
    steps = []
    if one and other:
        bits = 0.0 if one == other else VOWEL if one in _VOWELS and other in _VOWELS else SIMPLE
        steps.append((i + 1, j + 1, bits))
    if one:
        steps.append((i + 1, j, DOUBLE if i and known[i - 1] == one else SIMPLE))
    if other:
        steps.append((i, j + 1, DOUBLE if j and said[j - 1] == other else SIMPLE))
    for to, written in ways:
        for text, bits in written.get(other) or written[""]:
            if said.startswith(text, j):
                steps.append((to, j + len(text), bits))
    return steps


_ALIKE = str.maketrans("bdgvzjqxy", "ptkfscksi", "aeiouhw")


def _skeletons_meet(said: str, known: str) -> bool:
    """Whether enough of the consonants are alike that it is worth a look."""
    one, other = set(said.translate(_ALIKE)), set(known.translate(_ALIKE))
    return len(one & other) * 2 >= min(len(one), len(other))
