"""A caller who hears “wrong password” is led to the password, and to a line that works when pasted."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import listed
import pytest
from cli.office import onboard
from desk.roster_seen import member, sent
from sqlalchemy import update

from onboard.model import State
from onboard.roster import store, tables

SAID = ("--said", "it says wrong password")
ANSWERS = (
    "it says wrong password", "Incorrect password", "my password is wrong", "forgot my password",
    "dice que la contraseña es incorrecta", "no me sirve la clave", "your pasword has expired",
)  # fmt: skip


def put(office: Path, state: State | None = None, **columns: object) -> None:
    """Pat's packet stands so, and her line holds these."""
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        if state:
            listed.put(connection, state)
        if columns:
            line = tables.member
            connection.execute(update(line).where(line.c.id == 1).values(**columns))


def why(*words: str, by: str = "robin") -> tuple[str, list[str]]:
    """What the screen says, and the codes told."""
    told = onboard("why", *words, "--member", "patlee", "--by", by, "--json").json()[0]
    said = onboard("why", *words, "--member", "patlee", "--by", by)
    return said.out, [cause["code"] for cause in told["causes"]]


@pytest.mark.parametrize("answer", ANSWERS)
@pytest.mark.parametrize("given", ["typed", "said"])
def test_whatever_the_caller_tells_leads_to_the_password(
    office: Path, answer: str, given: str
) -> None:
    sent(office)
    words = (answer,) if given == "typed" else ("--said", answer)
    said, codes = why(*words)
    assert codes[0] == "password.unused"
    assert ("Read as what the page said" in said) is (given == "typed")
    assert "Use the temporary password from your welcome email or letter." in said


@pytest.mark.parametrize(
    ("state", "columns", "first", "script"),
    [
        (State.SENT, {}, "password.unused", "Now type the temporary password"),
        (State.SENT, {"password_expires": "2026-01-02"}, "password.expired", "You need a new one."),
        (State.SENT, {"last_sign_in": "2999-01-01"}, "password.used", "the password you picked"),
        (State.SENT, {"password_hash": None, "password_expires": None}, "password.page",
         "Use the password you picked on the ordering page."),
        (State.WRITTEN, {}, "packet.written", "Do you have our latest welcome email or letter?"),
        (State.UNSURE, {}, "packet.unsure", "Please look in your spam folder too."),
        (State.RETURNED, {}, "packet.returned", "Our welcome email did not reach you."),
        (State.REFUSED, {}, "packet.returned", "Our welcome email did not reach you."),
        (State.DUE, {}, "packet.due", "We have not sent your welcome email or letter yet."),
        (State.WAITING, {}, "packet.barred", "First we have to make sure it goes to you"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("typed", [(), ("patlee",), ("Patlee",)])
def test_every_state_of_the_password_is_told(
    office: Path, state: State, columns: dict[str, object], first: str, script: str,
    typed: tuple[str, ...],
) -> None:  # fmt: skip
    put(office, state, **columns)
    said, codes = why(*typed, *SAID)
    assert next(code for code in codes if not code.startswith("typed.")) == first
    assert script in " ".join(said.split())
    if typed == ("Patlee",) and first not in ("packet.due", "packet.barred"):
        assert "Use small letters only." in said


def test_a_packet_waits_that_nobody_could_make_as_the_address_is_in_doubt(office: Path) -> None:
    put(office, State.DUE, bounced="2026-11-23")
    said, codes = why()
    assert codes[0] == "packet.barred"
    assert "To see the question about the address, and answer it: onboard packets" in said
    assert "--write" not in said


def test_a_newer_password_replaces_the_older_one_until_it_runs_out_too(office: Path) -> None:
    onboard("packets", "--again", "patlee", "--by", "robin")
    sent(office)
    assert why(*SAID)[1][0] == "password.replaced"
    put(office, password_expires="2026-01-02")
    assert why(*SAID)[1][0] == "password.expired"


def test_the_line_that_issues_a_new_password_works_when_pasted(office: Path) -> None:
    sent(office)
    said, _ = why(*SAID)
    (line,) = re.findall(r"Then: (onboard reissue .*)$", said, re.MULTILINE)
    assert line == "onboard reissue patlee --checked call-back --record --by robin"
    before = member(office)["password_hash"]
    done = onboard(*shlex.split(line)[1:])
    assert done.code == 0, done.words
    assert member(office)["password_hash"] not in (before, None)


def test_the_line_names_the_check_that_is_enough(office: Path) -> None:
    sent(office)
    put(office, phone="")
    assert "onboard reissue patlee --checked mail --record" in why(*SAID)[0]
    put(office, phone="tel:+14195550143")
    onboard("correct", "1", "--email", "new@example.org", "--record")
    assert "onboard reissue patlee --checked call-back --checked mail --record" in why(*SAID)[0]


def test_who_may_not_issue_one_is_told_who_may(office: Path) -> None:
    sent(office)
    said, _ = why(*SAID, by="lou")
    assert "For a new temporary password, pass the call on to: robin." in said
    assert "onboard reissue" not in said


def test_after_too_many_tries_the_hour_has_to_pass(office: Path) -> None:
    sent(office)
    for _ in range(3):
        onboard("reissue", "patlee", "--failed", "--record", "--by", "robin")
    said, _ = why(*SAID)
    assert "No new temporary password can be issued now. That makes 3 tries within an hour" in said


@pytest.mark.parametrize("state", [State.SENT, State.WRITTEN, State.UNSURE, State.DUE])
@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("form", ["phone", "mail", "text"])
def test_members_who_set_their_own_hear_of_no_temporary_password(
    office: Path, state: State, language: str, form: str
) -> None:
    file = office / "onboard.toml"
    words = '\n[first_password]\nset_by_member = true\nset_link = "Choose a password"\n'
    file.write_text(file.read_text() + words)
    put(office, state)
    for typed in ((), ("Patlee",), ("pat.lee@example.org",)):
        said = onboard("why", *typed, *SAID, "--member", "1", "--say", form, "--language", language,
                       "--by", "robin").out  # fmt: skip
        assert not re.search("temporary|temporal|reissue", said), said
        assert state is State.DUE or "“Choose a password”" in said or form == "text"
    refused = onboard("reissue", "patlee", "--checked", "call-back", "--by", "robin").out
    assert "temporary" not in refused
    assert "click “Choose a password”" in refused


@pytest.mark.parametrize(
    ("name", "is_name"),
    [("Pat Lockwood", True), ("Ana Clave", True), ("Wright Close", True), ("pat lee", True),
     ("invalid username or password", False), ("it won't let me in", False)],
)  # fmt: skip
def test_a_name_is_not_taken_for_an_answer(office: Path, name: str, is_name: bool) -> None:
    assert ("Read as what the page said" in why(name)[0]) is not is_name


@pytest.mark.parametrize("stop", ["closed", "expired", "due"])
def test_nobody_is_said_to_be_able_to_sign_in_who_cannot(office: Path, stop: str) -> None:
    sent(office)
    if stop == "closed":
        onboard("close", "patlee", "--record")
    put(office, *([State.DUE] if stop == "due" else []),
        **({"password_expires": "2026-01-02"} if stop == "expired" else {}))  # fmt: skip
    for form in ("phone", "mail"):
        for language in ("en", "es"):
            said = onboard(
                "why", "Patlee", "--member", "1", "--say", form, "--language", language
            ).out
            assert "They can sign in" not in " ".join(said.split())
            assert "You can sign in now" not in said
            assert "Ya puede entrar" not in said
            assert "Let's try it now" not in said
            assert "Vamos a probar" not in said
