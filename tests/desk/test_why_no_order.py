"""`onboard why` of a member who gets in and can't order: what is wrong with their drop site, or their ordering days."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from cli.office import PAT, onboard, write_csv

from onboard.desk import sentences
from onboard.signin import page

BARN = """
[[site]]
name = "Barn Hall"
address = "9 Ash St, Lima OH"
zip = "45801"
group = "Lake"
host = "Sam Moor"
"""
NO_SITE = ("Ida Marsh", "ida@example.net", "419-555-0190", "3 Elm St", "Lima", "OH", "45801", "")
CAN_NOT_ORDER = "I get in but it says ordering is closed"


def why(member: str, *more: str) -> dict[str, Any]:
    said = onboard("why", "--member", member, "--said", CAN_NOT_ORDER, *more, "--json")
    found: dict[str, Any] = said.json()[0]
    return found


def settings(office: Path, old: str, new: str, *more: str) -> None:
    file = office / "onboard.toml"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text("".join((text.replace(old, new), *more)), "utf-8")


def told_in_spanish(text: str) -> bool:
    return not any(is_english for _, is_english in sentences.parts(text, "es"))


@pytest.fixture
def closed(office: Path) -> Path:
    settings(office, 'host = "Robin Vale"\n', 'host = "Robin Vale"\nclosed = true\n', BARN)
    return office


def see_that_it_is_all_told(found: dict[str, Any], code: str, *names: str) -> None:
    (cause,) = [one for one in found["causes"] if one["code"] == code]
    assert all(name in cause["seen"] for name in names)
    for words in (
        cause["seen"],
        cause["ask"],
        cause["do"].replace(" The lines to type are below.", ""),
    ):
        assert told_in_spanish(words), words


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "Your drop site has closed"), ("es", "Su punto de entrega cerró")],
)
def test_a_site_that_closed(closed: Path, language: str, words: str) -> None:
    found = why("patlee", "--language", language)
    codes = [one["code"] for one in found["causes"]]
    see_that_it_is_all_told(found, "site.closed", "Lima Grange")
    assert "window.closed" not in codes  # nobody orders there on any day
    assert words in " ".join(found["script"].split())
    said = onboard("why", "--member", "patlee", "--said", CAN_NOT_ORDER).words
    assert "onboard sites --near ZIP" in said
    assert "onboard correct patlee --site SITE --record" in said


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "You have no drop site yet"), ("es", "Todavía no tiene un punto de entrega")],
)
def test_no_site(office: Path, language: str, words: str) -> None:
    onboard("batch", write_csv(office / "more.csv", [NO_SITE]), "--record")
    onboard("packets", "--write")
    found = why("idamarsh", "--language", language)
    see_that_it_is_all_told(found, "site.none")
    assert words in " ".join(found["script"].split())


def test_a_site_that_the_settings_do_not_have_any_more(office: Path) -> None:
    settings(office, '"Lima Grange"', '"Elm Street Hall"')
    found = why("patlee")
    see_that_it_is_all_told(found, "site.unknown", "Lima Grange")
    assert "We need to check which drop site is yours." in " ".join(found["script"].split())
    assert "onboard correct patlee --site SITE --record" in onboard("why", "--member", "1", "--said", CAN_NOT_ORDER).words  # fmt: skip


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "The next days are not set yet."), ("es", "Aún no hay fecha para los próximos días")],
)
def test_no_window_is_coming(office: Path, language: str, words: str) -> None:
    settings(
        office,
        "windows = [{ opens = 2026-12-01, closes = 2026-12-06 }, { opens = 2027-12-01, closes = 2027-12-06 }]",
        "windows = [{ opens = 2024-12-01, closes = 2024-12-06 }]",
    )
    found = why("patlee", "--language", language)
    see_that_it_is_all_told(found, "window.closed", "no ordering days are set")
    (cause,) = [one for one in found["causes"] if one["code"] == "window.closed"]
    assert "Ask a coordinator to set the next ordering days." in cause["do"]
    assert cause["when"] is None
    assert words in " ".join(found["script"].split())


def test_a_window_that_is_coming_is_told_as_before(office: Path) -> None:
    (cause,) = [
        one for one in why("patlee")["causes"] if one["code"].startswith(("window", "site"))
    ]
    assert (cause["code"], cause["do"]) == ("window.closed", "Tell them when they can order next.")
    assert cause["when"]


@pytest.mark.parametrize("is_closed", [False, True])
def test_a_closed_account_names_its_site(office: Path, is_closed: bool) -> None:
    if is_closed:
        settings(office, 'host = "Robin Vale"\n', 'host = "Robin Vale"\nclosed = true\n', BARN)
    assert onboard("close", "patlee", "--record", "--why", "moved").code < 2
    first, *others = why("patlee")["causes"]
    assert first["code"] == "account.closed"
    assert "Lima Grange" in first["seen"]
    assert ("so is its drop site" in first["seen"]) is is_closed
    assert told_in_spanish(first["seen"])
    assert not [one for one in others if one["code"].startswith("site.")]
    assert PAT[1] not in first["seen"]


def test_who_has_not_got_in_is_first_told_about_that(closed: Path) -> None:
    codes = [one["code"] for one in onboard("why", "--member", "patlee", "--said", "wrong password", "--json").json()[0]["causes"]]  # fmt: skip
    assert codes[0].startswith(("password", "packet"))
    assert "site.closed" in codes


@pytest.mark.parametrize(
    "said",
    [
        "I can't order", "I can get in but I cannot order", "it won't let me order", "I can’t place an order", "she is unable to order",
        "it does not let her put in her order", "no me deja pedir", "no puedo hacer mi pedido", "entro pero no puedo pedir", "no puedo ordenar",
        "no le permite enviar su pedido",
    ],
)  # fmt: skip
def test_who_says_that_they_can_not_order_is_understood(said: str) -> None:
    assert page.says(said) == "window.closed"


@pytest.mark.parametrize(
    "said",
    [
        "I can't remember my password",
        "no puedo entrar",
        "in order to sign in",
        "I cannot order a new password",
        "no puedo pedir otra contraseña",
    ],
)
def test_who_says_another_thing_is_not_taken_for_it(said: str) -> None:
    assert page.says(said) != "window.closed"
