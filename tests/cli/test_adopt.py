"""`onboard adopt` with old rosters as they come: nothing that they say is lost."""

from __future__ import annotations

import shlex
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
from office import SETTINGS, onboard, write_csv
from python_calamine import CalamineWorkbook

CLOSED = """
[[site]]
name = "Troy Church Lot"
address = "3 Bell St, Troy OH"
zip = "45373"
group = "Lake"
host = "Lou Darby"
closed = true
"""
HEADS = ("Username", "First", "Last", "Email", "Phone", "Site", "Joined", "Birthday", "Notes",
         "OK to email", "Last login", "Last order")  # fmt: skip
NAN = ("nfuller", "Nan", "Fuller", "nfuller@gmail", "555-01", "The Old Mill", "3/14/2019", "7/20/1960",
       "Likes oats", "", "10/14/2026", "9/1/2026")  # fmt: skip
OBIE = ("omarsh", "Obie (deceased)", "Marsh", "obie@example.org", "419-234-5678", "Lima Grange",
        "5/6/2018", "", "", "yes", "", "")  # fmt: skip
KIM = ("kwu", "Kim", "Wu", "kim@example.net", "419-386-7215", "Troy Church Lot", "12/31/2017",
       "1950-02-30", "", "no", "never", "")  # fmt: skip
LOU = ("", "Lou", "Diaz", "lou@example.org", "419-386-7216", "Lima Grange", "1/22/2020", "", "", "x", "",
       "")  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "onboard.toml").write_text(SETTINGS + CLOSED, encoding="utf-8")
    return tmp_path


def members(folder: Path) -> dict[str, dict[str, Any]]:
    with closing(sqlite3.connect(folder / "roster.db")) as roster:
        roster.row_factory = sqlite3.Row
        return {line["handle"]: dict(line) for line in roster.execute("SELECT * FROM member")}


def sheet_of(file: Path) -> list[list[str]]:
    return [[str(cell) for cell in row] for row in
            CalamineWorkbook.from_path(file).get_sheet_by_index(0).to_python()]  # fmt: skip


def test_the_preview_says_how_each_site_was_read_and_what_was_noticed(folder: Path) -> None:
    write_csv(folder / "old.csv", [NAN, OBIE, KIM, LOU], HEADS)
    said = onboard("adopt", "old.csv", "--json")
    (sums,) = said.json()
    assert {(s["said"], s["read"], s["rows"]) for s in sums["sites"]} == {
        ("The Old Mill", "none: not in the settings", 1),
        ("Troy Church Lot", "none: this one is closed", 1), ("Lima Grange", "Lima Grange", 1),
    }  # fmt: skip
    assert sums["findings"] == {
        "day.impossible": 1, "day.none": 1, "email.spelling": 1, "name.deceased": 1,
        "phone.too_short": 1, "site.closed": 1, "site.unknown": 1,
    }  # fmt: skip
    words = onboard("adopt", "old.csv").words
    assert "The Old Mill none: not in the settings 1" in words
    assert "1 needs an answer Next to the name it says that the person has died." in words
    assert "1 row has no sign-in name." in words
    assert not (folder / "roster.db").exists()


def test_what_the_list_says_of_years_before_is_taken_along(folder: Path) -> None:
    write_csv(folder / "old.csv", [NAN, OBIE, KIM], HEADS)
    assert onboard("adopt", "old.csv", "--record").code == 0
    found = members(folder)
    nan, obie, kim = found["nfuller"], found["omarsh"], found["kwu"]
    assert (nan["joined"][:10], nan["born"], nan["notes"]) == (
        "2019-03-14", "1960-07-20", "Likes oats",
    )  # fmt: skip
    assert (nan["last_sign_in"], nan["last_order"]) == ("2026-10-14", "2026-09-01")
    assert [one["consent"] for one in (nan, obie, kim)] == [None, 1, 0]
    # An empty last login in a list that has them is never, as of the newest day in it.
    assert (obie["last_sign_in"], obie["page_seen"]) == (None, "2026-10-14")
    onboard("audit", "--to", "out")
    told = (folder / "out" / "findings.csv").read_text("utf-8")
    for code, said in (
        ("name.deceased", "Obie (deceased) Marsh"), ("site.unknown", "The Old Mill"),
        ("site.closed", "Troy Church Lot"), ("phone.too_short", "555-01"),
        ("email.spelling", "nfuller@gmail"), ("day.impossible", "1950-02-30"),
    ):  # fmt: skip
        assert any(f'"{code}"' in line and f'"{said}"' in line for line in told.splitlines()), code


def test_a_later_list_that_says_otherwise_of_a_member_is_heard(folder: Path) -> None:
    write_csv(folder / "old.csv", [OBIE, KIM], HEADS)
    assert onboard("adopt", "old.csv", "--record").code == 0
    moved = (*KIM[:4], "419-386-7299", *KIM[5:])
    write_csv(folder / "new.csv", [moved, NAN], HEADS)
    for options in ((), ("--record",)):
        said = onboard("adopt", "new.csv", *options)
        assert said.code != 2, said.out
        assert "already on the roster (member 2, kwu). Ask which is right: phone." in said.words
    onboard("audit", "--to", "out")
    told = (folder / "out" / "findings.csv").read_text("utf-8")
    assert "phone.newer" in told
    assert "+14193867299" in told


