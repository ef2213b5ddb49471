"""One field of many people as arrays: a number for each text, equal for equal texts, and letters.

The letters stand one text behind the other, with the place where each ends, as Arrow lays out
texts: such a column may lie in memory or in a file, and goes from one process to another as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Numbers: TypeAlias = NDArray[np.uint64]

LONGEST = 2048  # letters that count; no folded text has as many


@dataclass(frozen=True, slots=True)
class Texts:
    """The texts of one field, in the order of the people."""

    numbers: Numbers  # 64 bits, the same for the same text; 0 is "", not known
    ends: NDArray[np.int64]
    letters: NDArray[np.uint8]  # UTF-8

    def at(self, places: NDArray[np.integer]) -> list[str]:
        """The texts at these places, counted from 0.

        >>> texts(["ana", "", "bo"]).at(np.array([2, 0]))
        ['bo', 'ana']
        """
        return _at(self.ends, self.letters, places)

    def starts(self) -> NDArray[np.int64]:
        """Where each begins in the letters."""
        return np.concatenate([np.zeros(1, np.int64), self.ends[:-1]])[: len(self.ends)]

    def pieces(self) -> Pieces:
        return Pieces(self.letters, self.ends)


@dataclass(frozen=True, slots=True)
class Letters:
    """Texts of one field that nobody compares, in the order of the people; they take half the memory of `Texts`."""

    ends: NDArray[np.uint32]
    letters: NDArray[np.uint8]  # UTF-8

    @classmethod
    def of(cls, values: Sequence[str]) -> Letters:
        """These texts."""
        letters, lengths = _laid_out(values)
        return cls(np.cumsum(lengths).astype(np.uint32), letters)

    def at(self, places: NDArray[np.integer]) -> list[str]:
        """The texts at these places, counted from 0.

        >>> Letters.of(["ana", "", "bo"]).at(np.array([2, 0]))
        ['bo', 'ana']
        """
        return _at(self.ends, self.letters, places)

    def lengths(self) -> NDArray[np.uint32]:
        """How many letters each has."""
        return np.diff(self.ends, prepend=np.uint32(0))


def _at(
    ends: NDArray[np.integer], letters: NDArray[np.uint8], places: NDArray[np.integer]
) -> list[str]:
    starts = np.where(places > 0, ends[np.maximum(places, 1) - 1], 0)
    view = memoryview(letters)  # type: ignore[arg-type]
    return [
        bytes(view[start:end]).decode("utf-8", "surrogatepass")
        for start, end in zip(starts.tolist(), ends[places].tolist(), strict=True)
    ]


class Pieces:
    """Numbers for parts of the texts of one field.

    Two pieces have the same number if they are the same letters, as far from the start.
    """

    def __init__(self, letters: NDArray[np.uint8], ends: NDArray[np.int64]) -> None:
        self.ends, self.letters = ends, letters
        self.starts = np.concatenate([np.zeros(1, np.int64), ends[:-1]])[: len(ends)]
        far = np.arange(len(letters)) - np.repeat(self.starts, ends - self.starts)
        values = _factors()[np.minimum(far, LONGEST - 1)]
        values *= letters.astype(np.uint64) + np.uint64(1)
        self.sums = np.concatenate([np.zeros(1, np.uint64), np.cumsum(values, dtype=np.uint64)])

    def between(self, begin: NDArray[np.int64], end: NDArray[np.int64]) -> Numbers:
        """Numbers for the letters between two places, which are counted through all texts."""
        return mixed(self.sums[end] - self.sums[begin])

    def whole(self) -> Numbers:
        """A number for each text."""
        return self.between(self.starts, self.ends)

    def cut(self, letters: slice) -> Numbers:
        """Numbers for these letters of each text, counted from its start, or from its end if below 0.

        >>> one, other = texts(["anatol", "ana"]).pieces().cut(slice(0, 3))
        >>> bool(one == other)
        True
        """
        if (letters.start or 0) < 0:
            return cut_out(
                self.letters, np.maximum(self.starts, self.ends + letters.start), self.ends
            ).numbers
        begin = np.minimum(self.starts + (letters.start or 0), self.ends)
        if letters.stop is None:
            return self.between(begin, self.ends)
        return self.between(begin, np.minimum(self.starts + letters.stop, self.ends))


def cut_out(letters: NDArray[np.uint8], begin: NDArray[np.int64], end: NDArray[np.int64]) -> Texts:
    """The letters between two places of each as texts of their own.

    >>> ana = texts(["anatol"])
    >>> cut_out(ana.letters, np.array([3]), ana.ends).at(np.array([0]))
    ['tol']
    """
    ends = np.cumsum(end - begin)
    places = np.repeat(end - ends, end - begin) + np.arange(ends[-1] if len(ends) else 0)
    return _written(letters[places], ends)


def joined(
    one: Texts, here: NDArray[np.integer], other: Texts, there: NDArray[np.integer]
) -> Texts:
    """The texts of the one at some places, each with one of the other behind it.

    >>> joined(texts(["ana", "bo"]), np.array([1]), texts(["quill"]), np.array([0])).at(np.array([0]))
    ['boquill']
    """
    behind = len(one.letters)
    begin = np.stack([one.starts()[here], other.starts()[there] + behind], axis=1).ravel()
    end = np.stack([one.ends[here], other.ends[there] + behind], axis=1).ravel()
    apart = cut_out(np.concatenate([one.letters, other.letters]), begin, end)
    return _written(apart.letters, apart.ends[1::2])


def below(one: Texts, other: Texts) -> Texts:
    """The texts of both, those of the other behind those of the one."""
    return stacked((one, other))


def stacked(some: Sequence[Texts]) -> Texts:
    """The texts of all these, of which there is at least one, one behind the other.

    >>> stacked([texts(["ana"]), texts(["bo", "cy"])]).at(np.array([0, 2]))
    ['ana', 'cy']
    """
    before = np.cumsum([0, *(len(one.letters) for one in some)])
    return Texts(
        np.concatenate([one.numbers for one in some]),
        np.concatenate([one.ends + start for one, start in zip(some, before, strict=False)]),
        np.concatenate([one.letters for one in some]),
    )


def _written(letters: NDArray[np.uint8], ends: NDArray[np.int64]) -> Texts:
    return Texts(Pieces(letters, ends).whole(), ends, letters)


def texts(values: Sequence[str]) -> Texts:
    """These texts as arrays."""
    letters, lengths = _laid_out(values)
    return _written(letters, np.cumsum(lengths))


def _laid_out(values: Sequence[str]) -> tuple[NDArray[np.uint8], NDArray[np.int64]]:
    """The letters of all these texts, one behind the other, and how many each has."""
    together = "".join(values)
    if together.isascii():
        lengths = np.fromiter(map(len, values), np.int64, len(values))
        return np.frombuffer(together.encode("ascii"), np.uint8), lengths
    written = [value.encode("utf-8", "surrogatepass") for value in values]
    lengths = np.fromiter(map(len, written), np.int64, len(values))
    return np.frombuffer(b"".join(written), np.uint8), lengths


def mixed(*numbers: Numbers | int) -> Numbers:
    """One number for several, which come in this order; 0 alone stays 0.

    The finishing steps of MurmurHash3 (A. Appleby, public domain) for each.
    """
    found: Numbers = np.zeros((), np.uint64)
    with np.errstate(over="ignore"):
        for number in numbers:
            found = found * np.uint64(31) ^ np.asarray(number, np.uint64)
            found = found ^ (found >> np.uint64(33))
            found = found * np.uint64(0xFF51AFD7ED558CCD)
            found = found ^ (found >> np.uint64(33))
    return found


@cache
def _factors() -> Numbers:
    """An odd number for each place in a text, with nothing in common from one to the next."""
    places = np.arange(1, LONGEST + 1, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    return mixed(places) | np.uint64(1)
