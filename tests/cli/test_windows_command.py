"""`onboard windows`, and windows by rule wherever a member is told of theirs."""

from __future__ import annotations

import sqlite3
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from icalendar import Calendar
from office import SETTINGS, onboard, today_is
from pypdf import PdfReader

from onboard import open_office
from onboard.reports import windows as report
from onboard.reports.table import Table
from onboard.tasks.list_windows import list_windows

RULE = """
[windows]
rotation = ["Lake", "Hill"]
starts = "2026-11"
rest = ["July"]
opens = "first Monday"
closes = "the 12th, or the next working day"
opens_at = "8:00 AM"
closes_at = "9:00 PM"
left_out = ["2027-03"]
"""
HILL = """
[[site]]
name = "Hill Barn"
address = "1 Hill Rd, Lima, OH"
zip = "45801"
group = "Hill"
host = "Lee Darby"
"""
WINDOWS = SETTINGS[SETTINGS.index("windows = [") : SETTINGS.index("[[site]]")]
BY_RULE = SETTINGS.replace(WINDOWS, '\n[[group]]\nname = "Hill"\n' + RULE) + HILL


def test_the_windows_are_listed_by_month_group_and_site(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (office / "onboard.toml").write_text(BY_RULE)
    today_is(monkeypatch, 2026, 12, 7, 13, 1)
    said = onboard("windows")
    assert said.code == 0, "a holiday alone asks nothing of a person"
    for words in (
        "December 2026 Hill Mon, Dec 7, 2026, 8:00 AM Mon, Dec 14, 2026, 9:00 PM by the rule, open now",
        "January 2027 Lake Mon, Jan 4, 2027, 8:00 AM Tue, Jan 12, 2027, 9:00 PM by the rule",
        "March 2027: Lake has no window, it is left out.",
        "July 2027: nobody orders, it is a month of rest.",
        "Lake Lima Grange opens on Mon, Jan 4, 2027, 8:00 AM",
        "Hill Hill Barn open until Mon, Dec 14, 2026, 9:00 PM",
        "Hill, September 2027: the window opens on Monday, September 6, 2027, a holiday (Labor Day).",
    ):
        assert words in said.words, words
    assert sorted(p.name for p in office.iterdir()) == ["forms.csv", "onboard.toml"]


def test_for_a_program_there_is_a_line_for_each_window(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (office / "onboard.toml").write_text(BY_RULE)
    today_is(
        monkeypatch, 2026, 12, 15, 2, 1
    )  # a minute past 9 in the evening of the 14th in New York
    lines = onboard("windows", "--json").json()
    assert lines[0] == {
        "group": "Lake", "opens": "2027-01-04T08:00:00-05:00", "closes": "2027-01-12T21:00:00-05:00"
    }  # fmt: skip
    assert all(set(line) == {"group", "opens", "closes"} for line in lines)
    opens = [datetime.fromisoformat(line["opens"]) for line in lines]
    assert opens == sorted(opens)
    assert {line["opens"][11:] for line in lines} == {"08:00:00-05:00", "08:00:00-04:00"}


def test_windows_that_are_written_out_have_whole_days(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 25, 12)
    assert onboard("windows", "--json").json()[0] == {
        "group": "Lake", "opens": "2026-12-01T00:00:00-05:00", "closes": "2026-12-06T23:59:59-05:00"
    }  # fmt: skip


def test_packets_tell_windows_by_rule_and_their_password_outlives_the_first(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (office / "onboard.toml").write_text(
        BY_RULE.replace('"2026-11"', '"2026-12"').replace('"Hill"]', '"Hill"]\n')
    )
    today_is(monkeypatch, 2026, 11, 25, 12)
    assert onboard("batch", "forms.csv", "--record").code in (0, 1)
    onboard("packets", "--write")
    (mail, *_) = sorted((office / "outbox").glob("*.eml"))
    words = " ".join(mail.read_bytes().decode().replace("=\r\n", "").replace("=20", " ").split())
    assert (
        "From Monday, December 7, 2026, at 8:00 AM until Monday, December 14, 2026, at 9:00 PM"
        in words
    )
    assert "It works through Monday, December 14, 2026." in words.replace("**", "")
    said = onboard("why", "--member", mail.stem).words
    assert "December 7" in said or "2026-12-07" in said


def test_a_group_in_two_time_zones_has_each_window_by_each_clock(tmp_path: Path) -> None:
    file = tmp_path / "onboard.toml"
    file.write_text(
        BY_RULE + HILL.replace("Hill Barn", "Mesa Lot") + 'time_zone = "America/Phoenix"\n'
    )
    place = open_office(file, now=lambda: datetime(2026, 12, 7, 13, 30, tzinfo=UTC))
    found = list_windows(place)
    hill = [one for one in found.windows if one.group == "Hill"][:2]
    assert [(one.sites, one.open_now, one.opens.isoformat()) for one in hill] == [
        (("Hill Barn",), True, "2026-12-07T08:00:00-05:00"),
        (("Mesa Lot",), False, "2026-12-07T08:00:00-07:00"),
    ]
    assert any("2 time zones" in remark for remark in found.remarks)
    assert (
        not found.findings
    )  # each drop site has its own clock: nobody has to do anything about it
    (table, *_) = report.pieces(found)
    assert isinstance(table, Table)
    notes = [row[-1] for row in table.rows if row[1] == "Hill"][:2]
    assert notes == ["by the rule, open now, Hill Barn", "by the rule, Mesa Lot"]
    assert found.today == date(2026, 12, 7)


# ---------------------------------------------------------------- files


def test_files_are_written_for_each_group_and_site_and_the_wall(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (office / "onboard.toml").write_text(BY_RULE)
    today_is(monkeypatch, 2026, 11, 25, 12)
    said = onboard("windows", "--to", "web")
    assert sorted(file.name for file in (office / "web").iterdir()) == [
        "group-hill-es.ics", "group-hill.ics", "group-lake-es.ics", "group-lake.ics",
        "ordering-days-es.pdf", "ordering-days.pdf",
        "site-hill-barn-es.ics", "site-hill-barn.ics", "site-lima-grange-es.ics", "site-lima-grange.ics",
    ]  # fmt: skip
    assert "Wrote 8 calendar files and 2 PDF files with sheets for the wall." in said.words
    group, site = (
        Calendar.from_ical((office / "web" / f"{n}.ics").read_bytes())
        for n in ("group-lake", "site-lima-grange")
    )
    assert [e["uid"] for e in group.walk("VEVENT")] == [e["uid"] for e in site.walk("VEVENT")]
    pages = PdfReader(office / "web" / "ordering-days.pdf").pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    assert [text.split(" ")[0] for text in texts] == ["Ordering", "Lake", "Hill"]
    assert "January 2027 Lake Mon, Jan 4 Tue, Jan 12" in texts[0]
    assert (
        "Ordering opens at 8:00 AM on the first day. Ordering closes at 9:00 PM on the last day."
        in texts[1]
    )
    assert "Hill" not in texts[1]


def test_files_written_again_change_no_number_until_a_window_moves(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def events() -> list[tuple[str, int, date]]:
        onboard("windows", "--to", "web")
        read = Calendar.from_ical((office / "web" / "group-lake.ics").read_bytes())
        return [(str(e["uid"]), e["sequence"], e.decoded("dtstart")) for e in read.walk("VEVENT")]

    today_is(monkeypatch, 2026, 11, 25, 12)
    first = events()
    today_is(monkeypatch, 2026, 11, 27, 12)
    assert events() == first
    (office / "onboard.toml").write_text(
        SETTINGS.replace(
            "opens = 2026-12-01, closes = 2026-12-06", "opens = 2026-12-03, closes = 2026-12-08"
        )
    )
    (moved, same) = events()
    assert same == first[1]
    assert moved == (first[0][0], first[0][1] + 1, date(2026, 12, 3))


@pytest.mark.parametrize("name", ["group-lake.ics", "ordering-days.pdf"])
def test_nothing_is_overwritten_that_is_not_ours(office: Path, name: str) -> None:
    folder = office / "web"
    folder.mkdir()
    (folder / name).write_text("BEGIN:VCALENDAR\r\nPRODID:-//somebody else//EN\r\n")
    said = onboard("windows", "--to", "web")
    assert said.code == 2
    assert f"{Path('web') / name} is not a file that this program made" in said.words
    assert [file.name for file in folder.iterdir()] == [name]
    assert "somebody else" in (folder / name).read_text()


def test_a_calendar_of_a_site_that_is_no_more_is_told(office: Path) -> None:
    onboard("windows", "--to", "web")
    (office / "onboard.toml").write_text(
        SETTINGS.replace('name = "Lima Grange"', 'name = "Lima Mill"')
    )
    said = onboard("windows", "--to", "web")
    assert "site-lima-grange.ics is from an earlier time" in said.words


def test_letters_of_earlier_versions_are_followed_by_a_higher_number(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 25, 12)
    onboard("batch", "forms.csv", "--record")
    onboard("packets", "--write")
    with sqlite3.connect(office / "roster.db") as connection:  # as it was before windows were kept
        connection.execute("UPDATE outgoing SET told = NULL")
        connection.execute("DELETE FROM known_window")
    onboard("windows", "--to", "web")
    (first, *_) = Calendar.from_ical((office / "web" / "group-lake.ics").read_bytes()).walk(
        "VEVENT"
    )
    assert first["sequence"] == (date(2026, 11, 25) - date(2020, 1, 1)).days
