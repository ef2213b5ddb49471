"""What a form says of the person: the same whatever else the form asks."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from onboard.clean.statement import Likeness, compare, sketch

ANA = {
    "full_name": "Ana Ruiz", "email": "ana@example.org", "phone": "419-555-0101",
    "street": "1 Elm St", "city": "Lima", "zip": "45801", "submitted": "1/2/2026",
}  # fmt: skip


def ana(**said: str | None) -> dict[str, str]:
    """Ana's form with other answers; a column that is None is not on it."""
    return {field: text for field, text in (ANA | said).items() if text is not None}


@pytest.mark.parametrize(
    "other",
    [
        ana(submitted="3/3/2026"), ana(submitted=None), ana(site="Lima Grange", consent="", id="7"),
        ana(**{"aside:Can you host?": "yes", "extra:Why?": "friends"}),
        ana(full_name="ANA  RUIZ", email="Ana@Example.org ", phone="(419) 555-0101"),
        ana(phone=None), ana(zip=None), ana(street=None, city=None, zip=None),
        ana(phone=None, street=None, city=None, zip=None),
        ana(full_name=None, given="Ana", family="Ruiz"),
        ana(street=None, city=None, zip=None, address="1 Elm St, Lima 45801"),
        ana(street=None, city=None, zip=None, address="1 Elm St"), ana(suffix="", unit=""),
    ],
)  # fmt: skip
def test_another_form_of_the_same_person_says_nothing_new(other: dict[str, str]) -> None:
    assert sketch(other) == sketch(ANA)
    assert compare(other, ANA) is Likeness.SAME


@pytest.mark.parametrize("more", [{"born": "1/2/1980"}, {"unit": "Apt 2"}, {"middle": "Maria"}])
def test_a_form_that_asks_more_of_the_person_says_more(more: dict[str, str]) -> None:
    assert compare(ana(**more), ANA) is Likeness.MORE
    assert compare(ANA, ana(**more)) is Likeness.SAME


@pytest.mark.parametrize(
    "other",
    [
        ana(phone="419-555-0102"), ana(phone=""), ana(zip="45802"), ana(email="ana@example.net"),
        ana(full_name="Ana Ruiz Soto"), ana(full_name="Luis Ruiz"), ana(street="1 Elm St Apt 2"),
    ],
)  # fmt: skip
def test_what_both_forms_asked_tells_two_people_apart(other: dict[str, str]) -> None:
    assert compare(other, ANA) is Likeness.OTHER
    assert compare(ANA, other) is Likeness.OTHER


def test_a_name_alone_is_many_peoples() -> None:
    alone = {"full_name": "Ana Ruiz", "email": "", "phone": ""}
    assert compare(alone, alone) is Likeness.OTHER
    assert (
        compare({"full_name": "Ana Ruiz", "email": "ana@example.org"}, {"full_name": "Ana Ruiz"})
        is Likeness.OTHER
    )
    assert sketch({"full_name": " ", "email": ""}) == ""


texts = st.dictionaries(
    st.sampled_from(["full_name", "given", "family", "email", "phone", "address", "street", "city", "born", "site"]),
    st.sampled_from(["", "Ana Ruiz", "Ana", "Ruiz", "ana@example.org", "4195550101", "\ud800"]),
)  # fmt: skip


@given(texts, texts)
@example(
    {"full_name": "Ana", "email": "ana@example.org"},
    {"full_name": "Ana", "email": "ana@example.org", "given": "Ana"},
)
def test_two_forms_are_other_either_way_or_one_says_no_less(
    one: dict[str, str], two: dict[str, str]
) -> None:
    here, there = compare(one, two), compare(two, one)
    if {here, there} == {
        Likeness.SAME,
        Likeness.OTHER,
    }:  # too little is the same for the longer one
        less, more = (one, two) if here is Likeness.SAME else (two, one)
        assert any(text and not less.get(field) for field, text in more.items())
    else:
        assert here is there or Likeness.MORE in (here, there)
