"""What callers say of their trouble at the page is heard, in English and Spanish."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from called_members import read
from callers import LAKE, RUNS, USED, member
from measure_signin import COOP

from onboard.model import PersonName, State
from onboard.signin import Account, Form, page, script, why

FACTS = Path(__file__).parents[1] / "facts"
TROUBLES = [
    (line["said"], line["points_at"]) for line in read(FACTS / "callers_troubles.tsv", "\t")
]
TODAY = date(2026, 11, 25)
MARTHA = PersonName("Martha", family="Wilder")


def account(**known: object) -> Account:
    return member(MARTHA, packet=State.SENT, group=LAKE, **({"password": RUNS} | known))


@pytest.mark.parametrize(("said", "points_at"), TROUBLES)
def test_a_trouble_is_heard(said: str, points_at: str) -> None:
    assert page.says(said) == (points_at or "")


@pytest.mark.parametrize(("said", "code"), [one for one in TROUBLES if one[1] in page.STOPS])
def test_what_stops_a_sign_in_is_the_first_cause(said: str, code: str) -> None:
    for known in ({}, {"password": USED}):
        assert why(account(**known), today=TODAY, settings=COOP, said=said)[0].code == code


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("it says invalid user name or password", "password.used"),
        ("no user by that name", "typed.email"),
    ],
)
def test_whoever_is_not_let_in_is_not_told_of_the_ordering_days(said: str, code: str) -> None:
    causes = why(account(password=USED), today=TODAY, settings=COOP, said=said)
    assert causes[0].code == code


def test_whoever_is_at_the_ordering_page_is_not_at_another() -> None:
    causes = why(
        account(),
        today=TODAY,
        settings=COOP,
        page="order.example.org",
        said="it wants my credit card",
    )
    assert causes[0].code != "page.shop"


@pytest.mark.parametrize(
    ("language", "there", "back"),
    [("en", "That is not your fault.", "When it works again, go to this page"),
     ("es", "No es culpa suya.", "Cuando vuelva a funcionar, vaya a esta p")],
)  # fmt: skip
def test_where_the_page_is_down_nobody_is_asked_to_try_it_now(
    language: str, there: str, back: str
) -> None:
    causes = why(account(), today=TODAY, settings=COOP, said="the site is down")
    said = " ".join(script(causes, account(), COOP, language, Form.PHONE).split())
    assert there in said
    assert back in said
    assert "Vamos a probar" not in said
    assert "Let's try it now" not in said


@pytest.mark.parametrize(
    "name", ["Pat Lockwood", "Art Cart", "mary close", "Ana Tienda", "P. Capital"]
)
def test_a_name_is_no_answer(name: str) -> None:
    assert not page.is_answer(name)
