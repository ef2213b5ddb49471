"""Patterns that are made when they are first used, as making one takes longer than a small command."""

from __future__ import annotations

import re
from typing import Any, cast


class _Late:
    """A pattern that is not made yet; from its first use on its methods are those of the real one."""

    def __init__(self, pattern: str, flags: int) -> None:
        self._said = pattern, flags

    def __getattr__(self, name: str) -> Any:
        made = re.compile(*self._said)
        for each in ("search", "match", "fullmatch", "sub", "subn", "split", "findall", "finditer"):
            setattr(self, each, getattr(made, each))
        return getattr(made, name)


def late(pattern: str, flags: int = 0) -> re.Pattern[str]:
    """The same as `re.compile`, when it is first used.

    Raises `re.error` then, if the pattern is none.

    >>> late("[aeiou]+").sub("-", "goat")
    'g-t'
    """
    return cast("re.Pattern[str]", _Late(pattern, flags))
