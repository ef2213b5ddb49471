"""The words of reminders: as emails, as texts that fit into one message, and on postcards."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time
from email import message_from_bytes, policy
from email.message import EmailMessage
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from packets_made import COOP
from plain_words import english_grade, spanish_ease
from test_packet import prose

from onboard.model import PersonName, ReminderKind
from onboard.settings import Window
from onboard.settings.guide import GuideRule
from onboard.welcome import letters, postcard, texts
from onboard.welcome.reminder import Hint, Reminders, Says
from onboard.windows import Known

NOW = datetime(2026, 11, 25, 15, tzinfo=UTC)
WINDOW = Window(date(2026, 12, 21), date(2026, 12, 30), time(8), time(21, 30))
NEXT = Window(date(2027, 9, 21), date(2027, 9, 30), time(8, 30), time(21))
ALL = list(
    product(
        ReminderKind, Hint, (WINDOW, replace(WINDOW, opens_at=None, closes_at=None)), (NEXT, None)
    )
)
PAT = PersonName("Pat", "", "Lee")


def says(
    language: str,
    kind: ReminderKind,
    hint: Hint = Hint.NONE,
    window: Window = WINDOW,
    after: Window | None = NEXT,
) -> Says:
    return Says(kind, Known("u", "Ottawa River", "", window, 0, NOW), after, hint, language)


def email(said: Says, name: PersonName = PAT, to: str = "pat@example.org") -> EmailMessage:
    made = Reminders(COOP, NOW).email(said, name, to)
    return message_from_bytes(made, policy=policy.default)


def text_of(mail: EmailMessage, kind: str = "plain") -> str:
    body = mail.get_body((kind,))
    assert body is not None
    return str(body.get_content())


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("kind", ReminderKind)
def test_they_point_to_the_guide_if_the_settings_say_where_it_is(
    language: str, kind: ReminderKind
) -> None:
    said = says(language, kind)
    assert "guide" not in text_of(email(said))
    guided = replace(COOP, guide=GuideRule("https://our-coop.example.org/guide"))
    made = message_from_bytes(
        Reminders(guided, NOW).email(said, PAT, "pat@example.org"), policy=policy.default
    )
    link = f"https://our-coop.example.org/guide/{language}/index.html"
    assert link in text_of(made)
    assert f'href="{link}"' in text_of(made, "html")


@pytest.mark.parametrize(("kind", "hint", "window", "after"), ALL)
def test_english_is_for_a_twelve_year_old_and_spanish_as_plain(
    kind: ReminderKind, hint: Hint, window: Window, after: Window | None
) -> None:
    bare = {
        name: re.sub(
            r"https?://\S+|\S+@\S+",
            "it",
            prose(text_of(email(says(name, kind, hint, window, after)))),
        )
        for name in ("en", "es")
    }
    assert english_grade(bare["en"]) <= 6
    assert spanish_ease(bare["es"]) >= 70


@pytest.mark.parametrize(("kind", "hint", "window", "after"), ALL)
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_text_is_one_message_whatever_it_says(
    language: str, kind: ReminderKind, hint: Hint, window: Window, after: Window | None
) -> None:
    said = texts.text(says(language, kind, hint, window, after), COOP)
    length = texts.septets(said)
    assert said
    assert length is not None
    assert length <= 160
    assert ".." not in said


def test_letters_are_counted_as_the_standard_counts_them() -> None:
    """3GPP TS 23.038, 6.2.1: 127 letters and the escape; 6.2.1.1: ten more that take two."""
    assert len(texts.DEFAULT) == 127
    assert len(texts.EXTENSION) == 10
    assert texts.septets("¿Qué es ñandú?") is None  # ú
    assert texts.septets("¿Qué es ñandu?") == 14
    assert texts.septets("[€]") == 6
    assert {sign for sign in "áéíóúüñÁÉÍÓÚÜÑ¿¡" if texts.septets(sign) is None} == set("áíóúÁÍÓÚ")
    assert texts.septets("a" * 160) == 160
    assert texts.septets("`") is None


@given(st.text())
def test_what_is_sendable_is_no_longer_changed(said: str) -> None:
    once = texts.sendable(said)
    assert texts.sendable(once) == once
    if texts.septets(said) is not None:
        assert once == said


def test_a_name_that_cannot_be_sent_leaves_no_text() -> None:
    assert texts.text(says("en", ReminderKind.OPEN_NOW), replace(COOP, coop="合作社")) == ""
    assert "Cooperativa del Rio" in texts.text(
        says("es", ReminderKind.OPEN_NOW), replace(COOP, coop="Cooperativa del Río")
    )


@pytest.mark.parametrize(
    "name",
    [
        PAT, PersonName("Zoë <b>&", "", "O'Brien"), PersonName("María José de los Ángeles y Todos los Santos " * 3, "", "Ñandú"),
        PersonName("=?utf-8?q?x?=\r\nBcc: all@example.org", "", "X"), PersonName("李", "", "王"),
    ],
)  # fmt: skip
def test_each_email_greets_its_own_reader_and_nothing_else_differs(name: PersonName) -> None:
    made = Reminders(COOP, NOW)
    said = says("en", ReminderKind.OPENS_SOON)
    first = message_from_bytes(made.email(said, PAT, "pat@example.org"), policy=policy.default)
    mail = message_from_bytes(made.email(said, name, "zoe@example.org"), policy=policy.default)
    assert not mail.defects
    assert [str(one.addr_spec) for one in mail["To"].addresses] == ["zoe@example.org"]
    assert mail["Bcc"] is None
    assert mail["Message-ID"] != first["Message-ID"]
    for kind in ("plain", "html"):
        before, after = text_of(first, kind).splitlines(), text_of(mail, kind).splitlines()
        differ = [there for here, there in zip(before, after, strict=True) if here != there]
        assert all("Hello" in line for line in differ)
        assert "0OF0" not in text_of(mail, kind)
    assert all(len(line) <= 998 for line in mail.as_bytes().splitlines())


@pytest.mark.parametrize(("language", "greeting"), [("en", "Hello,"), ("es", "Hola:")])
def test_who_has_no_name_on_file_is_greeted_without_one(language: str, greeting: str) -> None:
    mail = email(says(language, ReminderKind.OPENS_SOON), PersonName(""), "zoe@example.org")
    for kind in ("plain", "html"):
        lines = [
            line.strip() for line in re.sub(r"<[^>]*>", "\n", text_of(mail, kind)).splitlines()
        ]
        assert greeting in lines
    named = email(says(language, ReminderKind.OPENS_SOON), PersonName("Ana"), "ana@example.org")
    assert greeting not in text_of(named).splitlines()


def test_it_says_when_and_how_to_stop_and_no_calendar() -> None:
    text = " ".join(text_of(email(says("en", ReminderKind.CLOSES_SOON))).split())
    assert "until Wednesday, December 30, 2026, at 9:30 PM." in text
    assert "Reply to this one with just one word: unsubscribe." in text
    assert "PO Box 12, Lima OH 45801" in text
    assert "calendar" not in text
    assert "password" in text  # that we never ask for it


def test_postcards_are_four_to_a_sheet_and_say_no_sign_in_name() -> None:
    from io import BytesIO

    from pypdf import PdfReader

    cards = [
        postcard.card(
            postcard.message(said, COOP),
            "es",
            PersonName("Ana", "", "Ruiz"),
            ("1 ELM ST", "LIMA OH 45801"),
            COOP,
        )
        for said in [says("es", kind) for kind in ReminderKind]
        + [says("es", ReminderKind.OPEN_NOW, Hint.UNUSED)]
    ]
    pages = PdfReader(BytesIO(letters.postcards(cards, COOP))).pages
    assert [(float(page.mediabox.width), float(page.mediabox.height)) for page in pages] == [
        (792, 612)
    ] * 2
    assert [" ".join(page.extract_text().split()).count("LIMA OH 45801") for page in pages] == [
        4,
        1,
    ]
