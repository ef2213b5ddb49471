"""What callers say of their trouble at the page is heard, in English and Spanish."""

from __future__ import annotations

import re
from dataclasses import replace
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
IN = [(line["said"], line["is_in"] == "yes") for line in read(FACTS / "callers_inside.tsv", "\t")]
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


@pytest.mark.parametrize(("said", "is_in"), IN)
def test_who_is_in_is_known_by_what_they_say(said: str, is_in: bool) -> None:
    assert page.are_in(said) is is_in


@pytest.mark.parametrize(
    "known", [{}, {"password": USED}, {"password": None}, {"packet": State.DUE}]
)
@pytest.mark.parametrize(
    ("today", "code", "when", "words"),
    [(TODAY, "window.closed", date(2026, 12, 1), "You can order starting Tuesday, December 1, 2026."),
     (date(2026, 12, 2), "unexplained", date(2026, 12, 6),
      "Ordering is open for you now, through Sunday, December 6, 2026.")],
)  # fmt: skip
def test_who_is_in_hears_of_ordering_and_of_no_sign_in(
    known: dict[str, object], today: date, code: str, when: date, words: str
) -> None:
    here = replace(account(), **known)  # type: ignore[arg-type]
    for said in ("I get in, but I can't order", "I'm in. When can I order?"):
        causes = why(here, typed="Martha", today=today, settings=COOP, said=said)
        assert [(cause.code, cause.when) for cause in causes] == [(code, when)]
        for form in (Form.PHONE, Form.MAIL):
            told = " ".join(script(causes, here, COOP, "en", form).split())
            assert words in told
            assert not re.search(r"marthawilder|sign-in name|Let's try|Type your|sign in", told)
        text = script(causes, here, COOP, "es", Form.TEXT)
        assert text.startswith(
            ("Puede pedir desde el martes 1 de", "Puede pedir hasta el domingo 6 de")
        )


@pytest.mark.parametrize(
    "said", ["it wants a code from my phone and none comes", "it won't let me in"]
)
@pytest.mark.parametrize("known", [{"password": USED}, {"password": None}])
def test_who_is_locked_out_is_not_told_that_they_can_sign_in(
    said: str, known: dict[str, object]
) -> None:
    here = account(**known)
    causes = why(here, today=TODAY, settings=COOP, said=said)
    told = " ".join(script(causes, here, COOP, "en", Form.PHONE).split())
    assert causes[0].code == ("password.used" if known["password"] else "unexplained")
    assert ("You can sign in now" in told) is (causes[0].code == "password.used")
    assert "You can order starting Tuesday, December 1, 2026." in told


@pytest.mark.parametrize("form", list(Form))
def test_nobody_spells_for_an_account_that_the_page_has_turned_off(form: Form) -> None:
    causes = why(account(), typed="Martha", today=TODAY, settings=COOP, said="account suspended")
    told = script(causes, account(), COOP, "en", form)
    assert "marthawilder" not in told
    assert ("The page says your account is turned off." in told) is (form is not Form.TEXT)


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
