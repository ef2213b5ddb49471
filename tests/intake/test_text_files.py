"""Join forms in text files: encodings, delimiters, quotes, untidy lines."""

from __future__ import annotations

import codecs
import csv
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onboard import intake
from onboard.errors import FileTrouble
from onboard.intake import delimited
from onboard.model import RawRow

FORMS = "Name,Email,City\nJosé Muñoz,jose@example.org,Lima\nZoë Ko,zoe@example.com,Elida\n"
PARSED = [("José Muñoz", "jose@example.org", "Lima"), ("Zoë Ko", "zoe@example.com", "Elida")]


def write(folder: Path, data: str | bytes, name: str = "forms.csv") -> Path:
    file = folder / name
    file.write_bytes(data.encode() if isinstance(data, str) else data)
    return file


def read(file: Path) -> list[RawRow]:
    return list(intake.open_rows(file).rows())


def texts(rows: list[RawRow]) -> list[tuple[str, ...]]:
    return [tuple(cell for _head, cell in row.cells) for row in rows]


def codes(row: RawRow) -> list[str]:
    return [f.code for f in row.findings]


# Byte order marks: the Unicode Standard, section 23.8.
@pytest.mark.parametrize(
    ("data", "named"),
    [
        (FORMS.encode("utf-8"), "UTF-8"),
        (codecs.BOM_UTF8 + FORMS.encode("utf-8"), "UTF-8"),
        (codecs.BOM_UTF16_LE + FORMS.encode("utf-16-le"), "UTF-16"),
        (codecs.BOM_UTF16_BE + FORMS.encode("utf-16-be"), "UTF-16"),
        (FORMS.encode("utf-16-le"), "UTF-16"),
        (FORMS.encode("utf-16-be"), "UTF-16"),
        (codecs.BOM_UTF32_LE + FORMS.encode("utf-32-le"), "UTF-32"),
        (FORMS.encode("cp1252"), "Windows-1252"),
    ],
    ids=["utf-8", "utf-8-bom", "16le-bom", "16be-bom", "16le", "16be", "32le-bom", "cp1252"],
)
def test_every_encoding_gives_the_same_rows(tmp_path: Path, data: bytes, named: str) -> None:
    sheet = intake.open_rows(write(tmp_path, data))
    assert texts(list(sheet.rows())) == PARSED
    assert sheet.notes[0] == f"Read as {named} text, cells separated by commas."
    plain = read(write(tmp_path, FORMS, "plain.csv"))
    assert [row.key for row in sheet.rows()] == [row.key for row in plain]


def test_windows_1252_is_said(tmp_path: Path) -> None:
    sheet = intake.open_rows(write(tmp_path, FORMS.encode("cp1252")))
    assert sheet.notes == (
        "Read as Windows-1252 text, cells separated by commas.", "Check the accented letters.",
    )  # fmt: skip
    both = FORMS.encode("utf-8") + FORMS.encode("cp1252").partition(b"\n")[2]
    assert intake.open_rows(write(tmp_path, both)).notes[1] == (
        "Some bytes are not UTF-8 and were read as Windows-1252. Check the accented letters."
    )


def test_a_file_put_together_from_two_encodings_is_read_right_in_both(tmp_path: Path) -> None:
    data = FORMS.encode("utf-8") + "Renée Dó,renee@example.net,Lima\n".encode("cp1252")
    assert texts(read(write(tmp_path, data)))[-1] == ("Renée Dó", "renee@example.net", "Lima")


@pytest.mark.parametrize("written_in", ["cp437", "mac-roman"])
def test_letters_of_yet_another_encoding_are_doubtful(tmp_path: Path, written_in: str) -> None:
    rows = read(write(tmp_path, "Name,Email\nJosé Cruz,jose@example.org\n".encode(written_in)))
    assert codes(rows[0]) == ["row.encoding"]


def test_an_odd_byte_at_the_end_of_utf_16_loses_nothing_else(tmp_path: Path) -> None:
    sheet = intake.open_rows(
        write(tmp_path, codecs.BOM_UTF16_LE + FORMS.encode("utf-16-le") + b"x")
    )
    assert texts(list(sheet.rows()))[:2] == PARSED
    assert "became the mark" in sheet.notes[1]


@pytest.mark.parametrize("mark", list(",;\t|"))
def test_every_delimiter_gives_the_same_rows(tmp_path: Path, mark: str) -> None:
    file = tmp_path / "forms.txt"
    with file.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream, delimiter=mark).writerows(
            [["Name", "Email", "Remarks"], ["Ruiz, Ana; Ms.", "ana@example.org", "a|b\tc, d; e"]]
        )
    assert texts(read(file)) == [("Ruiz, Ana; Ms.", "ana@example.org", "a|b\tc, d; e")]


