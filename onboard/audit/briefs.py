"""What is left of all accounts when they are looked at together, as columns.

A million objects of a dozen texts each would take more memory than all else that an audit holds; as
columns they take a third, and go from one process to another as they are.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from onboard.audit.record import Brief
from onboard.match.piles import Piles
from onboard.match.texts import Texts, texts
from onboard.model import Owner

TEXTS = (
    "owner", "name", "handle", "email", "phone", "home", "family", "site", "zip5", "ways",
)  # fmt: skip
DAYS = ("used", "signed_in", "ordered", "joined")  # as ordinals; 0 is None
FLAGS = ("is_open", "on_page")


class Briefs(Sequence[Brief]):
    """Accounts in their order; each is made when it is asked for."""

    def __init__(self, written: Mapping[str, Texts], values: Mapping[str, NDArray[Any]]) -> None:
        self._written, self._values = written, values

    @classmethod
    def of(cls, briefs: Iterable[Brief]) -> Briefs:
        """These accounts."""
        some = list(briefs)
        said = {field: [getattr(one, field) for one in some] for field in Brief._fields}
        values: dict[str, NDArray[Any]] = {"number": np.array(said["number"], np.int64)}
        for field in FLAGS:
            values[field] = np.array(said[field], np.bool_)
        for field in DAYS:
            values[field] = np.array([d.toordinal() if d else 0 for d in said[field]], np.int32)
        return cls({field: texts(said[field]) for field in TEXTS}, values)

    def add_to(self, piles: Piles) -> None:
        """Put these accounts behind those before them."""
        for field, written in self._written.items():
            piles.add_texts(f"account {field}", written)
        for field, values in self._values.items():
            piles.add(f"account {field}", values)

    @classmethod
    def out_of(cls, piles: Piles) -> Briefs:
        """The accounts that were put there, of which there is at least one part."""
        return cls(
            {field: piles.texts(f"account {field}") for field in TEXTS},
            {field: piles.whole(f"account {field}") for field in ("number", *FLAGS, *DAYS)},
        )

    def __len__(self) -> int:
        return len(self._values["number"])

    @overload
    def __getitem__(self, place: int) -> Brief: ...

    @overload
    def __getitem__(self, place: slice) -> list[Brief]: ...

    def __getitem__(self, place: int | slice) -> Brief | list[Brief]:
        if isinstance(place, slice):
            return [self[at] for at in range(len(self))[place]]
        at, of = range(len(self))[place], self._views
        owner, name, handle, *rest = (self.text(field, at) for field in TEXTS)
        days = (of[field][at] for field in DAYS)
        return Brief._make([
            Owner(owner), of["number"][at], name, handle, of["is_open"][at], *rest,
            *(date.fromordinal(day) if day else None for day in days), of["on_page"][at],
        ])  # fmt: skip

    @cached_property
    def _views(self) -> Mapping[str, memoryview]:
        """The arrays as Python reads one value of them soonest."""
        return {field: memoryview(one) for field, one in self._values.items()}  # type: ignore[arg-type]

    @cached_property
    def _letters(self) -> Mapping[str, tuple[memoryview, memoryview]]:
        """Of each text where it ends, and the letters, likewise."""
        return {
            field: (memoryview(one.ends), memoryview(one.letters))  # type: ignore[arg-type]
            for field, one in self._written.items()
        }

    def __reduce__(self) -> tuple[Any, ...]:
        return Briefs, (
            self._written,
            self._values,
        )  # without the views, which no other process can have

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Briefs) and all(
            np.array_equal(mine, theirs)
            for mine, theirs in zip(self._arrays(), other._arrays(), strict=True)
        )

    __hash__ = None  # type: ignore[assignment]

    def _arrays(self) -> Iterator[NDArray[Any]]:
        for one in self._written.values():
            yield from (one.ends, one.letters)
        yield from self._values.values()

    def text(self, field: str, place: int) -> str:
        """One text of the account at a place."""
        ends, letters = self._letters[field]
        start = ends[place - 1] if place else 0
        return str(letters[start : ends[place]], "utf-8", "surrogatepass")

    def at(self, field: str, places: NDArray[np.int64]) -> Iterator[str]:
        """This text of the accounts at these places."""
        for few in np.array_split(places, 1 + len(places) // AT_ONCE):
            yield from self._written[field].at(few)

    def known(self, field: str) -> NDArray[np.int64]:
        """The places of the open accounts of which this text is known."""
        return np.flatnonzero(self._values["is_open"] & (self._written[field].numbers != 0))

    def shared(self, field: str) -> Iterator[Brief]:
        """The open accounts of which this text is that of another open one, too."""
        some = self.known(field)
        _, whose, counts = np.unique(
            self._written[field].numbers[some], return_inverse=True, return_counts=True
        )
        return map(self.__getitem__, some[counts[whose] > 1].tolist())

    def counted(self, field: str) -> Counter[str]:
        """How many open accounts have each text of this field."""
        numbers = self._written[field].numbers
        some = np.flatnonzero(self._values["is_open"])
        _, first, counts = np.unique(numbers[some], return_index=True, return_counts=True)
        return Counter(
            dict(zip(self._written[field].at(some[first]), counts.tolist(), strict=True))
        )

    @property
    def opened(self) -> int:
        """How many are open."""
        return int(self._values["is_open"].sum())

    @cached_property
    def by_owner(self) -> ByOwner:
        """The accounts by owner."""
        owners = self.at("owner", np.arange(len(self)))
        hashes = np.fromiter(map(hash, owners), np.int64, len(self))
        order = np.argsort(hashes, kind="stable")
        return ByOwner(self, array("q", hashes[order].tobytes()), order)


AT_ONCE = 10_000  # texts that are made at a time


@dataclass(frozen=True, slots=True)
class ByOwner(Mapping[str, Brief]):
    """Accounts by owner, found by what their owner's text hashes to in this process."""

    briefs: Briefs
    hashes: array[int]  # in order
    places: NDArray[np.int64]  # of the accounts that have them

    def place(self, owner: str) -> int:
        """At which place an account is; -1 if there is none."""
        number = hash(owner)
        at = bisect_left(self.hashes, number)
        while at < len(self.hashes) and self.hashes[at] == number:
            place = int(self.places[at])
            if self.briefs.text("owner", place) == owner:
                return place
            at += 1
        return -1

    def __getitem__(self, owner: str) -> Brief:
        place = self.place(owner)
        if place < 0:
            raise KeyError(owner)
        return self.briefs[place]

    def __contains__(self, owner: object) -> bool:
        return isinstance(owner, str) and self.place(owner) >= 0

    def __iter__(self) -> Iterator[str]:
        return self.briefs.at("owner", np.arange(len(self.briefs)))

    def __len__(self) -> int:
        return len(self.briefs)
