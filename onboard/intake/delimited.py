"""Reads tables in text files: comma, semicolon, tab or pipe between cells (RFC 4180 and kin)."""

from __future__ import annotations

import codecs
import csv
import io
import re
import sys
from collections import Counter
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.intake.headings import count_known
from onboard.intake.table import Line, Table

DELIMITERS = ",;\t|"
_PEEK = 64 * 1024  # bytes looked at to learn encoding and delimiter
_LONGEST_LINE = 1 << 20  # characters; headings are shorter
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
_NAMES = {"utf-8-sig": "UTF-8", "utf-8": "UTF-8", "utf-16": "UTF-16", "utf-32": "UTF-32",
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
        start = stream.read(_PEEK)
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


def _open(file: Path, name: str) -> io.TextIOWrapper:
    errors = _TOLERANT if name.startswith("utf-8") else "replace"
    return file.open(encoding=name, errors=errors, newline="")


def delimiter(start: str) -> str:
    """The character between cells, judged by the first lines of a file.

    Better than `csv.Sniffer`, which takes letters for delimiters: each candidate splits the
    lines, and the one wins under which most headings are known and the widths agree best.

    >>> delimiter("Name;Email\\nRuiz, Ana;ana@example.org\\n")
    ';'
    """
    first = start.split("\n", 1)[0].strip().strip("\ufeff")
    if first.casefold().startswith("sep=") and len(first) == 5:
        return first[4]  # as spreadsheets write it above the headings
    return max(DELIMITERS, key=lambda mark: _fitness(start, mark))


def _fitness(start: str, mark: str) -> tuple[float, float]:
    csv.field_size_limit(sys.maxsize)
    rows = [r for r in islice(csv.reader(io.StringIO(start, newline=""), delimiter=mark), 60) if r]
    widths = Counter(len(r) for r in rows)
    width, often = max(widths.items(), key=lambda item: (item[1] * (item[0] > 1), item[0]),
                       default=(1, 0))  # fmt: skip
    if width == 1:
        return 0.0, 0.0
    heads = max((count_known(r) for r in rows[:20]), default=0)
    return heads, often / len(rows) * min(width, 8)


_JUNK = re.compile(r"[\x01-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffd]")


def open_table(file: Path) -> Table:
    """The one table of a text file. Raises `FileTrouble` when it does not hold text."""
    name, sound = encoding(file)
    with _open(file, name) as stream:
        start = stream.read(_PEEK)
    junk = len(_JUNK.findall(start))
    if junk > 100 and junk > len(start) / 10:
        raise FileTrouble(
            f"{file} is not a text file. Open it in the program it came from and save it as CSV "
            "or XLSX."
        )
    mark = delimiter(start)
    _refuse_endless_line(file, name, mark)
    skip_first = start.lstrip("\ufeff")[:4].casefold() == "sep="
    notes = [f"Read as {_NAMES[name]} text, cells separated by {_words(mark)}."]
    if not sound:
        notes.append(
            "Some bytes are not UTF-8 and were read as Windows-1252. Check the accented letters."
            if name.startswith("utf-8")
            else f"Some bytes are not {_NAMES[name]} and became the mark \ufffd. Check the letters there."
        )

    def lines() -> Iterator[Line]:
        csv.field_size_limit(sys.maxsize)
        with _open(file, name) as stream:
            reader = csv.reader(stream, delimiter=mark)
            number = 1
            for cells in reader:
                if not (skip_first and number == 1):
                    yield Line(number, cells)
                number = reader.line_num + 1

    return Table("", lines, mark, tuple(notes))


def _refuse_endless_line(file: Path, name: str, mark: str) -> None:
    """Raises `FileTrouble` where the first line is longer than any headings are; a lost quotation mark
    makes many lines of the file one."""
    read = 0

    def beginning(stream: io.TextIOWrapper) -> Iterator[str]:
        nonlocal read
        while read <= _LONGEST_LINE and (line := stream.readline(_LONGEST_LINE + 1)):
            read += len(line)
            if read <= _LONGEST_LINE:
                yield line

    csv.field_size_limit(sys.maxsize)
    with _open(file, name) as stream:
        next(csv.reader(beginning(stream), delimiter=mark), None)
    if read > _LONGEST_LINE:
        raise FileTrouble(
            f"The first line of {file} has more than {_LONGEST_LINE:,} characters, so it can't be a row"
            " of headings. Make sure that it is the right file, or save it again as CSV."
        )


def _words(mark: str) -> str:
    names = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "vertical bars"}
    return names.get(mark, repr(mark))
