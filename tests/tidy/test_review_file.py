"""The review file is written for people, and read back exactly as it was meant."""

from __future__ import annotations

import csv
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onboard.errors import FileTrouble
from onboard.guard import is_live
from onboard.intake.changes import Reviewed, read_changes
from onboard.model import Change, Proposal
from onboard.reports import changes

NAME = {"given": "Pat", "middle": "", "family": "Lee", "suffix": "", "title": "", "called": "",
        "former": "", "joint": []}  # fmt: skip
EMAIL = Change(1, "email", "pat@exmaple.org", "pat@example.org", "a slip in the domain")
PROPOSALS = (
    EMAIL,
    Change(1, "name", NAME | {"family": "LEE"}, NAME, "capitals"),
    Change(2, "address", ["9 elm"], ["9 ELM ST", "LIMA OH 45801"], ""),
    Change(2, "consent", None, True, "=HYPERLINK(1)"),
    Change(3, "phone", "tel:+14195550143", "", "it is nobody's"),
    Change(4, "standing", "open", "closed", ""),
    Change(5, "merged_into", None, 4, "the same person"),
    Change(6, "extras", {}, {"Needs": "a ramp"}, ""),
)


def written(file: Path, *said: Change) -> list[dict[str, str]]:
    changes.write(file, [Proposal(change, "patlee", "Pat Lee", "email.typo") for change in said])
    with file.open(encoding="utf-8-sig", newline="") as stream:
        return list(csv.DictReader(stream))


def given_back(file: Path, rows: list[dict[str, str]], **filled_in: str) -> tuple[Reviewed, ...]:
    """The file after somebody wrote the same into the columns of every line."""
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(row | filled_in for row in rows)
    return read_changes(file)


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_every_kind_of_change_is_read_back_as_it_was_written(tmp_path: Path, ending: str) -> None:
    file = tmp_path / f"review{ending}"
    changes.write(file, map(Proposal, PROPOSALS))
    assert [r.change for r in read_changes(file)] == list(PROPOSALS)
    assert not any(r.approved or r.better for r in read_changes(file))


def test_a_line_is_printed_on_one_sheet_of_paper(tmp_path: Path) -> None:
    file = tmp_path / "review.xlsx"
    changes.write(file, map(Proposal, PROPOSALS))
    with zipfile.ZipFile(file) as packed:
        sheet = packed.read("xl/worksheets/sheet1.xml").decode("utf-8")
    setup = re.search(r"<pageSetup [^>]*>", sheet)
    assert setup
    assert '<pageSetUpPr fitToPage="1"/>' in sheet
    # ISO/IEC 29500-1, section 18.3.1.63: fitToWidth is 1 where it is not named.
    assert "fitToWidth" not in setup[0]


VALUES = st.text(max_size=20) | st.lists(st.text(max_size=10), max_size=3)


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(before=VALUES, after=VALUES)
def test_any_value_is_read_back_exactly_and_no_cell_is_a_formula(
    tmp_path: Path, before: Any, after: Any
) -> None:
    rows = written(tmp_path / "review.csv", Change(1, "site", before, after, "why"))
    cells = [cell for row in rows for cell in row.values()]
    assert all(cell.startswith("'") for cell in cells if is_live(cell))
    (line,) = given_back(tmp_path / "review.csv", rows, Approve="yes")
    assert (line.change.before, line.change.after, line.better) == (before, after, None)


@pytest.mark.parametrize(
    ("said", "approved"),
    [("yes", True), ("Y", True), (" X ", True), ("Sí", True), ("TRUE", True), ("no", False),
     ("", False), ("N", False)],
)  # fmt: skip
def test_people_approve_in_their_own_words(tmp_path: Path, said: str, approved: bool) -> None:
    file = tmp_path / "review.csv"
    (line,) = given_back(file, written(file, EMAIL), Approve=said)
    assert line.approved is approved


def test_what_a_person_wrote_instead_is_kept_as_written(tmp_path: Path) -> None:
    file = tmp_path / "review.csv"
    rows = written(file, EMAIL)
    (line,) = given_back(file, rows, Approve="yes", **{"Change to": " Pat.Lee@example.org "})
    assert line == Reviewed(2, EMAIL, True, "Pat.Lee@example.org")


@pytest.mark.parametrize(
    ("filled_in", "words"),
    [
        ({"Approve": "perhaps"}, 'row 2: "perhaps" under Approve is neither yes nor no'),
        ({"Approve": "yes", "Exact values (leave as it is)": "{"}, "the exact values were changed"),
        ({"Approve": "yes", "Member": "Pat"}, "it has no member's number"),
        ({"Approve": "yes", "Change to": ""}, 'nothing is under "Change to"'),
    ],
)
def test_a_line_that_cannot_be_used_is_said(
    tmp_path: Path, filled_in: dict[str, str], words: str
) -> None:
    file = tmp_path / "review.csv"
    with pytest.raises(FileTrouble) as caught:
        given_back(file, written(file, EMAIL), **filled_in)
    assert words in str(caught.value)


def test_another_file_is_not_taken_for_a_review_file(tmp_path: Path) -> None:
    file = tmp_path / "members.csv"
    file.write_text("Name,Email\nPat Lee,pat@example.org\n")
    with pytest.raises(FileTrouble, match=r"is not a review file: it has no columns \"Approve\""):
        read_changes(file)


def test_a_file_that_somebody_may_have_worked_in_is_kept(tmp_path: Path) -> None:
    file = tmp_path / "review.csv"
    written(file, EMAIL)
    written(file, *PROPOSALS)
    assert [r.change for r in read_changes(tmp_path / "review (earlier).csv")] == [EMAIL]
