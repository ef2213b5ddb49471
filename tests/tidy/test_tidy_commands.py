"""The commands as a coordinator types them: tidy, undo, merge."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from cli.office import Said, onboard
from sqlalchemy import Engine, select

from onboard.model import Change, Proposal
from onboard.reports import changes
from onboard.roster import store, tables


def roster() -> Engine:
    return store.open_store("sqlite:///roster.db")


def email(number: int) -> str:
    member = tables.member.c
    with store.transaction(roster(), keep=False) as connection:
        return connection.execute(select(member.email).where(member.id == number)).scalar_one()


def review(*approve: str) -> Path:
    """A review file of two changes and a merge, approved so; by hand, in a text program."""
    said = (
        Change(1, "email", "pat.lee@example.org", "pat@example.org", "said so by phone"),
        Change(2, "phone", "tel:+14195550177", "", "nobody's"),
        Change(2, "merged_into", None, 1, "one person"),
    )
    changes.write(Path("review.csv"), [Proposal(c, "handle", "Name", "code") for c in said])
    with Path("review.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.reader(stream))
    for row, word in zip(rows[1:], approve, strict=False):
        row[0] = word
    with Path("review.csv").open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    return Path("review.csv")


def test_a_file_is_looked_at_applied_and_taken_back(office: Path) -> None:
    file = review("yes", "no")
    looked = onboard("tidy", file)
    assert looked.code == 1  # the packet would wait for a check of the member
    assert "3 rows, 1 approved: 1 would be applied, 0 skipped." in looked.words
    assert "To apply it: onboard tidy review.csv --record" in looked.words
    assert email(1) == "pat.lee@example.org"
    done = onboard("tidy", file, "--record", "--by", "Robin")
    assert "Saved as number 1." in done.words
    assert email(1) == "pat@example.org"
    assert "tidied review.csv 1 1" in onboard("undo").words
    back = onboard("undo", "1")
    assert (back.code, email(1)) == (0, "pat@example.org")
    assert "2 patlee email pat@example.org pat.lee@example.org" in back.words
    assert "1 row would be undone, 0 changes left as now." in back.words
    assert onboard("undo", "1", "--record").code == 0
    assert email(1) == "pat.lee@example.org"
    assert "tidied review.csv 1 0" in onboard("undo").words


def test_applying_a_file_again_says_that_it_was_done(office: Path) -> None:
    file = review("yes")
    onboard("tidy", file, "--record")
    again = onboard("tidy", file, "--record")
    assert again.code == 0
    assert "row 2, patlee: already done." in again.words
    assert "0 applied, 1 skipped" in again.words


def test_a_line_whose_member_was_changed_meanwhile_is_left_out_and_said(office: Path) -> None:
    file = review("yes", "yes")
    with store.transaction(roster()) as connection:
        connection.execute(
            tables.member.update().where(tables.member.c.id == 1).values(email="new@example.org")
        )
    done = onboard("tidy", file, "--record")
    assert done.code == 1
    assert (
        "row 2, patlee: email is new@example.org now, no longer pat.lee@example.org; skipped. "
        "Check it again."
    ) in done.words
    assert "2 approved: 1 applied, 1 skipped" in done.words


def test_a_person_may_write_something_better(office: Path) -> None:
    file = review("yes")
    file.write_text(file.read_text().replace(",pat@example.org,", ",PAT@Example.ORG,").replace(
        '"pat@example.org"', '"pat@example.org"'))  # fmt: skip
    onboard("tidy", file, "--record")
    assert email(1) == "PAT@example.org"


def test_what_a_person_wrote_and_no_rule_understands_is_said_and_nothing_applied(
    office: Path,
) -> None:
    file = review("yes", "yes")
    file.write_text(file.read_text().replace(",pat@example.org,", ",nonsense,"))
    said = onboard("tidy", file, "--record")
    assert said.code == 2
    assert "row 2, email:" in said.words
    assert email(1) == "pat.lee@example.org"


def test_a_merge_in_a_file_tells_what_is_left_to_do(office: Path) -> None:
    done = onboard("tidy", review("yes", "no", "yes"), "--record")
    assert "kimvale merged into" in done.words
    assert "check whether it has open orders or money on it" in done.words
    assert "- kimvale is part of patlee; name:" in done.words
    assert email(1) == "pat@example.org"  # what a person set goes before what the rules choose
    assert onboard("undo", "1", "--line", "4", "--record").code == 0
    assert email(1) == "pat@example.org"
    assert "number" in onboard("undo").words


def test_two_accounts_are_merged_by_a_person_and_taken_apart(office: Path) -> None:
    looked = onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--take", "phone=kimvale")
    assert "patlee stays (you said so); kimvale would be part of it." in looked.words
    assert "phone: you said so." in looked.words
    assert (
        "The program does not check whether Pat Lee (patlee) and Kim Vale (kimvale) are one person."
        in looked.words
    )
    done = onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    assert "Saved as number 1." in done.words
    assert onboard("undo", "1", "--record").code == 0


def test_a_retired_handle_is_found_as_the_account_that_stays(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    found = onboard("find", "kimvale")
    assert (found.code, "One clear match: member 1, patlee." in found.words) == (0, True)
    assert "that used to be their sign-in name" in found.words
    assert "member 2" not in found.words
    assert "They typed an old sign-in name of theirs" in onboard("why", "kimvale").words
    onboard("undo", "1", "--record")
    assert "One clear match: member 2, kimvale." in onboard("find", "kimvale").words


def test_the_packet_of_an_account_that_was_merged_is_neither_counted_nor_sent(office: Path) -> None:
    assert onboard("packets", "--json").json()[0]["written"] == 2
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    assert onboard("packets", "--json").json()[0]["written"] == 1
    assert "kimvale" not in onboard("packets", "--send").out
    onboard("packets", "--write")
    assert not (office / "outbox" / "kimvale.eml").exists()
    onboard("undo", "1", "--record")
    counts = onboard("packets", "--json").json()[0]
    assert (counts["due"], counts["written"]) == (1, 1)


def test_no_packet_is_made_anew_for_an_account_that_was_merged(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    told = onboard("packets", "--again", "kimvale")
    assert (told.code, "The account of kimvale was closed or merged" in told.words) == (2, True)


def test_programs_get_one_object_a_line(office: Path) -> None:
    *lines, sums = onboard("tidy", review("yes", "yes"), "--record", "--json").json()
    assert [(line["line"], line["field"], line["after"]) for line in lines] == [
        (2, "email", "pat@example.org"), (3, "phone", ""),
    ]  # fmt: skip
    assert sums["sums"]["number"] == 1
    *lines, sums = onboard("undo", "1", "--json").json()
    assert {line["taken back"] for line in lines} == {True}
    assert sums["sums"] == {"number": 1, "taken back": 2, "left as now": 0, "recorded": False}
    *lines, sums = onboard("merge", "1", "2", "--json").json()
    assert {"field", "before", "after", "why", "member_id"} == lines[0].keys()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("undo", "7"), "Nothing was saved under number 7. To see the numbers: onboard undo"),
        (("tidy", "forms.csv"), "forms.csv is not a review file"),
        (("merge", "patlee", "nobody"), "Nobody here has the sign-in name or number “nobody”"),
    ],
)
def test_what_cannot_be_done_is_said(office: Path, words: tuple[str, ...], said: str) -> None:
    told: Said = onboard(*words)
    assert told.code == 2
    assert said in told.words


def test_a_line_that_was_not_applied_cannot_be_taken_back(office: Path) -> None:
    onboard("tidy", review("yes"), "--record")
    told = onboard("undo", "1", "--line", "9")
    assert (told.code, "Nothing was saved from row 9 under number 1." in told.words) == (2, True)


def test_the_list_of_what_can_be_undone_says_of_whom(office: Path) -> None:
    onboard("correct", "kimvale", "--phone", "419-555-0190", "--record")
    onboard("close", "patlee", "kimvale", "--record")
    said = onboard("undo")
    assert "corrected 1 1 kimvale" in said.words
    assert "patlee, kimvale" in said.words
    from onboard.office import open_office
    from onboard.reports import undone
    from onboard.tasks.undo import list_applied

    first, *_ = list_applied(open_office(office / "onboard.toml"), each=1)
    assert undone._of_whom(first) == "patlee, and 1 more"
