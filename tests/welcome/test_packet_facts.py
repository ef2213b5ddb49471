"""Packets held against tables of facts, each with its source: tests/facts/welcome.csv, calendar.csv.

Every row is checked by a function of its id here, or says in the table why no program checks it.
"""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from email.utils import parsedate_to_datetime
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from icalendar import Alarm, Calendar
from packets_made import COOP, PHRASE, TODAY, make
from plain_words import counts, english_ease

from onboard.settings import Group, Window
from onboard.welcome.calendar import calendar, changes, published
from onboard.welcome.moved import Move, moved
from onboard.windows import follow, fresh

FACTS = Path(__file__).parents[1] / "facts"
ROWS = {
    row["id"]: row
    for name in ("welcome", "calendar")
    for row in csv.DictReader((FACTS / f"{name}.csv").open(encoding="utf-8"))
}
EN, ES = make(language="en"), make(language="es")
TEXT = EN.text
PROSE = "\n".join(line for line in TEXT.splitlines() if not re.fullmatch("[=-]+", line))
WORDS = " ".join(PROSE.split())


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_each_fact_is_kept(row: dict[str, str]) -> None:
    check = globals().get(row["id"])
    if row["why_not_tested"]:
        assert check is None
        pytest.skip(row["why_not_tested"])
    assert check is not None, "neither checked nor a reason given"
    check(row)


# ---------------------------------------------------------------- plain language


def we0002(row: dict[str, str]) -> None:
    """The reader is “you”, more often than we are “we”."""
    you, we = (len(re.findall(rf"(?i)\b{word}\b", PROSE)) for word in ("you|your", "we|our"))
    assert you > we


def we0003(row: dict[str, str]) -> None:
    order = [
        TEXT.index(part) for part in (COOP.ordering_page, "\n    maria", PHRASE, "Lima Church")
    ]
    assert order == sorted(order)


def we0005(row: dict[str, str]) -> None:
    headings = re.findall(r"<h2[^>]*>(\d)\.", EN.html)
    assert headings == ["1", "2", "3", "4", "5", "6"]
    assert "<ol" in EN.html.partition("If it does not work")[2]


def we0006(row: dict[str, str]) -> None:
    for paragraph in re.findall(r"<p [^>]*>(.*?)</p>", EN.html, re.DOTALL):
        assert counts(re.sub("<[^>]+>", "", paragraph))[1] <= 6
        assert len(re.sub("<[^>]+>", "", paragraph).split()) <= 60


def we0007(row: dict[str, str]) -> None:
    assert "must" in PROSE
    assert not re.search(r"(?i)\bshall\b", PROSE)


def we0009(row: dict[str, str]) -> None:
    ours = re.sub(r"PO Box|Lima OH", "", PROSE)
    assert re.findall(r"\b[A-Z]{2,}\b|\be\.g\.|\betc\b", ours) == []


def we0014(row: dict[str, str]) -> None:
    words, sentences, syllables = counts(PROSE)
    ease = 206.835 - 1.015 * words / sentences - 84.6 * syllables / words
    assert english_ease(PROSE) == pytest.approx(ease, abs=0.5)
    assert ease >= 70  # "fairly easy" on Flesch's own scale (1948)


def we0015(row: dict[str, str]) -> None:
    words, sentences, syllables = counts(PROSE)
    assert 0.39 * words / sentences + 11.8 * syllables / words - 15.59 <= 6


def we0019(row: dict[str, str]) -> None:
    words, sentences, _ = counts(PROSE)
    signs = sum(sign.isalnum() for sign in PROSE)
    assert 4.71 * signs / words + 0.5 * words / sentences - 21.43 <= 6