@pytest.mark.parametrize(
    "text",
    [
        "Name;Email\nRuiz, Ana, Dr;ana@example.org\nLee, Bo, Mr;bo@example.org\n",
        "sep=;\nName;Email\nRuiz, Ana;ana@example.org\n",
        '"Name";"Email, or none"\n"Ruiz, Ana";"ana@example.org"\n',
    ],
)
def test_commas_inside_names_do_not_mislead(tmp_path: Path, text: str) -> None:
    row = read(write(tmp_path, text))[0]
    assert row.fields["full_name"].startswith("Ruiz, Ana")
    assert row.cells[1][1] == "ana@example.org"


def test_one_column_needs_no_delimiter(tmp_path: Path) -> None:
    file = write(tmp_path, "Email\nana@example.org\nbo@example.org\n")
    assert [row.fields for row in read(file)] == [
        {"email": "ana@example.org"}, {"email": "bo@example.org"},
    ]  # fmt: skip


def test_quoted_newlines_stay_in_their_cell_and_rows_are_counted(tmp_path: Path) -> None:
    rows = read(write(tmp_path, 'Name,Address\r\n"Ana","12 N Main St\r\nLima OH"\r\nBo,9 Elm\r\n'))
    assert texts(rows) == [("Ana", "12 N Main St\nLima OH"), ("Bo", "9 Elm")]
    assert [row.line for row in rows] == [2, 3]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_is_read(tmp_path: Path, end: str) -> None:
    rows = read(write(tmp_path, FORMS.replace("\n", end)))
    assert texts(rows) == PARSED


def test_title_rows_blank_rows_repeated_headings_and_totals_are_passed_over(tmp_path: Path) -> None:
    text = (
        ",,\nSpring sign-ups,,\n,,\nName,Email,Boxes\nAna Ruiz,ana@example.org,2\n,,\n"
        "Name,Email,Boxes\nTotal Wine,tw@example.org,1\nBo Lee,bo@example.org,3\nTotal: 3,,6\n,,\n"
    )
    sheet = intake.open_rows(write(tmp_path, text))
    assert [(r.line, r.fields["full_name"]) for r in sheet.rows()] == [
        (5, "Ana Ruiz"), (8, "Total Wine"), (9, "Bo Lee"),
    ]  # fmt: skip
    assert sheet.notes[-1] == "The headings are in row 4."
    assert sheet.passed_over.words() == (
        "2 rows are blank: 6, 11.", "1 row is the headings again: 7.", "1 row is totals: 10.",
    )  # fmt: skip


def test_a_file_without_headings_is_read_by_its_values(tmp_path: Path) -> None:
    sheet = intake.open_rows(write(tmp_path, "Ana Ruiz,ana@example.org\nBo Lee,bo@example.org\n"))
    assert [r.fields["email"] for r in sheet.rows()] == ["ana@example.org", "bo@example.org"]
    assert "No headings were found" in sheet.notes[-1]
    assert "--column HEADING=full_name" in sheet.columns.questions[0].ask
    told = intake.open_rows(sheet.file, told={"column 1": "full_name"})
    assert not told.columns.questions
    assert [r.fields["full_name"] for r in told.rows()] == ["Ana Ruiz", "Bo Lee"]


def test_rows_longer_or_shorter_than_the_headings_are_kept_and_said(tmp_path: Path) -> None:
    rows = read(write(tmp_path, "Name,Email,City\nAna,a@example.org,Lima,x,y\nBo,b@example.org\n"))
    assert rows[0].cells[3:] == (("column 4", "x"), ("column 5", "y"))
    assert rows[1].cells[2] == ("City", "")
    assert [[f.note for f in row.findings] for row in rows] == [
        ["This row has 5 cells under 3 headings. Left over: x, y. Make sure that each cell is under "
         "its own heading."],
        ["This row has 2 cells under 3 headings. Missing at the end: 1. What is missing counts as "
         "empty. If it was empty, there is nothing to do."],
    ]  # fmt: skip


def test_cells_that_are_only_separators_at_the_end_are_nothing(tmp_path: Path) -> None:
    rows = read(write(tmp_path, "Name,Email,,\nAna,a@example.org,,\nBo,b@example.org,,,,\n"))
    assert [codes(row) for row in rows] == [[], []]


def test_rows_swallowed_by_a_lost_quotation_mark_are_blocking(tmp_path: Path) -> None:
    lines = "".join(f"P {n},p{n}@example.org,Lima\n" for n in range(50))
    rows = read(
        write(tmp_path, 'Name,Email,City\nAna,a@example.org,Lima\n"Bo,b@example.org,Lima\n' + lines)
    )
    assert [codes(row) for row in rows] == [[], ["row.shorter", "row.swallowed"]]
    assert "holds 50 more lines" in rows[1].findings[1].note


def test_an_address_of_several_lines_is_not_taken_for_swallowed_rows(tmp_path: Path) -> None:
    text = 'Name,Address\nAna Ruiz,"12 N Main St\nLima, OH, 45801"\n'
    assert codes(read(write(tmp_path, text))[0]) == []


