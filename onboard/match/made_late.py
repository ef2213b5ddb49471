"""Things of which there may be very many: kept as arrays, each made only when it is asked for."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterator, Sequence
from typing import ClassVar, TypeVar, overload

T = TypeVar("T")


class MadeLate(Sequence[T]):
    """A list of them, made a part at a time; equal to any sequence of the same."""

    __slots__ = ()
    at_once: ClassVar[int] = 100_000  # so many are made at a time

    @abstractmethod
    def some(self, start: int, end: int) -> Iterator[T]:
        """Those from one place to before another, made now."""

    @overload
    def __getitem__(self, place: int) -> T: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[T]: ...
    def __getitem__(self, place: int | slice) -> T | Sequence[T]:
        if isinstance(place, slice):
            places = range(*place.indices(len(self)))
            if places.step == 1 and places:
                return list(self.some(places.start, places.stop))
            return [self[at] for at in places]
        at = range(len(self))[place]
        return next(self.some(at, at + 1))

    def __iter__(self) -> Iterator[T]:
        for start in range(0, len(self), self.at_once):
            yield from self.some(start, min(start + self.at_once, len(self)))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Sequence)
            and len(self) == len(other)
            and all(mine == theirs for mine, theirs in zip(self, other, strict=True))
        )
