"""Two people on one join form: nobody is lost by it, and nobody gets the other one's account."""

from __future__ import annotations

from email import policy
from email.parser import BytesParser
from pathlib import Path

import pytest
from office import HEADINGS, PAT, onboard, with_mail, write_csv

from onboard.intake.opening import tables_of
from onboard.tables import answer_sheet

HOME = ("marsh@example.org", "419-555-0155", "31 Pine St", *PAT[4:])
OTHERS = (
    ("eloisa@example.net", "419-555-0121"),
    ("eloisa@example.net", HOME[1]),
    (HOME[0], "419-555-0121"),
)


def form(name: str, *reached: str) -> tuple[str, ...]:
    return (name, *reached, *HOME[len(reached) :])


def batch(folder: Path, *rows: tuple[str, ...], record: bool = True) -> dict[str, str]:
    """What became of each of the rows, by name, after the last word on them."""
    file = write_csv(folder / f"forms{len(list(folder.iterdir()))}.csv", rows)
    told = onboard("batch", file, "--json").json()
    if record:
        onboard("batch", file, "--record")
    return {one["name"]: one["verdict"] for one in told if "verdict" in one}


def asked() -> list[str]:
    """The keys of the forms on hold, and what is asked about them."""
    return onboard("answer").out.splitlines()


def key_of(name: str) -> str:
    return next(line.split()[0] for line in asked() if name in line and line[0] != "“")


def said() -> str:
    return onboard("answer").words


@pytest.mark.parametrize("own", [(), *OTHERS])
@pytest.mark.parametrize("at_once", [False, True], ids=["two batches", "one batch"])
def test_the_other_of_a_joint_form_is_asked_about_under_the_name_of_the_member(
    office: Path, own: tuple[str, ...], at_once: bool
) -> None:
    both, hers = form("Eloísa y Fermín Marsh"), form("Eloísa Marsh", *own)
    if at_once:
        batch(office, both, hers)
        onboard("answer", key_of("Fermín"), "enroll", "--correct", "name=Fermín Marsh")
    else:
        batch(office, both)
        onboard("answer", key_of("Fermín"), "enroll", "--correct", "name=Fermín Marsh")
        assert batch(office, hers)["Eloísa Marsh"] == "on hold"
    assert (
        "Is this the same person as Fermín Marsh (member 1)? That member's form was for 2 people: "
        "Eloísa Marsh and Fermín." in said()
    )
    done = onboard("answer", key_of("Eloísa Marsh"), "enroll")
    assert "Eloísa Marsh: new member." in done.words
    assert "No form is on hold." in said() or "1 welcome packet waits" in said()


def test_the_member_of_a_joint_form_who_sends_a_form_alone_is_a_member(office: Path) -> None:
    batch(office, form("Eloísa y Fermín Marsh"))
    onboard("answer", key_of("Fermín"), "enroll", "--correct", "name=Fermín Marsh")
    assert batch(office, form("Fermín Marsh"))["Fermín Marsh"] == "already a member"


@pytest.mark.parametrize("first", ["Pat Marsh", "Kim Marsh"])
def test_a_joint_form_after_one_of_the_two_is_a_member_asks_for_the_other(
    office: Path, first: str
) -> None:
    other = {"Pat Marsh": "Kim Marsh", "Kim Marsh": "Pat Marsh"}[first]
    batch(office, form(first))
    batch(office, form("Pat and Kim Marsh"))
    assert (
        f"The form is for 2 people: Pat Marsh and Kim Marsh. There is an account already for {first} (member 1). If {other} "
        f"should have one too, answer enroll, with {other} as the name. If not, answer same."
        in said()
    )
    key = key_of("There is an account already")
    assert f"For {other}: onboard answer {key} enroll --correct 'name={other}'" in said()
    done = onboard("answer", key, "enroll", "--correct", f"name={other}")
    assert f"{other}: new member." in done.words
    assert batch(office, form(other))[other] == "already a member"


def test_a_joint_form_of_two_members_is_settled(office: Path) -> None:
    found = batch(office, form("Kim Marsh"), form("Pat Marsh"))
    assert set(found.values()) == {"enrolled"}
    file = write_csv(office / "both.csv", [form("Pat & Kim Marsh")])
    assert "everybody on the form is a member: Pat Marsh (member 2) and Kim Marsh (member 1)" in (
        onboard("batch", file).words
    )
    (verdict,) = batch(office, form("Pat & Kim Marsh")).values()
    assert verdict == "already a member"
    for name in ("Kim Marsh", "Pat Marsh"):
        assert batch(office, form(name, HOME[0], "419-555-0156"))[name] == "already a member"


