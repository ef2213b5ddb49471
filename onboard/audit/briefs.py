"""What is left of all accounts when they are looked at together, as columns.

A million objects of a dozen texts each would take more memory than all else that an audit holds; as
columns they take a third, and go from one process to another as they are.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from onboard.audit.record import Brief
from onboard.match.columns import Column, Index, column
from onboard.match.piles import Piles
from onboard.match.texts import Letters
from onboard.model import Owner

TEXTS = ("name", "handle", "email", "phone", "home")
# Many accounts have the same: each distinct one is kept once.
SHARED = ("family", "site", "zip5", "ways")
DAYS = ("used", "signed_in", "ordered", "joined")  # as ordinals; 0 is None
FLAGS = ("is_open", "on_page")


class Briefs(Sequence[Brief]):
    """Accounts in their order; each is made when it is asked for.

    An owner is what comes before the account's number, such as "member:", with the number.
    """

    def __init__(
        self,
        written: Mapping[str, Letters],
        columns: Mapping[str, Column],
        values: Mapping[str, NDArray[Any]],
    ) -> None:
        self._written, self._columns, self._values = written, columns, values

    @classmethod
    def of(cls, briefs: Iterable[Brief]) -> Briefs:
        """These accounts."""
        some = list(briefs)
        said = {field: [getattr(one, field) for one in some] for field in Brief._fields}
        said["before"] = [one.owner.removesuffix(str(one.number)) for one in some]
        values: dict[str, NDArray[Any]] = {"number": np.array(said["number"], np.int64)}
        for field in FLAGS:
            values[field] = np.array(said[field], np.bool_)
        for field in DAYS:
            values[field] = np.array([d.toordinal() if d else 0 for d in said[field]], np.int32)
        return cls(
            {field: Letters.of(said[field]) for field in TEXTS},
            {field: column(said[field]) for field in ("before", *SHARED)},
            values,
        )

    def add_to(self, piles: Piles) -> None:
        """Put these accounts behind those before them."""
        for field, written in self._written.items():
            piles.add_letters(f"account {field}", written)
        for field, texts in self._columns.items():
            piles.add_column(f"account {field}", texts)
        for field, values in self._values.items():
            piles.add(f"account {field}", values)

    @classmethod
    def out_of(cls, piles: Piles) -> Briefs:
        """The accounts that were put there, of which there is at least one part."""
        return cls(
            {field: piles.letters(f"account {field}") for field in TEXTS},
            {field: piles.column(f"account {field}") for field in ("before", *SHARED)},
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
        name, handle, *rest = (self.text(field, at) for field in (*TEXTS, *SHARED))
        days = (of[field][at] for field in DAYS)
        return Brief._make([
            self.owner(at), of["number"][at], name, handle, of["is_open"][at], *rest,
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

    @cached_property
    def _codes(self) -> Mapping[str, tuple[memoryview, list[str]]]:
        """Of each distinct text where it is, and the texts, likewise."""
        return {
            field: (memoryview(one.codes), one.texts.tolist())  # type: ignore[arg-type]
            for field, one in self._columns.items()
        }

    def __reduce__(self) -> tuple[Any, ...]:
        # Without the views, which no other process can have.
        return Briefs, (self._written, self._columns, self._values)

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Briefs)
            and len(self) == len(other)
            and all(mine == theirs for mine, theirs in zip(self, other, strict=True))
        )

    __hash__ = None  # type: ignore[assignment]

    def owner(self, place: int) -> Owner:
        """Whose the account at a place is."""
        return Owner(f"{self.text('before', place)}{self._views['number'][place]}")

    def text(self, field: str, place: int) -> str:
        """One text of the account at a place."""
        if field in self._codes:
            codes, texts = self._codes[field]
            return texts[codes[place]]
        ends, letters = self._letters[field]
        start = ends[place - 1] if place else 0
        return str(letters[start : ends[place]], "utf-8", "surrogatepass")

    def at(self, field: str, places: NDArray[np.int64]) -> Iterator[str]:
        """This text of the accounts at these places."""
        if field in self._columns:
            known = self._columns[field]
            yield from known.texts[known.codes[places]]
            return
        for few in np.array_split(places, 1 + len(places) // AT_ONCE):
            yield from self._written[field].at(few)

    def known(self, field: str) -> NDArray[np.int64]:
        """The places of the open accounts of which this text, one of `TEXTS`, is known."""
        return np.flatnonzero(self._values["is_open"] & (self._written[field].lengths() > 0))

    def shared(self, field: str, least: int = 2) -> Iterator[list[Brief]]:
        """The open accounts that have this text, one of `TEXTS`, in common, so many or more; group by group."""
        some = self.known(field)
        hashes = np.fromiter(map(hash, self.at(field, some)), np.int64, len(some))
        _, whose, counts = np.unique(hashes, return_inverse=True, return_counts=True)
        some = some[np.argsort(whose, kind="stable")]
        for end, count in zip(np.cumsum(counts).tolist(), counts.tolist(), strict=True):
            if count < least:
                continue
            same: dict[str, list[Brief]] = defaultdict(list)  # two texts hardly have one hash
            for place in some[end - count : end].tolist():
                same[self.text(field, place)].append(self[place])
            yield from (having for having in same.values() if len(having) >= least)

    def counted(self, field: str) -> Counter[str]:
        """How many open accounts have each text of this field, one of `SHARED`."""
        known = self._columns[field]
        times = np.bincount(known.codes[self._values["is_open"]], minlength=len(known.texts))
        some = np.flatnonzero(times)
        return Counter(dict(zip(known.texts[some].tolist(), times[some].tolist(), strict=True)))

    @property
    def opened(self) -> int:
        """How many are open."""
        return int(self._values["is_open"].sum())

    @cached_property
    def by_owner(self) -> ByOwner:
        """The accounts by owner."""
        before, number = self._columns["before"], self._values["number"]
        order = np.lexsort((number, before.codes)).astype(np.int32)
        ends = np.cumsum(np.bincount(before.codes, minlength=len(before.texts))).tolist()
        return ByOwner(
            self,
            dict(zip(before.texts.tolist(), zip([0, *ends], ends, strict=False), strict=True)),
            array("q", number[order].tobytes()),
            order,
        )


AT_ONCE = 10_000  # texts that are made at a time


@dataclass(frozen=True, slots=True)
class ByOwner(Mapping[str, Brief]):
    """Accounts by owner, found by their number among those that have the same before it."""

    briefs: Briefs
    within: Mapping[str, tuple[int, int]]  # by what comes before the number: where these stand
    numbers: array[int]  # in order
    places: Index  # of the accounts that have them

    def place(self, owner: str) -> int:
        """At which place an account is; -1 if there is none."""
        before = owner.rstrip("0123456789")
        start, end = self.within.get(before, (0, 0))
        digits = owner[len(before) :]
        if start == end or not digits or len(digits) > LONGEST:
            return -1
        at = bisect_left(self.numbers, int(digits), start, end)
        if at == end or str(self.numbers[at]) != digits:
            return -1
        return int(self.places[at])

    def __getitem__(self, owner: str) -> Brief:
        place = self.place(owner)
        if place < 0:
            raise KeyError(owner)
        return self.briefs[place]

    def __contains__(self, owner: object) -> bool:
        return isinstance(owner, str) and self.place(owner) >= 0

    def __iter__(self) -> Iterator[str]:
        return map(self.briefs.owner, range(len(self.briefs)))

    def __len__(self) -> int:
        return len(self.briefs)


LONGEST = 18  # digits of a number in 64 bits
