"""Windows that move after members were told of them: who is told, by which way, once."""

from __future__ import annotations

import email
import sqlite3
from collections.abc import Iterable, Iterator
from datetime import date
from email import policy
from pathlib import Path

import pytest
from icalendar import Calendar
from office import SETTINGS as WITHOUT_SERVER
from office import onboard
from pypdf import PdfReader
from test_windows_command import today_is

from onboard.mail import post

SETTINGS = f'{WITHOUT_SERVER}\n[mail]\nhost = "mail.example.org"\n'
MOVED = SETTINGS.replace(
    "opens = 2026-12-01, closes = 2026-12-06", "opens = 2026-12-08, closes = 2026-12-13"
)
GONE = SETTINGS.replace("{ opens = 2026-12-01, closes = 2026-12-06 }, ", "")
BACK = SETTINGS


@pytest.fixture
def told(office: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An office whose three members have their packets: two by email, one by letter."""
    made(office, monkeypatch)
    went_out(office)
    return office


def made(office: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Packets in the outbox for three members, one of whom has no email."""
    today_is(monkeypatch, 2026, 11, 25, 12)
    onboard("batch", "forms.csv", "--record")
    with sqlite3.connect(office / "roster.db") as connection:
        ((held,),) = connection.execute("SELECT key FROM row WHERE decision = 'hold'").fetchall()
    onboard("answer", held, "enroll")
    says_yes(office)
    onboard("packets", "--write")


def says_yes(office: Path, consent: object = 1) -> None:
    """What the members who have an email address said to email."""
    with sqlite3.connect(office / "roster.db") as connection:
        connection.execute("UPDATE member SET consent = ? WHERE email != ''", (consent,))


def went_out(office: Path, state: str = "sent", what: str = "packet") -> None:
    """As if what is written had been sent or mailed."""
    with sqlite3.connect(office / "roster.db") as connection:
        connection.execute(
            "UPDATE outgoing SET state = CASE way WHEN 'letter' THEN 'printed' ELSE ? END WHERE state = 'written'"
            " AND what = ?", (state, what),
        )  # fmt: skip


def lines(office: Path, what: str = "notice") -> list[tuple[str, str, str]]:
    with sqlite3.connect(office / "roster.db") as connection:
        return connection.execute(
            "SELECT handle, way, state FROM outgoing JOIN member ON member.id = member_id WHERE what = ? ORDER BY 1, "
            "outgoing.id", (what,),
        ).fetchall()  # fmt: skip


def notices(office: Path) -> dict[str, email.message.EmailMessage]:
    found = [
        email.message_from_bytes(file.read_bytes(), policy=policy.default)
        for file in sorted((office / "outbox").glob("notice-*.eml"))
    ]
    return {str(mail["To"]).split("<")[-1].strip(">"): mail for mail in found}


def test_who_was_told_other_days_is_told_the_new_ones_by_the_way_they_have(told: Path) -> None:
    assert "told other" not in onboard("windows").words
    (told / "onboard.toml").write_text(MOVED)
    look = onboard("windows")
    assert look.code == 1
    assert "3 members were told other ordering days:" in look.words
    assert (
        "Tue, Dec 1, 2026 to Sun, Dec 6, 2026 Tue, Dec 8, 2026 to Sun, Dec 13, 2026" in look.words
    )
    assert "This was a preview. Nothing was saved." in look.words
    assert lines(told) == []
    assert not list((told / "outbox").glob("notice-*"))
    said = onboard("windows", "--record")
    assert "2 emails in the outbox, not sent yet." in said.words
    assert (
        "1 letter in the outbox, to print and mail (onboard packets --letters letters.pdf): notice-"
        in said.words
    )
    assert sorted((way, state) for _, way, state in lines(told)) == [
        ("email", "written"), ("email", "written"), ("letter", "written"),
    ]  # fmt: skip
    assert all("expires" not in mail.as_string() for mail in notices(told).values())


def test_the_notice_moves_the_days_in_the_members_calendar(told: Path) -> None:
    (packet, *_) = sorted((told / "outbox").glob("*.eml"))
    first = email.message_from_bytes(packet.read_bytes(), policy=policy.default)
    (had, *_) = Calendar.from_ical(_calendar(first)).walk("VEVENT")
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    mail = notices(told)[str(first["To"]).split("<")[-1].strip(">")]
    (part,) = [part for part in mail.walk() if part.get_content_type() == "text/calendar"]
    assert part.get_param("method") == "PUBLISH"  # RFC 6047, 2.4
    raw = _calendar(mail)
    assert b"\r\nMETHOD:PUBLISH\r\n" in raw
    (event,) = Calendar.from_ical(raw).walk("VEVENT")
    assert event["uid"] == had["uid"]
    assert event["sequence"] == had["sequence"] + 1
    assert event.decoded("dtstart") == date(2026, 12, 8)
    body = mail.get_body(("plain",))
    assert body
    words = " ".join(body.get_content().split())
    assert "New: from Tuesday, December 8, 2026 through Sunday, December 13, 2026." in words
    assert "Before: from Tuesday, December 1, 2026 through Sunday, December 6, 2026." in words


def _calendar(mail: email.message.EmailMessage) -> bytes:
    (part,) = [part for part in mail.walk() if part.get_content_type() == "text/calendar"]
    content = part.get_payload(decode=True)
    assert isinstance(content, bytes)
    return content


@pytest.mark.parametrize("state", ["written", "sent", "unsure"])
def test_nobody_is_told_the_same_twice(told: Path, state: str) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    before = lines(told)
    if state != "written":
        went_out(told, state, "notice")
    assert "told other" not in onboard("windows").words
    said = onboard("windows", "--record")
    assert "Nobody was told other ordering days." in said.words
    assert len(lines(told)) == len(before) == 3


def test_a_window_that_moves_again_before_the_notice_went_out_has_one_notice(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    (told / "onboard.toml").write_text(MOVED.replace("2026-12-13", "2026-12-15"))
    onboard("windows", "--record")
    assert sorted((way, state) for _, way, state in lines(told)) == sorted(
        [("email", "void"), ("email", "written")] * 2 + [("letter", "void"), ("letter", "written")]
    )
    (mail, *_) = notices(told).values()
    (event,) = Calendar.from_ical(_calendar(mail)).walk("VEVENT")
    assert event["sequence"] == 2
    assert len(list((told / "outbox").glob("notice-*"))) == 3


def test_a_window_that_is_back_where_it_was_needs_no_notice_but_where_a_letter_may_be_out(
    told: Path,
) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    (told / "onboard.toml").write_text(BACK)
    onboard("windows", "--record")
    stand = [(way, state) for _, way, state in lines(told) if state != "void"]
    assert stand == [("letter", "written")], "the first letter may have been mailed"


def test_a_window_that_is_no_more_is_canceled_in_the_calendar(told: Path) -> None:
    (told / "onboard.toml").write_text(GONE)
    assert "canceled" in onboard("windows").words
    onboard("windows", "--record")
    (mail, *_) = notices(told).values()
    (event,) = Calendar.from_ical(_calendar(mail)).walk("VEVENT")
    assert event["status"] == "CANCELLED"
    assert event["sequence"] == 1
    assert (
        "Canceled: from Tuesday, December 1, 2026 through Sunday, December 6, 2026. You can't order then."
        in " ".join(mail.get_body(("plain",)).get_content().split())
    )  # type: ignore[union-attr]
    assert "Nobody was told" in onboard("windows", "--record").words


def test_packets_that_have_not_gone_out_are_made_anew_with_a_new_password(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(office, monkeypatch)
    (office / "onboard.toml").write_text(MOVED)
    assert "have changed since it was made" in onboard("packets", "--send").words
    assert "have changed" in onboard("packets", "--letters", "letters.pdf").words
    look = onboard("windows")
    assert "3 welcome packets with the old days, not gone out yet, would be due again" in look.words
    before = {file.name: file.read_bytes() for file in (office / "outbox").glob("*.eml")}
    said = onboard("windows", "--record")
    assert "To make the packets: onboard packets --write" in said.words
    assert not list((office / "outbox").glob("*.eml"))
    with sqlite3.connect(office / "roster.db") as connection:
        hashes = {value for (value,) in connection.execute("SELECT password_hash FROM member")}
    assert hashes == {""} or hashes == {None}
    assert onboard("packets", "--write").code == 0
    for name, old in before.items():
        new = (office / "outbox" / name).read_bytes()
        assert b"December 8, 2026" in new.replace(b"=\r\n", b"")
        assert new != old
    assert lines(office) == []
    assert "told other" not in onboard("windows").words
    assert "have changed" not in onboard("packets", "--send").words


def test_who_said_no_to_email_since_gets_a_letter_and_who_left_nothing(told: Path) -> None:
    handles = [handle for handle, way, _ in lines(told, "packet") if way == "email"]
    with sqlite3.connect(told / "roster.db") as connection:
        connection.execute("UPDATE member SET consent = 0 WHERE handle = ?", (handles[0],))
    onboard("close", handles[1], "--record")
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    found = {handle: way for handle, way, _ in lines(told)}
    assert found[handles[0]] == "letter"
    assert handles[1] not in found


def test_windows_that_are_over_are_no_news(told: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    today_is(monkeypatch, 2026, 12, 20, 12)
    (told / "onboard.toml").write_text(MOVED)
    assert "told other" not in onboard("windows").words


def test_a_calendar_of_new_windows_alone_is_no_news(told: Path) -> None:
    (told / "onboard.toml").write_text(
        SETTINGS.replace("windows = [", "windows = [{ opens = 2027-03-01, closes = 2027-03-06 }, ")
    )
    assert "told other" not in onboard("windows").words


def test_for_a_program_recording_tells_a_line_for_each_member(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    assert all(
        set(line) == {"group", "opens", "closes"} for line in onboard("windows", "--json").json()
    )
    said = onboard("windows", "--record", "--json").json()
    assert len(said) == 3
    assert said[0]["windows"] == [
        {"group": "Lake", "told": ["2026-12-01", "2026-12-06"], "now": ["2026-12-08", "2026-12-13"]}
    ]


def test_whoever_may_not_look_members_up_sees_how_many_they_are(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED + '\n[desk]\nmay_look_up = ["robin"]\n')
    said = onboard("windows", "--by", "sam").words
    assert "3 members were told other ordering days" in said
    assert not any(handle in said for handle, _, _ in lines(told, "packet"))


def test_what_was_told_is_disclosed_and_deleted(told: Path) -> None:
    handle = lines(told, "packet")[0][0]
    onboard("disclose", handle, "--to", "copy.json")
    assert '"2026-12-01"' in (told / "copy.json").read_text()
    onboard("forget", handle, "--record", "--really")
    with sqlite3.connect(told / "roster.db") as connection:
        assert connection.execute("SELECT count(*) FROM outgoing").fetchone()[0] in (2, 3)


def test_a_notice_that_is_gone_from_the_outbox_is_made_again(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    for file in (told / "outbox").glob("notice-*"):
        file.unlink()
    assert onboard("packets", "--letters", "letters.pdf").code == 0
    words = " ".join(PdfReader(told / "letters.pdf").pages[0].extract_text().split())
    assert "New: from Tuesday, December 8, 2026" in words
    assert "2 emails to send. 0 for you to check." in onboard("packets", "--send").words


def test_a_window_notice_in_print_is_mailed_like_any_letter(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    onboard("packets", "--mailed", "--really")
    assert ("letter", "printed") in [(way, state) for _, way, state in lines(told)]
    assert "Nobody was told other ordering days." in onboard("windows", "--record").words


def in_print(office: Path) -> str:
    pages = PdfReader(office / "letters.pdf").pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_without_a_mail_server_everybody_gets_a_letter(told: Path) -> None:
    moved = MOVED.replace('host = "mail.example.org"', "")
    (told / "onboard.toml").write_text(moved)
    said = onboard("windows", "--record")
    assert "packets --send" not in said.words
    assert "3 letters in the outbox, to print and mail (onboard packets --letters" in said.words
    assert "letter (no mail server is set)" in said.words
    printed = onboard("packets", "--letters", "letters.pdf")
    assert "3 letters to mail" in printed.words
    assert "temporary passwords" not in printed.words
    assert in_print(told).count("cross out the old days") == 3


def test_an_email_notice_is_printed_once_there_is_no_mail_server(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    (told / "onboard.toml").write_text(MOVED.replace('host = "mail.example.org"', ""))
    assert "3 letters to mail" in onboard("packets", "--letters", "letters.pdf").words
    assert in_print(told).count("cross out the old days") == 3
    onboard("packets", "--mailed", "--really")
    assert {state for *_, state in lines(told)} == {"printed"}


def test_many_members_have_one_line_for_each_window_with_how_many_they_are(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    lines_said = onboard("windows").out.splitlines()
    (row,) = [one for one in lines_said if "Tue, Dec 1, 2026 to" in one]
    assert row.split()[0] == "Lake"
    assert row.split()[-1] == "3"
    handles = [handle for handle, *_ in lines(told, "packet")]
    assert all(sum(handle in one for one in lines_said) == 1 for handle in handles)


@pytest.mark.parametrize("consent", [None, 0])
def test_whom_nobody_asked_gets_no_email(told: Path, consent: object) -> None:
    says_yes(told, consent)
    (told / "onboard.toml").write_text(MOVED)
    said = onboard("windows", "--record")
    assert {way for _, way, _ in lines(told)} == {"letter"}
    why = "opted out of email" if consent == 0 else "nobody asked if they want email"
    assert f"{why}): 2 members" in said.words
    assert not notices(told)


def test_an_email_that_waits_does_not_go_to_whoever_takes_back_their_yes(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    says_yes(told, None)
    assert "0 emails to send" in onboard("packets", "--send").words
    said = onboard("windows", "--record")
    assert "nobody asked if they want email): 2 members" in said.words
    assert [way for _, way, state in lines(told) if state == "written"] == ["letter"] * 3
    assert "Nobody was told other ordering days." in onboard("windows", "--record").words


def test_a_notice_goes_to_the_address_on_file_when_it_is_sent(
    told: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (told / "onboard.toml").write_text(MOVED)
    onboard("windows", "--record")
    handle = next(handle for handle, way, _ in lines(told) if way == "email")
    onboard("correct", handle, "--email", "moved.away@example.net", "--record")
    heard: list[bytes] = []

    def send(mails: Iterable[post.Mail], *_: object, **__: object) -> Iterator[post.Outcome]:
        heard.extend(mail.message for mail in mails)
        yield from ()

    monkeypatch.setattr("onboard.mail.post.send", send)
    onboard("packets", "--send")
    to = [
        str(email.message_from_bytes(one, policy=policy.default)["To"])
        for one in heard
        if b"text/calendar" in one
    ]
    assert len(to) == 2
    assert any("moved.away@example.net" in one for one in to)


@pytest.fixture
def nowhere(told: Path) -> str:
    """The sign-in name of a member who can only be called."""
    (handle,) = [handle for handle, way, _ in lines(told, "packet") if way == "letter"]
    with sqlite3.connect(told / "roster.db") as connection:
        connection.execute("UPDATE member SET address = '[]' WHERE handle = ?", (handle,))
    (told / "onboard.toml").write_text(MOVED)
    return handle


def test_who_can_only_be_called_leaves_the_list_once_somebody_called(
    told: Path, nowhere: str
) -> None:
    said = onboard("windows", "--record")
    assert said.code == 1
    assert f"{nowhere} can only be called: (419) 555-0188." in said.words
    assert f"onboard windows --called {nowhere} --record" in said.words
    assert onboard("windows").code == 1
    look = onboard("windows", "--called", nowhere)
    assert "This was a preview." in look.words
    assert onboard("windows").code == 1
    done = onboard("windows", "--called", nowhere, "--record")
    assert done.code == 0
    assert f"{nowhere} was told the new ordering days on the phone. Saved." in done.words
    again = onboard("windows")
    assert (again.code, "told other" in again.words) == (0, False)
    assert (nowhere, "call", "told") in lines(told)


def test_who_was_called_is_told_again_if_the_window_moves_again(told: Path, nowhere: str) -> None:
    onboard("windows", "--called", nowhere, "--record")
    (told / "onboard.toml").write_text(MOVED.replace("2026-12-13", "2026-12-15"))
    assert f"call: 1 member: {nowhere}" in onboard("windows").words


def test_nobody_is_marked_as_called_who_had_nothing_to_hear(told: Path, nowhere: str) -> None:
    onboard("windows", "--called", nowhere, "--record")
    said = onboard("windows", "--called", nowhere, "--record")
    assert said.code == 2
    assert f"Nothing to tell {nowhere} on the phone" in said.words
    assert onboard("windows", "--called", "nobodyatall", "--record").code == 2


def test_a_letter_that_waits_is_not_printed_once_the_member_was_called(told: Path) -> None:
    (told / "onboard.toml").write_text(MOVED)
    handle = next(handle for handle, way, _ in lines(told, "packet") if way == "email")
    onboard("windows", "--called", handle, "--record")
    onboard("windows", "--record")
    assert [way for who, way, _ in lines(told) if who == handle] == ["call"]


# ---------------------------------------------------------------- another group

TWO = (
    SETTINGS
    + """
[[group]]
name = "Hill"
windows = [{ opens = 2026-12-10, closes = 2026-12-14 }, { opens = 2027-12-10, closes = 2027-12-14 }]

[[site]]
name = "Ada Barn"
address = "3 Hill Rd, Ada OH"
zip = "45810"
group = "Hill"
host = "Noor Vale"
"""
)
REGROUPED = TWO.replace('zip = "45801"\ngroup = "Lake"', 'zip = "45801"\ngroup = "Hill"')


def days_in(mail: email.message.EmailMessage) -> dict[str, tuple[date, str, int]]:
    """By UID: the first day, the status and the number of each event that comes with an email."""
    return {
        str(event["uid"]): (event.decoded("dtstart"), str(event["status"]), int(event["sequence"]))
        for event in Calendar.from_ical(_calendar(mail)).walk("VEVENT")
    }


def change_log(office: Path) -> int:
    with sqlite3.connect(office / "roster.db") as connection:
        return int(connection.execute("SELECT max(id) FROM applied").fetchone()[0])


@pytest.fixture
def two(told: Path) -> Path:
    """The same with a second group; the windows of both are known."""
    (told / "onboard.toml").write_text(TWO)
    onboard("windows", "--record")
    return told


def test_a_member_who_goes_to_another_group_hears_its_days_and_loses_the_old_ones(
    two: Path,
) -> None:
    assert "another ordering group" not in onboard("today").words
    onboard("correct", "patlee", "--site", "Ada Barn", "--record")
    assert "1 member has another ordering group" in onboard("today").words
    said = onboard("windows", "--record")
    assert "1 member was told other ordering days:" in said.words
    (mail,) = notices(two).values()
    body = " ".join(mail.get_body(("plain",)).get_content().split())  # type: ignore[union-attr]
    assert body.index("New:") < body.index("Canceled:")  # what they can do comes first
    assert "Your group is Hill now, so your ordering days are other ones." in body
    assert "Canceled: from Tuesday, December 1, 2026 through Sunday, December 6, 2026." in body
    assert "New: from Thursday, December 10, 2026 through Monday, December 14, 2026." in body
    assert sorted(days_in(mail).values())[:2] == [
        (date(2026, 12, 1), "CANCELLED", 1), (date(2026, 12, 10), "CONFIRMED", 0),
    ]  # fmt: skip
    assert "another ordering group" not in onboard("today").words
    assert "There is nothing to do" in onboard("windows", "--record").words
    went_out(two, what="notice")
    assert "There is nothing to do" in onboard("windows", "--record").words


def test_the_notice_of_another_group_goes_out_as_it_is(two: Path) -> None:
    onboard("correct", "patlee", "--site", "Ada Barn", "--record")
    onboard("windows", "--record")
    said = onboard("packets", "--send")
    assert "1 email" in said.words
    assert "changed again" not in said.words


def test_a_change_of_group_that_is_undone_before_the_notice_went_out_tells_nobody(
    two: Path,
) -> None:
    onboard("correct", "patlee", "--site", "Ada Barn", "--record")
    onboard("windows", "--record")
    onboard("undo", str(change_log(two)), "--record")
    said = onboard("windows", "--record")
    assert "1 notice with days that no longer hold taken out" in said.words
    assert not notices(two)
    assert "There is nothing to do" in onboard("windows", "--record").words


def test_who_comes_back_to_a_group_gets_its_days_back_in_the_calendar(two: Path) -> None:
    onboard("correct", "patlee", "--site", "Ada Barn", "--record")
    onboard("windows", "--record")
    (first,) = notices(two).values()
    went_out(two, what="notice")
    for file in (two / "outbox").glob("notice-*"):
        file.unlink()
    onboard("undo", str(change_log(two)), "--record")
    onboard("windows", "--record")
    (mail,) = notices(two).values()
    before, after = days_in(first), days_in(mail)
    for uid, (day, status, number) in after.items():
        was = before[uid]
        assert (day, number > was[2]) == (was[0], True)
        assert {status, was[1]} == {"CONFIRMED", "CANCELLED"}
    assert len(after) == 4
    went_out(two, what="notice")
    assert "There is nothing to do" in onboard("windows", "--record").words


def test_all_at_a_drop_site_that_goes_to_another_group_hear_it(two: Path) -> None:
    (two / "onboard.toml").write_text(REGROUPED)
    assert "3 members have another ordering group" in onboard("today").words
    said = onboard("windows", "--record")
    assert "3 members were told other ordering days:" in said.words
    assert sorted((way, state) for _, way, state in lines(two)) == [
        ("email", "written"), ("email", "written"), ("letter", "written"),
    ]  # fmt: skip
    assert "There is nothing to do" in onboard("windows", "--record").words
    (two / "onboard.toml").write_text(TWO)
    assert "3 notices with days that no longer hold taken out" in onboard("windows", "--record").words  # fmt: skip


def test_a_packet_for_the_old_group_that_waits_is_made_anew(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (office / "onboard.toml").write_text(TWO)
    made(office, monkeypatch)
    (office / "onboard.toml").write_text(REGROUPED)
    assert "days in it have changed" in onboard("packets", "--send").words
    assert "3 welcome packets with the old days" in onboard("windows", "--record").words
    onboard("packets", "--write")
    assert "days in it have changed" not in onboard("packets", "--send").words


def test_who_was_told_the_days_of_the_next_site_is_not_told_that_they_are_canceled(
    two: Path,
) -> None:
    onboard("sites", "--close", "Lima Grange", "--record")
    assert "There is nothing to do" in onboard("windows", "--record").words
    went_out(two, what="notice")
    assert "There is nothing to do" in onboard("windows", "--record").words
    assert "another ordering group" not in onboard("today").words


CLOCKS = (
    SETTINGS
    + """
[windows]
opens_at = "8:00 AM"
closes_at = "8:00 PM"

[[site]]
name = "Gary Barn"
address = "3 Hill Rd, Gary IN"
zip = "46402"
group = "Lake"
host = "Noor Vale"
time_zone = "America/Chicago"

[[site]]
name = "Monroe Hall"
address = "3 Lake Rd, Monroe MI"
zip = "48161"
group = "Lake"
host = "Ida Voss"
time_zone = "America/Detroit"
"""
)


@pytest.mark.parametrize("told_before", [False, True])
def test_all_at_a_drop_site_whose_clock_the_settings_change_hear_it(
    office: Path, monkeypatch: pytest.MonkeyPatch, told_before: bool
) -> None:
    (office / "onboard.toml").write_text(CLOCKS)
    made(office, monkeypatch)
    went_out(office)
    onboard("windows", "--record")
    onboard("correct", "patlee", "--site", "Monroe Hall", "--record")
    if told_before:
        onboard("windows", "--record")
    (office / "onboard.toml").write_text(CLOCKS.replace("America/Detroit", "America/Denver"))
    assert "1 member has another ordering group or clock" in onboard("today").words
    said = onboard("windows", "--record")
    assert "1 member was told other ordering days:" in said.words
    assert "the same, by another clock" in said.words
    (mail,) = notices(office).values()
    found = days_in(mail).values()
    assert {day.utcoffset().total_seconds() / 3600 for day, *_ in found} == {-7}  # type: ignore[attr-defined]
    assert "There is nothing to do" in onboard("windows", "--record").words
    # The clock that was told is the old one again: the notice that waits is taken out.
    (office / "onboard.toml").write_text(CLOCKS)
    assert "1 notice with days that no longer hold" in onboard("windows", "--record").words
    assert "There is nothing to do" in onboard("windows", "--record").words


def test_who_goes_to_a_site_with_another_clock_hears_it_and_their_calendar_moves(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (office / "onboard.toml").write_text(CLOCKS)
    made(office, monkeypatch)
    went_out(office)
    onboard("windows", "--record")
    onboard("correct", "patlee", "--site", "Monroe Hall", "--record")
    assert "There is nothing to do" in onboard("windows", "--record").words  # its clock goes alike
    onboard("correct", "patlee", "--site", "Gary Barn", "--record")
    assert "1 member has another ordering group or clock" in onboard("today").words
    said = onboard("windows", "--record")
    assert "1 member was told other ordering days:" in said.words
    assert "the same, by another clock" in said.words
    (mail,) = notices(office).values()
    body = " ".join(mail.get_body(("plain",)).get_content().split())  # type: ignore[union-attr]
    assert "now start and end by the time at your drop site, Gary Barn." in body
    assert "Before:" not in body
    found = days_in(mail).values()
    assert {day.utcoffset().total_seconds() / 3600 for day, *_ in found} == {-6}  # type: ignore[attr-defined]
    assert {number > 0 for *_, number in found} == {True}
    assert "There is nothing to do" in onboard("windows", "--record").words
    went_out(office, what="notice")
    assert "There is nothing to do" in onboard("windows", "--record").words
