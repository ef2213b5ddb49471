"""An account of two people is safe for neither before it is said which; what nobody approved makes nobody safe."""

from __future__ import annotations

from pathlib import Path

import pytest
from coop_forms import ROBIN, form, office_of

from onboard.lookup.said import read
from onboard.model import Answer, Owner, Ruling
from onboard.office import Office
from onboard.reports import found
from onboard.roster import search, store
from onboard.settings import Settings
from onboard.tasks.correct_member import correct_member
from onboard.tasks.look_up import look_up
from onboard.tasks.process_batch import process_batch

HOME = {
    "street": "12 N Main St", "city": "Lima", "state": "OH", "zip": "45801", "site": "Lima Grange",
    "phone": "419-555-0143", "email": "marshes@example.org",
}  # fmt: skip
OTHERS = ("Ann Smith", "Joe Marsh", "Sam Moor", "Kim Vale", "Lee Stone")


@pytest.fixture
def office(coop: Settings, tmp_path: Path) -> Office:
    """An office with five members who are nobody's relatives."""
    office = office_of(coop, store.open_store(f"sqlite:///{tmp_path / 'roster.db'}"), ROBIN)
    rows = [
        form(20 + n, full_name=name, email=f"x{n}@example.net", phone=f"419-555-015{n}",
             street=f"{n + 3} Elm St", city="Lima", state="OH", zip="45801", site="Lima Grange")
        for n, name in enumerate(OTHERS)
    ]  # fmt: skip
    process_batch(office, rows, file="others.csv", keep=True)
    return office


def enroll(office: Office, answer: Answer, meant: Owner | None = None, **said: str) -> None:
    """A form taken in, and answered where it is held."""
    fixed = {"full_name": said.pop("fixed")} if "fixed" in said else {}
    process_batch(office, [form(2, **(HOME | said))], file="forms.csv", keep=True)
    with office.reading() as connection:
        held = list(search.held(connection))
    rulings = [Ruling(raw.key, answer, "Robin", "", meant, fixed) for raw in held]
    process_batch(office, (), file="", keep=True, rulings=rulings)


@pytest.mark.parametrize(
    ("form_of", "own", "other"),
    [("Rob & Delia Marsh", "Delia Marsh", "Rob Marsh"), ("Dan and Dana Quill", "Dana Quill", "Dan Quill"),
     ("Luis y Marta Soto", "Luis Soto", "Marta Soto")],
)  # fmt: skip
def test_the_other_of_two_is_never_a_clear_match(
    office: Office, form_of: str, own: str, other: str
) -> None:
    enroll(office, Answer.ENROL, full_name=form_of, fixed=own)
    handle = own.replace(" ", "").lower()
    for said, safe, ask in (
        (own, True, ""),
        (f"this is {other}", False, "whose account"),
        (f"{other} 419-555-0143", False, "whose account"),
        ("marshes@example.org", False, "first name"),
        ("419-555-0143", False, "first name"),
        (handle, False, "first name"),
        (f"{own.split()[1]} 0143", False, "first name"),
    ):
        finds = look_up(office, said)
        assert (finds.found[0].handle, finds.safe_to_open, finds.ask) == (handle, safe, ask), said
        assert finds.found[0].others == (other,)
    told = repr(found.pieces(look_up(office, other)))
    assert f"on the same account: {other}" in told
    assert f"The account is in the name of {own}." in told


def test_a_spelling_a_pet_form_and_a_middle_name_are_nobody_else(office: Office) -> None:
    enroll(office, Answer.ENROL, full_name="Robert James Marsh")
    for again in ("Bob Marsh", "Robbert Marsh", "Marsh, Robert"):
        enroll(office, Answer.SAME, Owner.of_member(6), full_name=again)
    finds = look_up(office, "419-555-0143")
    assert (finds.safe_to_open, finds.found[0].others) == (True, ())


