"""The words to say: whole outputs, what they never hold, how plainly they speak."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from callers import LAKE, RUNS, USED, member
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st
from measure_signin import COOP, ask
from plain_words import english_grade, spanish_ease
from wrong_callers import TODAY, cases

from onboard import handles
from onboard.errors import SettingsTrouble
from onboard.model import Handle, PersonName, State
from onboard.settings import HandleRule
from onboard.signin import KINDS, Account, Form, PasswordState, Standing, script, why
from onboard.signin.account import UNWRITTEN
from onboard.signin.script import GSM, GSM_TWO, LONGEST, length

DOCS = Path(__file__).parents[2] / "docs" / "sign-in.md"
EXPECTED = Path(__file__).parent / "expected"
SEAN = member(
    PersonName("Seán", "Lou", "O'Brien", "Jr", called="Shay", former="Vale"),
    "2",
    emails=("sean@example.org",),
    password=RUNS,
    group=LAKE,
)


def said(account: Account, typed: str | None, language: str, form: str, page: str = "") -> str:
    causes = why(
        account, typed=typed, page=page, today=TODAY, settings=COOP, others={"seanobrien"}
    )  # fmt: skip
    return script(causes, account, COOP, language, form)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("form", list(Form))
def test_the_whole_script(language: str, form: Form) -> None:
    """Compared whole with the file in `expected`; look at the difference before you copy it."""
    text = said(SEAN, "Sean@example.org", language, form, page="the shop")
    assert text == (EXPECTED / f"{language}-{form}.txt").read_text("utf-8")


def test_the_caution_is_in_the_language_of_the_desk_and_the_words_in_the_members() -> None:
    causes = why(SEAN, typed="sean obrien", today=TODAY, settings=COOP)
    spanish_desk = replace(COOP, languages=("es", "en"))
    for coop, language, caution, words in (
        (COOP, "es", "BEFORE YOU SPEAK", "Quite el espacio."),
        (spanish_desk, "en", "ANTES DE HABLAR", "Leave out the space."),
    ):
        text = script(causes, SEAN, coop, language, Form.PHONE)
        assert text.startswith(caution)
        assert words in text


@pytest.mark.parametrize("code", ["typed.part", "typed.initial"])
def test_nobody_with_two_last_names_is_told_to_leave_one_out(code: str) -> None:
    """The sign-in name anamariafuentesrobledo has two of each."""
    cause = next(kind for kind in KINDS if kind.code == code).found(0.9)
    assert "whole last name" in script((cause,), SEAN, COOP, "en", Form.MAIL)
    assert "sus apellidos completos" in script((cause,), SEAN, COOP, "es", Form.MAIL)


@pytest.mark.parametrize("which", ["first", "last"])
@pytest.mark.parametrize("typed", ["ana", "asotofeliciano", "anasotofeliciano"])
def test_whoever_has_one_of_two_last_names_in_the_handle_is_not_told_to_type_both(
    which: str, typed: str
) -> None:
    name = PersonName("Ana", family="Soto Feliciano")
    account = Account(handles.clean(name, HandleRule(last_names=which)).value, (name,))
    causes = why(account, typed=typed, today=TODAY, settings=COOP)
    for language, wrong, right in (
        ("en", "whole last name", "only one of your last names"),
        ("es", "apellidos completos", "solo uno de sus apellidos"),
    ):
        words = " ".join(script(causes, account, COOP, language, Form.MAIL).split())
        assert wrong not in words
        assert right in words


@pytest.mark.parametrize("language", ["en", "es"])
def test_nobody_is_sent_to_a_letter_that_they_never_got(language: str) -> None:
    def words(code: str, packet: State | None) -> str:
        cause = next(kind for kind in KINDS if kind.code == code).found(0.9)
        account = replace(SEAN, packet=packet, password=None)
        return script((cause,), account, COOP, language, Form.PHONE)

    for code in ("typed.suffix", "typed.middle_name", "typed.forgotten"):
        assert not re.search("your welcome|su carta", words(code, None)), code
    assert re.search("your welcome|su carta", words("typed.forgotten", State.SENT))


# ---------------------------------------------------------------- what it never holds

PHRASE = "swallow-velvet-anchor-tulip-nine"


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("form", list(Form))
@pytest.mark.parametrize(
    "typed", ["seanobrien", "robinobrien", PHRASE, "seanloubrien2", "seanvale"]
)
def test_no_password_no_other_member_nothing_that_only_the_file_knows(
    language: str, form: Form, typed: str
) -> None:
    account = replace(
        SEAN, names=(SEAN.names[0]._replace(joint=(PersonName("Robin", family="O'Brien"),)),)
    )
    text = said(account, typed, language, form)
    words = set(re.findall(r"[\w']+", text))
    assert not words & {"Lou", "Jr", "Shay", "Vale", "Robin", "seanobrien", "robinobrien"}
    assert PHRASE not in text
    assert "sean@example.org" not in text
    assert not re.search(r"another member|otra persona", text)


@given(st.from_regex(r"[a-z]{1,8}zqx[a-z]{1,8}", fullmatch=True), st.sampled_from(Form))
@examples(max_examples=60, deadline=None)
def test_what_was_typed_is_never_told_back(typed: str, form: Form) -> None:
    assert typed not in said(SEAN, typed, "en", form)
    assert typed not in said(SEAN, f"{typed}@example.org", "es", form)


@pytest.mark.parametrize("standing", [Standing.HOLD, Standing.CLOSED, Standing.MERGED])
@pytest.mark.parametrize("form", list(Form))
def test_a_handle_that_does_not_work_is_not_told(standing: Standing, form: Form) -> None:
    text = said(replace(SEAN, standing=standing), "seanobrien2 ", "en", form)
    assert "seanobrien" not in text


@pytest.mark.parametrize("language", ["en", "es"])
def test_an_address_on_file_and_one_that_is_not_get_the_same_words(language: str) -> None:
    on_file = said(SEAN, "sean@example.org", language, "mail")
    assert on_file == said(SEAN, "someone@example.net", language, "mail")


def test_no_script_of_the_made_up_callers_tells_of_anybody_else() -> None:
    for case in cases(seed=3, count=150):
        account = case.account
        own = account.handle.text if account.handle else ""
        others = {other for other in case.others if other != own and len(other) > 6}
        for form in Form:
            text = script(ask(case), account, COOP, "es", form)
            assert not others & set(re.findall(r"[a-z0-9]+", text))


# ---------------------------------------------------------------- every cause has words


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.code)
def test_every_cause_has_words_in_both_languages_and_a_line_in_the_docs(kind: object) -> None:
    code = kind.code  # type: ignore[attr-defined]
    cause = kind.found(0.9)  # type: ignore[attr-defined]
    account = SEAN
    if code.startswith("account."):
        account = replace(SEAN, standing=Standing(code.removeprefix("account.")))
    if code == "page.disabled":  # then the words are few
        account = replace(SEAN, standing=Standing.CLOSED)
    if code in ("packet.due", "packet.barred"):
        state = next(state for state, cause in UNWRITTEN.items() if cause == code)
        account = replace(SEAN, packet=state)
    for language in ("en", "es"):
        plain = script((), account, COOP, language, "mail")
        assert len(script((cause,), account, COOP, language, "mail")) > len(plain) + 10
    assert f"| `{code}` | {kind.about} | {kind.do} |" in DOCS.read_text("utf-8")  # type: ignore[attr-defined]


def test_the_window_is_told_also_when_something_else_is_wrong() -> None:
    def told(language: str, form: str) -> str:
        return " ".join(said(SEAN, "sean obrien2", language, form).split())

    assert "You can order starting Tuesday, December 1, 2026." in told("en", "phone")
    assert "Puede pedir desde el martes 1 de diciembre de 2026." in told("es", "mail")
    assert "Ordering opens Dec 1." in told("en", "text")
    assert "Puede pedir desde el 1 dic." in told("es", "text")


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (None, "Type your password."),
        (RUNS, "Type the temporary password from your latest welcome email or letter."),
        (USED, "Type the password you picked."),
        (PasswordState(date(2026, 11, 1)), "Wait for your new temporary password."),
    ],
)
def test_which_password(state: PasswordState | None, words: str) -> None:
    assert words in said(replace(SEAN, password=state), "sean obrien2", "en", "mail")


def test_an_unknown_language_is_told_in_english_and_an_unknown_form_is_refused() -> None:
    assert said(SEAN, None, "fr", "text") == said(SEAN, None, "en-US", "text")
    with pytest.raises(ValueError, match="telegram"):
        script((), SEAN, COOP, "en", "telegram")


def test_a_coop_can_have_words_of_its_own(tmp_path: Path) -> None:
    for language, words in (("en", "Hello {{ handle }}"), ("es", "Hola {{ nobody }}")):
        (tmp_path / language).mkdir()
        (tmp_path / language / "signin-text.txt.j2").write_text(words)
    coop = replace(COOP, templates=tmp_path)
    assert script((), SEAN, coop, "en", "text") == "Hello seanobrien2"
    with pytest.raises(SettingsTrouble, match=r"signin-text.*nobody"):
        script((), SEAN, coop, "es", "text")


@pytest.mark.parametrize("language", ["en", "es"])
def test_two_causes_with_one_sentence_say_it_once(language: str) -> None:
    part, initial, capitals = (
        next(kind for kind in KINDS if kind.code == code).found(0.3)
        for code in ("typed.part", "typed.initial", "typed.capitals")
    )
    twice = script((part, initial, capitals), SEAN, COOP, language, "mail")
    assert twice == script((part, capitals), SEAN, COOP, language, "mail")


@pytest.mark.parametrize("language", ["en", "es"])
def test_nobody_is_told_that_they_were_where_we_only_guess_them_to_be(language: str) -> None:
    text = said(SEAN, "seanobrien2", language, "phone")
    assert not re.search(r"[Yy]ou were on|[Ee]sa página", text)


def test_a_handle_with_letters_from_elsewhere_is_spelled_to_the_end() -> None:
    account = Account(Handle("josé.ñuñez-ö"), (PersonName("José", family="Ñúñez"),))
    for language in ("en", "es"):
        text = script((), account, COOP, language, "phone")
        lines = [line for line in text.splitlines() if line.startswith("- ")]
        assert not [line for line in lines if line.endswith((" as in", " de", " de ", "()"))]
    assert "- ñ (eñe) como en España" in text
    assert "- é: e (e) de España, con acento" in text


# ---------------------------------------------------------------- short text messages


def test_the_alphabet_is_that_of_gsm() -> None:
    """3GPP TS 23.038, 6.2.1: 128 places, one of them the escape to the extension table."""
    assert len(GSM) == 127
    assert set("éñü¿¡à") <= GSM
    assert not set("áíóú`") & GSM
    assert length("{a}") == 5
    assert not GSM & GSM_TWO


LONG = replace(
    COOP,
    ordering_page="https://order.the-very-long-name-of-a-buying-cooperative.example.org/members/sign-in",
)
ENDLESS = replace(COOP, ordering_page="https://order.example.org/" + "~x" * 200)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("number", ["", "2", "12"])
def test_one_part_is_enough(language: str, number: str) -> None:
    """Also with the longest handle that the house rule allows."""
    for name in (
        PersonName("Ana", family="Ruiz"),
        PersonName("Maximiliana", family="Wolfeschlegelstein" * 2),
    ):
        account = member(name, number, password=RUNS, group=LAKE)
        for typed in (None, "x", "ana@example.org"):
            text = said(account, typed, language, "text", page="the shop")
            assert length(text) <= LONGEST
            assert set(text) <= GSM | GSM_TWO


@pytest.mark.parametrize("coop", [LONG, ENDLESS])
@pytest.mark.parametrize("language", ["en", "es"])
def test_parts_are_never_longer_than_a_message(coop: object, language: str) -> None:
    parts = script((), SEAN, coop, language, "text").split("\n\n")  # type: ignore[arg-type]
    assert len(parts) > 1 or coop is LONG
    assert all(0 < length(part) <= LONGEST for part in parts)


# ---------------------------------------------------------------- how plainly


# All causes' words at once, and what stands around them.
ACCOUNTS = [SEAN, replace(SEAN, password=USED), replace(SEAN, packet=State.DUE)]


def prose(text: str) -> str:
    """The sentences, without the letters that are spelled and the web address."""
    lines = [
        line for line in text.splitlines() if not re.match(r"- \w( \(.*\))? (as in|de) ", line)
    ]
    lines = [
        line for line in lines if line not in ("BEFORE YOU SPEAK", "SAY", "ANTES DE HABLAR", "DIGA")
    ]
    return re.sub(r"https?://\S+", "here", "\n".join(lines)).replace("\n\n", ".\n")


def every_words(account: Account, language: str, form: str) -> str:
    return prose("\n".join(
        script((kind.found(0.9),), account, COOP, language, form) for kind in KINDS
    ))  # fmt: skip


@pytest.mark.parametrize("account", ACCOUNTS)
@pytest.mark.parametrize("form", ["phone", "mail"])
def test_english_is_for_a_twelve_year_old(account: Account, form: str) -> None:
    """Flesch-Kincaid grade (Kincaid and others, 1975): a grade of 6 is an age of twelve."""
    assert english_grade(every_words(account, "en", form)) <= 6


@pytest.mark.parametrize("account", ACCOUNTS)
@pytest.mark.parametrize("form", ["phone", "mail"])
def test_spanish_is_for_a_twelve_year_old(account: Account, form: str) -> None:
    """Fernández Huerta (1959): 70 and more is read by the sixth grade."""
    assert spanish_ease(every_words(account, "es", form)) >= 70
