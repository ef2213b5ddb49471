"""The engine that is this process."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Generic, TypeVar

Part = TypeVar("Part")
Result = TypeVar("Result")


class Here(Generic[Part, Result]):
    """One part after the other, each when it is asked for, and nothing beside."""

    def __init__(self, work: Callable[[Part], Result]) -> None:
        self._work = work

    def map(self, parts: Iterable[Part]) -> Iterator[Result]:
        """The result of each part, in order, each worked out when it is asked for."""
        return map(self._work, parts)

    def beside(self, task: Callable[..., object], *of: object) -> None:
        return None
