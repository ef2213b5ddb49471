"""Values that go from process to process by the thousand."""

from __future__ import annotations

from dataclasses import fields
from operator import attrgetter
from typing import Any, TypeVar

T = TypeVar("T")


def by_fields(cls: type[T]) -> type[T]:
    """A dataclass that is sent as its fields, of which it has two or more, and made again from them.

    That takes a third of the time of what Python does with a frozen one that has slots: a step of Python for each
    field, on either side.
    """
    said = attrgetter(*(field.name for field in fields(cls) if field.init))  # type: ignore[arg-type]

    def reduce(self: T) -> tuple[type[T], Any]:
        return cls, said(self)

    cls.__reduce__ = reduce  # type: ignore[assignment]
    return cls
