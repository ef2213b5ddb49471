"""What comes in by a list or a form is heard, and shown to nobody whom it does not concern."""

from __future__ import annotations

import shlex
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from office import HEADINGS, KIM, PAT, SAM, onboard, write_csv

from onboard.intake.opening import tables_of


def sheet_text(file: Path) -> str:
    return "\n".join(
        cell for table in tables_of(file) for line in table.lines() for cell in line.cells
    )


def test_a_password_in_a_remark_is_in_no_sheet_and_in_no_preview(office: Path) -> None:
    heads = (*HEADINGS, "Notes", "Anything else?", "Choose a password")
    sam = (*SAM, "Likes figs. My password is Mango77", "clave: girasol. I bake.", "fluffy")
    kim = (*KIM, "No emails please, password mango#77", "", "Kitty")
    forms = write_csv(office / "secrets.csv", [sam, kim], heads)
    shown = onboard("batch", forms).words + onboard("batch", forms, "--json").words
    shown += onboard("batch", forms, "--record").words
    shown += sheet_text(office / "secrets-questions.xlsx")
    for said in ("mango77", "girasol", "fluffy", "mango#77", "kitty"):
        assert said not in shown.casefold(), shown[max(0, shown.casefold().find(said) - 150) :][
            :200
        ]
    for said in ("Likes figs.", "I bake.", "No emails please"):
        assert said in shown


ROSTER = ("Username", "Name", "Email", "Phone", "Street", "City", "State", "ZIP", "Joined", "Notes",
          "OK to email", "Last login")  # fmt: skip
PAT_BEFORE = ("", *PAT[:-1], "3/14/2015", "Brings figs", "No", "10/14/2026")
KIM_BEFORE = ("kvale", *KIM[:-1], "5/6/2018", "", "Yes", "11/1/2026")


def line_of(folder: Path, number: int) -> dict[str, Any]:
    with closing(sqlite3.connect(folder / "roster.db")) as roster:
        roster.row_factory = sqlite3.Row
        return dict(roster.execute("SELECT * FROM member WHERE id = ?", (number,)).fetchone())


def filled_in(questions: Path, handle: str) -> Path:
    """The sheet of questions of an old list, with a sign-in name filled in; as CSV."""
    heads, *rows = [line.cells for line in next(iter(tables_of(questions))).lines()]
    at = heads.index("Username")
    rows = [[*row[:at], row[at] or handle, *row[at + 1 :]] for row in rows]
    return write_csv(questions.with_name("filled in.csv"), rows, heads)


def test_a_skipped_row_whose_person_joined_by_form_is_theirs_once_it_has_the_sign_in_name(
    office: Path,
) -> None:
    old = write_csv(office / "old.csv", [PAT_BEFORE, KIM_BEFORE], ROSTER)
    onboard("adopt", old, "--record")
    said = onboard("batch", write_csv(office / "pat.csv", [PAT]), "--record")
    assert (
        "From a row of your old list that had been skipped, these members now have:" in said.words
    )
    for what in ("the day they joined", "the notes", "the last sign-in", "said no to email"):
        assert what in said.words
    assert onboard("answer").words == "No form is on hold."
    filled = filled_in(office / "old-questions.xlsx", "patlee")
    preview = onboard("adopt", filled)
    assert "already on the roster (member 2, patlee)." in preview.words
    said = onboard("adopt", filled, "--record")
    assert said.code == 0, said.out
    pat = line_of(office, 2)
    assert (pat["joined"][:10], pat["notes"], pat["consent"]) == ("2015-03-14", "Brings figs", 0)
    assert pat["last_sign_in"] == "2026-10-14"
    with closing(sqlite3.connect(office / "roster.db")) as roster:
        (way,) = roster.execute("SELECT way FROM outgoing WHERE member_id = 2").fetchone()
    assert way == "letter", "no email to who said no"
    assert "1 already in an earlier file" in onboard("adopt", filled, "--record").words


def test_another_sign_in_name_in_the_sheet_makes_no_second_member(office: Path) -> None:
    onboard("batch", write_csv(office / "pat.csv", [PAT]), "--record")
    onboard("adopt", write_csv(office / "old.csv", [PAT_BEFORE], ROSTER), "--record")
    said = onboard("adopt", filled_in(office / "old-questions.xlsx", "plee77"), "--record")
    assert "The list has the sign-in name plee77." in said.words
    assert line_of(office, 1)["joined"][:10] == "2015-03-14"
    assert "one clear match: member 1" in onboard("find", "plee77").words.casefold()