# ---------------------------------------------------------------- contrast and the page


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definitions of contrast ratio and relative luminance."""

    def luminance(colour: str) -> float:
        parts = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
        red, green, blue = (
            p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts
        )
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _contrast(row: dict[str, str]) -> None:
    one, other = row["item"].split(" on ")
    assert f"{contrast(one, other):.2f}" == row["value"]


def _formula(row: dict[str, str]) -> None:
    assert contrast("#000000", "#ffffff") == 21
    assert contrast("#777777", "#777777") == 1


we0049 = we0051 = we0052 = we0054 = we0057 = we0058 = _contrast
we0048 = _formula


def colours(html: str) -> list[tuple[str, str, str]]:
    """(scheme, text, background) of all that is written, by day and in the dark."""
    light = [
        ("light", text, ground)
        for ground in ("#ffffff",)
        for text in re.findall(r";color:(#\w{6})|\"color:(#\w{6})", html)
        for text in text
        if text
    ]
    light.append(("light", "#000000", re.search(r"background-color:(#f\w{5})", html)[1]))  # type: ignore[index]
    dark = dict(re.findall(r"\.(\w+) \{ (.*?) \}", html))
    ground = re.search(r"background-color: (#\w{6})", dark["page"])[1]  # type: ignore[index]
    box = re.search(r"background-color: (#\w{6})", dark["shown"])[1]  # type: ignore[index]
    return light + [
        ("dark", re.search(r"(?<!-)color: (#\w{6})", style)[1], box if name == "shown" else ground)  # type: ignore[index]
        for name, style in dark.items()
    ]


def test_text_can_be_read_by_day_and_in_the_dark() -> None:
    """WCAG 2.2, 1.4.3 asks for 4.5:1 (AA), 1.4.6 for 7:1 (AAA)."""
    found = colours(EN.html)
    assert {scheme for scheme, _, _ in found} == {"light", "dark"}
    assert len(found) >= 8
    assert [pair for pair in found if contrast(*pair[1:]) < 7] == []


def we0034(row: dict[str, str]) -> None:
    border = re.search(r"border:2px solid (#\w{6})", EN.html)
    assert border is not None
    assert contrast(border[1], "#ffffff") >= 3
    dark = re.search(r"\.shown \{.*?border-color: (#\w{6})", EN.html)
    assert dark is not None
    assert contrast(dark[1], "#16181b") >= 3


class Tags(HTMLParser):
    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def tags(html: str, name: str) -> list[dict[str, str | None]]:
    return [attrs for tag, attrs in Tags(html).found if tag == name]


def we0035(row: dict[str, str]) -> None:
    assert all("underline" in str(a["style"]) for a in tags(EN.html, "a"))


def we0036(row: dict[str, str]) -> None:
    assert not re.search(r"user-scalable|maximum-scale|[^-]height:\d+px", EN.html)


def we0037(row: dict[str, str]) -> None:
    assert not re.search(r"[^-]width:\s*\d|nowrap|min-width|overflow:", EN.html)
    assert any("width=device-width" in str(meta.get("content")) for meta in tags(EN.html, "meta"))
    page = next(str(a["style"]) for a in tags(EN.html, "div"))
    assert "overflow-wrap:break-word" in page


def we0038(row: dict[str, str]) -> None:
    assert not re.search(r"[^-]height:\d|overflow:hidden|!important[^}]*spacing", EN.html)


def we0039(row: dict[str, str]) -> None:
    assert not re.search(r"<script|\son\w+=|<(button|input|form)|tabindex", EN.html)
    assert all(a.get("href") for a in tags(EN.html, "a"))


def we0040(row: dict[str, str]) -> None:
    assert [tags(p.html, "html")[0]["lang"] for p in (EN, ES)] == ["en", "es"]


def we0042(row: dict[str, str]) -> None:
    headings = re.findall(r"<h([12])[^>]*>(.*?)</h\1>", EN.html)
    assert [level for level, _ in headings].count("1") == 1
    assert len({words for _, words in headings}) == len(headings)
    assert all(len(words.split()) >= 3 for _, words in headings)


def we0043(row: dict[str, str]) -> None:
    for address, words in re.findall(r'<a [^>]*href="([^"]+)"[^>]*>(.*?)</a>', EN.html):
        assert words == address.removeprefix("mailto:")


def we0044(row: dict[str, str]) -> None:
    assert tags(EN.html, "img") == []


# ---------------------------------------------------------------- the message


def _mail(packet: Any = EN) -> EmailMessage:
    mail = message_from_bytes(packet.message, policy=policy.default)
    assert isinstance(mail, EmailMessage)
    return mail


def _head(packet: Any = EN) -> list[bytes]:
    head: bytes = packet.message.partition(b"\r\n\r\n")[0]
    return head.split(b"\r\n")


def we0071(row: dict[str, str]) -> None:
    for packet in (EN, ES):
        assert max(map(len, _head(packet))) <= 78
        assert max(map(len, packet.message.split(b"\r\n"))) <= 998


def we0072(row: dict[str, str]) -> None:
    assert _mail()["Date"]
    assert _mail()["From"]


def we0073(row: dict[str, str]) -> None:
    ids = [_mail(make()).get_all("Message-ID") for _ in range(50)]
    assert all(len(found or []) == 1 for found in ids)
    assert len({str(found) for found in ids}) == 50


def we0074(row: dict[str, str]) -> None:
    for name in ("From", "To", "Cc", "Bcc", "Subject", "Date"):
        assert len(_mail().get_all(name, [])) <= 1


def we0075(row: dict[str, str]) -> None:
    assert len(_mail()["From"].addresses) == 1
    assert "Sender" not in _mail()


def we0076(row: dict[str, str]) -> None:
    said = str(_mail()["Date"])
    assert re.fullmatch(r"[A-Z][a-z]{2}, \d\d [A-Z][a-z]{2} \d{4} \d\d:\d\d:\d\d [+-]\d{4}", said)
    assert re.fullmatch(
        r"[A-Z][a-z]{2}, \d\d [A-Z][a-z]{2} \d{4} \d\d:\d\d:\d\d [+-]\d{4}", row["value"]
    )
    assert parsedate_to_datetime(said).date() == TODAY


def we0080(row: dict[str, str]) -> None:
    parts = list(
        next(p for p in _mail().walk() if p.get_content_subtype() == "alternative").iter_parts()
    )
    assert [part.get_content_type() for part in parts] == ["text/plain", "text/html"]


def we0081(row: dict[str, str]) -> None:
    assert f"Auto-Submitted: {_mail()['Auto-Submitted']}" == row["value"]


def we0084(row: dict[str, str]) -> None:
    assert len(_mail()["To"].addresses) == 1
    assert "Cc" not in _mail()
    assert "Bcc" not in _mail()


def we0086(row: dict[str, str]) -> None:
    assert EN.subject == f"{COOP.coop}: how to sign in and order"


def we0088(row: dict[str, str]) -> None:
    for packet in (EN, ES):
        assert COOP.postal_address.replace("\n", ", ") in " ".join(packet.text.split())


def we0091(row: dict[str, str]) -> None:
    assert "If you do not want emails from us, please tell us." in WORDS
    assert tags(EN.html, "form") == []


# ---------------------------------------------------------------- what a packet is for


def we0096(row: dict[str, str]) -> None:
    for told in ("mariajoseobriennolan", "We made it from your name", PHRASE, COOP.ordering_page,
                 "If it does not work", f"Call {COOP.reply_phone}"):  # fmt: skip
        assert told in WORDS


def we0098(row: dict[str, str]) -> None:
    for told in ("no @", "no spaces", "no capitals"):
        assert told in WORDS


def we0102(row: dict[str, str]) -> None:
    assert "We will never ask you for your password, by phone, email, text or letter." in WORDS
    assert (
        "Nunca le vamos a pedir su contraseña: ni por teléfono, ni por correo, ni por mensaje, ni por"
        " carta." in " ".join(ES.text.split())
    )


def we0103(row: dict[str, str]) -> None:
    """The handle is the roster's in every part; nothing is worked out anew."""
    packet = make("Pat Lee")
    handle = packet.member.handle.text
    for part in (packet.text, packet.html, packet.letter):
        assert handle in part
        assert handle == "patlee"


