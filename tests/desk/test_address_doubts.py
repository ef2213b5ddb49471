"""No letter with a temporary password is made for an address that nobody can deliver to."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from coop_forms import PAT, ROBIN, form, office_of
from python_calamine import CalamineWorkbook

from onboard.clean.address import deliverable
from onboard.errors import FileTrouble
from onboard.intake import read_answers
from onboard.mail import outbox
from onboard.model import Answer, Need, Ruling, State, Way, What
from onboard.office import Office
from onboard.reports import answers
from onboard.roster import outgoing, store
from onboard.settings import Settings
from onboard.tasks import today, where_questions
from onboard.tasks.correct_member import correct_member
from onboard.tasks.mail_letters import letters_to_mail
from onboard.tasks.process_batch import process_batch
from onboard.tasks.settle_question import settle_question, settle_questions
from onboard.tasks.write_packets import write_packets

NOWHERE = {"street": "", "consent": "no"}


@pytest.fixture
def office(coop: Settings, tmp_path: Path) -> Office:
    return office_of(coop, store.open_store(f"sqlite:///{tmp_path / 'roster.db'}"), ROBIN)


def enroll(office: Office, **said: str) -> None:
    process_batch(office, [form(2, **(PAT | said))], file="forms.csv", keep=True)


def packet(office: Office) -> tuple[State, Way]:
    with office.reading() as connection:
        (line,) = [
            line
            for state in State
            if state is not State.VOID
            for line in outgoing.by_state(connection, What.PACKET, state)
        ]
    return line.state, line.way


ADDRESSES = [
    (("12 N MAIN ST", "LIMA OH 45801"), True),
    (("PO BOX 7", "LIMA OH 45801"), True),
    (("GENERAL DELIVERY", "LIMA OH 45801"), True),
    (("HC 3 BOX 12", "LIMA OH 45801"), True),
    (("URB LAS GLADIOLAS", "B12 CALLE 5", "SAN JUAN PR 00926"), True),
    (("12 N MAIN ST", "LIMA OH"), True),
    (("12 N MAIN ST", "45801"), True),
    (("LIMA OH 45801",), False),
    (("45801",), False),
    (("MAIN ST", "LIMA OH 45801"), False),
    (("5TH AND HIGH ST", "LIMA OH 45801"), False),
    (("RR 2", "LIMA OH 45801"), False),
    (("12 N MAIN ST", "LIMA"), False),
    (("12 N MAIN ST",), False),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "reached"), ADDRESSES)
def test_an_address_can_be_delivered_to(lines: tuple[str, ...], reached: bool) -> None:
    assert (not deliverable.why_not(lines)) is reached


@pytest.mark.parametrize("street", ["", "Main Street", "5th and High St"])
def test_a_letter_waits_while_nobody_can_deliver_it(office: Office, street: str) -> None:
    enroll(office, consent="no", street=street)
    done = write_packets(office)
    assert (done.written, [one.member.handle.text for one in done.asked]) == ([], ["patlee"])
    assert packet(office) == (State.WAITING, Way.LETTER)
    assert list(office.settings.outbox.glob("*.pdf")) == []
    assert [one.row for one in where_questions.questions(office)] == [one.row for one in done.asked]
    needs = {one.need: one.count for one in today.today(office)}
    assert needs.get(Need.ADDRESS_DOUBTS) == 1
    assert Need.CALLER_CHECKS not in needs
    assert write_packets(office).written == [], "it stands until it is answered"


def test_the_address_is_the_answer(office: Office) -> None:
    enroll(office, **NOWHERE)
    write_packets(office)
    done = correct_member(office, "patlee", {"address": "7 Oak Ave, Lima, OH 45801"}, keep=True)
    assert (done.refused, done.notices) == ((), ())
    assert packet(office) == (State.DUE, Way.LETTER)
    assert write_packets(office).by_letter_only == ["patlee"]
    assert where_questions.questions(office) == []


def test_an_email_address_is_the_answer(office: Office) -> None:
    enroll(office, email="pat@gmail.con", street="")
    settle_question(office, Ruling("patlee", Answer.LETTER, "Robin"))
    write_packets(office)
    ruling = Ruling("patlee", Answer.RIGHT, "Robin", corrections={"email": "pat@example.org"})
    assert not settle_question(office, ruling).still_asked
    assert packet(office) == (State.DUE, Way.EMAIL)
    assert (office.settings.outbox / outbox.email_name("patlee")).exists() is False
    write_packets(office)
    assert (office.settings.outbox / outbox.email_name("patlee")).exists()


def test_the_letter_may_be_handed_over_and_another_address_is_asked_about_again(
    office: Office,
) -> None:
    enroll(office, **NOWHERE)
    write_packets(office)
    settle_question(office, Ruling("patlee", Answer.LETTER, "Robin"))
    assert write_packets(office).written == ["patlee"]
    assert letters_to_mail(office).names == ["patlee"]
    with pytest.raises(FileTrouble, match="Nothing is asked"):
        settle_question(office, Ruling("patlee", Answer.LETTER, "Robin"))
    correct_member(office, "patlee", {"address": "Elm St, Lima, OH 45801"}, keep=True)
    assert letters_to_mail(office).names == []


def test_an_email_in_doubt_answered_by_a_letter_asks_where_the_letter_goes(office: Office) -> None:
    enroll(office, email="pat@gmail.con", street="")
    write_packets(office)
    settle_question(office, Ruling("patlee", Answer.LETTER, "Robin"))
    (asked,) = write_packets(office).asked
    assert asked.row.startswith("member:1 letter:")
    assert packet(office) == (State.WAITING, Way.LETTER)


def test_without_a_mail_server_no_letter_goes_nowhere(office: Office) -> None:
    office = replace(office, settings=replace(office.settings, mail=type(office.settings.mail)()))
    enroll(office, street="")
    write_packets(office)
    found = letters_to_mail(office)
    assert found.names == []
    assert "Nobody can deliver a letter to patlee." in found.left[0]
    assert [one.member.id for one in where_questions.questions(office)] == [1]
    settle_question(office, Ruling("patlee", Answer.LETTER, "Robin"))
    assert letters_to_mail(office).names == ["patlee"]


def test_the_sheet_of_questions_asks_and_is_read_back(office: Office, tmp_path: Path) -> None:
    enroll(office, **NOWHERE)
    asked = write_packets(office).asked
    file = tmp_path / "questions.xlsx"
    answers.write((), file, asked)
    head, *rows = CalamineWorkbook.from_path(file).get_sheet_by_name("Questions").to_python()
    assert "Correct: address" in head
    row = dict(zip(head, rows[0], strict=True))
    row |= {"Your answer": "right", "Correct: address": "7 Oak Ave, Lima, OH 45801"}
    back = tmp_path / "back.csv"
    back.write_text(
        "\n".join(",".join(f'"{one}"' for one in line) for line in (head, row.values())),
        encoding="utf-8",
    )
    rulings = read_answers(back, by="Robin")
    assert settle_questions(office, rulings, keep=True) == ["1 answer about an address used."]
    assert write_packets(office).written == ["patlee"]
    assert "not used" in settle_questions(office, rulings, keep=True)[0]


def test_a_letter_waits_while_a_later_form_of_the_member_gives_another_address(
    office: Office,
) -> None:
    enroll(office, consent="no")
    assert write_packets(office).written == ["patlee"]
    assert letters_to_mail(office).names == ["patlee"]
    enroll(office, consent="no", street="PO Box 7")
    (asked,) = where_questions.questions(office)
    assert asked.notes == (
        "Another form of theirs says PO BOX 7, LIMA OH 45801. Ask which one is right.",
    )
    found = letters_to_mail(office)
    assert found.names == []
    assert found.left[0].startswith("A letter waits for patlee. Another form of theirs says")
    settle_question(office, Ruling("patlee", Answer.RIGHT, "Robin", "asked by phone"))
    assert letters_to_mail(office).names == ["patlee"]
    assert where_questions.questions(office) == []


def test_a_form_of_anybody_takes_no_account_over_with_a_new_address(office: Office) -> None:
    enroll(office, consent="no")
    enroll(office, consent="no", street="PO Box 7")
    assert write_packets(office).written == []
    done = correct_member(office, "patlee", {"address": "PO Box 7, Lima, OH 45801"}, keep=True)
    assert done.notices, "the address on file before is told"
