"""What was deleted does not come back with the next export of the same forms, under whatever headings."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.office import HEADINGS, KIM, PAT, onboard, write_csv
from sqlalchemy import select
from tidy.test_forget import roster
from tidy.test_forget_spoken import raw

from onboard.roster import store, tables

REMARK = "Anything else?"
BEFORE, SINCE = "2020-03-01 10:15", "2099-03-01 10:15"  # of any day on which this runs
DELETED = "Whoever wrote it was deleted at their request."


def give(name: str, heads: tuple[str, ...], *rows: tuple[str, ...]) -> str:
    return onboard("batch", write_csv(Path(name), rows, heads), "--record").words


def on_roster(text: str) -> int:
    """How many forms of the roster have the text in a cell."""
    with store.transaction(roster(), keep=False) as connection:
        cells = connection.execute(select(tables.row.c.cells)).scalars()
        return sum(text in str(one) for one in cells)


def test_a_heading_is_renamed_and_a_column_comes_and_the_name_stays_away(office: Path) -> None:
    heads = tuple("Who are you? (full name)" if h == "Full name" else h for h in HEADINGS)
    onboard("forget", "patlee", "--record")
    said = give("dec.csv", (*heads, "Volunteer?"), (*PAT, ""), (*KIM, ""))
    assert f"Row 2: left out, and nothing of it is saved. {DELETED}" in said
    assert "0 new members, 1 already a member" in said
    assert "pat.lee@" not in raw(office)
    assert on_roster("Pat Lee") == 0
    assert DELETED in give("dec.csv", (*heads, "Volunteer?"), (*PAT, ""))  # as often as it comes


def test_parts_of_the_name_in_columns_of_their_own_and_no_column_for_the_zip(office: Path) -> None:
    onboard("forget", "patlee", "--record")
    at = HEADINGS.index("ZIP")
    heads = ("First name", "Last name", *HEADINGS[1:at], *HEADINGS[at + 1 :])
    said = give("dec.csv", heads, ("Pat", "Lee", *PAT[1:at], *PAT[at + 1 :]))
    assert DELETED in said


@pytest.mark.parametrize(("on", "is_asked"), [(BEFORE, False), (SINCE, True)])
def test_a_form_that_is_newer_than_the_deletion_is_asked_about(
    office: Path, on: str, is_asked: bool
) -> None:
    onboard("forget", "patlee", "--record")
    said = give("dec.csv", ("Timestamp", *HEADINGS, "Volunteer?"), (on, *PAT, "yes"))
    assert ("was deleted on request. Ask them" in said) is is_asked
    assert (DELETED in said) is not is_asked


def test_without_a_timestamp_a_new_answer_is_asked_about(office: Path) -> None:
    onboard("forget", "patlee", "--record")
    new = ("Pat Lee", PAT[1], "740-555-0177", *PAT[3:])
    assert "was deleted on request. Ask them" in give("dec.csv", HEADINGS, new)


def test_a_namesake_of_whom_only_the_name_agrees_is_not_left_out(office: Path) -> None:
    one = ("Bo Quill", "", "740-555-0101", "77 Elm St", "Athens", "OH", "45701", "Lima Grange")
    onboard("batch", write_csv(Path("bo.csv"), [one]), "--record")
    (row,) = [r for r in onboard("batch", "bo.csv", "--json").json() if r.get("name") == "Bo Quill"]
    onboard("forget", f"row:{row['row']}", "--record")
    other = (BEFORE, "Bo Quill", "", "614-555-0166", "9 Low Rd", "Athens", "OH", "45701", "")
    said = give("new.csv", ("Timestamp", *HEADINGS), other)
    assert DELETED not in said
    assert "was deleted on request. Ask them" in said


def test_what_others_forms_said_of_the_member_stays_masked_under_other_headings(
    office: Path,
) -> None:
    heads, remark = (*HEADINGS, REMARK), "ride with  Pat Lee, or call 419.555.0143"
    lou = ("Lou Marsh", "lou@example.org", "", "4 Oak Ave", "Lima", "OH", "45801", "Lima Grange")
    give("oct.csv", heads, (*lou, remark))
    onboard("forget", "patlee", "--record")
    again = (*HEADINGS[:-1], "Pick-up spot", "What else should we know?", "Volunteer?")
    said = give("dec.csv", again, (*lou, remark, ""))
    assert "1 already a member" in said
    assert "ride with  pat lee" not in raw(office)
    assert "419.555.0143" not in raw(office)
    assert on_roster("[deleted member], or call [deleted member]") == 2
    other = give("dec.csv", again, (*lou, "ride with Kim Vale", ""))
    assert "1 already a member" in other
    assert on_roster("ride with Kim Vale") == 1


def test_a_list_of_members_with_a_column_more_brings_nobody_back(office: Path) -> None:
    heads = ("Login", "Name", "Email", "Notes")
    rows = [("annieq", "Annie Quill", "annie@example.org", ""), ("bobr", "Bob Rusk", "bob@example.org", "rides with Annie Q.")]  # fmt: skip
    onboard("adopt", write_csv(Path("old.csv"), rows, heads), "--record")
    onboard("forget", "annieq", "--record")
    more = write_csv(Path("old2.csv"), [(*one, "") for one in rows], (*heads, "Key?"))
    said = onboard("adopt", more, "--record")
    assert f"Row 2: left out, and nothing of it is saved. {DELETED}" in said.words
    assert "annie@" not in raw(office)
    assert on_roster("Annie") == 0


def test_what_is_kept_can_not_be_read(office: Path) -> None:
    onboard("forget", "patlee", "--record")
    with store.transaction(roster(), keep=False) as connection:
        traces = connection.execute(select(tables.trace)).all()
    assert traces
    for one in traces:
        assert all(len(text) == 24 for text in (one.salt, one.digest, *one.answers))
