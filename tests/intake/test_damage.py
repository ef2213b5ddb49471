"""What spreadsheets do to values. The forms of damage are common knowledge of the trade."""

from __future__ import annotations

from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard import intake
from onboard.intake import damage
from onboard.model import Kind, RawRow, Weight

# field, state, said, value, codes
CASES = [
    ("phone", "", "4195550143.0", "4195550143", ["row.phone_float"]),
    ("phone", "", "4195550143", "4195550143", []),
    ("phone", "", "+1 419 555 0143", "+1 419 555 0143", []),
    ("phone", "", "4.19555E+09", "4.19555E+09", ["row.scientific"]),
    ("phone", "", "4,19555E+09", "4,19555E+09", ["row.scientific"]),
    ("phone", "", "4.195550143E+09", "4195550143", ["row.scientific_whole"]),
    ("phone", "", "419.555.0143", "419.555.0143", []),
    ("zip", "", "1002", "01002", ["row.zip_zero"]),
    ("zip", "MA", "1002", "01002", ["row.zip_zero"]),
    ("zip", "Massachusetts", "1002.0", "01002", ["row.number_float", "row.zip_zero"]),
    ("zip", "pr", "601", "00601", ["row.zip_zero"]),
    ("zip", "NJ", "70301234", "07030-1234", ["row.zip_zero"]),
    ("zip", "NJ", "7030-1234", "07030-1234", ["row.zip_zero"]),
    ("zip", "NY", "5011234", "00501-1234", ["row.zip_zero"]),
    ("zip", "OH", "4580", "4580", ["row.zip_short"]),
    ("zip", "Ohio", "4580", "4580", ["row.zip_short"]),
    ("zip", "Mass.", "1002", "01002", ["row.zip_zero"]),
    ("zip", "QLD", "4011", "4011", ["row.zip_short"]),
    ("zip", "OH", "45801", "45801", []),
    ("zip", "OH", "45801.0", "45801", ["row.number_float"]),
    ("zip", "OH", "45801-1234", "45801-1234", []),
    ("zip", "", "12", "12", []),
    ("zip", "MA", '="01002"', "01002", ["row.text_formula"]),
    ("zip", "MA", "'01002", "01002", ["row.text_formula"]),
    ("unit", "", "4-Mar", "3-4", ["row.unit_date"]),
    ("unit", "", "Mar-45", "3-45", ["row.unit_date"]),
    ("unit", "", "2026-03-04 00:00:00", "3-4", ["row.unit_date"]),
    ("unit", "", "2026-03-04", "3-4", ["row.unit_date"]),
    ("unit", "", "3/4/2026", "3-4", ["row.unit_date"]),
    ("unit", "", "3-4", "3-4", []),
    ("unit", "", "4-Max", "4-Max", []),
    ("unit", "", "12.0", "12", ["row.number_float"]),
    ("unit", "", "1E5", "1E5", []),
    ("unit", "", "2E", "2E", []),
    ("number", "", "12.0", "12", ["row.number_float"]),
    ("city", "", "#N/A", "", ["row.error_value"]),
    ("city", "", "#REF!", "", ["row.error_value"]),
    ("city", "", "########", "", ["row.error_value"]),
    ("unit", "", "#4", "#4", []),
    ("full_name", "", "=1+1", "=1+1", ["row.formula"]),
    ("full_name", "", "@SUM(A1)", "@SUM(A1)", ["row.formula"]),
    ("full_name", "", "@ana", "@ana", []),
    ("full_name", "", "'Okina Ka'ai", "'Okina Ka'ai", []),
    ("full_name", "", "Ana\x00\x1f Ruiz", "Ana Ruiz", ["row.control"]),
    ("full_name", "", "Mu\ufffdoz", "Mu\ufffdoz", ["row.encoding"]),
    ("full_name", "", "Mu\udcf1oz", "Mu\udcf1oz", ["row.encoding"]),
    ("full_name", "", "Željko Šarić", "Željko Šarić", []),
    ("full_name", "", "Elena", "Elena", []),
    ("email", "", "  ana@example.org ", "ana@example.org", []),
]  # fmt: skip


