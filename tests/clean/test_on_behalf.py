"""Forms that are not of whoever filled them out, and forms that say nobody."""

from __future__ import annotations

import pytest
from coop_forms import PAT, form
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.clean import filler, on_behalf, row
from onboard.model import RawRow, Weight

HELPED = [
    "form for my neighbor",
    "Filling this out for my mom",
    "I'm signing up my mother, she has no internet",
    "On behalf of my dad",
    "Es para mi mamá",
    "Lleno esto por mi vecina",
    "I am her daughter",
    "My mom doesn't have email",
    "Filled out by her niece Ann",
    "mi mamá no tiene correo",
    "For my elderly neighbor who has no computer",
    "doing this for grandma",
    "the email is mine, not hers",
    "Entered by Ruth's caregiver",
    "sent in by her daughter-in-law",
]
OWN = [
    "I pick up for my mom",
    "same email as my husband",
    "My neighbor told me about you",
    "Form for my husband and me",
    "Seeds for my mother's garden",
    "on behalf of myself",
    "My son will pick up",
    "I want tomatoes for my wife",
    "joining with my sister",
    "no tengo correo",
    "My order was sent by mail last time",
    "Please call my daughter if I don't answer",
]
HELPED_IN_NAME = [
    "Marvin|Pryce (filling in for my mother Odessa Pryce)",
    "Marvin|Pryce for Odessa Pryce",
    "Louise|Finch on behalf of Ada Bell",
    "Luisa|Paz (para mi mamá Elena Paz)",
    "Odessa (my mother)|Pryce",
    "|Rosa Luna, llenado por su hija",
    "Ana por Rosa|Luna",
    "|Ana Luna p/ Rosa Luna",
    "Bob|Hill (POA Jean Hill)",
    "|Carmen Mora via Teresa",
    "Beto|Nieto, hijo de Altagracia Nieto",
    "|Para Chela Baca",
    "|Ruth Kemp - her landlady here",
    "Opal|Coe (my aunt)",
    "Tacho|Lara (lo apuntó Chuy)",
    "Iva|Roe - neighbor Ned helping her",
    "|in place of Edna Orr: Kim Dale",
]
NAMED_ALONE = [
    "Sokha|Por",
    "|Para, Ana",
    "Tom & my wife Sue|Hobart",
    "Tom y mi esposa Sue|Hale",
    "Pat|Lee c/o Robin Diaz",
    "Pat|Lee (call after six)",
    "|Pat Lee, widow of Tom Lee",
    "Via|Byron",
    "Por|Chan",
    "|Mother of Toby Marsh",
]
CHILDREN = [
    "age 9",
    "my son is 7",
    "I'm 12 years old",
    "She is 9",
    "He is 10 and loves seeds",
    "for my son, 7",
    "tengo 9 años",
    "mi hija tiene ocho años",
    "is a minor",
    "He is in 4th grade",
    "I am 16, is that ok?",
]
GROWN = [
    "my kids are 7 and 9",
    "we have a 7 year old",
    "gardening since age 9",
    "mother of 3, ages 4, 6 and 9",
    "age 67",
    "I'm 71",
    "household of 4",
    "My son is 7 and allergic to nuts",
    "My son is 7, allergic to nuts",
    "I have a 9 year old truck",
    "I am one of the hosts",
    "the site is 7 miles away",
    "cheese aged 9 months",
    "mi hija de 6 años viene conmigo",
]


def found(said: str, **more: str) -> dict[str, Weight]:
    forms = form(**(PAT | {"notes": said} | more))
    return {f.code: f.weight for f in row.clean(forms).findings}


@pytest.mark.parametrize("said", HELPED)
def test_who_fills_out_a_form_for_another_is_heard(said: str) -> None:
    assert found(said, email="sunnyside@example.org")["email.helper"] is Weight.DOUBTFUL
    # An address with the member's own name in it is the member's; the phone may still be another's.
    assert {"email.helper", "phone.helper"} & found(said).keys() == {"phone.helper"}
    assert not {"email.helper", "phone.helper"} & found(said, phone="").keys()


@pytest.mark.parametrize("email", ["bert.lee@example.org", "thelees@example.org"])
def test_a_helper_of_the_family_has_its_last_name_in_the_mailbox_too(email: str) -> None:
    assert "email.helper" in found("I'm her son, she has no computer", email=email)
    assert "email.helper" not in found("I'm her son", email="plee@example.org")


@pytest.mark.parametrize("said", OWN)
def test_who_speaks_of_others_in_their_own_form_is_not_doubted(said: str) -> None:
    assert not {"email.helper", "phone.helper"} & found(said, email="sun@example.org").keys()


@pytest.mark.parametrize("said", HELPED_IN_NAME)
def test_a_helper_in_the_name_boxes_holds_the_form_with_the_question_whose_it_is(said: str) -> None:
    named = _named(said)
    (finding,) = [
        f
        for f in row.clean(form(**named, email="pat@example.org")).findings
        if f.code == "name.helper"
    ]
    assert finding.weight is Weight.BLOCKING
    assert finding.note == (
        f"The name says “{' '.join(named.values())}”. Somebody seems to have filled out the form for another person. "
        "Ask who the account is for. Answer enroll, with that person's name."
    )


