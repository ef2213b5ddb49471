"""What a coordinator does once packets are made: the page told, emails sent, letters mailed."""

from __future__ import annotations

from pathlib import Path

import pytest
from office import KIM, PAT, onboard, write_csv
from test_packets import enroll_sam, with_server

LEE = ("Lee Ota", "lee@example.com", "419-555-0155", "9 Elm St", *PAT[4:])
CHANGES = "onboard export changes.csv --changed --record"


@pytest.fixture
def coop(office: Path) -> Path:
    """Pat and Kim get emails, Sam a letter."""
    write_csv(office / "forms.csv", [PAT, KIM])
    onboard("batch", "forms.csv", "--record")
    enroll_sam(office)
    return office


# ---------------------------------------------------------------- the ordering page


def test_once_the_page_was_told_the_next_lines_say_to_tell_it_what_changed(coop: Path) -> None:
    again = onboard("packets", "--again", "patlee").out
    assert "1. Give the ordering page the new accounts: onboard export accounts.csv\n" in again
    onboard("export", "accounts.csv", "--record")
    write_csv(coop / "more.csv", [LEE])
    said = onboard("batch", "more.csv", "--record").out
    assert f"1. Give the ordering page the new accounts: {CHANGES}\n" in said
    assert "export accounts.csv" not in said
    assert f"{CHANGES}\n" in onboard("packets", "--again", "patlee").out


def test_an_export_of_everybody_says_whose_password_it_would_set_back(coop: Path) -> None:
    assert "Careful" not in onboard("export", "accounts.csv").out
    assert "Careful" not in onboard("export", "accounts.csv", "--record").out, (
        "told for the first time"
    )
    write_csv(coop / "more.csv", [LEE])
    onboard("batch", "more.csv", "--record")
    for words in (("all.csv",), ("all.json",), ("all.csv", "--record")):
        first = onboard("export", *words).out.splitlines()[0]
        assert first == (
            "Careful: this file holds everybody, of which the page has had 3 before. If the page takes it "
            "in, those members get their temporary password again, also if they have chosen their own "
            f"since. For only what changed: {CHANGES}"
        )
    assert "Careful" not in onboard("export", "changes.csv", "--changed").out


def test_no_password_is_set_back_where_members_set_theirs_on_the_page(coop: Path) -> None:
    with (coop / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write("\n[first_password]\nset_by_member = true\n")
    onboard("export", "accounts.csv", "--record")
    assert "Careful" not in onboard("export", "accounts.csv").out


def test_a_file_that_is_there_is_kept_under_another_name(coop: Path) -> None:
    onboard("export", "accounts.csv")
    first = (coop / "accounts.csv").read_bytes()
    same = onboard("export", "accounts.csv", "--record")
    assert "earlier" not in same.out, "the same again takes no second file"
    assert sorted(f.name for f in coop.glob("accounts*")) == ["accounts.csv"]
    onboard("packets", "--again", "patlee")
    said = onboard("export", "accounts.csv")
    assert said.code == 0
    assert "There was a file of that name. It is now accounts (earlier).csv." in said.out
    assert (coop / "accounts (earlier).csv").read_bytes() == first
    assert (coop / "accounts.csv").read_bytes() != first
    assert (coop / "accounts (earlier).csv").stat().st_mode & 0o077 == 0
    (coop / "members.csv").write_text("name\nPat\n")
    onboard("export", "members.csv")
    assert (coop / "members (earlier).csv").read_text() == "name\nPat\n"


# ---------------------------------------------------------------- no mail server


def test_without_a_mail_server_all_counts_of_letters_are_one(coop: Path) -> None:
    said = onboard("packets").out
    assert "3 letters to print and mail: onboard packets --letters letters.pdf" in said
    assert "No mail server is set, so no email can go out, and everybody gets a letter." in said
    assert "3 letters to mail" in onboard("packets", "--letters", "letters.pdf").out
    assert "3 letters to mark" in onboard("packets", "--mailed").out
    with_server(coop)
    said = onboard("packets").out
    assert "1 letter to print and mail" in said
    assert "No mail server" not in said


def test_a_preview_of_emails_says_that_there_is_no_mail_server(coop: Path) -> None:
    said = onboard("packets", "--send").out
    assert (
        f"No mail server is set in {coop / 'onboard.toml'}, so these emails can't go out. Fill in host, "
        "under [mail]. Then send them: onboard packets --send --really\n"
        "Or mail everybody a letter: onboard packets --letters letters.pdf\n"
    ) in said
    with_server(coop)
    assert "No mail server" not in onboard("packets", "--send").out
