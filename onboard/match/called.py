"""What the rows of a file are called, which may be very many: as arrays, a text of each only when it is asked for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from onboard.match.made_late import MadeLate
from onboard.match.texts import Texts, cut_out, stacked, texts


class Called(MadeLate[str]):
    """The ids of rows, in their order; equal to any sequence of the same texts."""

    def __init__(self, written: Texts) -> None:
        self._written = written

    @classmethod
    def of(cls, some: Sequence[Texts]) -> Called:
        """The ids of these rows, and of those behind them."""
        return cls(stacked([texts([]), *some]))

    def __len__(self) -> int:
        return len(self._written.ends)

    def some(self, start: int, end: int) -> Iterator[str]:
        yield from self.at(np.arange(start, end))

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Called):
            mine, theirs = self._written, other._written
            return np.array_equal(mine.ends, theirs.ends) and np.array_equal(
                mine.letters, theirs.letters
            )
        return super().__eq__(other)

    def __repr__(self) -> str:
        return f"<ids of {len(self)} rows>"

    def at(self, rows: NDArray[np.integer]) -> list[str]:
        """What these rows, counted from 0, are called."""
        return self._written.at(rows)

    def only(self, rows: NDArray[np.integer]) -> Called:
        """The ids of these rows, counted from 0, as if there were no others."""
        written = self._written
        return Called(cut_out(written.letters, written.starts()[rows], written.ends[rows]))

    def places(self, names: Collection[str]) -> dict[str, int]:
        """The row of each of these names that is there, the last if there are several."""
        some = list(names)
        if not some:
            return {}
        numbers = texts(some).numbers
        at = np.flatnonzero(np.isin(self._written.numbers, numbers))
        wanted = set(some)
        return {
            one: row for one, row in zip(self.at(at), at.tolist(), strict=True) if one in wanted
        }

    def unlike(self) -> tuple[Called, int]:
        """The same, with a mark behind those that come again; and how many do."""
        numbers = np.sort(self._written.numbers)
        if not (numbers[1:] == numbers[:-1]).any():
            return self, 0
        ids = list(self)
        taken, seen = set(ids), Counter[str]()
        again = len(ids) - len(taken)
        for at, one in enumerate(ids):
            seen[one] += 1
            mark = one
            while seen[one] > 1 and mark in taken:
                mark = f"{one} ({seen[one]})"
                seen[one] += mark in taken
            taken.add(mark)
            ids[at] = mark
        return Called(texts(ids)), again
