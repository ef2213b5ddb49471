"""Columns that grow as the parts of a file come."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from onboard.match.columns import Column, as_objects
from onboard.match.texts import Letters, Texts


class Piles:
    """Arrays by name, each put together from pieces; here in memory.

    A pile grows in one place. To keep the pieces and join them at the end would take their memory
    twice, and what very many small ones leave behind is of no use for anything large.
    """

    def __init__(self) -> None:
        self._bytes: dict[str, bytearray] = {}
        self._types: dict[str, np.dtype[Any]] = {}
        self._letters: dict[str, int] = {}
        self._codes: dict[str, dict[str, int]] = {}

    def add(self, name: str, piece: NDArray[Any]) -> None:
        """Put a piece behind those before it, which are of the same type."""
        self._types[name] = piece.dtype
        self._bytes.setdefault(name, bytearray()).extend(np.ascontiguousarray(piece).data)

    def whole(self, name: str) -> NDArray[Any]:
        """The array of all its pieces, which are not kept."""
        return np.frombuffer(self._bytes.pop(name), self._types[name])

    def add_texts(self, name: str, some: Texts) -> None:
        """Put texts behind those before them."""
        self.add(f"{name}.numbers", some.numbers)
        self.add_letters(name, some)

    def texts(self, name: str) -> Texts:
        """All texts of a name, which are not kept."""
        return Texts(*(self.whole(f"{name}.{one}") for one in ("numbers", "ends", "letters")))

    def add_letters(self, name: str, some: Letters | Texts) -> None:
        """Put texts behind those before them, without their numbers."""
        before = self._letters.get(name, 0)
        self.add(f"{name}.ends", some.ends + before)
        self.add(f"{name}.letters", some.letters)
        self._letters[name] = before + len(some.letters)

    def letters(self, name: str) -> Letters:
        """All texts of a name, which are not kept."""
        return Letters(self.whole(f"{name}.ends"), self.whole(f"{name}.letters"))

    def add_column(self, name: str, some: Column) -> None:
        """Put a column behind those before it; each distinct text is kept once."""
        codes = self._codes.setdefault(name, {"": 0})
        here = [codes.setdefault(text, len(codes)) for text in some.texts]
        self.add(name, np.array(here, np.int32)[some.codes])

    def column(self, name: str) -> Column:
        """All columns of a name, which are not kept."""
        return Column(self.whole(name), as_objects(list(self._codes.pop(name))))
