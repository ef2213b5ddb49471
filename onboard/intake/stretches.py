"""A large text file in stretches, each of which whoever sees the file can read by itself.

A stretch begins where a row begins. A line break within quotation marks begins no row, and whether a place
is within quotation marks depends on all that stands before it. So the file is surveyed first, window by
window, anywhere and in any order: a window tells where rows begin in it both if a quoted cell is open at its
beginning and if none is. Put one behind the other, the windows then say which of the two it is.
"""

from __future__ import annotations

import csv
import io
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from onboard.intake.encodings import opened
from onboard.intake.table import Each, Line

PIECE = 1 << 16  # bytes in which the end of a line is looked for at a time
CR, LF = b"\r\n"


@dataclass(frozen=True, slots=True)
class TextStretch:
    """Some bytes of a text file that hold whole rows; all of it unless told."""

    file: Path
    encoding: str
    delimiter: str
    begin: int = 0
    end: int | None = None  # the end of the file
    first: int = 1  # the number of its first row
    names_delimiter: bool = False  # whether line 1 does that, and is no row

    @property
    def size(self) -> int:
        """How many bytes it has."""
        return (self.file.stat().st_size if self.end is None else self.end) - self.begin

    def lines(self) -> Iterator[Line]:
        """The rows with their numbers: as a spreadsheet counts them, a cell of several lines is in one."""
        csv.field_size_limit(sys.maxsize)
        with self._open() as stream:
            reader = csv.reader(stream, delimiter=self.delimiter)
            for number, cells in enumerate(reader, start=self.first):
                if not (number == 1 and self.names_delimiter):
                    yield Line(number, cells)

    def _open(self) -> io.TextIOWrapper:
        # The mark of the byte order stands at the beginning of the file alone.
        encoding = "utf-8" if self.begin and self.encoding == "utf-8-sig" else self.encoding
        if self.end is None:
            return opened(self.file.open("rb"), encoding)
        return opened(io.BytesIO(_read(self.file, self.begin, self.end)), encoding)

    def cut(self, size: int, rows: int, each: Each) -> Iterator[TextStretch]:
        """The same rows in stretches of about so many bytes and rows at the most, if no row is larger; whole,
        where only who reads all of it knows what a byte is."""
        if not self._is_clear():
            yield self
            return
        windows = self.windows(size)
        yield from stretches(windows, each(partial(survey, rows=rows), windows))

    def _is_clear(self) -> bool:
        """Whether a byte says by itself whether it ends a line or a cell."""
        mark = self.delimiter
        return self.encoding in ("utf-8", "utf-8-sig") and mark.isascii() and mark not in '"\r\n'

    def windows(self, size: int) -> list[TextStretch]:
        """Windows of so many bytes and what is left of a line; they may begin within a cell, and their
        rows have no numbers yet."""
        places = [0, *_ends_of_lines(self.file, size), self.size]
        return [
            replace(self, begin=begin, end=end) for begin, end in pairwise(places) if begin < end
        ]


def _read(file: Path, begin: int, end: int) -> bytes:
    with file.open("rb") as stream:
        stream.seek(begin)
        return stream.read(end - begin)


def _ends_of_lines(file: Path, size: int) -> Iterator[int]:
    """The ends of the first lines that end behind so many bytes, and behind as many from there."""
    with file.open("rb") as stream:
        stream.seek(size)
        while piece := stream.readline(PIECE):
            if piece[-1] == LF:
                end = stream.tell()
            elif CR in piece[:-1]:  # lines that end as they did on early computers
                end = stream.tell() - len(piece) + piece.index(CR) + 1
            else:
                continue
            yield end
            stream.seek(end + size)


# ------------------------------------------------------------------------------- a survey


@dataclass(frozen=True, slots=True)
class Rows:
    """Where rows begin in a window, and whether a quoted cell is open at its end."""

    begins: Sequence[tuple[int, int]]  # byte of the window, rows that begin in the window before it
    number: int  # how many begin in it
    is_open: bool


@dataclass(frozen=True, slots=True)
class Survey:
    """What a window holds."""

    outside: Rows  # if no quoted cell is open at its beginning
    inside: Rows  # if one is


def survey(window: TextStretch, rows: int) -> Survey:
    """What this window holds; of the rows, the first and every so-manieth is told."""
    letters = _read(window.file, window.begin, window.begin + window.size)
    codes = np.frombuffer(letters, np.uint8)
    returns = codes == CR
    returns[:-1] &= codes[1:] != LF
    ends = np.flatnonzero((codes == LF) | returns) + 1
    marked = not window.begin and window.encoding == "utf-8-sig"
    cells, closing = _quoted(window.delimiter, marked)
    outside = _rows(letters, ends, cells.finditer(letters), 0, rows)
    if b'"' not in letters:
        return Survey(outside, Rows((), 0, True))
    first = closing.match(letters)
    assert first  # it matches anything
    if not first["end"]:
        return Survey(outside, Rows((), 0, True))
    inside = _rows(letters, ends, cells.finditer(letters, first.end()), first.end(), rows)
    return Survey(outside, inside)


@cache
def _quoted(delimiter: str, marked: bool) -> tuple[re.Pattern[bytes], re.Pattern[bytes]]:
    """A quoted cell, which begins where a cell begins, at first perhaps behind a mark of the byte order; and
    the rest of one that is open."""
    rest = rb'[^"]*+(?:""[^"]*+)*+(?P<end>"|\Z)'
    first = rb"\A(?:\xef\xbb\xbf)?" if marked else rb"\A"
    before = rb"(?:" + first + rb"|[" + re.escape(delimiter.encode()) + rb"\r\n])"
    return re.compile(before + rb'(?P<cell>"' + rest + rb")"), re.compile(rest)


def _rows(
    letters: bytes, ends: NDArray[np.intp], cells: Iterable[re.Match[bytes]], since: int, rows: int
) -> Rows:
    """The rows that begin from a byte on, from which on these are all quoted cells."""
    spans, is_open = [], False
    for cell in cells:
        spans.append(cell.span("cell"))
        is_open = not cell["end"]
    free = ends[ends > since]
    if spans:
        begin, end = np.array(spans).T
        at = np.searchsorted(begin, free - 1, "right") - 1
        free = free[(at < 0) | (free - 1 >= end[np.maximum(at, 0)])]
    if not since:
        free = np.concatenate([np.zeros(1, free.dtype), free])
    free = free[free < len(letters)]
    begins = zip(free[::rows].tolist(), range(0, len(free), rows), strict=True)
    return Rows(list(begins), len(free), is_open)


def stretches(windows: Sequence[TextStretch], surveys: Iterable[Survey]) -> Iterator[TextStretch]:
    """The stretches of whole rows, in order, of the windows of a file, each with its survey."""
    begins: list[tuple[int, int]] = []
    is_open, number = False, 1
    for window, found in zip(windows, surveys, strict=True):
        rows = found.inside if is_open else found.outside
        begins += [(window.begin + at, number + before) for at, before in rows.begins]
        is_open, number = rows.is_open, number + rows.number
    ends = [*(at for at, _ in begins[1:]), *(window.end for window in windows[-1:])]
    for (begin, first), end in zip(begins, ends, strict=True):
        yield replace(windows[0], begin=begin, end=end, first=first)
