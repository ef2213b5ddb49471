"""A whole file, cut into parts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

Item = TypeVar("Item")


def parts(items: Iterable[Item], size: int) -> Iterator[list[Item]]:
    """Lists of `size` items, the last one shorter, read as they are wanted; one empty list if there are none.

    >>> list(parts("abc", 2)), list(parts("", 2))
    ([['a', 'b'], ['c']], [[]])
    """
    rest = iter(items)
    yield list(islice(rest, size))
    yield from iter(lambda: list(islice(rest, size)), [])