def test_two_accounts_with_one_mailbox_and_phone_are_told_apart_by_the_first_name(
    office: Office,
) -> None:
    for name in ("Rob Marsh", "Delia Marsh"):
        enroll(office, Answer.ENROL, full_name=name)
    assert look_up(office, "Delia Marsh").safe_to_open
    for said in ("marshes@example.org", "419-555-0143", "Marsh 0143"):
        finds = look_up(office, said)
        assert (finds.safe_to_open, finds.ask) == (False, "first name"), said


def test_what_a_later_form_says_finds_its_member_and_makes_nobody_safe(office: Office) -> None:
    enroll(office, Answer.ENROL, full_name="Pat Quill", email="pat.quill@example.org")
    new = {"email": "someone@example.net", "phone": "419-555-0199"}
    enroll(office, Answer.SAME, Owner.of_member(6), full_name="Pat Quill", **new)
    for said in new.values():
        finds = look_up(office, said)
        assert (finds.found[0].handle, finds.safe_to_open) == ("patquill", False), said
    for said in (
        "pat.quill@example.org",
        "419-555-0143",
        "Pat Quill",
        f"Pat Quill, {new['email']}",
    ):
        assert look_up(office, said).safe_to_open, said
    assert not correct_member(office, "patquill", {"email": new["email"]}, keep=True).refused
    for said in (new["email"], "pat.quill@example.org"):  # approved, and once on file
        assert look_up(office, said).safe_to_open, said


def test_nobody_is_asked_for_an_email_address_that_is_in_doubt(office: Office) -> None:
    for n, email in enumerate(("quill@gmail.con", "quill7@example.org")):
        enroll(office, Answer.ENROL, full_name="Pat Quill", email=email, phone="419-555-0199",
               street=f"{n}2 Oak St")  # fmt: skip
    assert look_up(office, "Pat Quill").ask != "email"


def test_junior_and_senior_are_heard_behind_a_name_alone(office: Office) -> None:
    enroll(office, Answer.ENROL, full_name="Elwood Tate Jr")
    enroll(office, Answer.ENROL, full_name="Elwood Tate Sr", email="tate@example.net",
           phone="419-555-0189", street="77 Ash St")  # fmt: skip
    for said, handle in (("elwood junior", "elwoodtate"), ("Elwood Tate Sr.", "elwoodtate2"),
                         ("Elwood Tate Jr.", "elwoodtate"), ("elwood, senior", "elwoodtate2")):  # fmt: skip
        finds = look_up(office, said)
        assert (finds.found[0].handle, finds.safe_to_open) == (handle, True), said


@pytest.mark.parametrize(
    "said", ["St Brigid", "St. Brigid's", "Saint Brigids hall", "saint brigid"]
)
def test_a_short_word_of_a_site_is_its_long_one(said: str) -> None:
    readings = read(f"Nora Quill {said}", {"saint brigids hall", "mount vernon barn"})
    assert readings[0].site == "saint brigids hall"


@pytest.mark.parametrize(
    ("known", "said"),
    [("Wm. Tarbell", "William Tarbell"), ("Wm. Tarbell", "bill tarbell"), ("William Tarbell", "Wm Tarbell"),
     ("Chas. Tarbell", "Charles Tarbell"), ("Fco. Tarbell", "Francisco Tarbell"), ("Fco. Tarbell", "pancho tarbell"),
     ("Ma. Elena Tarbell", "María Elena Tarbell"), ("María Elena Tarbell", "Ma. Elena Tarbell"),
     ("Ma. Elena Tarbell", "Maria Tarbell"), ("Robt. Tarbell", "Bob Tarbell")],
)  # fmt: skip
def test_a_first_name_that_is_written_short_is_found_by_the_whole_one(
    office: Office, known: str, said: str
) -> None:
    forms = [
        form(2, **HOME, full_name=known),
        form(3, **(HOME | {"email": "r@example.org", "phone": "419-555-0188"}), full_name="Rosa Tarbell"),
    ]  # fmt: skip
    process_batch(office, forms, file="forms.csv", keep=True)
    first, *_ = look_up(office, said).found
    assert first.name.given == known.removesuffix(" Tarbell")