def test_a_namesake_with_the_sign_in_name_of_a_member_is_no_member(office: Path) -> None:
    onboard("batch", write_csv(office / "pat.csv", [PAT]), "--record")
    other = ("patlee", "Patrick Lee", "plee@example.com", "614-555-0111", "9 High St", "Troy", "OH", "45373",
             "3/14/2015", "", "", "")  # fmt: skip
    said = onboard("adopt", write_csv(office / "old.csv", [other], ROSTER), "--record")
    assert "belongs to a member already on the roster" in said.words
    assert line_of(office, 1)["joined"][:10] != "2015-03-14"


def test_a_housemate_on_somebody_elses_mailbox_gets_no_password_there_unasked(office: Path) -> None:
    chris = ("Chris Moor", PAT[1], "419-555-0190", *PAT[3:])
    pair = ("Kit Vale", "kitandkim@example.net", "419-555-0191", *KIM[3:])
    first = write_csv(office / "a.csv", [PAT, (KIM[0], pair[1], *KIM[2:])])
    onboard("batch", first, "--record")
    onboard("batch", write_csv(office / "b.csv", [chris, pair]), "--record")
    said = onboard("packets")
    assert "Chris Moor (chrismoor): pat.lee@example.org" in said.words
    assert "It is also the email address of Pat Lee (member 1)." in said.words
    assert "(kitvale)" not in said.words, "the mailbox has both names"
    assert "(patlee)" not in said.words, "it was theirs first"
    onboard("answer", "chrismoor", "right")
    onboard("packets", "--write")
    assert {f.name for f in (office / "outbox").glob("*.eml")} >= {"chrismoor.eml"}


def test_a_form_in_the_name_of_who_has_died_or_left_says_so(office: Path) -> None:
    heads = ("Username", "Name", "Email", "Phone", "Street", "City", "State", "ZIP")
    dead = ("patlee", "Pat Lee (deceased)", *PAT[1:-1])
    gone = ("kvale", *KIM[:-1])
    onboard("adopt", write_csv(office / "old.csv", [dead, gone], heads), "--record")
    onboard("close", "kvale", "--why", "moved to Troy", "--record")
    alike = ("Pat Lee", "pat.other@example.net", "419-555-0199", *PAT[3:])
    forms = write_csv(office / "b.csv", [PAT, KIM, alike])
    said = onboard("batch", forms)
    assert "A form came in these members' names. Find out who filled it out." in said.words
    died = "“Pat Lee (deceased)” was said of them: they may have died. Ask the family or the host"
    assert said.words.count(died) == 2, "of the same person, and of one who may be"
    left = "The account is closed (“moved to Troy”). If they want to come back: onboard reopen kvale --record"
    assert left in said.words
    pat, kim, other, _ = onboard("batch", forms, "--json").json()
    assert "may have died" in pat["news"]["remark"]
    assert "reopen kvale" in kim["news"]["remark"]
    assert "may have died" in other["questions"][0]["ask"]
    onboard("batch", forms, "--record")
    assert "may have died" in sheet_text(office / "b-questions.xlsx")
    more = [(*PAT, "yes"), (*KIM, "no")]
    december = write_csv(office / "c.csv", more, (*HEADINGS, "Can you host?"))
    for recorded in ((), ("--record",)):
        again = onboard("batch", december, *recorded)
        assert "A form came in these members' names" not in again.words, "it was told in November"
    assert "row 2 of b.csv, given on" in again.words or "row 2 of old.csv" in again.words


def packet_of(folder: Path, number: int) -> str:
    with closing(sqlite3.connect(folder / "roster.db")) as roster:
        states = roster.execute("SELECT state FROM outgoing WHERE what = 'packet' AND member_id = ? "
                                "AND state != 'void'", (number,)).fetchall()  # fmt: skip
    return " ".join(state for (state,) in states)


def test_what_changed_while_an_account_was_closed_counts_when_it_is_opened(office: Path) -> None:
    onboard("batch", write_csv(office / "a.csv", [PAT, KIM]), "--record")
    onboard("close", "patlee", "kimvale", "--record")
    onboard("correct", "patlee", "--email", "new@example.net", "--record")
    onboard("correct", "kimvale", "--email", "kv@example.net", "--record")
    said = onboard("reopen", "patlee", "--record")
    assert packet_of(office, 1) == "waiting", "it would go to an address that nobody checked"
    assert "reissue patlee --checked call-back --record" in said.words
    onboard("undo", "1", "--record")
    assert packet_of(office, 2) == "waiting", "so by an undo"
    onboard("undo", "3", "--record")
    assert packet_of(office, 2) == "due", "it goes where it was to go at first"