def test_who_never_signed_in_is_told_by_the_audit(folder: Path) -> None:
    windows = ", ".join(
        f"{{ opens = 2026-{month:02}-01, closes = 2026-{month:02}-06 }}" for month in range(3, 10)
    )
    settings = SETTINGS.replace("windows = [{ opens", f"windows = [{windows}, {{ opens")
    (folder / "onboard.toml").write_text(settings, encoding="utf-8")
    write_csv(folder / "old.csv", [NAN, (OBIE[0], "Obie", *OBIE[2:])], HEADS)
    onboard("adopt", "old.csv", "--record")
    *_, summary = onboard("audit", "--json").json()
    counts = {kind["code"]: kind["count"] for kind in summary["kinds"]}
    assert counts["access.never_signed_in"] == 1


def test_rows_that_need_a_person_go_to_a_sheet_and_come_back_fixed(folder: Path) -> None:
    again = (*NAN[:1], *KIM[1:])
    write_csv(folder / "old.csv", [NAN, again, LOU], HEADS)
    said = onboard("adopt", "old.csv", "--record")
    assert said.code == 1
    assert said.out.splitlines()[-2] == "  onboard adopt old-questions.xlsx --record"
    heads, *rows = sheet_of(folder / "old-questions.xlsx")
    assert heads == ["What is needed", "Came from row", *HEADS, "Form key"]
    assert [row[0] for row in rows] == [
        "The sign-in name nfuller is also that of row 2 of old.csv: if both rows are one person, delete this one.",
        "The row has no sign-in name: fill in the one the member signs in with.",
    ]
    assert [row[2:-1] for row in rows] == [list(again), list(LOU)]
    # Nothing fixed: the same questions come again, and what was filled in is not lost.
    assert onboard("adopt", "old-questions.xlsx", "--record").code == 1
    assert (folder / "old-questions (earlier).xlsx").exists()
    assert sheet_of(folder / "old-questions.xlsx")[0] == heads
    with xlsxwriter.Workbook(str(folder / "old-questions.xlsx")) as book:
        sheet = book.add_worksheet("Questions")
        for number, row in enumerate([heads, *rows]):
            fixed = {1: "kwu", 2: "ldiaz"}.get(number, row[2])
            sheet.write_row(number, 0, [*row[:2], fixed, *row[3:]])
    assert onboard("adopt", "old-questions.xlsx", "--record").code == 0
    assert members(folder).keys() == {"nfuller", "kwu", "ldiaz"}
    assert onboard("answer").words == "No form is on hold."


def test_who_has_no_sign_in_name_is_given_one_when_asked(folder: Path) -> None:
    ana = ("", "Ana", "Ruiz", "", "419-386-7217", "Lima Grange", *[""] * 6)
    twice = ("", "Kim", "Wu", "kim@example.net", "419-386-7215", "", *[""] * 6)
    gone = ("", "Ivy Bell (dec. 2020)", "", "ivy@example.org", "", "", *[""] * 6)
    write_csv(folder / "old.csv", [KIM, LOU, ana, twice, gone], HEADS)
    said = onboard("adopt", "old.csv", "--record", "--give-sign-in-names")
    assert "3 members brought in (2 with a new sign-in name)" in said.words
    assert "may be Kim Wu (row 2 of old.csv)" in said.words
    assert "Skipped row 6, Ivy Bell (dec. 2020): Next to the name it says" in said.words
    assert members(folder).keys() == {"kwu", "loudiaz", "anaruiz"}
    assert "1 to make" in onboard("packets").words  # Ana has no address: her letter waits
    onboard("packets", "--write")
    outbox = {file.name for file in (folder / "outbox").iterdir()}
    assert "loudiaz.eml" in outbox
    assert (
        not {"kwu.eml", "anaruiz.eml"} & outbox
    )  # has an account; has no email, and gets a letter
    # A column of sign-in names is not needed then.
    write_csv(folder / "more.csv", [("Bo", "Quill")], ("First name", "Last name"))
    assert onboard("adopt", "more.csv", "--record", "--give-sign-in-names").code == 0
    assert onboard("adopt", "more.csv", "--record").code == 2


def test_a_formula_is_no_sign_in_name_and_an_email_in_one_is_read(folder: Path) -> None:
    with xlsxwriter.Workbook(str(folder / "old.xlsx")) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["Username", "Name", "Email"])
        sheet.write_formula(1, 0, "=LOWER(B2)", None, "")
        sheet.write_row(1, 1, ["Pat Lee", "pat@example.org"])
        sheet.write_row(2, 0, ["kwu", "Kim Wu"])
        sheet.write_formula(2, 2, '=HYPERLINK("mailto:kim@example.net","mail her")', None, "")
    _without_results(folder / "old.xlsx")
    said = onboard("adopt", "old.xlsx", "--record")
    assert "Skipped row 2, Pat Lee: " in said.out
    assert "is a formula" in said.out
    assert {handle: one["email"] for handle, one in members(folder).items()} == {
        "kwu": "kim@example.net"
    }
    assert sheet_of(folder / "old-questions.xlsx")[1][2:-1] == [
        "=LOWER(B2)", "Pat Lee", "pat@example.org",
    ]  # fmt: skip


