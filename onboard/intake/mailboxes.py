"""Mail that was saved as files: one message, a folder of them, an mbox (RFC 4155), a Maildir. Only read."""

from __future__ import annotations

import mailbox
from collections.abc import Iterator
from pathlib import Path

from onboard.errors import FileTrouble

LARGEST = 20_000_000  # bytes of a message that are read: what it says stands at its beginning
_ENDS = (".eml", ".msg", ".txt", ".mbox", ".mbx", "")


def messages(path: Path) -> Iterator[tuple[str, bytes]]:
    """Each message with the name by which a person finds it, as it came.

    Raises `FileTrouble` for what is not there, cannot be read, or holds no mail.
    """
    try:
        if path.is_dir():
            yield from _in_folder(path)
        elif _is_mbox(path):
            yield from _in_mbox(path, path.name)
        else:
            yield path.name, _read(path)
    except OSError as error:
        raise FileTrouble(f"{path} can't be read ({error.strerror}). Check the path.") from error


def _in_folder(folder: Path) -> Iterator[tuple[str, bytes]]:
    if (folder / "cur").is_dir() and (folder / "new").is_dir():
        for part in ("new", "cur"):
            for file in sorted((folder / part).iterdir()):
                if file.is_file() and not file.name.startswith("."):
                    yield f"{part}/{file.name}", _read(file)
        return
    found = [
        file
        for file in sorted(folder.iterdir())
        if file.is_file() and file.suffix.lower() in _ENDS and not file.name.startswith(".")
    ]
    if not found:
        raise FileTrouble(f"{folder} holds no email. Save the emails there as .eml files.")
    for file in found:
        if _is_mbox(file):
            yield from _in_mbox(file, file.name)
        else:
            yield file.name, _read(file)


def _is_mbox(file: Path) -> bool:
    with file.open("rb") as opened:
        return opened.read(5) == b"From "


def _in_mbox(file: Path, name: str) -> Iterator[tuple[str, bytes]]:
    box = mailbox.mbox(file, create=False)
    try:
        for number, key in enumerate(box.iterkeys(), 1):
            yield f"{name}, message {number}", box.get_bytes(key)[:LARGEST]
    finally:
        box.close()


def _read(file: Path) -> bytes:
    with file.open("rb") as opened:
        return opened.read(LARGEST)
