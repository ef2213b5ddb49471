"""What a file is, by what is in it; the tables in it."""

from __future__ import annotations

from pathlib import Path

from onboard.errors import FileTrouble
from onboard.intake import delimited, parquet, workbook
from onboard.intake.table import Table

# What a file is, by its first bytes; each with what to do about it.
_OTHER_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a packed (gzip) file"),
    (b"7z\xbc\xaf\x27\x1c", "a packed (7z) file"),
    (b"Rar!", "a packed (rar) file"),
    (b"{\\rtf", "a word-processor document"),
    (b"SQLite format 3\0", "a database"),
)
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # [MS-CFB] section 2.2
_ZIP = b"PK\x03\x04"


def tables_of(file: Path) -> list[Table]:
    """The tables in a file, by what is in it and not by what it is called.

    Raises `FileTrouble` when the file is not there, may not be read, is empty or holds no table.
    """
    if file.is_dir():
        raise FileTrouble(f"{file} is a folder. Give one of the files in it.")
    try:
        with file.open("rb") as stream:
            start = stream.read(4096)
        if not start:
            raise FileTrouble(f"{file} is empty. Make sure that it is the right file.")
        if start.startswith((_OLE, _ZIP)):
            return workbook.open_tables(file)
        if start.startswith(parquet.MARK):
            return [parquet.open_table(file)]
        for mark, what in _OTHER_KINDS:
            if start.startswith(mark):
                raise FileTrouble(_wrong_kind(file, what))
        opening = start.lstrip(b"\xef\xbb\xbf \t\r\n")[:200].lower()
        if opening.startswith((b"<html", b"<!doctype", b"<table", b"<?xml", b"<meta")):
            raise FileTrouble(_wrong_kind(file, "a web page or XML document"))
        if opening.startswith((b"{", b"[{")):
            raise FileTrouble(_wrong_kind(file, "JSON"))
        return [delimited.open_table(file)]
    except FileNotFoundError as error:
        raise FileTrouble(
            f"{file}: can't find that file. Check the spelling of its name."
        ) from error
    except PermissionError as error:
        raise FileTrouble(
            f"{file}: you are not allowed to read it. Ask whoever owns it."
        ) from error
    except OSError as error:
        raise FileTrouble(f"Can't read {file}: {error.strerror or error}.") from error


def _wrong_kind(file: Path, what: str) -> str:
    return (
        f"{file} is {what}, not a table. Open it in the program it came from and save it as CSV "
        "or XLSX."
    )
