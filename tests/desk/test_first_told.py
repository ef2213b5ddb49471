"""What the help desk reads first, and what it is not shown: a death that was told of, a password in a note."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.office import SETTINGS, onboard

from onboard.lookup.trouble import trouble
from onboard.signin import page

MEMBERS = """Sign-in name,Name,Email,Phone,Drop site,Notes
wpruitt,"Pruitt, Walter (passed away 2024)",wp@example.org,419-555-0143,Lima Grange,
bells,Isabel Bell,isabel@example.org,419-555-0144,Lima Grange,Drives a van. Password is mango77! Call late.
inessolano,Ines Solano,ines.solano@example.org,419-555-0145,Lima Grange,mi contraseña es gato55
"""


@pytest.fixture
def adopted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with three members brought in."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    monkeypatch.chdir(tmp_path)
    desk = '\n[desk]\nmay_reissue = ["robin"]\n'
    (tmp_path / "onboard.toml").write_text(SETTINGS + desk, encoding="utf-8")
    (tmp_path / "members.csv").write_text(MEMBERS, encoding="utf-8")
    onboard("adopt", "members.csv", "--record", "--by", "robin")
    return tmp_path


@pytest.mark.parametrize("who", ["robin", "lou"])
@pytest.mark.parametrize(
    "words",
    [("find", "Walter Pruitt"), ("why", "--member", "wpruitt"),
     ("correct", "wpruitt", "--phone", "419-555-0199")],
    ids=lambda words: words[0],
)  # fmt: skip
def test_that_a_member_may_have_died_is_read_first(
    adopted: Path, words: tuple[str, ...], who: str
) -> None:
    said = onboard(*words, "--by", who)
    assert "(passed away 2024)” was said of wpruitt: they may have died." in said.words[:120]
    assert onboard(*words, "--by", who, "--json").out.count("may_have_died")


def test_a_reissue_says_it_first_and_gives_no_line_for_a_password(adopted: Path) -> None:
    said = onboard("reissue", "wpruitt", "--by", "robin")
    assert "they may have died" in said.words[:130]
    assert "onboard reissue" not in said.words


def test_nothing_is_to_be_said_to_whoever_may_have_died(adopted: Path) -> None:
    said = onboard("why", "--member", "wpruitt", "--by", "robin")
    assert "BEFORE YOU SPEAK" not in said.out
    assert "Spell out" not in said.words
    told = onboard("why", "--member", "wpruitt", "--by", "robin", "--json").json()[0]
    assert told["script"] == ""


@pytest.mark.parametrize(
    "call",
    ["calling for my husband Walter Pruitt, he passed away",
     "I'm calling about my husband Walter Pruitt", "Isabel Bell died last week",
     "this is for my wife Isabel Bell, she has passed away", "the widow of Walter Pruitt here"],
)  # fmt: skip
def test_nobody_is_asked_to_have_the_dead_call(adopted: Path, call: str) -> None:
    said = onboard("find", call, "--by", "robin")
    assert said.code == 1
    assert "Have the member call" not in said.words
    assert "One clear match" not in said.words
    assert "Be kind" in said.words
    assert "close the account: onboard close" in said.words


@pytest.mark.parametrize("more", [(), ("--json",)])
@pytest.mark.parametrize("member", ["bells", "inessolano"])
def test_a_password_in_a_note_is_not_shown(
    adopted: Path, member: str, more: tuple[str, ...]
) -> None:
    for words in (("find", member), ("why", "--member", member), ("reissue", member)):
        said = onboard(*words, *more, "--by", "robin")
        assert "mango77" not in said.out
        assert "gato55" not in said.out
        assert "(left out: a password seems to stand here)" in said.words
        assert member != "bells" or "Drives a van." in said.words


@pytest.mark.parametrize(
    "said",
    ["I pick up at the fire house and I forgot my login", "forgot my sign-in name",
     "I don't remember my user name", "olvidé mi usuario", "what is my username"],
)  # fmt: skip
def test_who_forgot_their_sign_in_name_is_heard(adopted: Path, said: str) -> None:
    found = onboard("why", "--member", "bells", "--said", said, "--by", "robin", "--json").json()
    assert found[0]["causes"][0]["code"] == "typed.forgotten"
    assert found[0]["said_understood"]


def test_a_forgotten_password_is_no_forgotten_name() -> None:
    assert page.says("I forgot my password") == page.says("olvidé mi contraseña") == "password"


def test_what_was_not_understood_is_told(adopted: Path) -> None:
    said = onboard("why", "--member", "bells", "--said", "purple", "--by", "robin")
    assert "It is not clear what the page said" in said.words
    said = onboard("why", "--member", "bells", "--said", "wrong password", "--by", "robin")
    assert "It is not clear what the page said" not in said.words


@pytest.mark.parametrize(
    "said", ["my sign-in name is bells", "username bells", "my login is bells"]
)
def test_to_tell_a_sign_in_name_is_no_trouble(said: str) -> None:
    assert trouble(said) == ""


@pytest.mark.parametrize(
    "said",
    ["my login is not working", "I forgot my login", "it says wrong username", "cant sign in"],
)
def test_trouble_with_a_sign_in_name_is_trouble(said: str) -> None:
    assert trouble(said) == said


def test_a_password_does_not_come_into_the_next_line(adopted: Path) -> None:
    said = onboard("find", "Isabel Bell, my password is mango77! and it fails", "--by", "robin")
    assert "mango77" not in said.words


def test_the_last_name_is_asked_for_as_one_says_it(adopted: Path) -> None:
    said = onboard("find", "Lima", "--by", "robin")
    assert "Ask: What is your last name?" in said.words
    assert "join form" not in said.words


def test_who_may_not_reissue_is_not_sent_to_a_line_below(adopted: Path) -> None:
    line = ("why", "--member", "inessolano", "--said", "wrong password", "--by")
    said = onboard(*line, "lou").words
    assert "below" not in said
    assert "For a new temporary password, pass the call on to: robin." in said
    assert "onboard reissue inessolano" in onboard(*line, "robin").words


def test_a_name_with_a_blank_is_no_email_address(adopted: Path) -> None:
    found = onboard("why", "ines solano", "--member", "inessolano", "--by", "robin", "--json")
    assert "typed.email" not in {cause["code"] for cause in found.json()[0]["causes"]}
