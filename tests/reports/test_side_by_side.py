"""Two records side by side: every field of both, and a word on whether they agree."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.office import HEADINGS, KIM, PAT, SETTINGS, onboard, write_csv
from python_calamine import CalamineWorkbook

from onboard.reports.side_by_side import Both

MEMBERS = (*HEADINGS, "Handle", "Joined", "Last sign-in", "SSN")
TWICE = [
    (*PAT, "patlee", "2024-01-15", "2025-02-01", "900-12-3456"),
    (*PAT[:3], "77 Elm St", *PAT[4:], "patlee2", "2025-03-04", "2026-05-06", "900-12-3456"),
    (*KIM, "kimvale", "2024-02-02", "", ""),
]


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    (tmp_path / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    write_csv(tmp_path / "members.csv", TWICE, MEMBERS)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def fields(file: Path, sheet: str) -> dict[str, tuple[str, str, str]]:
    """The rows of the first pair: by field, what the first has and the second, and the word on it."""
    rows = CalamineWorkbook.from_path(file).get_sheet_by_name(sheet).to_python()[1:]
    first = [list(map(str, row)) for row in rows if row[0] == rows[0][0]]
    return {what: (one, other, word) for _, what, one, other, word in first}


@pytest.mark.parametrize(
    ("one", "other", "word"),
    [
        ("Lima", "LIMA ", "same"), ("a", "b", "≠ not the same"), ("a", "", "only one has it"), ("", "", ""),
        ("not known", "2026-01-02", ""),
    ],
)  # fmt: skip
def test_whether_two_fields_agree_is_said_in_a_word(one: str, other: str, word: str) -> None:
    assert Both("City", one, other).compared == word


def test_a_merge_that_is_proposed_stands_side_by_side_with_when_each_was_used(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    onboard("audit", "--to", "out")
    told = fields(office / "out" / "changes.xlsx", "Merges")
    # The account that was used last stays.
    assert told["Sign-in name"] == ("patlee", "patlee2", "≠ not the same")
    assert told["Last sign-in"] == ("2025-02-01", "2026-05-06", "≠ not the same")
    assert told["Joined"] == ("2024-01-15", "2025-03-04", "≠ not the same")
    assert told["Phone"] == ("(419) 555-0143", "(419) 555-0143", "same")
    assert told["Address"][2] == "≠ not the same"
    rows = (
        CalamineWorkbook.from_path(office / "out" / "changes.xlsx")
        .get_sheet_by_index(0)
        .to_python()
    )
    sheet = CalamineWorkbook.from_path(office / "out" / "changes.xlsx").get_sheet_by_name("Merges")
    row = int(str(sheet.to_python()[1][0]).removesuffix(".0"))
    assert "merged into" in rows[row - 1]


@pytest.mark.parametrize("source", [(), ("members.csv",)])
def test_pairs_to_decide_stand_side_by_side(office: Path, source: tuple[str, ...]) -> None:
    onboard("adopt", "members.csv", "--record")
    onboard("audit", *source, "--to", "out")
    told = fields(office / "out" / "pairs.xlsx", "Side by side")
    assert {told["Sign-in name"][0], told["Sign-in name"][1]} == {"patlee", "patlee2"}
    assert {told["Last sign-in"][0], told["Last sign-in"][1]} == {"2025-02-01", "2026-05-06"}


def test_pairs_of_a_spreadsheet_stand_side_by_side_without_personal_numbers(office: Path) -> None:
    onboard("duplicates", "members.csv", "--to", "pairs.xlsx")
    told = fields(office / "pairs.xlsx", "Side by side")
    assert told["Last sign-in"] == ("2025-02-01", "2026-05-06", "≠ not the same")
    assert told["Email"][2] == "same"
    assert "SSN" not in told
    book = CalamineWorkbook.from_path(office / "pairs.xlsx")
    assert not any(
        "900-12" in str(c)
        for n in book.sheet_names
        for r in book.get_sheet_by_name(n).to_python()
        for c in r
    )


def test_a_list_with_headings_in_words_is_read_back(office: Path) -> None:
    for command in (
        ("duplicates", "members.csv", "--to", "pairs.xlsx"),
        ("audit", "members.csv", "--to", "out"),
    ):
        onboard(*command)
        file = (
            office / "pairs.xlsx" if command[0] == "duplicates" else office / "out" / "pairs.xlsx"
        )
        head, *rows = CalamineWorkbook.from_path(file).get_sheet_by_index(0).to_python()
        assert not [name for name in head if "_" in str(name)]
        at = [str(name) for name in head].index("Ruling")
        rows = [[*row[:at], "different", *row[at + 1 :]] for row in rows]
        write_csv(
            office / "ruled.csv", [tuple(map(str, row)) for row in rows], tuple(map(str, head))
        )
        again = onboard(*command, "--ruled", "ruled.csv")
        if command[0] == "duplicates":
            assert "0 pairs the same person" in again.words
            continue
        codes = [
            line.get("code", "")
            for line in onboard("audit", "members.csv", "--to", "out", "--json").json()
        ]
        assert not [code for code in codes if code.startswith("twice.")]