def test_two_last_names_of_a_couple_are_both_heard(office: Path) -> None:
    batch(office, form("Kim Soto"), form("Pat Marsh"))
    assert list(batch(office, form("Pat Marsh and Kim Soto")).values()) == ["already a member"]
    batch(office, form("Ona Frey", "ona@example.org", "419-555-0119", "5 Elm St"))
    both = form("Gil Dorn and Ona Frey", "ona@example.org", "419-555-0119", "5 Elm St")
    assert list(batch(office, both).values()) == ["on hold"]
    assert "If Gil Dorn should have one too, answer enroll" in said()


def test_forms_of_each_beside_a_joint_one_on_hold_end_with_an_account_each(office: Path) -> None:
    batch(office, form("Pat and Kim Marsh"), form("Kim Marsh"), form("Pat Marsh"))
    assert "This may be one of those on a form on hold, for 2 people: Pat Marsh and Kim." in said()
    onboard("answer", key_of("is 2 people"), "drop")
    for name in ("Kim Marsh", "Pat Marsh"):
        onboard("answer", key_of(name), "enroll")
    assert "kimmarsh" in onboard("find", "Kim Marsh").words
    assert "patmarsh" in onboard("find", "Pat Marsh").words


def test_an_account_in_two_names_of_an_old_list_is_no_other_ones(office: Path) -> None:
    old = write_csv(
        office / "old.csv", [("marshes", *form("Pat & Kim Marsh"))], ("Username", *HEADINGS)
    )
    onboard("adopt", old, "--record")
    for name in ("Kim Marsh", "Pat Marsh"):
        assert batch(office, form(name), record=False)[name] == "on hold"
    (verdict,) = batch(office, form("Pat & Kim Marsh"), record=False).values()
    assert verdict == "already a member"


def test_a_joint_form_after_one_of_the_two_was_brought_in_by_a_list(office: Path) -> None:
    old = write_csv(office / "old.csv", [("pmarsh", *form("Pat Marsh"))], ("Username", *HEADINGS))
    onboard("adopt", old, "--record")
    batch(office, form("Kim & Pat Marsh"))
    assert "There is an account already for Pat Marsh (member 1). If Kim Marsh" in said()


def test_a_form_of_a_household_is_nobodys_alone(office: Path) -> None:
    batch(office, form("Lou Marsh"))
    assert list(batch(office, form("The Marsh Family")).values()) == ["on hold"]
    assert "Is this the same person as Lou Marsh (member 1)?" in said()
    assert "“The Marsh Family” is a household. Ask which person the account is for." in said()


def test_nobody_of_two_gets_the_last_name_of_the_other(office: Path) -> None:
    batch(office, form("Gil Santos and Ona Frey"))
    batch(office, form("Gil Santos", "gil@example.net"), form("Ona Frey", "ona@example.net"))
    assert "one of those on a form on hold, for 2 people: Gil Santos and Ona" in said()
    assert "Ona Santos" not in said()


def test_an_answer_with_the_name_of_one_who_became_a_member_makes_no_second_account(
    office: Path,
) -> None:
    batch(office, form("Ottilie and Anselm Brandt"))
    key = key_of("Ottilie")
    assert batch(office, form("Anselm Brandt", "anselm@example.net", "419-555-0122"))
    onboard("answer", key_of("may be one of those"), "enroll")
    done = onboard("answer", key, "enroll", "--correct", "name=Anselm Brandt")
    assert (
        "There is an account already for Anselm Brandt (member 1). If the form is for" in done.words
    )
    assert "new member" not in done.words
    assert "anselmbrandt2" not in onboard("find", "Anselm Brandt").words
    done = onboard("answer", key, "enroll", "--correct", "name=Ottilie Brandt")
    assert "Ottilie Brandt: new member." in done.words


def test_the_other_of_an_answered_form_is_told_until_it_is_settled(office: Path) -> None:
    batch(office, form("Ottilie and Anselm Brandt"))
    done = onboard("answer", key_of("Ottilie"), "enroll", "--correct", "name=Anselm Brandt")
    other = "This account is for Anselm Brandt. Ask if Ottilie Brandt should have an account, too"
    assert other in done.words
    assert other in onboard("answer", "--ask").words
    onboard("correct", "anselmbrandt", "--all-right", "--record")
    assert other not in onboard("answer", "--ask").words


