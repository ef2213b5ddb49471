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


@cache
def _heard() -> dict[str, dict[str, list[tuple[str, float]]]]:
    """By letters as they stand, and the letter with which it begins: what is written for them, and its bits."""
    found: dict[str, dict[str, list[tuple[str, float]]]] = {}
    for known, said, bits in tables.rows("by_ear"):
        text = "" if said == "-" else said
        found.setdefault(known, {}).setdefault(text[:1], []).append((text, float(bits)))
    return found


@lru_cache(maxsize=50_000)
def by_ear(said: str, known: str) -> float:
    """The bits of writing `said` for a name that was heard; infinite if it does not sound alike.

    >>> by_ear("eenez", "ines") < MOST, by_ear("kovalsky", "kowalski") < MOST, by_ear("walter", "ines") < MOST
    (True, True, False)
    """
    if abs(len(said) - len(known)) > 4 or min(len(said), len(known)) < 2:
        return float("inf")
    if not _skeletons_meet(said, known):
        return float("inf")
    ways = _ways(known)
    inside = float("inf")
    best = [[inside] * (len(said) + 1) for _ in range(len(known) + 1)]
    best[0][0] = 0.0
    for i in range(len(known) + 1):
        for j in range(len(said) + 1):
            here = best[i][j]
            if here > MOST - HEARD:
                continue
            _step(best, i, j, here, said, known)
            for a, written in ways[i]:
                for text, bits in (*written.get("", ()), *written.get(said[j : j + 1], ())):
                    if said.startswith(text, j) and here + bits < best[i + a][j + len(text)]:
                        best[i + a][j + len(text)] = here + bits
    found = best[-1][-1] + HEARD
    return found if found <= MOST else inside


@lru_cache(maxsize=20_000)
def _ways(known: str) -> list[list[tuple[int, dict[str, list[tuple[str, float]]]]]]:
    """For each place in a name: how many letters from there are written otherwise, and as what (`_heard`)."""
    table = _heard()
    return [
        [
            (size, table[letters])
            for size in range(1, min(LETTERS, len(known) - at) + 1)
            if (letters := known[at : at + size]) in table
        ]
        for at in range(len(known) + 1)
    ]


def _step(best: list[list[float]], i: int, j: int, here: float, said: str, known: str) -> None:
    """The letters one by one: the same, another, one more or less."""
    one = known[i : i + 1]
    other = said[j : j + 1]
    if one and other:
        bits = 0.0 if one == other else VOWEL if {one, other} <= _VOWELS else SIMPLE
        best[i + 1][j + 1] = min(best[i + 1][j + 1], here + bits)
    if one:
        bits = DOUBLE if i and known[i - 1] == one else SIMPLE
        best[i + 1][j] = min(best[i + 1][j], here + bits)
    if other:
        bits = DOUBLE if j and said[j - 1] == other else SIMPLE
        best[i][j + 1] = min(best[i][j + 1], here + bits)


_ALIKE = str.maketrans("bdgvzjqxy", "ptkfscksi", "aeiouhw")


def _skeletons_meet(said: str, known: str) -> bool:
    """Whether enough of the consonants are alike that it is worth a look."""
    one, other = set(said.translate(_ALIKE)), set(known.translate(_ALIKE))
    return len(one & other) * 2 >= min(len(one), len(other))
