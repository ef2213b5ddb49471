"""A long list, a page at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")
U = TypeVar("U")

ON_A_PAGE = 25


@dataclass(frozen=True, slots=True)
class Page(Generic[T]):
    """A page of a list."""

    some: tuple[T, ...]  # those of the page
    count: int  # of all
    number: int  # of the page, from 1
    pages: int

    def of(self, some: Sequence[U]) -> Page[U]:
        """The same page with these in place of its own."""
        return Page(tuple(some), self.count, self.number, self.pages)


def page_of(every: Sequence[T], number: int = 1) -> Page[T]:
    """The page with this number; the last one, where there are not so many any more.

    >>> page_of(range(30), 2)
    Page(some=(25, 26, 27, 28, 29), count=30, number=2, pages=2)
    """
    pages = max(1, -(-len(every) // ON_A_PAGE))
    number = min(max(1, number), pages)
    first = (number - 1) * ON_A_PAGE
    return Page(tuple(every[first : first + ON_A_PAGE]), len(every), number, pages)
