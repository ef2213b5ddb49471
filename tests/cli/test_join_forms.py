"""Join forms as an online form tool exports them, from the first preview to the next month."""

from __future__ import annotations

import shlex
from pathlib import Path

from office import HEADINGS, KIM, PAT, SAM, onboard, write_csv

from onboard.intake.opening import tables_of

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
    assert "no email, says a remark" in said.words
    assert "No quiero correos" in said.words
    assert [f.name for f in (office / "outbox").glob("*.eml")] == ["kimvale.eml"]


def test_the_sheet_of_questions_has_what_columns_say_that_are_no_field(office: Path) -> None:
    forms = write_csv(
        office / "notes.csv", [(*SAM, "Call my sister, not me")], (*HEADINGS, "Anything else?")
    )
    onboard("batch", forms, "--record")
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
    assert f"Once they said that it is right: Wilhelmina Quillfeather: {change}" in said.words
    first, kim, _ = onboard("batch", june, "--json").json()
    assert first["news"]["proposed"] == [
        {"field": "email", "before": "mina@example.org", "after": "wq@example.net"}
    ]
    assert kim["news"]["recorded"] == [{"field": "consent", "before": True, "after": False}]
    onboard("batch", june, "--record")
    assert "said no to email" not in onboard("batch", june).words, "once"
    assert "kimvale consent no yes" in onboard("undo", "1").words
    assert "(not shown) wq@example.net" in onboard(*change.split()[1:]).words


def key_on_hold() -> str:
    rows = onboard("batch", "forms.csv", "--json").json()
    return str(next(row["row"] for row in rows if row.get("verdict") == "on hold"))