# ---------------------------------------------------------------- the calendar

RAW = EN.calendar.decode()
EVENTS = list(Calendar.from_ical(RAW).walk("VEVENT"))
ALARMS = [alarm for event in EVENTS for alarm in event.walk("VALARM")]


def ca0003(row: dict[str, str]) -> None:
    assert len(re.findall(r"\r\nDTSTAMP:\d{8}T\d{6}Z\r\n", RAW)) == len(EVENTS) > 0
    assert all(e.decoded("dtstamp").utcoffset() == timedelta(0) for e in EVENTS)


def ca0005(row: dict[str, str]) -> None:
    group = Group("One day", (Window(date(2026, 12, 31), date(2026, 12, 31)),))
    raw = calendar(group, COOP, "en", TODAY)
    assert b"DTSTART;VALUE=DATE:20261231\r\n" in raw
    assert b"DTEND;VALUE=DATE:20270101\r\n" in raw


def ca0007(row: dict[str, str]) -> None:
    """A window of one day says what an event without an end would say."""
    group = Group("One day", (Window(date(2026, 12, 31), date(2026, 12, 31)),))
    raw = calendar(group, COOP, "en", TODAY)
    ends = re.compile(rb"DTEND[^\r]*\r\n")
    assert len(ends.findall(raw)) == 1
    (with_end,) = Calendar.from_ical(raw).walk("VEVENT")
    (without,) = Calendar.from_ical(ends.sub(b"", raw)).walk("VEVENT")
    assert with_end.end == without.end == date(2027, 1, 1)


def ca0008(row: dict[str, str]) -> None:
    for event in EVENTS:
        kinds = {type(event.decoded(end)) for end in ("dtstart", "dtend")}
        assert kinds == {date}
        assert not isinstance(event.decoded("dtstart"), datetime)


def ca0009(row: dict[str, str]) -> None:
    assert all(e.decoded("dtend") > e.decoded("dtstart") for e in EVENTS)


def ca0011(row: dict[str, str]) -> None:
    assert "TZID" not in RAW


def ca0012(row: dict[str, str]) -> None:
    assert max(len(line.encode()) for line in RAW.split("\r\n")) <= 75
    assert "\r\n " in RAW


