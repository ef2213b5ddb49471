"""What whole-file work asks of an engine."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Protocol, TypeVar

Part = TypeVar("Part", contravariant=True)
Result = TypeVar("Result", covariant=True)
Answer = TypeVar("Answer")


class Engine(Protocol[Part, Result]):
    """Does one work on many parts."""

    def map(self, parts: Iterable[Part]) -> Iterator[Result]:
        """The result of each part, in order; no more than a few parts are on their way at a time."""

    def beside(self, task: Callable[..., Answer], *of: object) -> Callable[[], Answer] | None:
        """Begin another task beside the work, in another process; its answer is waited for by a call.

        None where there is no other process: then whoever asks does it with what is open here.
        """