def _without_results(file: Path) -> None:
    """The workbook as programs write it that do not reckon: no formula has a result."""
    import zipfile

    with zipfile.ZipFile(file) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    name = "xl/worksheets/sheet1.xml"
    parts[name] = parts[name].replace(b' t="str"', b"").replace(b"<v></v>", b"")
    with zipfile.ZipFile(file, "w") as packed:
        for part, content in parts.items():
            packed.writestr(part, content)


def test_columns_are_asked_about_and_remembered(folder: Path) -> None:
    odd = 'Their "handle" on the page'
    write_csv(folder / "old.csv", [("plee", "Pat Lee")], (odd, "Name"))
    asked = onboard("adopt", "old.csv")
    assert asked.code == 2
    option = f"--column {shlex.quote('Their=handle')}"
    assert onboard("adopt", "old.csv", *shlex.split(option), "--remember").code == 0
    (sums,) = onboard("adopt", "old.csv", "--json").json()
    assert sums["adopted"] == 1


@pytest.mark.parametrize("command", ["adopt", "batch"])
def test_a_roster_that_is_not_there_is_told_before_a_new_one_is_made(
    folder: Path, command: str
) -> None:
    settings = SETTINGS + '\n[files]\nroster = "members.db"\n'
    (folder / "onboard.toml").write_text(settings, encoding="utf-8")
    write_csv(folder / "old.csv", [NAN], HEADS)
    told = f"There is no roster at {folder / 'members.db'}, where onboard.toml says it is."
    looked = onboard(command, "old.csv")
    assert f"{told} With --record, a new one is made there, with no members." in looked.words
    saved = onboard(command, "old.csv", "--record")
    assert f"{told} A new one is made there, with no members." in saved.words
    assert "There is no roster" not in onboard(command, "old.csv").words


def test_a_row_with_a_lost_quotation_mark_takes_nobody_with_it(folder: Path) -> None:
    heads = ",".join(HEADS)
    lines = [",".join(row) for row in (NAN, KIM, LOU)]
    spoilt = lines[0].replace("Likes oats", '"Likes oats')
    (folder / "old.csv").write_text("\n".join([heads, spoilt, *lines[1:]]) + "\n", "utf-8")
    said = onboard("adopt", "old.csv", "--record")
    assert said.code == 1
    assert "was not closed" in said.words
    assert members(folder) == {}


def test_what_stands_for_no_sign_in_name_is_none(folder: Path) -> None:
    rows = [
        ("?", "Pat Lee"),
        ("n/a", "Kim Wu"),
        ("None", "Lou Diaz"),
        ("-", "Bo Quill"),
        ("nan", "Nan Fay"),
    ]
    write_csv(folder / "old.csv", rows, ("Username", "Name"))
    said = onboard("adopt", "old.csv", "--record")
    assert "4 rows have no sign-in name." in said.words
    assert members(folder).keys() == {"nan"}


def test_a_list_without_last_sign_ins_says_nothing_of_them(folder: Path) -> None:
    write_csv(folder / "old.csv", [("plee", "Pat Lee", "unsure", "8/31/2026")],
              ("Username", "Name", "Drop site", "Last order"))  # fmt: skip
    assert "Last sign-ins" not in onboard("adopt", "old.csv", "--record").words
    pat = members(folder)["plee"]
    assert (pat["page_seen"], pat["last_order"]) == (None, "2026-08-31")
    onboard("audit", "--to", "out")
    told = (folder / "out" / "findings.csv").read_text("utf-8")
    assert any('"site.missing"' in line and '"unsure"' in line for line in told.splitlines())


def test_a_word_that_windows_keeps_for_itself_is_no_sign_in_name(folder: Path) -> None:
    rows = [
        ("Con Lee", "con"),
        ("Nul Moor", "Nul.moor"),
        ("Com Vale", "com1"),
        ("Ana Conn", "conn"),
    ]
    write_csv(folder / "devices.csv", rows, ("Name", "Sign-in name"))
    said = onboard("adopt", "devices.csv", "--record").words
    assert "4 rows: 1 member brought in" in said
    assert "Skipped row 2, Con Lee: Windows keeps the word “con” for itself" in said
    assert (folder / "devices-questions.xlsx").exists()


def test_what_several_rows_call_a_drop_site_is_asked_once(office: Path) -> None:
    rows = [(f"handle{n}", f"Ana{n} Marsh", "LGX") for n in range(3)] + [
        ("patlee", "Pat Lee", "Mill")
    ]
    told = onboard(
        "adopt", write_csv(office / "old.csv", rows, ("Handle", "Name", "Drop site"))
    ).words
    assert told.count("is one of your drop sites, write it there in the settings") == 1
    assert 'do this again: also = ["LGX"]' in told
