"""The message, the calendar and the contact card, read back by other libraries."""

from __future__ import annotations

import email
import re
from dataclasses import replace
from datetime import date, timedelta
from email import policy
from email.message import EmailMessage
from html.parser import HTMLParser
from typing import Any

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from packets_made import COOP, PHRASE, TODAY, make

from onboard.model import PersonName
from onboard.settings import Group, Window
from onboard.welcome.calendar import calendar
from onboard.welcome.card import card
from onboard.welcome.message import mailbox


def read(message: bytes) -> EmailMessage:
    mail = email.message_from_string(message.decode(), policy=policy.default)
    assert isinstance(mail, EmailMessage)
    assert mail.defects == []
    return mail


def test_the_headers_are_these() -> None:
    mail = read(make().message)
    assert mail["From"] == "Furrow & Fen Seed Co-op <hello@furrowandfen.example>"
    assert mail["To"].addresses[0].display_name == "María José O'Brien-Nolan"
    assert mail["To"].addresses[0].addr_spec == "maria@example.com"
    assert mail["Subject"] == "Furrow & Fen Seed Co-op: how to sign in and order"
    assert mail["Date"] == "Wed, 25 Nov 2026 00:00:00 -0500"
    assert mail["Auto-Submitted"] == "auto-generated"
    assert mail["Content-Language"] == "en"
    assert re.fullmatch(r"<[^@<>\s]+@furrowandfen\.example>", mail["Message-ID"])
    assert set(mail.keys()) == {
        "From", "To", "Subject", "Date", "Message-ID", "Auto-Submitted", "MIME-Version",
        "Content-Type", "Content-Language",
    }  # fmt: skip


def test_the_parts_are_these() -> None:
    packet = make(language="es")
    mail = read(packet.message)
    assert [part.get_content_type() for part in mail.walk()] == [
        "multipart/mixed", "multipart/alternative", "text/plain", "text/html",
        "text/vcard", "text/calendar",
    ]  # fmt: skip
    text, html = (mail.get_body((kind,)) for kind in ("plain", "html"))
    assert text is not None
    assert html is not None
    assert text.get_content().replace("\r\n", "\n") == packet.text
    assert html.get_content().split() == packet.html.split()
    attached = {part.get_filename(): part for part in mail.iter_attachments()}
    assert attached["contact.vcf"].get_payload(decode=True) == packet.card
    assert attached["ordering-days.ics"].get_payload(decode=True) == packet.calendar
    assert {part.get_content_charset() for part in attached.values()} == {"utf-8"}


def test_who_said_no_or_has_no_address_has_no_message() -> None:
    assert make(consent=False).message == b""
    assert make(email="").message == b""
    assert make(email="no address at all").message == b""
    assert make(consent=None).message != b""  # not asked: the packet is what they joined for


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("Pat.Lee@EXAMPLE.com", "Pat.Lee@example.com"),
        ("pat@bücher.example", "pat@xn--bcher-kva.example"),  # RFC 5891
        ("josé@example.com", "josé@example.com"),  # RFC 6531
    ],
)
def test_addresses_are_written_as_they_are_sent(address: str, expected: str) -> None:
    mail = read(make(email=address).message)
    assert mail["To"].addresses[0].addr_spec == expected


@pytest.mark.parametrize(
    "address",
    ["a@example.com\r\nBcc: b@example.com", "a@example.com, b@example.com", "a", "", "\ud800@x.example",
     "<a@example.com>", "a@example.com" * 1000],
)  # fmt: skip
def test_what_is_no_address_is_none(address: str) -> None:
    assert mailbox("Pat", address) is None


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200), st.text(max_size=200))
def test_lines_are_short_and_names_arrive(given_name: str, coop: str) -> None:
    """RFC 5322 2.1.1: 998 octets at most; 78 wherever a line can be folded."""
    changed = replace(COOP, coop=coop or "x")
    packet = make(PersonName(given_name, "", "Lee"), settings=changed)
    lines = packet.message.split(b"\r\n")
    assert max(map(len, lines)) <= 998
    assert b"\n" not in b"".join(lines)
    assert packet.message.isascii()
    mail = read(packet.message)
    assert mail["To"].addresses[0].addr_spec == "maria@example.com"
    assert len(mail["From"].addresses) == 1


# ---------------------------------------------------------------- the page


