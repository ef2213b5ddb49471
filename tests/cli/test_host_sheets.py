"""The sheet for a host: members as they allow, the ordering days, whom to call."""

from __future__ import annotations

import sqlite3
import zipfile
from pathlib import Path

import pytest
from office import HEADINGS, SETTINGS, onboard, write_csv
from pypdf import PdfReader
from python_calamine import CalamineWorkbook
from test_windows_command import today_is

ASKED = "May your host have your phone?"
ASKING = SETTINGS.replace("[coop]", f'[coop]\nextra_questions = ["{ASKED}"]')
SHEET = '\n[host_sheet]\nnames = "full"\nphone_question = "may your host have your PHONE?"\n'
FORMS = [
    ("Pat Lee", "pat.lee@example.org", "419-555-0143", "12 N Main St", "Lima", "OH", "45801", "Lima Grange", "Yes"),
    ("Kim Vale", "kim@example.net", "419-555-0177", "7 Oak Ave", "Lima", "OH", "45801", "Lima Grange", ""),
    ("Sam Moor", "sam.moor@example.org", "419-555-0188", "40 Elm St", "Lima", "OH", "45801", "Lima Grange", "no, please"),
]  # fmt: skip


@pytest.fixture
def coop(office: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Three members, of whom one lets the host have the phone."""
    today_is(monkeypatch, 2026, 11, 25, 12)
    (office / "onboard.toml").write_text(ASKING)
    write_csv(office / "forms.csv", FORMS, (*HEADINGS, ASKED))
    assert onboard("batch", "forms.csv", "--record").code == 0
    return office


def printed(office: Path) -> str:
    pages = PdfReader(office / "hosts" / "host-lima-grange.pdf").pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def rows(office: Path, sheet: str = "Members") -> list[list[object]]:
    book = CalamineWorkbook.from_path(office / "hosts" / "host-lima-grange.xlsx")
    return book.get_sheet_by_name(sheet).to_python()


def test_members_are_named_by_first_name_and_initial_and_without_a_phone(coop: Path) -> None:
    said = onboard("sites", "--sheets", "hosts")
    assert said.code == 0
    assert "give a sheet to its own host and to nobody else" in said.words
    words = printed(coop)
    for fact in ("Lima Grange", "Kim V.", "Pat L.", "Sam M.", "Host: Robin Vale.", "419-555-0100", "Members: 3",
                 "Tuesday, December 1, 2026", "Sunday, December 6, 2026", "hello@growers.example.org"):  # fmt: skip
        assert fact in words
    for secret in ("Moor", "Kim Vale", "0143", "0177", "pat.lee", "Main St", "patlee"):
        assert secret not in words
    assert rows(coop)[1:] == [["Kim V.", "", ""], ["Pat L.", "", ""], ["Sam M.", "", ""]]
    assert rows(coop, "Ordering days")[1] == [
        "Tuesday, December 1, 2026",
        "Sunday, December 6, 2026",
    ]


def test_settings_that_say_more_show_whole_names_and_phones_of_those_who_said_yes(
    coop: Path,
) -> None:
    (coop / "onboard.toml").write_text(ASKING + SHEET)
    assert onboard("sites", "--sheets", "hosts").code == 0
    assert rows(coop)[1:] == [
        ["Kim Vale", "", ""], ["Pat Lee", "(419) 555-0143", ""], ["Sam Moor", "", ""]
    ]  # fmt: skip
    words = printed(coop)
    assert "Pat Lee (419) 555-0143" in words
    assert "0188" not in words


def test_what_ends_with_a_period_gets_no_second_one(coop: Path) -> None:
    file = coop / "onboard.toml"
    text = ASKING.replace('host = "Robin Vale"', 'host = "Robin Vale Jr."\npickup_day = "Saturday"\npickup_hours = "9 to 11 a.m."', 1)  # fmt: skip
    file.write_text(text)
    assert onboard("sites", "--sheets", "hosts").code == 0
    assert "Host: Robin Vale Jr. Pickup: Saturday, 9 to 11 a.m. The co-op" in printed(coop)


def test_a_question_that_no_form_asks_shows_no_phone_and_is_told(coop: Path) -> None:
    (coop / "onboard.toml").write_text(SETTINGS + SHEET)
    said = onboard("sites", "--sheets", "hosts")
    assert said.code == 1
    assert "which is not among extra_questions. So no phone is shown." in said.words


def test_only_the_owner_can_read_them_and_an_older_one_is_kept(coop: Path) -> None:
    onboard("sites", "--sheets", "hosts")
    onboard("sites", "--sheets", "hosts")
    found = {file.name: file.stat().st_mode & 0o777 for file in (coop / "hosts").iterdir()}
    assert set(found) == {
        "host-lima-grange.pdf", "host-lima-grange.xlsx", "host-lima-grange (earlier).pdf", "host-lima-grange (earlier).xlsx",
    }  # fmt: skip
    assert set(found.values()) == {0o600}


def test_closed_accounts_and_closed_sites_are_on_no_sheet(coop: Path) -> None:
    onboard("close", "kimvale", "--record")
    onboard("sites", "--sheets", "hosts")
    assert "Kim V." not in printed(coop)
    (coop / "onboard.toml").write_text(
        ASKING.replace('host = "Robin Vale"', 'host = "Robin Vale"\nclosed = true')
    )
    assert "Wrote 0 files" in onboard("sites", "--sheets", "others").words


def test_it_is_in_the_language_of_the_co_op_and_nothing_in_a_name_is_live(coop: Path) -> None:
    text = ASKING.replace('["en", "es"]', '["es"]')
    (coop / "onboard.toml").write_text(text)
    with sqlite3.connect(coop / "roster.db") as connection:
        connection.execute(
            "UPDATE member SET name = json_set(name, '$.given', '=HYPERLINK(1)', '$.called', '') WHERE handle = 'sammoor'"
        )
    onboard("sites", "--sheets", "hosts")
    words = printed(coop)
    assert "Persona encargada: Robin Vale." in words
    assert "martes 1 de diciembre de 2026" in words
    assert "=HYPERLINK(1) M." in words
    with zipfile.ZipFile(coop / "hosts" / "host-lima-grange.xlsx") as book:
        sheets = [book.read(name) for name in book.namelist() if "worksheets/sheet" in name]
    assert sheets
    assert not any(b"<f>" in sheet for sheet in sheets)


def test_whoever_may_not_look_members_up_gets_none(coop: Path) -> None:
    (coop / "onboard.toml").write_text(ASKING + '\n[desk]\nmay_look_up = ["robin"]\n')
    assert onboard("sites", "--sheets", "hosts", "--by", "sam").code == 2
    assert not (coop / "hosts").exists()
