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
ENOUGH = MOST - HEARD  # bits that are left for its letters
SOUNDS_SO = 11.0  # bits: its consonants sound alike in the language that it is of
FEW_SOUNDS = 1.5  # for each that is missing to three, as many names sound so
_VOWELS = frozenset("aeiouy")


def heard(said: str, known: str) -> float:
    """The bits of writing `said` for a name that was heard, by its letters or by how another language
    reads them; infinite if it does not sound alike.

    >>> heard("shivon", "siobhan"), heard("shivon", "walter")
    (11.0, inf)
    """
    return _heard(f"{said}|{known}")


# By one text for both: Python would look through a hundred thousand pairs when it next collects garbage.
@lru_cache(maxsize=100_000)
def _heard(both: str) -> float:
    said, _, known = both.partition("|")
    by_letters = by_ear(said, known)
    meeting = sounding.meet(said, known)
    if not meeting:
        return by_letters
    return min(by_letters, SOUNDS_SO + FEW_SOUNDS * max(0, 3 - max(map(len, meeting))))


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
    writing = _writing(said)
    for at in range(2, len(known)):
        if not writing.begun(known[:at]) and not writing.is_passed(known, at):
            return unlike
    return writing.begun(known).get(len(said), unlike) + HEARD


class _Writing:
    """A name as somebody wrote it who heard it, letter by letter beside names as they stand.

    Names that begin alike are begun alike: of the hundreds that one is held against, most are given up within
    three letters.
    """

    def __init__(self, said: str) -> None:
        self.said = said
        # By letters as they stand: where something begins and ends that is written for them, and its bits.
        self.places: dict[str, list[tuple[int, int, float]]] = {}
        for start in range(len(said) + 1):
            for end in range(start, min(len(said), start + LETTERS) + 1):
                for known, bits in _known().get(said[start:end], ()):
                    self.places.setdefault(known, []).append((start, end, bits))
        self.rows: dict[str, dict[int, float]] = {"": self._longer({0: 0.0})}

    def begun(self, known: str) -> dict[int, float]:
        """By how many letters are written once a name has begun so: the least bits, of what is near enough to go
        on from."""
        row = self.rows.get(known)
        if row is None:
            row = self.rows[known] = self._longer(self._ended(known))
        return row

    def _ended(self, known: str) -> dict[int, float]:
        """The same, where what is written last is for the last letter: itself, another or nothing, or what stands
        for it and those before."""
        row: dict[int, float] = {}
        last = known[-1]
        for j, here in self.begun(known[:-1]).items():
            bits = here + (DOUBLE if last == known[-2:-1] else SIMPLE)
            if bits <= ENOUGH and bits < row.get(j, MOST):
                row[j] = bits
            if j < len(self.said):
                other = self.said[j]
                if last != other:
                    here += VOWEL if last in _VOWELS and other in _VOWELS else SIMPLE
                if here <= ENOUGH and here < row.get(j + 1, MOST):
                    row[j + 1] = here
        for size in range(1, min(LETTERS, len(known)) + 1):
            places = self.places.get(known[-size:])
            if places and (begun := self.begun(known[:-size])):
                for j, to, more in places:
                    if j in begun:
                        bits = begun[j] + more
                        if bits <= ENOUGH and bits < row.get(to, MOST):
                            row[to] = bits
        return row

    def _longer(self, row: dict[int, float]) -> dict[int, float]:
        """Also with letters written after these that stand for nothing."""
        if row:
            for j in range(min(row), len(self.said)):
                if j in row:
                    twice = j and self.said[j - 1] == self.said[j]
                    bits = row[j] + (DOUBLE if twice else SIMPLE)
                    if bits <= ENOUGH and bits < row.get(j + 1, MOST):
                        row[j + 1] = bits
        return row

    def is_passed(self, known: str, at: int) -> bool:
        """Whether something is written for letters of a name that stand before and behind a place."""
        for start in range(max(0, at - LETTERS + 1), at):
            for end in range(at + 1, min(len(known), start + LETTERS) + 1):
                if places := self.places.get(known[start:end]):
                    begun = self.begun(known[:start])
                    if any(begun.get(j, MOST) + bits <= ENOUGH for j, _, bits in places):
                        return True
        return False


_writing = lru_cache(maxsize=20)(_Writing)


@cache
def _known() -> dict[str, list[tuple[str, float]]]:
    """By what is written, "" for nothing: the letters as they stand for which it is, and its bits."""
    found: dict[str, list[tuple[str, float]]] = {}
    for known, said, bits in tables.rows("by_ear"):
        found.setdefault("" if said == "-" else said, []).append((known, float(bits)))
    return found


_ALIKE = str.maketrans("bdgvzjqxy", "ptkfscksi", "aeiouhw")


def _skeletons_meet(said: str, known: str) -> bool:
    """Whether enough of the consonants are alike that it is worth a look."""
    one, other = _skeleton(said), _skeleton(known)
    return (one & other).bit_count() * 2 >= min(one.bit_count(), other.bit_count())


@lru_cache(maxsize=20_000)
def _skeleton(name: str) -> int:
    """The classes of its consonants, a bit for each."""
    bits = 0
    for letter in name.translate(_ALIKE):
        bits |= 1 << ord(letter) % 128
    return bits