def ca0014(row: dict[str, str]) -> None:
    raw = calendar(Group("ñandú 王 " * 30, COOP.groups[0].windows), COOP, "es", TODAY)
    for line in raw.split(b"\r\n"):
        line.decode()


def ca0015(row: dict[str, str]) -> None:
    raw = calendar(Group("a,b;c\\d", COOP.groups[0].windows), COOP, "en", TODAY)
    unfolded = raw.replace(b"\r\n ", b"")
    assert b"(a\\,b\\;c\\\\d)\r\n" in unfolded
    assert re.search(rb"DESCRIPTION:You can order[^\r]*\\nNeed help", unfolded)


def ca0018(row: dict[str, str]) -> None:
    assert ALARMS
    assert all(str(a["action"]) == "DISPLAY" and str(a["description"]) for a in ALARMS)


def ca0019(row: dict[str, str]) -> None:
    assert all(str(a["action"]) != "EMAIL" for a in ALARMS)


def ca0023(row: dict[str, str]) -> None:
    """Counted from the midnight with which the day begins; ours come at 9 in the morning of that day, or of the last."""
    midnight = datetime(2026, 12, 1)
    evening = Alarm.from_ical(f"BEGIN:VALARM\r\n{row['value']}\r\nEND:VALARM")
    assert midnight + evening.decoded("trigger") == datetime(2026, 11, 30, 18)
    for event in EVENTS:
        starts, ends = (
            datetime.combine(event.decoded(end), datetime.min.time())
            for end in ("dtstart", "dtend")
        )
        first, last = (alarm.decoded("trigger") for alarm in event.walk("VALARM"))
        assert starts + first == starts.replace(hour=9)
        assert ends + last == (ends - timedelta(days=1)).replace(hour=9)


def ca0024(row: dict[str, str]) -> None:
    assert RAW.count("TRIGGER;RELATED=END:-PT15H") == len(EVENTS)


def ca0025(row: dict[str, str]) -> None:
    assert all(("repeat" in a) == ("duration" in a) for a in ALARMS)


def ca0026(row: dict[str, str]) -> None:
    later = TODAY + timedelta(days=1)
    after = Calendar.from_ical(calendar(COOP.groups[0], COOP, "en", later)).walk("VEVENT")
    for old, new in zip(EVENTS, after, strict=True):
        assert old["uid"] == new["uid"]
        assert new["sequence"] > old["sequence"]
        assert new.decoded("dtstamp") > old.decoded("dtstamp")


def ca0027(row: dict[str, str]) -> None:
    """Nobody was invited, so a window that is called off is published (RFC 5546, 3.2.1) and not canceled as a meeting
    is; the rest is as the row says."""
    now = datetime(2026, 11, 25, 15, tzinfo=UTC)
    group = COOP.groups[0]
    known = fresh(group, COOP, now)
    none = replace(COOP, groups=(replace(group, windows=()), *COOP.groups[1:]))
    gone = follow(known, none, now + timedelta(hours=1))
    raws = [changes(some, COOP, "en", now, COOP.zone()) for some in (known, gone)]
    before, after = ({e["uid"]: e for e in Calendar.from_ical(raw).walk("VEVENT")} for raw in raws)
    canceled = [uid for uid, event in after.items() if event["status"] == "CANCELLED"]
    assert canceled
    for uid in canceled:
        assert before[uid]["status"] == "CONFIRMED"
        assert after[uid]["sequence"] > before[uid]["sequence"]


def ca0028(row: dict[str, str]) -> None:
    (part,) = [p for p in _mail().walk() if p.get_content_type() == "text/calendar"]
    assert part.get_param("method") is None
    assert "METHOD" not in RAW
    # What is published says the method in the file and in the part of the email alike.
    now = datetime(2026, 11, 25, 15, tzinfo=UTC)
    (window, *_) = fresh(COOP.groups[0], COOP, now)
    mail = moved(
        make("Pat Lee").member, [Move(window.told, window)], COOP, now, by_email=True
    ).message
    (part,) = [
        p for p in message_from_bytes(mail).walk() if p.get_content_type() == "text/calendar"
    ]
    assert part.get_param("method") == Calendar.from_ical(part.get_payload(decode=True))["method"]


def ca0033(row: dict[str, str]) -> None:
    now = datetime(2026, 11, 25, 15, tzinfo=UTC)
    raw = published("Ottawa River", fresh(COOP.groups[0], COOP, now), COOP, "en", now)
    assert b"\r\nREFRESH-INTERVAL;VALUE=DURATION:P1D\r\n" in raw


def ca0030(row: dict[str, str]) -> None:
    assert "RRULE" not in RAW
