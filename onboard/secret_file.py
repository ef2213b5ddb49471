"""Files for nobody's eyes but their owner's: a key, or a password. What is in one is never shown."""

from __future__ import annotations

import os
import stat
from pathlib import Path

LARGEST = 4096  # bytes of a password's file
_OTHERS = stat.S_IRGRP | stat.S_IROTH | stat.S_IWGRP | stat.S_IWOTH


def see_that_it_is_private(file: Path, what_they_could: str) -> None:
    """Raises ValueError, with words that follow what names the file, where others on this computer can read or change it,
    and `what_they_could` do then; and OSError."""
    if os.name == "posix" and file.stat().st_mode & _OTHERS:
        raise ValueError(
            f"can be read by others on this computer, who could then {what_they_could}. Type: chmod 600 {file.name}"
        )


def password_in(file: Path, what_they_could: str) -> str:
    """The password that a file has on its only line. Raises as `see_that_it_is_private` does, and for any other file."""
    see_that_it_is_private(file, what_they_could)
    with file.open("rb") as opened:
        said = opened.read(LARGEST + 1)
    try:
        password = said.decode("utf-8-sig").strip("\r\n")
    except UnicodeDecodeError:
        password = ""
    if not password.strip() or not password.isprintable() or len(said) > LARGEST:
        raise ValueError("is not a password. Write it into the file on one line, and nothing else.")
    return password
