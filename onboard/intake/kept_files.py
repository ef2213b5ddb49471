"""Files of the co-op's folder that hold somebody: exports, reports, sheets, copies of the roster.

They are read as far as the program can; of the rest it says that it cannot.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from email import message_from_bytes
from email.policy import default
from html import unescape
from pathlib import Path

from python_calamine import CalamineError, CalamineWorkbook

from onboard import unfinished

PARTS = unfinished.SUFFIX  # what a program left half written: an email, or anything
TEXTS = frozenset(
    (".csv", ".tsv", ".txt", ".json", ".html", ".htm", ".md", ".eml", ".ics", ".vcf", ".log", PARTS)
)
DATABASES = frozenset((".db", ".sqlite", ".sqlite3", ".bak"))
SHEETS = frozenset((".xlsx", ".xlsm", ".xls", ".ods"))
CLOSED = frozenset(
    (".pdf", ".docx", ".odt", ".zip", ".gz", ".7z", ".numbers")
)  # nothing here reads them
SQLITE = b"SQLite format 3\0"
LOGS = ("-wal", "-shm", "-journal")  # of a database, read with it
LARGEST = 200_000_000  # bytes of a file that is read
MOST_FILES, MOST_BYTES = 10_000, 2_000_000_000  # that are read: nobody waits for all their music
KNOWN = TEXTS | DATABASES | SHEETS | CLOSED  # others, as pictures, are no records of members
OTHERS = frozenset(("node_modules", "venv", "__pycache__"))  # folders that are nobody's records


@dataclass(slots=True)
class Kept:
    """The files that were looked at."""

    holds: list[Path] = field(default_factory=list)  # speak of them
    copies: list[Path] = field(default_factory=list)  # of the roster, in which the member still is
    unread: list[Path] = field(default_factory=list)  # the program cannot look inside
    is_whole: bool = True  # whether all files were looked at


def search(
    folders: Collection[Path],
    speaks: Callable[[str], bool],
    numbers: Collection[int],
    besides: Collection[Path],
) -> Kept:
    """The files in these folders that hold a member, told by what `speaks` says of a line of text.

    `numbers` are the member's: a copy of the roster that has one of them holds the member. `besides`
    are files that are not asked about. A file that cannot be opened is unread, no trouble.
    """
    kept = Kept()
    passed = {path.resolve() for path in besides}
    for file in _files(folders, kept):
        if file.resolve() in passed or file.name.endswith(LOGS):
            continue
        try:
            held = holds(file, speaks, numbers)
        except (OSError, CalamineError, sqlite3.Error, ValueError, LookupError):
            held = None
        if held is None:
            kept.unread.append(file)
        elif held:
            (kept.copies if _is_database(file) else kept.holds).append(file)
    return kept


def _files(folders: Collection[Path], kept: Kept) -> Iterator[Path]:
    seen: set[Path] = set()
    waiting = [folder for folder in folders if folder.is_dir()]
    left = MOST_BYTES
    while waiting:
        folder = waiting.pop(0)
        if folder.resolve() in seen:
            continue
        seen.add(folder.resolve())
        try:
            inside = sorted(folder.iterdir())
        except OSError:
            kept.unread.append(folder)
            continue
        for path in inside:
            hidden = path.name.startswith(".") and path.suffix != PARTS
            if hidden or path.is_symlink():
                continue
            if path.is_dir():
                waiting += [] if path.name in OTHERS else [path]
            elif path.suffix.lower() in KNOWN and path.is_file():
                left -= path.stat().st_size
                if len(seen) > MOST_FILES or left < 0:
                    kept.is_whole = False
                    return
                seen.add(path)
                yield path


def holds(file: Path, speaks: Callable[[str], bool], numbers: Collection[int]) -> bool | None:
    """Whether the file holds them; None if nothing here can tell. Raises `OSError`, `ValueError` and what
    those who read it raise."""
    ending = file.suffix.lower()
    if ending in CLOSED or file.stat().st_size > LARGEST:
        return None
    if _is_database(file):
        return _has_member(file, numbers)
    if ending in SHEETS:
        return any(map(speaks, _rows(file)))
    content = file.read_bytes()
    text = None if content.startswith(b"PK") else _text(content)
    if text is None:
        return None
    is_email = ending in (".eml", PARTS) and any(map(speaks, _email(content)))
    return is_email or any(map(speaks, unescape(text).splitlines()))


def _is_database(file: Path) -> bool:
    with file.open("rb") as stream:
        return stream.read(len(SQLITE)) == SQLITE


def _has_member(file: Path, numbers: Collection[int]) -> bool | None:
    """Whether a copy of the roster has one of the members; None for another program's database."""
    if not numbers:  # of a join form, which is no member's
        return None
    address = f"{file.absolute().as_uri()}?mode=ro"
    with closing(sqlite3.connect(address, uri=True, timeout=1)) as raw:
        names = {name for (name,) in raw.execute("SELECT name FROM sqlite_master")}
        if not {"member", "journal"} <= names:
            return None
        some = ", ".join(str(int(number)) for number in numbers)
        return bool(raw.execute(f"SELECT 1 FROM member WHERE id IN ({some})").fetchone())


def _rows(file: Path) -> Iterator[str]:
    with closing(CalamineWorkbook.from_path(str(file))) as book:
        for name in book.sheet_names:
            for row in book.get_sheet_by_name(name).to_python():
                yield " ".join(str(cell) for cell in row if cell != "")


def _email(content: bytes) -> Iterator[str]:
    message = message_from_bytes(content, policy=default)
    for name in ("to", "cc", "subject"):
        yield str(message.get(name, ""))
    for part in message.walk():
        if part.get_content_maintype() == "text":
            yield from unescape(str(part.get_content())).splitlines()


def _text(content: bytes) -> str | None:
    """The text of a file; None if it holds none."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", "replace")
    if b"\0" in content[:4096] or content.startswith(b"%PDF"):
        return None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")