@pytest.mark.parametrize("said", NAMED_ALONE)
def test_who_is_named_alone_or_with_another_member_of_the_home_has_no_helper(said: str) -> None:
    assert "name.helper" not in {f.code for f in row.clean(form(**_named(said))).findings}


def _named(said: str) -> dict[str, str]:
    given, _, family = said.rpartition("|")
    return {"given": given, "family": family} if given else {"full_name": family}


def test_the_helpers_email_is_asked_about_when_the_name_is_answered() -> None:
    raw = form(
        full_name="Marvin Pryce for my mother Odessa Pryce", email="marvin.pryce@example.org"
    )
    codes = {f.code for f in row.clean(row.corrected(raw, {"full_name": "Odessa Pryce"})).findings}
    assert "email.helper" in codes
    assert "name.helper" not in codes
    own = row.corrected(raw, {"full_name": "Odessa Pryce", "email": "odessa@example.org"})
    assert "email.helper" not in {f.code for f in row.clean(own).findings}


@pytest.mark.parametrize("said", CHILDREN)
def test_a_childs_form_is_held_and_asked_about(said: str) -> None:
    assert found(said)["row.child"] is Weight.BLOCKING


@pytest.mark.parametrize("said", GROWN)
def test_children_and_ages_in_a_remark_make_no_childs_form(said: str) -> None:
    assert "row.child" not in found(said)


def test_what_to_do_about_a_child_names_the_parent_and_the_law() -> None:
    (note,) = [f.note for f in row.clean(form(**PAT, notes="age 9")).findings if "child" in f.code]
    assert note == (
        "The form says “age 9”. It seems to be a child's. Ask a parent or guardian, and look at the law where you live before "
        "you keep anything about a child. If a parent joins, answer enroll, with the parent's name. If not, answer drop."
    )


def test_an_age_beside_the_name_in_a_column_or_by_the_birth_date_is_heard_too() -> None:
    assert "row.child" in found("", full_name="Toby Marsh (age 9)")
    assert "row.child" in found("", **{"aside:Age": "9"})
    assert "row.child" not in found("", **{"aside:Age": "59"})
    assert "row.child" not in found("", **{"aside:How many years have you gardened?": "9"})
    came = {"submitted": "11/20/2026 10:22:11"}
    assert "row.child" in found("", born="2017-03-14", **came)
    assert "row.child" not in found("", born="2008-11-20", **came)
    assert "row.child" not in found("", born="2017-03-14"), "nothing says when it came"


def test_a_line_of_an_old_list_is_nobodys_own_words() -> None:
    assert "row.child" not in found("age 9", handle="patlee")


@pytest.mark.parametrize(
    "said",
    [
        ("asdf asdf", "x@x.com", "111-111-1111"),
        ("aaa bbb", "test@test.com", "1234567890"),
        ("Test User", "a@a.a", "000"),
        ("qwerty", "asdf@asdf.com", "123-456-7890"),
        ("asdf", "none", ""),
    ],
)
def test_a_row_of_fillers_alone_is_held(said: tuple[str, str, str]) -> None:
    fields = dict(zip(("full_name", "email", "phone"), said, strict=True))
    assert found("", **fields)["row.filler"] is Weight.BLOCKING


@pytest.mark.parametrize(
    "said",
    [
        ("asdf asdf", "pat@example.org", "111-111-1111"),
        ("asdf asdf", "x@x.com", "419-234-5678"),
        ("Pat Lee", "x@x.com", "111-111-1111"),
    ],
)
def test_whoever_can_be_asked_is_asked_about_that_alone(said: tuple[str, str, str]) -> None:
    fields = dict(zip(("full_name", "email", "phone"), said, strict=True))
    assert "row.filler" not in found("", **fields)


@pytest.mark.parametrize("kind", [on_behalf.EMAIL, on_behalf.PHONE, on_behalf.CHILD])
def test_the_examples_of_the_kinds_hold(kind: object) -> None:
    email = "" if kind is on_behalf.PHONE else "sun@example.org"
    assert kind.code in found(kind.wrong, email=email)  # type: ignore[attr-defined]
    assert kind.code not in found(kind.right, email=email)  # type: ignore[attr-defined]


def test_the_example_of_a_helper_in_the_name_holds() -> None:
    for said, is_found in ((on_behalf.NAME.wrong, True), (on_behalf.NAME.right, False)):
        codes = {f.code for f in row.clean(form(full_name=said)).findings}
        assert ("name.helper" in codes) is is_found


def test_the_examples_of_fillers_hold() -> None:
    for said, is_found in ((filler.FILLER.wrong, True), (filler.FILLER.right, False)):
        fields = dict(zip(("full_name", "email", "phone"), said.split(", "), strict=True))
        assert ("row.filler" in found("", **fields)) is is_found


@settings(deadline=None)  # the first text makes the patterns
@given(st.text(max_size=200))
def test_no_text_makes_the_rules_raise(said: str) -> None:
    fields = {"full_name": said, "notes": said, "aside:Age": said, "email": said, "phone": said}
    row.clean(RawRow("forms.csv", 2, tuple(fields.items()), fields))
