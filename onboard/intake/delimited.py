"""Reads tables in text files: comma, semicolon, tab or pipe between cells (RFC 4180 and kin)."""

from __future__ import annotations

import csv
import io
import re
import sys
from collections import Counter
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.intake.encodings import NAMES, PEEK, encoding, has_utf8, opened
from onboard.intake.headings import count_known
from onboard.intake.stretches import TextStretch
from onboard.intake.table import Table

DELIMITERS = ",;\t|"
_LONGEST_LINE = 1 << 20  # characters; headings are shorter


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
    with opened(file.open("rb"), name) as stream:
        start = stream.read(PEEK)
    junk = len(_JUNK.findall(start))
    if junk > 100 and junk > len(start) / 10:
        raise FileTrouble(
            f"{file} is not a text file. Open it in the program it came from and save it as CSV "
            "or XLSX."
        )
    mark = delimiter(start)
    _refuse_endless_line(file, name, mark)
    is_old = not sound and name.startswith("utf-8") and not has_utf8(file)
    notes = [
        f"Read as {'Windows-1252' if is_old else NAMES[name]} text, cells separated by {_words(mark)}."
    ]
    if not sound:
        notes.append(
            "Check the accented letters."
            if is_old
            else "Some bytes are not UTF-8 and were read as Windows-1252. Check the accented letters."
            if name.startswith("utf-8")
            else f"Some bytes are not {NAMES[name]} and became the mark \ufffd. Check the letters there."
        )

    whole = TextStretch(file.absolute(), name, mark, names_delimiter=says_delimiter(start))
    return Table("", whole.lines, mark, tuple(notes), whole)


def says_delimiter(start: str) -> bool:
    """Whether the first line is one with which spreadsheets name the delimiter, and no row."""
    return start.lstrip("\ufeff")[:4].casefold() == "sep="


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
    with opened(file.open("rb"), name) as stream:
        next(csv.reader(beginning(stream), delimiter=mark), None)
    if read > _LONGEST_LINE:
        raise FileTrouble(
            f"The first line of {file} has more than {_LONGEST_LINE:,} characters, so it can't be a row"
            " of headings. Make sure that it is the right file, or save it again as CSV."
        )


def _words(mark: str) -> str:
    names = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "vertical bars"}
    return names.get(mark, repr(mark))
