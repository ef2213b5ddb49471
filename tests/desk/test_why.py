"""`onboard why`, as the desk types it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli.office import PAT, onboard, phrases, write_csv


def causes(*words: str) -> list[str]:
    """The codes told, in their order."""
    said = onboard("why", *words, "--json")
    assert said.code in (0, 1), said.words
    return [cause["code"] for cause in said.json()[0]["causes"]]


@pytest.mark.parametrize(
    ("words", "first"),
    [
        (("Pat Lee", "--member", "patlee"), {"typed.capitals", "typed.spaces"}),
        (("PATLEE", "--member", "1"), {"typed.capitals"}),
        (("patlee ", "--member", "member 1"), {"typed.invisible"}),
        (("pat.lee@example.org", "--member", "member:1"), {"typed.email"}),
        (("kimvale", "--member", "PatLee"), {"typed.other_handle"}),
        (("patlee", "--member", "patlee", "--page", "the shop"), {"page.shop"}),
        (("patlee", "--member", "1", "--said", "Too many tries"), {"page.locked"}),
        (("patlee2", "--member", "1"), {"typed.number_invented"}),
        (("", "--member", "1"), {"typed.nothing"}),
    ],
)
def test_the_first_cause_is_told(office: Path, words: tuple[str, ...], first: set[str]) -> None:
    assert set(causes(*words)[: len(first)]) == first


def test_a_member_who_has_all_right_may_not_have_the_mail(office: Path) -> None:
    told = causes("patlee", "--member", "patlee")
    assert told[0] == "packet.written"
    assert "window.closed" in told


def test_what_is_seen_asked_and_done_is_shown_with_the_words_to_say(office: Path) -> None:
    said = onboard("why", "Patlee", "--member", "patlee")
    assert said.code == 0
    assert "Pat Lee: patlee (member 1), Lima Grange" in said.out
    assert "“P” is a capital." in said.words
    assert "Does the phone or tablet make the first letter a capital?" in said.words
    assert "p as in Papa" in said.out
    assert "https://order.example.org" in said.out


@pytest.mark.parametrize(
    ("form", "language", "words"),
    [
        ("phone", "en", "BEFORE YOU SPEAK"),
        ("mail", "en", "You asked us for help signing in"),
        ("text", "en", "Your sign-in name is patlee"),
        ("phone", "es", "minúsculas"),
        ("text", "es", "patlee"),
    ],
)
def test_the_words_are_those_of_the_way_and_the_language(
    office: Path, form: str, language: str, words: str
) -> None:
    said = onboard(
        "why", "Patlee", "--member", "1", "--say", form, "--language", language, "--json"
    )
    assert words in said.json()[0]["script"]


def test_without_a_member_it_is_whoever_has_what_was_typed(office: Path) -> None:
    assert onboard("why", "patlee", "--json").json()[0]["owner"] == "member:1"
    assert onboard("why", "PAT.LEE@example.org", "--json").json()[0]["owner"] == "member:1"
    said = onboard("why", "zzzqqq@example.com")
    assert said.code == 2
    assert "Find the member (onboard find), then say whose sign-in it is" in said.words


def test_without_a_member_a_slip_is_looked_up_and_the_member_told_only_if_certain(
    office: Path,
) -> None:
    said = onboard("why", "Pat Lee 419-555-0143", "--json")
    assert said.json()[0]["owner"] == "member:1"
    other = ("Pat Moor", "moor@example.com", "614-555-0111", "9 Far Rd", "Columbus", "OH", "43004")
    write_csv(office / "more.csv", [(*other, "Lima Grange")])
    assert onboard("batch", "more.csv", "--record").code == 0
    unsure = onboard("why", "pat")
    assert unsure.code == 2
    assert "It is not certain whose that is (member " in unsure.words


@pytest.mark.parametrize(
    ("name", "who"), [("Lou Lee", "member 1, member 3"), ("李 小明", "member 1, row ")]
)
def test_a_household_that_shares_an_address_is_asked_about(
    office: Path, name: str, who: str
) -> None:
    write_csv(office / "more.csv", [(name, *PAT[1:])])
    onboard("batch", "more.csv", "--record")
    unsure = onboard("why", "pat.lee@example.org")
    assert unsure.code == 2
    assert f"It is not certain whose that is ({who}" in unsure.words


def test_a_form_on_hold_has_no_account_yet(office: Path) -> None:
    write_csv(office / "more.csv", [("Nobody Given", "no address", "", "", "", "", "", "")])
    assert onboard("batch", "more.csv", "--record").code == 1
    key = onboard("answer").out.split("\n")
    row = next(word for line in key for word in line.split() if len(word) == 6 and word.isalnum()
               and any(c.isdigit() for c in word))  # fmt: skip
    said = onboard("why", "nobodygiven", "--member", f"row:{row}", "--json")
    assert said.code == 1
    told = said.json()[0]
    assert told["standing"] == "hold"
    assert told["causes"][0]["code"] == "account.hold"
    assert told["handle"] is None


def test_a_member_of_before_has_no_first_password(office: Path) -> None:
    write_csv(office / "old.csv", [("Ana Ruiz", "aruiz")], headings=("Full name", "Handle"))
    onboard("adopt", "old.csv", "--record")
    told = onboard("why", "aruiz", "--json").json()[0]
    assert told["packet"] == "none"
    assert not any(cause["code"].startswith(("password", "packet")) for cause in told["causes"])


def test_a_newer_packet_makes_the_older_one_worthless(office: Path) -> None:
    onboard("packets", "--again", "patlee", "--by", "robin")
    assert "password.replaced" in causes("patlee", "--member", "1")


def test_it_changes_nothing_and_says_nothing_of_what_was_typed(office: Path) -> None:
    phrase = phrases(office / "outbox").pop()
    before = (office / "roster.db").read_bytes()
    for more in ((), ("--json",), ("--say", "mail")):
        said = onboard("why", phrase, "--member", "1", *more)
        assert said.code == 0
        assert phrase not in said.out + said.err
    assert (office / "roster.db").read_bytes() == before


def test_what_was_typed_can_be_asked_for_so_that_no_shell_keeps_it(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import io
    import sys

    monkeypatch.setattr(sys, "stdin", io.StringIO("Pat lee\n"))
    said = onboard("why", "-", "--member", "1", "--json")
    last = json.loads(said.out.splitlines()[-1])
    assert {c["code"] for c in last["causes"][:2]} == {"typed.capitals", "typed.spaces"}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("patlee", "--member", "nobody"), "Nobody here has the sign-in name or number “nobody”"),
        (("patlee", "--member", "99"), "Nobody here has the sign-in name or number “99”"),
        (("patlee", "--member", "9" * 40), "Nobody here has the sign-in name"),
        (
            ("patlee", "--member", "row:zz"),
            "No form on hold has a key that starts with zz. To see the keys: onboard answer",
        ),
        (
            ("patlee", "--member", "1", "--language", "fr"),
            "--language 'fr' is not a language we have words in. Use en or es.",
        ),
        ((), "Say whose sign-in it is"),
    ],
)
def test_what_cannot_be_answered_says_why(office: Path, words: tuple[str, ...], told: str) -> None:
    said = onboard("why", *words)
    assert said.code == 2
    assert told in said.words


def test_only_those_whom_the_settings_name_may_look_up(office: Path) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace("[desk]", '[desk]\nmay_look_up = ["Robin", "kim"]'))
    said = onboard("why", "patlee", "--member", "1", "--by", "lou")
    assert said.code == 2
    assert "lou is not allowed to look up members." in said.words
    assert "patlee" not in said.words
    assert onboard("why", "patlee", "--member", "1", "--by", "robin").code == 0
