"""Join forms as an online form tool exports them, from the first preview to the next month."""

from __future__ import annotations

from pathlib import Path

from office import HEADINGS, KIM, PAT, SAM, onboard, write_csv

ASKS = "May we email you about ordering windows?"
BOXES = (*HEADINGS, ASKS)


def test_what_an_empty_box_means_is_asked_once_and_is_no_yes(office: Path) -> None:
    forms = write_csv(office / "boxes.csv", [(*PAT, "Yes"), (*KIM, "")], BOXES)
    asked = onboard("batch", forms)
    assert asked.code == 2
    told = ("--column", f"{ASKS}=consent:no")
    assert f"No email: --column '{ASKS}=consent:no'." in asked.words
    said = onboard("batch", forms, *told, "--remember", "--record")
    assert said.code == 0, said.err
    assert "an empty box means no email" in said.words
    assert "(no email address, or opted out). Print their letters: kimvale" in said.words
    assert [f.name for f in (office / "outbox").glob("*.eml")] == ["patlee.eml"]
    more = write_csv(
        office / "june.csv", [(*SAM, "x"), ("Ana Dunn", "ana@example.org", *SAM[2:], "")], BOXES
    )
    assert "What does an empty box mean?" not in onboard("batch", more).words


def test_no_emails_in_a_remark_is_told_and_gets_a_letter(office: Path) -> None:
    heads = (*BOXES, "Anything else?")
    rows = [(*PAT, "Yes", "No quiero correos, gracias"), (*KIM, "Yes", "I can host a site")]
    forms = write_csv(office / "remarks.csv", rows, heads)
    said = onboard("batch", forms, "--record")
    assert "consent.in_remark" in said.words
    assert "No quiero correos" in said.words
    assert [f.name for f in (office / "outbox").glob("*.eml")] == ["kimvale.eml"]


def test_the_sheet_of_questions_has_what_columns_say_that_are_no_field(office: Path) -> None:
    forms = write_csv(
        office / "notes.csv", [(*SAM, "Call my sister, not me")], (*HEADINGS, "Anything else?")
    )
    onboard("batch", forms, "--record")
    from onboard.intake.sheet import tables_of

    (sheet, _) = tables_of(office / "notes-questions.xlsx")
    text = "\n".join(cell for line in sheet.lines() for cell in line.cells)
    assert "Anything else?: Call my sister, not me" in text


def test_a_members_later_form_is_heard_and_new_contact_info_is_proposed(office: Path) -> None:
    heads = (*HEADINGS, ASKS)
    mina = ("Wilhelmina Quillfeather", "mina@example.org", *PAT[2:])
    may = write_csv(office / "may.csv", [(*mina, "Yes"), (*KIM, "Yes")], heads)
    onboard("batch", may, "--record")
    moved = (mina[0], "wq@example.net", *mina[2:], "Yes")
    refuses = (*KIM, "No")
    june = write_csv(office / "june.csv", [moved, refuses], heads)
    said = onboard("batch", june)
    assert "These members said no to email on a later form." in said.words
    whose = "2 Wilhelmina Quillfeather Wilhelmina Quillfeather (member 1)"
    assert f"{whose} email mina@example.org wq@example.net" in said.words
    assert "3 Kim Vale Kim Vale (member 2)" in said.words
    change = "onboard correct 1 --email wq@example.net --record"
    assert f"To change one, once they said so: {change}" in said.words
    first, kim, _ = onboard("batch", june, "--json").json()
    assert first["news"]["proposed"] == [
        {"field": "email", "before": "mina@example.org", "after": "wq@example.net"}
    ]
    assert kim["news"]["recorded"] == [{"field": "consent", "before": True, "after": False}]
    onboard("batch", june, "--record")
    assert "said no to email" not in onboard("batch", june).words, "once"
    assert "kimvale consent no yes" in onboard("undo", "1").words
    assert "mina@example.org wq@example.net" in onboard(*change.split()[1:]).words
