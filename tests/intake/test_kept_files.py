"""Files in the co-op's folder that hold somebody, as far as they can be read."""

from __future__ import annotations

import base64
import sqlite3
from contextlib import closing
from pathlib import Path
from zipfile import ZipFile

import pytest
import xlsxwriter

from onboard.intake import kept_files

EMAIL = (
    "From: a@example.org\nTo: b@example.org\nSubject: hello\nMIME-Version: 1.0\n"
    'Content-Type: text/plain; charset="utf-8"\nContent-Transfer-Encoding: base64\n\n'
)


def speaks(text: str) -> bool:
    return "Quill" in text


def looked(folder: Path, *besides: Path) -> tuple[list[str], list[str], list[str]]:
    kept = kept_files.search([folder], speaks, [7], besides)
    return tuple(  # type: ignore[return-value]
        [str(file.relative_to(folder)) for file in files]
        for files in (kept.holds, kept.copies, kept.unread)
    )


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("list.csv", "name\nRob Quill\n".encode("cp1252")),
        ("list.txt", "é Rob Quill".encode("cp1252")),
        ("wide.csv", "name\nRob Quill\n".encode("utf-16")),
        ("page.html", b"<td>Rob&nbsp;Quill</td>"),
        ("mail.eml", (EMAIL + base64.b64encode(b"Dear Rob Quill").decode()).encode()),
        (".onboard-box-1-x.part", b"Rob Quill,half of a li"),
        ("sub/deep/list.json", b'{"name": "Rob Quill"}'),
    ],
)
def test_a_file_that_speaks_of_them_is_found(tmp_path: Path, name: str, content: bytes) -> None:
    (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
    (tmp_path / name).write_bytes(content)
    (tmp_path / "other.csv").write_bytes(b"name\nKim Vale\n")
    assert looked(tmp_path) == ([name], [], [])
    assert looked(tmp_path, tmp_path / name) == ([], [], [])


def test_a_workbook_is_read_row_by_row(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(tmp_path / "book.xlsx") as book:
        book.add_worksheet("one").write_row(0, 0, ["Kim", "Vale"])
        book.add_worksheet("two").write_row(3, 0, ["Rob", "Quill"])
    assert looked(tmp_path) == (["book.xlsx"], [], [])


def test_what_cannot_be_read_is_said(tmp_path: Path) -> None:
    (tmp_path / "letters.pdf").write_bytes(b"%PDF-1.7 Rob Quill")
    (tmp_path / "scan.txt").write_bytes(b"\0\1\2")
    (tmp_path / "photo.jpg").write_bytes(b"Rob Quill")  # no record of members
    (tmp_path / "broken.xlsx").write_bytes(b"no workbook")
    with ZipFile(tmp_path / "all.zip", "w") as archive:
        archive.writestr("list.csv", "Rob Quill")
    (tmp_path / ".hidden").write_bytes(b"Rob Quill")
    assert looked(tmp_path) == ([], [], ["all.zip", "broken.xlsx", "letters.pdf", "scan.txt"])


def test_a_copy_of_a_roster_holds_whom_it_has_by_number(tmp_path: Path) -> None:
    for name, number in (("copy.db", 7), ("other.db", 8)):
        with closing(sqlite3.connect(tmp_path / name)) as raw:
            raw.execute("CREATE TABLE member (id INTEGER)")
            raw.execute("CREATE TABLE journal (id INTEGER)")
            raw.execute(f"INSERT INTO member VALUES ({number})")
            raw.commit()
    with closing(sqlite3.connect(tmp_path / "music.sqlite")) as raw:
        raw.execute("CREATE TABLE song (name TEXT)")
        raw.commit()
    assert looked(tmp_path) == ([], ["copy.db"], ["music.sqlite"])


def test_what_is_too_much_to_read_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for n in range(3):
        (tmp_path / f"list{n}.csv").write_bytes(b"Rob Quill")
    monkeypatch.setattr(kept_files, "MOST_BYTES", 20)
    kept = kept_files.search([tmp_path], speaks, [7], [])
    assert (len(kept.holds), kept.is_whole) == (2, False)