def test_a_held_packet_is_due_once_the_account_is_open_and_the_contact_is_as_before(
    office: Path,
) -> None:
    onboard("batch", write_csv(office / "a.csv", [PAT]), "--record")
    onboard("correct", "patlee", "--email", "new@example.net", "--record")
    assert packet_of(office, 1) == "waiting"
    onboard("close", "patlee", "--record")
    onboard("undo", "1", "--record")
    onboard("reopen", "patlee", "--record")
    assert packet_of(office, 1) == "due"


def test_a_column_of_drop_sites_is_known_by_its_cells(office: Path) -> None:
    heads = (*HEADINGS[:-1], "Where you like to go", "Where you heard of us")
    rows = [(*PAT, "Radio"), (*KIM[:-1], "lima grange", "A friend")]
    said = onboard("batch", write_csv(office / "a.csv", rows, heads))
    assert "Where you like to go site its values are your drop sites" in said.words
    assert "Where you heard of us (kept, read for remarks)" in said.words
    heads = ("Member login", *HEADINGS[:-1], "Spot")
    rows = [("plee", *PAT), ("kvale", *KIM)]
    assert (
        "Spot site its values are your drop sites"
        in onboard("adopt", write_csv(office / "old.csv", rows, heads)).words
    )


def test_the_line_that_gives_the_rows_back_names_no_column_that_is_remembered(office: Path) -> None:
    heads = ("Nick", *HEADINGS[:-1])
    old = write_csv(office / "old.csv", [("plee", *PAT[:-1]), ("", *KIM[:-1])], heads)
    asked = onboard("adopt", old)
    assert "sign-in name" in asked.words
    assert "handle of" not in asked.words
    said = onboard("adopt", old, "--column", "Nick=handle", "--remember", "--record")
    back = said.out.split("give it back:")[1].splitlines()[1]
    assert "--column" not in back
    assert onboard(*shlex.split(back)[1:-1]).code != 2, "it works as it stands"


def test_of_a_pair_that_is_unclear_nobody_says_that_it_is_one_person(office: Path) -> None:
    patrick = ("Patrick Lee", "pl77@example.net", *PAT[2:])
    rows = [PAT, patrick, KIM, ("Kimberly Vail", *KIM[1:])]
    said = onboard("duplicates", write_csv(office / "list.csv", rows), "--to", "pairs.csv").words
    assert "1 pair the same person, 1 to check." in said
    assert "1 person is in the file more than once. 1 person may be." in said


def test_whoever_was_deleted_is_asked_about_by_a_corrected_email_too(office: Path) -> None:
    onboard("batch", write_csv(office / "a.csv", [PAT]), "--record")
    for email in ("pat.second@example.net", "pat.third@example.net"):
        onboard("correct", "patlee", "--email", email, "--record")
    onboard("forget", "patlee", "--record")
    with closing(sqlite3.connect(office / "roster.db")) as roster:
        assert "example.net" not in "\n".join(roster.iterdump())
    for email in (PAT[1], "pat.second@example.net", "Pat.Third@example.net"):
        back = write_csv(office / "back.csv", [("Pat Lee", email, "419-555-0111", *PAT[3:])])
        assert "was deleted on request" in onboard("batch", back).words, email
    other = write_csv(office / "other.csv", [("Sue Orr", "pat.third@example.net", *PAT[2:])])
    assert "was deleted on request" not in onboard("batch", other).words


def test_a_first_line_that_a_lost_quotation_mark_makes_endless_is_refused_unread(
    office: Path,
) -> None:
    (office / "lost.csv").write_text('"Name,Email\n' + "Pat Lee,pat@example.org\n" * 100_000)
    said = onboard("batch", "lost.csv")
    assert said.code == 2
    assert "so it can't be a row of headings" in said.words


def test_an_email_address_typed_twice_is_one_and_known_without_the_second_box(office: Path) -> None:
    heads = ("First", "Middle", "Last", "Email", "Email (confirm)", *HEADINGS[2:])
    iris = ("Iris", "Del", "Toro Lugo", "iris@example.org", "Iris@example.org", *PAT[2:])
    held = ("Kim", "", "Vale", "kim@example", "kim@example", *KIM[2:])
    told = ("--column", "Email=email", "--column", "Email (confirm)=email")
    said = onboard("batch", write_csv(office / "may.csv", [iris, held], heads), *told, "--record")
    assert "2 Iris Del Toro Lugo irisdeltorolugo" in said.words
    assert "signs around the email" not in said.words
    heads, rows = (*heads[:4], *heads[5:]), [(*row[:4], *row[5:]) for row in (iris, held)]
    june = onboard("batch", write_csv(office / "june.csv", rows, heads), "--record")
    assert "0 new members, 1 already a member, 1 on hold" in june.words
