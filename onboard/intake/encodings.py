"""In which encoding a text file is written, and its letters."""

from __future__ import annotations

import codecs
import io
from pathlib import Path
from typing import IO

PEEK = 64 * 1024  # bytes looked at to learn encoding and delimiter
_TOLERANT = "onboard-windows-1252"

# Byte order marks: Unicode Standard, section 23.8, table 23-6. UTF-32 first, as its little-endian
# mark begins with that of UTF-16.
_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
NAMES = {"utf-8-sig": "UTF-8", "utf-8": "UTF-8", "utf-16": "UTF-16", "utf-32": "UTF-32",
          "utf-16-le": "UTF-16", "utf-16-be": "UTF-16"}  # fmt: skip


def _as_windows_1252(error: UnicodeError) -> tuple[str, int]:
    """Bytes that are not UTF-8, read as Windows-1252; the five it leaves undefined as Latin-1.

    One bad byte at a time, so that a file put together from two sources is read right in both.
    """
    if not isinstance(error, UnicodeDecodeError):
        raise error
    spoilt = error.object[error.start : error.end]
    return "".join(_one_byte(b) for b in spoilt), error.end


def _one_byte(byte: int) -> str:
    try:
        return bytes((byte,)).decode("cp1252")
    except UnicodeDecodeError:
        return chr(byte)


codecs.register_error(_TOLERANT, _as_windows_1252)


def encoding(file: Path) -> tuple[str, bool]:
    """The encoding to read `file` in, and whether all of it is in that encoding.

    A byte order mark decides; without one, every second byte zero means UTF-16; all else is
    read as UTF-8, and where it is not, as Windows-1252.
    """
    with file.open("rb") as stream:
        start = stream.read(PEEK)
        for mark, name in _MARKS:
            if start.startswith(mark):
                return name, _valid(file, name)
        even, odd = start[0::2], start[1::2]
        if len(start) > 3:
            if odd.count(0) > 0.4 * len(odd) and even.count(0) < 0.1 * len(even):
                return "utf-16-le", _valid(file, "utf-16-le")
            if even.count(0) > 0.4 * len(even) and odd.count(0) < 0.1 * len(odd):
                return "utf-16-be", _valid(file, "utf-16-be")
    return "utf-8", _valid(file, "utf-8")


def has_utf8(file: Path) -> bool:
    """Whether the beginning of a file has a letter beyond ASCII that UTF-8 wrote: if not, what is beyond ASCII
    there is of an older encoding."""
    with file.open("rb") as stream:
        return not stream.read(PEEK).decode("utf-8", errors="ignore").isascii()


def _valid(file: Path, name: str) -> bool:
    decoder = codecs.getincrementaldecoder(name)()
    try:
        with file.open("rb") as stream:
            while chunk := stream.read(1 << 18):
                decoder.decode(chunk)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def opened(stream: IO[bytes], name: str) -> io.TextIOWrapper:
    """The text of these bytes, line ends as they are."""
    errors = _TOLERANT if name.startswith("utf-8") else "replace"
    return io.TextIOWrapper(stream, name, errors, newline="")
