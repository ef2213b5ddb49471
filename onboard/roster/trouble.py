"""What a database says when something is wrong, in words: what, that nothing changed, what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import URL
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from onboard.errors import StoreTrouble
from onboard.roster.address import name_of, without_secrets

# What drivers say, and what that means; {} is the roster.
MEANINGS = (
    (("locked", "busy"), "Another program is writing to the roster {}: wait until it is done, then run this again."),
    (("full",), "The disk that holds the roster {} is full: make room, then run this again."),
    (("readonly", "read-only"), "The roster {} may not be written to: check who owns the file and its folder."),
)  # fmt: skip
DAMAGE = ("not a database", "malformed", "unsupported file format")


@contextmanager
def told(address: URL) -> Iterator[None]:
    """Errors of the database at this address come out as `StoreTrouble`, without its secrets."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        said = str(error.orig if isinstance(error, DBAPIError) else error).strip()
        words = in_words(said, address)
        hidden = without_secrets(said, address) != said
        raise StoreTrouble(f"{words} Nothing was changed.") from (None if hidden else error)
    except SQLAlchemyError as error:
        said = without_secrets(str(error), address)
        raise StoreTrouble(f"The roster cannot be used: {said}. Nothing was changed.") from None


def in_words(said: str, address: URL) -> str:
    """What a driver said of the database at this address, as words."""
    where = name_of(address)
    for marks, words in MEANINGS:
        if any(mark in said for mark in marks):
            return words.format(where)
    if any(mark in said for mark in DAMAGE):
        return f"{where} is not a sound roster file ({said}): put back your last copy of it."
    return f"The roster {where} cannot be used: {without_secrets(said, address).rstrip('.')}."
