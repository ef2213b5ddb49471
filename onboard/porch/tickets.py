"""The ticket in a form: when the page was made, and which sign-up it is for. Only we can make one.

It is no secret and opens nothing. It tells a second press of the button from a second person, and a person from a program
that fills in forms without ever looking at one.
"""

from __future__ import annotations

import hashlib
import hmac
import os
import time
from collections.abc import Callable
from pathlib import Path

from onboard import passwords

FILE = "ticket.key"
QUICK = 4  # seconds; nobody reads three pages faster
DAYS = 30  # for which a page can be sent in


class Tickets:
    """Makes tickets and knows them again."""

    def __init__(self, folder: Path, clock: Callable[[], float] = time.time) -> None:
        self._key, self._clock = _key(folder / FILE), clock

    def new(self) -> str:
        """A ticket of now."""
        return self._signed(f"{int(self._clock())}.{passwords.token()[:22]}")

    def known(self, ticket: str) -> bool:
        """Whether it is one of ours, and not too old."""
        said, _, _ = ticket.rpartition(".")
        return passwords.is_same(ticket, self._signed(said)) and self._age(said) < DAYS * 86_400

    def is_quick(self, ticket: str) -> bool:
        """Whether the page was made only a moment ago."""
        return self._age(ticket) < QUICK

    def _age(self, ticket: str) -> float:
        made = ticket.partition(".")[0]
        return self._clock() - int(made) if made.isascii() and made.isdigit() else 0

    def _signed(self, said: str) -> str:
        mark = hmac.new(self._key, said.encode("utf-8", "replace"), hashlib.sha256)
        return f"{said}.{mark.hexdigest()[:32]}"


def identity(ticket: str, name: str) -> str:
    """What the sign-up of this ticket is called. With another name it is another person's, who used the same page."""
    folded = "".join(letter for letter in name.casefold() if letter.isalpha())
    return passwords.digest(f"{ticket}\n{folded}")[:24]


def _key(file: Path) -> bytes:
    """The key beside the spool; made where there is none."""
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return file.read_bytes()
    with os.fdopen(handle, "wb") as stream:
        stream.write(passwords.token().encode())
    return file.read_bytes()