def test_nul_bytes_are_taken_out_of_fields_only(tmp_path: Path) -> None:
    row = read(write(tmp_path, b"Name,Email\nAna\0 Ruiz,ana@example.org\n"))[0]
    assert row.cells[0] == ("Name", "Ana\0 Ruiz")
    assert row.fields["full_name"] == "Ana Ruiz"
    assert codes(row) == ["row.control"]


def test_a_cell_of_ten_megabytes_is_kept_and_its_field_cut(tmp_path: Path) -> None:
    junk = "<b>" * 3_500_000
    row = read(write(tmp_path, f"Name,Email\n{junk},ana@example.org\n"))[0]
    assert row.cells[0][1] == junk
    assert len(row.fields["full_name"]) == 32_767
    assert codes(row) == ["row.huge"]


@pytest.mark.parametrize(
    ("data", "trouble"),
    [
        (b"", "is empty"),
        (b"\n\n ,,\n", "is empty"),
        (b"%PDF-1.7\n...", "is a PDF document, not a table"),
        (b"\x89PNG\r\n\x1a\n", "is a picture"),
        (b"<html><table><tr><td>Name</td></tr></table></html>", "is a web page"),
        (b'[{"name": "Ana"}]', "is JSON"),
        (b"{\\rtf1 Name}", "is a word-processor document"),
        (bytes(range(1, 32)) * 40, "is not a text file"),
        (b"PK\x03\x04junk", "is damaged"),
    ],
)
def test_what_is_no_table_is_trouble_that_says_what_to_do(
    tmp_path: Path, data: bytes, trouble: str
) -> None:
    with pytest.raises(FileTrouble, match=trouble):
        intake.open_rows(write(tmp_path, data))


def test_a_folder_and_a_missing_file_are_trouble(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match=r"is a folder\. Give one of the files in it"):
        intake.open_rows(tmp_path)
    with pytest.raises(FileTrouble, match="can't find that file"):
        intake.open_rows(tmp_path / "forms.csv")


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root reads everything")
def test_a_file_that_may_not_be_read_is_trouble(tmp_path: Path) -> None:
    file = write(tmp_path, FORMS)
    file.chmod(0)
    with pytest.raises(FileTrouble, match="may not be read by you"):
        intake.open_rows(file)


def test_rows_may_be_asked_for_twice(tmp_path: Path) -> None:
    sheet = intake.open_rows(write(tmp_path, FORMS))
    assert list(sheet.rows()) == list(sheet.rows())


def test_two_hundred_thousand_rows_fit_into_a_small_process(tmp_path: Path) -> None:
    """The whole process, interpreter and libraries included, grows by less than 20 MB."""
    line = "Ana Ruiz,ana{}@example.org,419-555-0143,12 N Main St,Lima,OH,45801\n"
    file = tmp_path / "many.csv"
    with file.open("w", encoding="utf-8") as stream:
        stream.write("Name,Email,Phone,Street,City,State,ZIP\n")
        stream.writelines(line.format(n) for n in range(200_000))
    code = (
        "import resource, sys; from pathlib import Path; from onboard import intake\n"
        "rows = intake.open_rows(Path(sys.argv[1])).rows(); next(rows)\n"
        "peak = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
        "before = peak(); count = 1 + sum(1 for _ in rows); print(count, peak() - before)"
    )
    out = subprocess.run(
        [sys.executable, "-c", code, str(file)], capture_output=True, text=True, check=True
    )
    count, grown = map(int, out.stdout.split())
    assert count == 200_000
    assert grown < 20_000  # kilobytes


CELL = st.text(
    st.characters(exclude_categories=("Cs",), exclude_characters="\r\ufeff"), max_size=12
)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    rows=st.lists(st.tuples(CELL, CELL), min_size=1, max_size=6),
    mark=st.sampled_from(",;\t|"),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_whatever_the_cells_hold_they_are_read_as_written(
    tmp_path: Path, rows: list[tuple[str, str]], mark: str, encoding: str
) -> None:
    file = tmp_path / "forms.csv"
    with file.open("w", newline="", encoding=encoding) as stream:
        writer = csv.writer(stream, delimiter=mark, quoting=csv.QUOTE_ALL)
        writer.writerow(["Name", "Email", "City"])
        writer.writerows([*row, "Lima"] for row in rows)
    found = texts(read(file))
    assert found == [(*row, "Lima") for row in rows]


@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.binary(max_size=300))
def test_no_bytes_raise_anything_but_file_trouble(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "forms.csv"
    file.write_bytes(b"Name,Email\n" + data)
    try:
        rows = read(file)
    except FileTrouble:
        return
    assert all(isinstance(row.key, str) for row in rows)


def test_the_delimiter_is_not_found_in_letters() -> None:
    """csv.Sniffer of Python 3.11 takes a letter for the delimiter of this text."""
    assert delimited.delimiter("Email\nana@example.org\nbo@example.org\n") == ","