def test_the_other_is_told_where_a_sheet_of_answers_is_given_back(office: Path) -> None:
    file = write_csv(office / "two.csv", [form("Ottilie and Anselm Brandt")])
    key = onboard("batch", file, "--record", "--json").json()[0]["row"]
    answers = office / "answers.csv"
    sheet = [
        ("form key", "answer", answer_sheet.correction("full_name")),
        (key, "enroll", "Ottilie Brandt"),
    ]
    answers.write_text("\n".join(",".join(line) for line in sheet), "utf-8")
    said = onboard("batch", "--answers", answers, "--record")
    assert (
        "This account is for Ottilie Brandt. Ask if Anselm Brandt should have an account"
        in said.words
    )


@pytest.mark.parametrize("answered", ["enroll", "drop", ""])
def test_a_joint_form_of_next_month_with_one_more_question_is_settled_as_the_first(
    office: Path, answered: str
) -> None:
    heads = ("Full name", "Email", "Drop site")
    couple = ("Ottilie and Anselm Brandt", "brandts@example.org", "Lima Grange")
    onboard("batch", write_csv(office / "may.csv", [couple], heads), "--record")
    if answered:
        more = ("--correct", "name=Anselm Brandt") if answered == "enroll" else ()
        onboard("answer", key_of("Ottilie"), answered, *more)
    june = [(*couple, "3/14/1970"), ("Ottilie & Anselm Brandt", *couple[1:], "3/14/1970")]
    file = write_csv(office / "june.csv", june, (*heads, "Date of birth"))
    told = [one for one in onboard("batch", file, "--json").json() if "verdict" in one]
    of_june = {one["verdict"] for one in told if one["file"] == "june.csv"}
    assert of_june == {"already a member" if answered == "enroll" else "given before"}


# ---------------------------------------------------------------- one mailbox for several

TOGETHER = "Welcome packets go to 1 mailbox that more than one member uses."


def two(folder: Path, one: tuple[str, ...], other: tuple[str, ...], *remarks: str) -> str:
    """What is said of packets once both are members."""
    with_mail(folder)
    said = remarks or ("", "")
    rows = [(*row, remark) for row, remark in zip((one, other), said, strict=True)]
    onboard("batch", write_csv(folder / "two.csv", rows, (*HEADINGS, "Remarks")), "--record")
    for line in asked():
        if line[:6].strip().isalnum() and len(line.split()[0]) == 6 and line[0] != " ":
            onboard("answer", line.split()[0], "enroll")
    onboard("packets", "--write")
    return onboard("packets").words


