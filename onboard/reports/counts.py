"""How many there are of what, in words."""

from __future__ import annotations


def counted(number: int, what: str) -> str:
    """The number with its noun.

    >>> counted(1, "mail"), counted(1200, "mail")
    ('1 mail', '1,200 mails')
    """
    return f"{number:,} {what}" + ("" if number == 1 else "s")
