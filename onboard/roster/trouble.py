"""What a database says when something is wrong, in words: what, that nothing changed, what to do."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import JSON, URL, Connection, Text, func, select, type_coerce
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from onboard.errors import StoreBusy, StoreTrouble
from onboard.roster.address import name_of, without_secrets
from onboard.roster.tables import metadata

# What drivers say, and what that means; {} is the roster.
BUSY = ("locked", "busy", "lock timeout", "deadlock")
MEANINGS = (
    (BUSY, "Another program is writing to the roster {}: wait until it is done, then run this again."),
    (("full",), "The disk that holds the roster {} is full: make room, then run this again."),
    (("server closed the connection", "terminating connection", "connection is lost", "connection is closed"),
     "The connection to the roster {} was lost: see that its server runs, then run this again."),
    (("readonly", "read-only"), "The roster {} may not be written to: check who owns the file and its folder."),
)  # fmt: skip
REMEDY = (
    "Put back your last copy of the roster, or have somebody put this value right who knows databases. "
    "Nothing was changed."
)
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
        kind = StoreBusy if any(sign in said for sign in BUSY) else StoreTrouble
        raise kind(f"{words} Nothing was changed.") from (None if hidden else error)
    except SQLAlchemyError as error:
        said = without_secrets(str(error), address)
        raise StoreTrouble(f"The roster cannot be used: {said}. Nothing was changed.") from None


class NotJson(Exception):
    """A text of the roster that should be JSON, and is not."""


def read_json(text: str) -> Any:
    """The value that a text of the roster holds. Raises `NotJson`, which `placed` makes words of."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise NotJson from error


@contextmanager
def placed(connection: Connection) -> Iterator[None]:
    """A text of the roster that is not JSON comes out as `StoreTrouble` that says whose it is."""
    try:
        yield
    except NotJson:
        raise StoreTrouble(f"{_whose(connection)} is not JSON. {REMEDY}") from None


def _whose(connection: Connection) -> str:
    for table in metadata.sorted_tables:
        for column in table.c:
            if isinstance(column.type, JSON):
                text = type_coerce(column, Text)
                query = select(*table.primary_key).where(
                    text.is_not(None), func.json_valid(text) == 0
                )
                if found := connection.execute(query.limit(1)).first():
                    key = ", ".join(map(str, found))
                    return f"What the roster holds as {column.name} of {table.name} {key}"
    return "A text of the roster"


def in_words(said: str, address: URL) -> str:
    """What a driver said of the database at this address, as words, without its secrets."""
    where = name_of(address)
    for marks, words in MEANINGS:
        if any(mark in said for mark in marks):
            return words.format(where)
    if any(mark in said for mark in DAMAGE):
        return f"{where} is not a sound roster file ({said}): put back your last copy of it."
    return f"The roster {where} cannot be used: {without_secrets(said, address).rstrip('.')}."