def test_a_correction_that_nobody_can_read_is_asked_about_again(office: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    key = key_on_hold()
    for wrong in ("sam", "wes@", "sam@example"):
        said = onboard("answer", key, "enroll", "--correct", f"email={wrong}")
        assert said.code == 1
        assert f"Sam Moor: on hold. The correction “{wrong}” can't be used." in said.words
        assert "1 form still on hold." in said.words
    assert onboard("answer", key, "enroll", "--correct", "email=sam@example.org").code == 0


def test_a_members_number_that_is_a_slip_is_asked_about_by_name(office: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    key = key_on_hold()
    said = onboard("answer", key, "same", "--member", "2")
    assert said.code == 2
    assert (
        "Sam Moor (row 4): member 2 is Kim Vale, and nothing on the form is like them."
        in said.words
    )
    assert (
        "Sam Moor (row 4): there is no member 77."
        in onboard("answer", key, "same", "--member", "77").words
    )
    said = onboard("answer", key, "same", "--member", "2", "--why", "her married name")
    assert "the same person as Kim Vale (member 2) (her married name)" in said.words


def test_a_phone_of_the_same_town_makes_a_slip_no_right_number(office: Path) -> None:
    beside = ("Sam Moor", "sam@", "419-555-0178", *SAM[3:])  # a digit beside Kim's
    onboard("batch", write_csv(office / "forms.csv", [PAT, KIM, beside]), "--record")
    said = onboard("answer", key_on_hold(), "same", "--member", "2")
    assert said.code == 2
    assert "member 2 is Kim Vale, and nothing on the form is like them." in said.words


def test_all_shows_every_doubt_with_the_person_beside_the_number(office: Path) -> None:
    people = [
        "Ana Dunn",
        "Bo Stahl",
        "Cy Frey",
        "Dee Orr",
        "Eli Poe",
        "Flo Kerr",
        "Gus Ames",
        "Hal Boyd",
    ]
    rows = [
        (name, f"{name[:2]}{n}@example.org", "", f"{n}7 Oak Ave", *PAT[4:])
        for n, name in enumerate(people)
    ]
    file = write_csv(office / "many.csv", rows)
    few = onboard("batch", file).words
    assert "2 Ana Dunn, 3 Bo Stahl" in few
    assert "and 2 more: --all shows them" in few
    whole = onboard("batch", file, "--all").words
    assert all(f"{row} {name} no phone number" in whole for row, name in enumerate(people, start=2))


FARM = ("Blue Hen Farm", "pat@io", *PAT[2:])


def asked_in_sheet(folder: Path, of: str) -> list[str]:
    """The question column of a sheet of questions."""
    (sheet, *_) = tables_of(folder / of)
    return [line.cells[1] for line in sheet.lines()][1:]


def test_every_trouble_of_a_form_is_in_the_question_and_an_answer_settles_only_what_it_answers(
    office: Path,
) -> None:
    onboard("batch", write_csv(office / "forms.csv", [FARM]), "--record")
    (asked,) = asked_in_sheet(office, "forms-questions.xlsx")
    assert "1. “Blue Hen Farm” is an organization." in asked
    assert "2. io is only a country code." in asked
    key = key_on_hold()
    bare = onboard("answer", key, "enroll").words
    assert "Blue Hen Farm: on hold." in bare
    assert "io is only a country code" in bare
    half = onboard("answer", key, "enroll", "--correct", "email=pat.lee@example.org").words
    assert "“Blue Hen Farm” is an organization. Ask which person the account is for." in half
    assert "country code" not in half, "that one is answered"
    whole = onboard("answer", key, "enroll", "--correct", "full_name=Pat Lee").words
    assert "Pat Lee: new member." in whole
    onboard("packets", "--write")
    mail = (office / "outbox" / "patlee.eml").read_text("utf-8")
    assert "pat.lee@example.org" in mail, "the first answer counts, too"


def test_an_organization_gets_an_account_when_its_name_is_the_answer(office: Path) -> None:
    onboard("batch", write_csv(office / "forms.csv", [("Blue Hen Farm", *PAT[1:])]), "--record")
    said = onboard("answer", key_on_hold(), "enroll")
    assert "If the account is to have this very name, write it as the correction." in said.words
    said = onboard("answer", key_on_hold(), "enroll", "--correct", "full_name=Blue Hen Farm")
    assert "Blue Hen Farm: new member." in said.words


def test_a_bare_enroll_says_of_the_only_question_about_an_email_that_there_is_none(
    office: Path,
) -> None:
    rows = [("Ana Dunn", "ana at home", *PAT[2:]), ("The Lee Family", "", *KIM[2:])]
    onboard("batch", write_csv(office / "forms.csv", rows), "--record")
    ana, lees = (row["row"] for row in onboard("batch", "forms.csv", "--json").json()[:2])
    assert "Ana Dunn: new member." in onboard("answer", ana, "enroll").words
    said = onboard("answer", lees, "enroll").words
    assert "is a household" in said
    assert "No email address" not in said, "that answer is what its question offers"


def test_all_who_say_no_to_email_in_a_remark_are_quoted(office: Path) -> None:
    remarks = [
        f"No emails please, I read letters on {day}"
        for day in ("Mondays", "Fridays", "market days")
    ]
    people = [(f"{first} Dunn", f"{first}@example.org", *PAT[2:], said)
              for first, said in zip(("Ana", "Bo", "Cy"), remarks, strict=True)]  # fmt: skip
    forms = write_csv(office / "remarks.csv", people, (*HEADINGS, "Anything else?"))
    said = onboard("batch", forms).words
    assert all(remark in said for remark in remarks)


def test_the_question_about_an_email_shows_what_the_form_said_and_what_was_understood(
    office: Path,
) -> None:
    torn = ("Pat Lee", "pat.lee@gm,ail.com", *PAT[2:])
    onboard("batch", write_csv(office / "forms.csv", [torn]), "--record")
    (sheet, *_) = tables_of(office / "forms-questions.xlsx")
    (shown,) = [line.cells[2] for line in sheet.lines()][1:]
    assert shown.splitlines()[:2] == [
        "email, as the form says it: pat.lee@gm,ail.com", "understood as: pat.lee@gmail.com"
    ]  # fmt: skip
    assert "The form says: pat.lee@gm,ail.com" in onboard("packets").words


def test_same_needs_no_number_where_only_one_member_could_be_meant(office: Path) -> None:
    lucas = ("Lucas Nowak", "lucas@example.org", *PAT[2:])
    again = ("Lucas Nowak", "ln@example.net", PAT[2], "", "", "", PAT[6], "")
    onboard("batch", write_csv(office / "may.csv", [lucas]), "--record")
    onboard("batch", write_csv(office / "forms.csv", [again]), "--record")
    (sheet, *_) = tables_of(office / "forms-questions.xlsx")
    # The packet that waits for the form is not asked about besides.
    heads, row = [list(line.cells) for line in sheet.lines()]
    row[heads.index("Your answer")], row[heads.index("Answered by")] = "same", "Robin"
    answered = write_csv(office / "answered.csv", [row], heads)
    assert "1 already a member" in onboard("batch", "--answers", answered).words
    said = onboard("answer", key_on_hold(), "same").words
    assert "the same person as Lucas Nowak (member 1)" in said


def test_a_preview_says_what_is_in_the_way_of_saving_before_the_line_that_saves(
    office: Path,
) -> None:
    settings = office / "onboard.toml"
    settings.write_text(settings.read_text().replace("419-555-0100", "(555) 555-0100"))
    said = onboard("batch", "forms.csv").words
    stop = "It can't be saved yet: fill in the sample value listed above in the settings first."
    assert f"{stop} Then save it: " in said
    assert "To save it:" not in said
    refused = onboard("batch", "forms.csv", "--record")
    assert refused.code == 2
    assert "Nothing was saved." in refused.words


def test_a_later_yes_to_email_and_a_later_married_name_are_proposed(office: Path) -> None:
    heads = (*HEADINGS, ASKS)
    mina = ("Wilhelmina Quillfeather", "mina@example.org", *PAT[2:])
    ana = ("Anastasia Brightwater", "ana@example.org", "419-555-0166", "4 Elm St", *PAT[4:])
    onboard(
        "batch", write_csv(office / "may.csv", [(*mina, "No"), (*ana, "Yes")], heads), "--record"
    )
    married = ("Anastasia Van Holt", *ana[1:], "Yes")
    june = write_csv(office / "june.csv", [(*mina, "Yes"), married], heads)
    said = onboard("batch", june, "--record").words
    assert "Wilhelmina Quillfeather (member 1) consent no yes" in said
    assert "(member 2) name Brightwater, Anastasia Van Holt, Anastasia" in said
    assert "Wilhelmina Quillfeather: onboard correct 1 --consent yes --record" in said
    assert "Anastasia Van Holt: onboard correct 2 --name" in said
    onboard("audit", "--to", "audit")
    told = (office / "audit" / "findings.csv").read_text("utf-8-sig")
    assert "A later form gives a yes to email." in told
    assert "A later form gives another last name, Van Holt, Anastasia." in told
    assert onboard("correct", "1", "--consent", "yes", "--record").code == 0
    assert onboard("correct", "2", "--name", "Van Holt, Anastasia", "--record").code == 0
    onboard("audit", "--to", "audit2")
    assert "later form" not in (office / "audit2" / "findings.csv").read_text("utf-8-sig")
    again = write_csv(office / "july.csv", [(*mina, "Yes", ""), (*married, "")], (*heads, "More?"))
    assert "consent no yes" not in onboard("batch", again).words, "it is on file now"


def test_a_name_that_is_only_spelled_otherwise_is_no_other_name(office: Path) -> None:
    mina = ("Wilhelmina Quillfeather", "mina@example.org", *PAT[2:])
    onboard("batch", write_csv(office / "may.csv", [mina]), "--record")
    june = [("Wilhelmina QUILLFETHER", *mina[1:]), ("Wilhelmina Quill", *mina[1:])]
    said = onboard("batch", write_csv(office / "june.csv", june)).words
    assert "2 already members" in said
    assert "gave other information" not in said


def test_an_empty_email_beside_an_alternate_one_is_that_one(office: Path) -> None:
    heads = (*HEADINGS[:2], "Alternate email", *HEADINGS[2:])
    forms = write_csv(office / "forms.csv", [("Ana Dunn", "", "ana@example.org", *PAT[2:])], heads)
    said = onboard("batch", forms, "--record").words
    assert "1 new member" in said
    assert "1 × email in the other box" in said
    assert "ana@example.org" in (office / "outbox" / "anadunn.eml").read_text("utf-8")


def test_a_corrected_address_without_a_house_number_is_to_be_checked_as_one_of_a_form(
    office: Path,
) -> None:
    onboard("batch", "forms.csv", "--record")
    said = onboard("answer", key_on_hold(), "enroll", "--correct", "street=Elm St")
    assert "Sam Moor: new member." in said.words
    assert "Please check: ELM ST has no house number. Ask for it." in said.words


def test_nobody_is_told_of_a_middle_name_while_it_is_asked_whether_it_is_one(office: Path) -> None:
    names = [("Jennifer Soto Keller", "js@example.org", *PAT[2:]), ("Pat Quincy Lee", *PAT[1:])]
    said = onboard("batch", write_csv(office / "forms.csv", names), "--record").words
    assert "“Soto” was read as a middle name" in said
    asked, plain = (
        (office / "outbox" / f"{who}.eml").read_bytes() for who in ("jenniferkeller", "patlee")
    )
    assert b"leave out the middle name" not in asked.replace(b"=\n", b"")
    assert b"leave out the middle name" in plain.replace(b"=\n", b"")


def test_a_member_who_moved_is_told_with_the_line_that_changes_the_address(office: Path) -> None:
    otis = ("Otis Plumtree", "otis@example.org", "419-555-0166", "PO Box 17", *PAT[4:])
    onboard("batch", write_csv(office / "may.csv", [otis]), "--record")
    moved = (*otis[:3], "9 Ranch Rd", *PAT[4:])
    said = onboard("batch", write_csv(office / "june.csv", [moved]), "--record").words
    assert "Otis Plumtree: onboard correct 1 --address '9 RANCH RD, " in said
    onboard("audit", "--to", "audit")
    told = (office / "audit" / "findings.csv").read_text("utf-8-sig")
    assert "A later form gives another mailing address, 9 RANCH RD, " in told
    command = said.partition("Otis Plumtree: onboard ")[2]
    assert onboard(*shlex.split(command)[:5]).code == 0
    onboard("audit", "--to", "audit2")
    assert "later form" not in (office / "audit2" / "findings.csv").read_text("utf-8-sig")


def test_an_answer_that_it_is_a_member_says_what_the_form_has_that_is_not_on_file(
    office: Path,
) -> None:
    wanda = ("Wanda Plumtree", "wanda@example.org", "419-555-0166", "3 Elm St", *PAT[4:])
    onboard("batch", write_csv(office / "may.csv", [wanda]), "--record")
    married = ("Wanda Fess", "wfess@example.net", *wanda[2:])
    onboard("batch", write_csv(office / "june.csv", [married]), "--record")
    key = str(onboard("answer").words.partition("what is needed ")[2][:6])
    said = onboard("answer", key, "same", "--member", "1").words
    assert (
        "The form has another email address: wfess@example.net. On file: wanda@example.org." in said
    )
    assert "onboard correct 1 --email wfess@example.net --record" in said
    assert "The form has another last name: Fess, Wanda." in said


def test_what_several_forms_call_a_drop_site_is_asked_once_and_answered_for_all(
    office: Path,
) -> None:
    rows = [(f"{name} Marsh", *PAT[1:7], "LGX") for name in ("Ana", "Bo", "Cy")]
    rows.append((*PAT[:7], "Nowhere Mill"))
    file = write_csv(office / "forms.csv", rows)
    told = onboard("batch", file).words
    assert told.count("3 × “LGX”") == 1
    asked = 'If “LGX” is one of your drop sites, write it there in the settings, and do this again: also = ["LGX"]'
    assert asked in told
    assert "“Nowhere Mill”" not in told
    settings = office / "onboard.toml"
    text = settings.read_text("utf-8").replace(
        'host = "Robin Vale"', 'host = "Robin Vale"\nalso = ["LGX"]'
    )
    settings.write_text(text, "utf-8")
    told = onboard("batch", file).words
    assert "LGX" not in told


def test_what_was_noticed_names_the_first_rows(office: Path) -> None:
    rows = [(f"{name} Marsh", *PAT[1:7], "LGX") for name in ("Ana", "Bo", "Cy", "Di")]
    told = onboard("batch", write_csv(office / "forms.csv", rows)).words
    assert "4 × unknown drop site (rows 2, 3, 4, …)" in told


def test_members_whose_drop_site_the_settings_know_by_now_are_told_with_the_lines_that_save_it(
    office: Path,
) -> None:
    rows = [("Ana Marsh", *PAT[1:7], "LGX"), (*PAT[:7], "Nowhere Mill")]
    onboard("batch", write_csv(office / "forms.csv", rows), "--record")
    assert "by now which drop site" not in onboard("answer", "--ask").words
    settings = office / "onboard.toml"
    text = settings.read_text("utf-8").replace(
        'host = "Robin Vale"', 'host = "Robin Vale"\nalso = ["LGX"]'
    )
    settings.write_text(text, "utf-8")
    told = onboard("answer", "--ask").words
    assert "“LGX” is Lima Grange, as the settings say now." in told
    assert "To save it: onboard correct anamarsh --site 'Lima Grange' --record" in told
    assert "onboard correct patlee --site" not in told
    onboard("correct", "anamarsh", "--site", "Lima Grange", "--record")
    assert "LGX" not in onboard("answer", "--ask").words
