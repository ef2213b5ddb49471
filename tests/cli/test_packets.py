"""Welcome packets, as a coordinator makes them, prints them and tries them out."""

from __future__ import annotations

import email
from collections.abc import Callable
from datetime import date, datetime, timedelta
from email import policy
from email.message import EmailMessage
from pathlib import Path
from zoneinfo import ZoneInfo

import pypdf
import pytest
from office import KIM, PAT, SAM, SETTINGS, onboard, write_csv


def enroll_sam(office: Path) -> None:
    """Sam has no email, and is asked about; a letter is made."""
    write_csv(office / "sam.csv", [SAM])
    *_, row = onboard("batch", "sam.csv", "--record", "--json").json()[:1]
    onboard("answer", row["row"], "enroll")
    onboard("packets", "--write")


@pytest.fixture
def opens(office: Path) -> Callable[..., None]:
    """Writes settings whose group may order for a week, so many days from today on."""

    def write(*in_days: int, more: str = "") -> None:
        today = datetime.now(ZoneInfo("America/New_York")).date()
        windows = ", ".join(
            f"{{ opens = {today + timedelta(days=n)}, closes = {today + timedelta(days=n + 6)} }}"
            for n in in_days
        )
        head, _, tail = SETTINGS.partition("windows = ")
        text = f"{head}windows = [{windows}]{tail.partition(']')[2]}{more}"
        (office / "onboard.toml").write_text(text, "utf-8")

    return write


def told(office: Path, handle: str = "patlee") -> str:
    """The words of a member's email."""
    mail = email.message_from_bytes(
        (office / "outbox" / f"{handle}.eml").read_bytes(), policy=policy.default
    )
    assert isinstance(mail, EmailMessage)
    body = mail.get_body(("plain",))
    assert body is not None
    return " ".join(str(body.get_content()).split())


def in_words(day: date) -> str:
    return f"{day:%A, %B} {day.day}, {day.year}"


# ---------------------------------------------------------------- how long a password lasts


def test_a_password_lasts_until_the_member_s_first_ordering_days_are_over(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(25)
    today = datetime.now(ZoneInfo("America/New_York")).date()
    said = onboard("batch", "forms.csv", "--record")
    assert f"works through {in_words(today + timedelta(days=31))}." in told(office)
    assert "ordering days are over" not in told(office) + said.words


def test_a_password_that_cannot_last_so_long_is_told_to_the_member_and_the_coordinator(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(60)
    today = datetime.now(ZoneInfo("America/New_York")).date()
    said = onboard("batch", "forms.csv", "--record")
    assert (
        f"works through {in_words(today + timedelta(days=45))}. That is before your next ordering days "
        "are over. So please sign in by that day, even if you do not order yet." in told(office)
    )
    assert (
        "These passwords end before the member's next ordering days are over. The packet asks the member "
        "to sign in before that: patlee, kimvale." in said.words
    )
    (made,) = onboard("packets", "--again", "patlee", "--json").json()
    assert made["ends early"] == ["patlee"]


def test_a_coop_may_keep_passwords_as_short_as_it_likes(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(25, more="\n[first_password]\nvalid_days = 7\nlongest_days = 7\n")
    today = datetime.now(ZoneInfo("America/New_York")).date()
    said = onboard("batch", "forms.csv", "--record")
    assert f"works through {in_words(today + timedelta(days=7))}. That is before" in told(office)
    assert "patlee, kimvale" in said.words


def test_who_gets_a_letter_waits_for_the_window_after_it_has_come(
    office: Path, opens: Callable[..., None]
) -> None:
    """A letter takes a week: the window that closes meanwhile is none that it could be for."""
    opens(-3, 30)
    write_csv(office / "forms.csv", [PAT, KIM])
    onboard("batch", "forms.csv", "--record")
    today = datetime.now(ZoneInfo("America/New_York")).date()
    assert f"works through {in_words(today + timedelta(days=14))}." in told(office)
    enroll_sam(office)
    (letter,) = (office / "outbox").glob("letters-3-3.pdf")
    page = " ".join(pypdf.PdfReader(letter).pages[0].extract_text().split())
    assert f"works through {in_words(today + timedelta(days=36))}." in page
