"""The notice that ordering days have changed: its words, as an email and as a letter."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time
from email import message_from_bytes, policy

import pytest
from packets_made import COOP, member
from plain_words import english_grade, spanish_ease
from test_packet import prose

from onboard.model import PersonName, ReminderKind
from onboard.settings import Window
from onboard.welcome import letters
from onboard.welcome.moved import Move, moved, span
from onboard.welcome.notice import Notice
from onboard.welcome.reminder import Hint, Reminders, Says
from onboard.windows import Known

NOW = datetime(2026, 11, 25, 15, tzinfo=UTC)
FIRST = Known("u1", "Ottawa River", "", Window(date(2026, 12, 1), date(2026, 12, 6)), 0, NOW)
SECOND = Known("u2", "Ottawa River", "", Window(date(2027, 1, 1), date(2027, 1, 1)), 0, NOW)
MOVES = (
    Move(FIRST.told, replace(FIRST, sequence=1, window=Window(date(2026, 12, 8), date(2026, 12, 13), time(8), time(21)))),
    Move(SECOND.told, replace(SECOND, sequence=1, canceled=True)),
)  # fmt: skip


def notice(
    language: str = "en", *, by_email: bool = True, moves: tuple[Move, ...] = MOVES
) -> Notice:
    return moved(member(language=language), moves, COOP, NOW, by_email=by_email)


@pytest.mark.parametrize(
    ("language", "new", "canceled"),
    [
        ("en",
         "New: from Tuesday, December 8, 2026, at 8:00 AM until Sunday, December 13, 2026, at 9:00 PM. Before: from"
         " Tuesday, December 1, 2026 through Sunday, December 6, 2026.",
         "Canceled: on Friday, January 1, 2027 only. You can't order then."),
        ("es",
         "Nuevo: desde el martes 8 de diciembre de 2026 a las 8:00 a.m. hasta el domingo 13 de diciembre de 2026 a"
         " las 9:00 p.m. Antes: del martes 1 de diciembre de 2026 al domingo 6 de diciembre de 2026.",
         "Cancelado: solo el viernes 1 de enero de 2027. En esos días no puede pedir."),
    ],
)  # fmt: skip
def test_it_tells_the_new_days_and_the_old_ones(language: str, new: str, canceled: str) -> None:
    words = " ".join(notice(language).text.split())
    assert new in words
    assert canceled in words
    assert ".." not in words


def test_a_window_that_is_back_has_no_days_before() -> None:
    back = (Move(replace(FIRST, canceled=True).told, replace(FIRST, sequence=2)),)
    words = " ".join(notice(moves=back).text.split())
    assert "New: from Tuesday, December 1, 2026 through Sunday, December 6, 2026." in words
    assert "Before" not in words


def test_it_is_an_email_or_a_letter_and_never_both() -> None:
    by_email, by_letter = notice(), notice(by_email=False)
    assert by_email.message
    assert not by_email.letter
    assert not by_letter.message
    assert "calendar file" not in by_letter.text
    assert letters.pdf([by_letter], COOP).startswith(b"%PDF")


def test_english_is_for_a_twelve_year_old_and_spanish_as_plain() -> None:
    bare = {
        name: re.sub(r"https?://\S+|\S+@\S+", "it", prose(notice(name).text))
        for name in ("en", "es")
    }
    assert english_grade(bare["en"]) <= 6
    assert spanish_ease(bare["es"]) >= 70


def test_a_spanish_time_of_day_ends_a_sentence_with_one_dot_and_keeps_its_own() -> None:
    """CLDR writes "a.m." and "p.m."; a sentence that ends with it needs no dot more."""
    timed = Window(date(2026, 12, 1), date(2026, 12, 6), time(8), time(21))
    assert span(timed, "es", "US").endswith("9:00 p.m.")
    for kind in ReminderKind:
        says = Says(kind, replace(FIRST, window=timed), timed, Hint.NONE, "es")
        mail = Reminders(COOP, NOW).email(says, PersonName("Pat", "", "Lee"), "pat@example.org")  # fmt: skip
        for part in message_from_bytes(mail, policy=policy.default).walk():
            if part.get_content_maintype() == "text":
                words = " ".join(re.sub(r"<[^>]*>", "", part.get_content()).split())
                assert "m.." not in words
                assert not re.search(r"\b[ap]\.m(?!\.)", words)
    was = Window(date(2026, 12, 2), date(2026, 12, 7), time(8), time(21))
    told = replace(FIRST, window=was).told
    words = notice("es", moves=(Move(told, replace(FIRST, window=timed)),)).text
    assert "m.." not in words
    assert not re.search(r"\b[ap]\.m(?!\.)", words)


@pytest.mark.parametrize(("language", "greeting"), [("en", "Hello,"), ("es", "Hola:")])
def test_who_has_no_name_on_file_is_greeted_without_one(language: str, greeting: str) -> None:
    told = moved(member(PersonName(""), language=language), MOVES, COOP, NOW, by_email=True)
    assert greeting in told.text.splitlines()
