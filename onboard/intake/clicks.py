"""Requests to unsubscribe by one click (RFC 8058), out of the log of a web server or a file that a page of the co-op's writes.

One rule for all of them: a line counts if it says POST and holds a key of an email. Whoever merely opens the address
(GET), as programs that check links do, has asked for nothing.
"""

from __future__ import annotations

import gzip
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO, cast

from onboard.errors import FileTrouble

LONGEST = 64 * 1024  # characters of a line that are looked at
_POST = re.compile(rb"(?<![A-Za-z])POST(?![A-Za-z])")
_KEY = re.compile(rb"(?<![0-9A-Za-z])[0-9a-f]{32}(?![0-9A-Za-z])")


@dataclass(slots=True)
class Clicks:
    """What a file holds."""

    keys: dict[str, int] = field(default_factory=dict)  # each with the first line that has it
    opened: int = 0  # lines with a key that are no POST


def read(*files: Path) -> Clicks:
    """The keys in the lines of files, which may be packed by gzip (.gz). Raises `FileTrouble` for one that can't be read."""
    found = Clicks()
    for file in files:
        try:
            with _opened(file) as stream:
                _read(stream, found)
        except (OSError, EOFError) as error:
            why = getattr(error, "strerror", None) or "it is damaged"
            raise FileTrouble(f"Can't read {file} ({why}).") from error
    return found


def _read(stream: BinaryIO, found: Clicks) -> None:
    for number, line in enumerate(stream, 1):
        keys = _KEY.findall(line[:LONGEST])
        if keys and not _POST.search(line[:LONGEST]):
            found.opened += 1
            continue
        for key in keys:
            found.keys.setdefault(key.decode(), number)


def _opened(file: Path) -> BinaryIO:
    return cast(BinaryIO, gzip.open(file)) if file.suffix == ".gz" else file.open("rb")
