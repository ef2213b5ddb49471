"""A roster moved to another place: from a file to a server, or back."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from onboard.errors import StoreTrouble
from onboard.roster import address, copying, store


@dataclass(frozen=True, slots=True)
class Moved:
    """What was copied where; both places as words name them, without a secret."""

    source: str
    target: str
    rows: int  # of all tables
    digest: str  # SHA-256 of what both hold


def move_roster(source: str, target: str) -> Moved:
    """Copy all that a roster holds into an empty one: a file, or the URL of a database, each.

    The source stays as it is. Both are read again and compared: only if they are equal is the copy saved. Raises
    `StoreTrouble` if the source is not there, the target holds something, or either cannot be used.
    """
    here, there = _url(source), _url(target)
    file = address.file_of(address.parsed(here))
    if file is not None and not file.exists():
        raise StoreTrouble(f"There is no roster at {file}. Check the name.")
    if address.parsed(here) == address.parsed(there):
        raise StoreTrouble("Both are the same roster. Name another place for the copy.")
    opened = store.open_store(here, to_write=False)
    to = store.open_store(there)
    try:
        with store.reading(opened) as held, store.transaction(to) as copied:
            if not copying.is_empty(copied):
                raise StoreTrouble(
                    f"{store.name_of(there)} is not empty. Name a new file, or an empty database. Nothing was changed."
                )
            copying.copy(held, copied)
            rows, before = copying.digest(held)
            if (rows, before) != copying.digest(copied):
                raise StoreTrouble(
                    f"The copy in {store.name_of(there)} is not equal to {store.name_of(here)}, so it was not saved."
                )
    finally:
        opened.dispose()
        to.dispose()
    return Moved(store.name_of(here), store.name_of(there), rows, before)


def _url(said: str) -> str:
    return said if "://" in said else f"sqlite:///{Path(said)}"