def neighbors(email: str, *, home: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
    first = ("Eloísa Marsh", email, "419-555-0155", "31 Pine St", *PAT[4:])
    street = "31 Pine St" if home else "8 Canal Rd"
    family = "Marsh" if home else "Keane"
    return first, (f"Fermín {family}", email, "419-555-0121", street, *PAT[4:])


def sent_to(folder: Path) -> set[str]:
    return {file.stem for file in (folder / "outbox").glob("*.eml")}


@pytest.mark.parametrize("email", ["marshes@example.org", "bluebird77@example.org"])
def test_a_family_with_one_mailbox_is_not_held_up_and_the_coordinator_is_told(
    office: Path, email: str
) -> None:
    said = two(office, *neighbors(email, home=True))
    assert sent_to(office) == {"eloisamarsh", "ferminmarsh"}
    assert TOGETHER in said
    assert f"{email}: Eloísa Marsh (eloisamarsh), Fermín Marsh (ferminmarsh)" in said
    assert "A letter for Fermín Marsh: onboard answer ferminmarsh letter" in said
    _, told = onboard("packets", "--json").json()
    assert told == {
        "shared": {
            "email": email,
            "handles": ["eloisamarsh", "ferminmarsh"],
            "new": ["ferminmarsh"],
        }
    }
    onboard("answer", "ferminmarsh", "letter")
    assert TOGETHER not in onboard("packets").words


def test_that_a_shared_mailbox_is_right_is_an_answer_and_is_not_told_again(office: Path) -> None:
    assert TOGETHER in two(office, *neighbors("marshes@example.org", home=True))
    assert onboard("answer", "ferminmarsh", "right", "--why", "they read it together").code == 0
    assert TOGETHER not in onboard("packets").words
    again = onboard("answer", "eloisamarsh", "right")
    assert "Nothing is asked about the email address of eloisamarsh" in again.err


@pytest.mark.parametrize("said", ["letter", "right", ""])
def test_a_shared_mailbox_stands_in_the_sheet_of_questions_and_waits_for_nobody(
    office: Path, said: str
) -> None:
    with_mail(office)
    rows = neighbors("marshes@example.org", home=True)
    told = onboard("batch", write_csv(office / "two.csv", rows), "--record")
    assert "The questions about 1 mailbox that several use are in" in told.words
    assert sent_to(office) == {"eloisamarsh", "ferminmarsh"}
    (sheet, *_) = tables_of(office / "two-questions.xlsx")
    heads, row = [list(line.cells) for line in sheet.lines()]
    assert row[heads.index("Name on the form")] == "Fermín Marsh"
    assert row[heads.index("Question")] == (
        "The welcome packet goes to this mailbox, which is also the one of Eloísa Marsh (eloisamarsh). Whoever reads it can "
        "sign in as all of them. Answer right if that is fine, or letter to print a letter."
    )
    row[heads.index("Your answer")], row[heads.index("Answered by")] = said, "Robin"
    onboard("batch", "--record", "--answers", write_csv(office / "answered.csv", [row], heads))
    assert (TOGETHER in onboard("packets").words) is (said == "")
    assert ("ferminmarsh" in sent_to(office)) is (said != "letter")


def test_a_mailbox_of_one_member_whom_another_form_names_is_not_told_as_shared(
    office: Path,
) -> None:
    """The packet of whoever gave another's mailbox waits: nobody else can read anything there."""
    first, second = neighbors("fermin.keane@example.org", home=False)
    said = two(office, first, second)
    assert "Ask Eloísa Marsh by phone: do you read email there?" in said
    assert sent_to(office) == {"ferminkeane"}
    assert TOGETHER not in said


def test_without_a_mail_server_no_packet_goes_to_a_mailbox(office: Path) -> None:
    rows = neighbors("marshes@example.org", home=True)
    onboard("batch", write_csv(office / "two.csv", rows), "--record")
    said = onboard("packets").words
    assert "everybody gets a letter" in said
    assert "Welcome packets go to" not in said


def test_each_packet_to_one_mailbox_says_whose_it_is(office: Path) -> None:
    two(office, *neighbors("marshes@example.org", home=True))
    for handle, name in (("eloisamarsh", "Eloísa Marsh"), ("ferminmarsh", "Fermín Marsh")):
        mail = BytesParser(policy=policy.default).parsebytes(
            (office / "outbox" / f"{handle}.eml").read_bytes()
        )
        assert mail["Subject"].endswith(f"how to sign in and order ({name})")
        body = " ".join(mail.get_body(("plain",)).get_content().split())  # type: ignore[union-attr]
        assert f"This is for {name} only. Someone else in our co-op gets email" in body
    letter = write_csv(office / "alone.csv", [PAT])
    onboard("batch", letter, "--record")
    assert b"only. Someone else" not in (office / "outbox" / "patlee.eml").read_bytes()


def test_two_homes_with_one_mailbox_that_names_neither_are_both_asked(office: Path) -> None:
    said = two(office, *neighbors("bluebird77@example.org", home=False))
    assert "2 welcome packets wait, because the email address may be wrong." in said
    for mine, other in (("Eloísa Marsh", "Fermín Keane"), ("Fermín Keane", "Eloísa Marsh")):
        assert f"It is also the email address of {other}" in said
        assert f"Ask {mine} by phone: do you read email there?" in said
    assert TOGETHER not in said


@pytest.mark.parametrize(
    ("remark", "is_asked"),
    [
        ("", True),
        ("Same email as my wife", False),
        ("compartimos el correo", False),
        ("Please email me", True),
    ],
)
def test_a_mailbox_that_bears_the_others_name_is_asked_about_unless_the_form_says_it_is_shared(
    office: Path, remark: str, is_asked: bool
) -> None:
    said = two(office, *neighbors("eloisa.marsh@example.org", home=True), "", remark)
    assert ("Ask Fermín Marsh by phone: do you read email there?" in said) is is_asked
    assert (TOGETHER in said) is not is_asked
    assert "Ask Eloísa Marsh by phone" not in said, "it is hers"


def test_where_whoever_the_mailbox_names_says_that_it_is_shared_nobody_is_asked(
    office: Path,
) -> None:
    remarks = ("Same email as my husband", "")
    said = two(office, *neighbors("eloisa.marsh@example.org", home=True), *remarks)
    assert "do you read email there?" not in said
    assert TOGETHER in said


def test_an_answer_that_the_mailbox_is_right_ends_the_question_and_the_notice(
    office: Path,
) -> None:
    two(office, *neighbors("eloisa.marsh@example.org", home=True))
    onboard("answer", "ferminmarsh", "right")
    said = onboard("packets").words
    assert "do you read email there?" not in said
    assert TOGETHER not in said