class Page(HTMLParser):
    """What a mail program sees."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.open: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text.append(data)


def test_the_page_fetches_nothing_and_follows_nobody() -> None:
    page = Page(make().html)
    assert page.open == []
    assert {tag for tag, _ in page.tags} <= {
        "html", "head", "meta", "title", "style", "body", "div", "h1", "h2", "p", "ol", "ul", "li",
        "strong", "a", "br",
    }  # fmt: skip
    links = {attrs["href"] for tag, attrs in page.tags if tag == "a"}
    assert links == {COOP.ordering_page, f"mailto:{COOP.sender}"}
    assert "url(" not in make().html
    assert "@import" not in make().html


def test_the_page_says_the_same_as_the_text() -> None:
    packet = make()
    words = re.findall(r"\w+", re.sub(r"(?m)^(\d\.|-) ", "", packet.text))
    page = re.findall(r"\w+", " ".join(Page(packet.html).text))
    # The title stands twice, and lists are numbered by the browser.
    numbers = [w for w in words if not w.isdigit()]
    title = list(re.findall(r"\w+", packet.subject))
    assert [w for w in page if not w.isdigit()] == title + numbers


# ---------------------------------------------------------------- calendar and card


def events(content: bytes) -> list[Any]:
    return list(Calendar.from_ical(content).walk("VEVENT"))


def test_each_window_is_an_event() -> None:
    found = events(make().calendar)
    windows = [w for w in COOP.groups[0].windows if w.closes >= TODAY]
    assert [(e.decoded("dtstart"), e.decoded("dtend")) for e in found] == [
        (w.opens, w.closes + timedelta(days=1)) for w in windows
    ]
    assert {str(e["summary"]) for e in found} == {
        "Order from Furrow & Fen Seed Co-op (Ottawa River)"
    }
    assert len({e["uid"] for e in found}) == len(found)


def test_a_later_calendar_updates_the_earlier() -> None:
    group, later = COOP.groups[0], TODAY + timedelta(days=1)
    longer = replace(
        group, windows=tuple(replace(w, closes=w.closes + timedelta(days=2)) for w in group.windows)
    )
    before = events(calendar(group, COOP, "en", TODAY))
    after = events(calendar(longer, COOP, "en", later))
    assert [e["uid"] for e in before] == [e["uid"] for e in after]
    assert all(a["sequence"] > b["sequence"] for a, b in zip(after, before, strict=True))
    assert all(
        a.decoded("dtstamp") > b.decoded("dtstamp") for a, b in zip(after, before, strict=True)
    )


def test_reminders_are_in_the_morning_of_the_first_day_and_of_the_last() -> None:
    event = events(make().calendar)[0]
    opening, closing = event.walk("VALARM")
    assert opening.decoded("trigger") == timedelta(hours=9)
    assert closing["trigger"].params["RELATED"] == "END"
    assert closing.decoded("trigger") == timedelta(hours=-15)  # of midnight after the last day
    assert (
        str(closing["description"])
        == "Today is the last day to order from Furrow & Fen Seed Co-op."
    )


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=120),
       st.dates(date(2026, 11, 25), date(2100, 1, 1)), st.integers(0, 400))  # fmt: skip
def test_any_group_and_window_reads_back(name: str, opens: date, days: int) -> None:
    window = Window(opens, opens + timedelta(days=days))
    content = calendar(Group(name, (window,)), COOP, "es", TODAY)
    (event,) = events(content)
    assert str(event["summary"]) == f"Pedidos de {COOP.coop} ({' '.join(name.split())})"
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=days + 1)
    for line in content.split(b"\r\n"):
        assert len(line) <= 75
        line.decode()  # folded between characters, not inside one


def test_no_window_no_calendar() -> None:
    packet = make(site="Tiffin Barn")
    assert packet.calendar == b""
    assert b"ordering-days.ics" not in packet.message
    assert make(site="").calendar == b""


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=80))
def test_the_card_reads_back(coop: str) -> None:
    changed = replace(COOP, coop=coop)
    content = card(changed)
    for line in content.split(b"\r\n"):
        assert len(line) <= 75  # RFC 2426, 2.6
        line.decode()  # folded between characters, not inside one
    contact = vobject.readOne(content.decode())
    assert contact.version.value == "3.0"
    assert contact.fn.value == coop
    assert contact.email.value == COOP.sender
    assert contact.tel.value == COOP.reply_phone
    assert contact.url.value == COOP.ordering_page
    assert contact.label.value == COOP.postal_address
    assert (contact.n.value.family, contact.org.value) == (coop, [coop])


def test_a_backslash_before_an_n_is_no_new_line() -> None:
    """RFC 2426, 4: a backslash is written as two; what follows them is a letter again."""
    assert b"\r\nFN:A\\\\Nice Co-op\r\n" in card(replace(COOP, coop="A\\Nice Co-op"))


def test_an_address_of_two_lines_is_one_label_and_no_new_property() -> None:
    there = "12 Elm St, Unit 4; rear\nLima, OH 45801\nNOTE:not ours"
    contact = vobject.readOne(card(replace(COOP, postal_address=there, reply_phone="")).decode())
    assert contact.label.value == there
    assert set(contact.contents) == {"version", "email", "fn", "label", "n", "org", "url"}


def test_the_password_is_in_no_attachment() -> None:
    packet = make()
    assert PHRASE.encode() not in packet.calendar + packet.card
    head = packet.message.partition(b"\r\n\r\n")[0]
    assert PHRASE.encode() not in head