@pytest.mark.parametrize(("field", "state", "said", "value", "codes"), CASES)
def test_damage_is_undone_or_said(
    field: str, state: str, said: str, value: str, codes: list[str]
) -> None:
    cleaned = damage.clean(said, field, state)
    assert cleaned.said == said
    assert cleaned.value == value
    assert [f.code for f in cleaned.findings] == codes
    assert all(f.field == field for f in cleaned.findings)


def test_notes_say_what_is_wrong_and_what_to_do() -> None:
    assert [f.note for f in damage.clean("4.19555E+09", "phone").findings] == [
        "The spreadsheet shortened this number to 4.19555E+09, and its last digits are lost. Ask for "
        "it again, and format the column as text."
    ]
    assert [f.note for f in damage.clean("4580", "zip", "Ohio").findings] == [
        "4580 has too few digits for a ZIP code, and ZIP codes in OHIO don't start with 0. Ask "
        "for the ZIP code."
    ]
    assert [f.note for f in damage.clean("4-Mar", "unit").findings] == [
        'The spreadsheet took this number for a date, "4-Mar". It was probably 3-4. Ask when you '
        "can."
    ]


def _rows(folder: Path, kind: Kind, text: str) -> list[RawRow]:
    lines = [line.split(",") for line in text.splitlines()]
    if kind.context["file"] == "csv":
        file = folder / "forms.csv"
        file.write_text(text, "utf-8")
    else:
        file = folder / "forms.xlsx"
        with xlsxwriter.Workbook(str(file)) as book:
            sheet = book.add_worksheet()
            for r, line in enumerate(lines):
                for c, cell in enumerate(line):
                    if cell == kind.context["merged"]:
                        sheet.merge_range(r - 1, c, r, c, lines[r - 1][c])
                    else:
                        sheet.write_string(r, c, cell)
    return list(intake.open_rows(file).rows())


def _codes(folder: Path, kind: Kind, text: str) -> set[str]:
    if "file" in kind.context:
        return {f.code for row in _rows(folder, kind, text) for f in row.findings}
    text *= int(kind.context.get("repeated", "1"))
    cleaned = damage.clean(text, kind.context["field"], kind.context.get("state", ""))
    return {f.code for f in cleaned.findings}


@pytest.mark.parametrize("kind", intake.KINDS, ids=lambda kind: kind.code)
def test_every_kind_is_found_in_its_wrong_example_and_not_in_its_right(
    tmp_path: Path, kind: Kind
) -> None:
    assert kind.code in _codes(tmp_path, kind, kind.wrong)
    if "repeated" not in kind.context:
        assert kind.code not in _codes(tmp_path, kind, kind.right)
    assert kind.code.startswith("row.")


def test_only_rows_that_would_be_lost_block() -> None:
    assert [k.code for k in intake.KINDS if k.weight is Weight.BLOCKING] == ["row.swallowed"]


FIELD = st.sampled_from([*intake.FIELDS])
TEXT = st.one_of(
    st.text(max_size=40),
    st.from_regex(r"[='+@#\-]?[\dE.\-/+#A-Za-z]{0,14}", fullmatch=True),
    st.sampled_from([case[2] for case in CASES]),
)


@settings(max_examples=300, deadline=None)
@given(said=TEXT, field=FIELD, state=st.sampled_from(["", "OH", "MA", "x"]))
def test_repairing_what_was_repaired_changes_nothing(said: str, field: str, state: str) -> None:
    once = damage.clean(said, field, state)
    again = damage.clean(once.value or "", field, state)
    assert again.value == once.value
    assert not [f for f in again.findings if f.weight is Weight.MENDED]


@settings(max_examples=200, deadline=None)
@given(said=TEXT, field=FIELD)
def test_what_is_called_plain_has_no_findings(said: str, field: str) -> None:
    text = said.strip()
    if damage.is_plain(text, field):
        assert damage._mended(text, field, "") == (text, [])
