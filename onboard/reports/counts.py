"""How many there are of what, in words."""

from __future__ import annotations


def counted(number: int, what: str, several: str = "") -> str:
    """The number with its noun; `several` is the noun's plural where it takes more than an s.

    >>> counted(1, "email"), counted(1200, "email"), counted(2, "address", "addresses")
    ('1 email', '1,200 emails', '2 addresses')
    """
    return f"{number:,} {what if number == 1 else several or f'{what}s'}"
