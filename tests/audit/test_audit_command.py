"""`onboard audit` and `onboard activity`, as a coordinator types them."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from cli.office import HEADINGS, KIM, PAT, SETTINGS, onboard, write_csv
from python_calamine import CalamineWorkbook
from sqlalchemy import select

from onboard.office import open_office
from onboard.roster import store, tables
from onboard.tasks import findings

MEMBERS = (*HEADINGS, "Handle")
AGAIN = ("Patrick Lee", "pat.lee@example.org", "419-555-0143", "12 N Main St", "Lima", "OH", "45801",
         "Lima Grange")  # fmt: skip


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with settings, and a spreadsheet of members."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    (tmp_path / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    write_csv(
        tmp_path / "members.csv",
        [(*PAT, "PatLee"), (*KIM, "kimvale"), (*PAT[:-1], "", "patlee2")],
        MEMBERS,
    )
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_spreadsheet_that_nobody_imported_is_looked_at(office: Path) -> None:
    said = onboard("audit", "members.csv", "--to", "out")
    assert said.code == 1
    assert "The sign-in name has capital letters." in said.words
    assert "These two accounts very likely belong to one person." in said.words
    assert "access.capitals" not in said.out
    assert {file.name for file in (office / "out").iterdir()} == {
        "audit.html", "audit.xlsx", "findings.csv", "audit.json", "pairs.xlsx",
    }  # fmt: skip
    assert not (office / "roster.db").exists()


def test_nobody_lacks_what_a_spreadsheet_has_no_column_for(office: Path) -> None:
    write_csv(office / "names.csv", [("Lee, Pat",), ("Kim Vale",)], ("Name",))
    said = onboard("audit", "names.csv")
    assert said.code == 0
    kinds = onboard("audit", "names.csv", "--json").json()[-1]["kinds"]
    assert [kind["code"] for kind in kinds] == ["name.order"]
    assert (
        "The spreadsheet has no column for sign-in names, emails, phones, addresses, drop sites, "
        "consent to email or last sign-ins, so the audit says nothing about these."
    ) in said.words
    assert "onboard activity" not in said.words
    rows = [("Kim Vale", "45801", ""), ("Pat Lee", "", "Lima Grange")]
    write_csv(office / "some.csv", rows, ("Name", "ZIP", "Drop site"))
    said = onboard("audit", "some.csv")
    assert "The form does not name a drop site." in said.words
    assert "The city, state and ZIP code are all missing." in said.words
    codes = {k["code"] for k in onboard("audit", "some.csv", "--json").json()[-1]["kinds"]}
    assert not [
        c for c in ("no_street", "state_filled", "email.", "phone.") if c in " ".join(codes)
    ]


def test_the_roster_is_looked_at_and_its_changes_proposed(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        connection.execute(
            tables.member.update()
            .where(tables.member.c.id == 2)
            .values(address=["88 Elm Street", "Lima, Ohio 45801"])
        )
    engine.dispose()
    before = (office / "roster.db").read_bytes()
    said = onboard("audit", "--to", "out")
    assert said.code == 1
    assert (office / "roster.db").read_bytes() == before
    book = CalamineWorkbook.from_path(office / "out" / "changes.xlsx")
    rows = book.get_sheet_by_index(0).to_python()
    told = [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]
    proposed = {str(value) for row in told for value in row.values()}
    assert {"fields.uncleaned", "88 ELM ST\nLIMA OH 45801", "twice.certain"} <= proposed


def test_the_birth_dates_on_file_keep_two_of_one_name_apart(office: Path) -> None:
    """Also where a member is known by a spelling that leaves the birth date out."""
    elder, younger = (*PAT, "PatLee", "1947-03-02"), (*PAT, "patlee2", "1991-08-14")
    write_csv(office / "members.csv", [elder, younger], (*MEMBERS, "Date of birth"))
    onboard("adopt", "members.csv", "--record")
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        born = connection.execute(select(tables.member.c.born)).scalars().all()
        connection.execute(tables.person.update().values(born=""))
    engine.dispose()
    assert born == ["1947-03-02", "1991-08-14"]
    said = [line for line in onboard("audit", "--json").json() if "code" in line]
    assert not [line for line in said if line["code"] in ("twice.certain", "twice.likely")]


def test_an_approved_proposal_is_settled_in_the_next_audit(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    onboard("audit", "--to", "out")
    sheet = CalamineWorkbook.from_path(office / "out" / "changes.xlsx").get_sheet_by_index(0)
    headings, *lines = [[str(cell) for cell in row] for row in sheet.to_python()]
    approved = [["yes", line[1].removesuffix(".0"), *line[2:]] for line in lines]
    write_csv(office / "approved.csv", [tuple(line) for line in approved], tuple(headings))
    assert onboard("tidy", "approved.csv", "--record").code == 0
    *_, summary = onboard("audit", "--to", "out", "--json").json()
    kinds = {kind["code"]: kind for kind in summary["kinds"]}
    assert (kinds["twice.certain"]["before"], kinds["twice.certain"]["count"]) == (1, 0)
    assert not [code for code in kinds if code.startswith("sound.")]
    # Nothing is proposed any more, and the list of before is not taken for a new one.
    assert not (office / "out" / "changes.xlsx").exists()
    assert (office / "out" / "changes (earlier).xlsx").exists()


def test_who_was_ruled_not_the_same_is_not_asked_about_again(office: Path) -> None:
    onboard("audit", "members.csv", "--to", "out")
    pairs = (
        CalamineWorkbook.from_path(office / "out" / "pairs.xlsx").get_sheet_by_index(0).to_python()
    )
    one, other = pairs[1][:2]
    (office / "out" / "pairs.xlsx").unlink()
    write_csv(office / "ruled.csv", [(one, other, "different")], ("id_a", "id_b", "ruling"))
    said = onboard("audit", "members.csv", "--to", "out", "--ruled", "ruled.csv", "--json")
    assert not [line for line in said.json() if line.get("code", "").startswith("twice.")]
    # the ruling stays in the folder's list, so that the next audit knows it without being told
    said = onboard("audit", "members.csv", "--to", "out", "--json")
    assert not [line for line in said.json() if line.get("code", "").startswith("twice.")]


def test_json_is_one_object_a_line_and_the_summary_last(office: Path) -> None:
    *findings, summary = onboard("audit", "members.csv", "--json").json()
    counts = {kind["code"]: kind["count"] for kind in summary["kinds"]}
    assert sum(counts.values()) == len(findings)
    assert summary["members"] == 3
    assert summary["compared_with"] is None


def test_an_earlier_audit_can_be_named(office: Path) -> None:
    onboard("audit", "members.csv", "--to", "first")
    said = onboard("audit", "members.csv", "--since", "first/audit.json", "--json")
    *_, summary = said.json()
    assert summary["compared_with"]
    assert {kind["new"] for kind in summary["kinds"]} == {0}
    said = onboard("audit", "members.csv", "--since", "members.csv")
    assert said.code == 2
    assert "is not an audit made by onboard" in said.err


def test_an_empty_roster_is_no_trouble(office: Path) -> None:
    said = onboard("audit", "--to", "out")
    assert said.code == 1  # the site has nobody
    assert "Checked 0 open accounts" in said.out


def test_columns_without_a_spreadsheet_make_no_sense(office: Path) -> None:
    said = onboard("audit", "--column", "Name=full_name")
    assert said.code == 2
    assert "Name it as FILE" in said.err


# ---------------------------------------------------------------- activity


def page_list(office: Path, *rows: tuple[str, ...]) -> Path:
    return write_csv(office / "list.csv", rows, ("Handle", "Last sign-in", "Last order", "Bounced"))


def days(office: Path) -> dict[str, tuple[str | None, ...]]:
    member = tables.member.c
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine, keep=False) as connection:
        query = select(
            member.handle, member.page_seen, member.last_sign_in, member.last_order, member.bounced
        )
        found = {handle: tuple(rest) for handle, *rest in connection.execute(query)}
    engine.dispose()
    return found


def test_the_pages_list_is_taken_in(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    page_list(
        office, ("PatLee", "11/03/2026", "2026-11-04", ""), ("kimvale", "", "", "2026-10-01"),
        ("nobody", "", "", ""), ("patlee2", "soon", "", ""),
    )  # fmt: skip
    looked = onboard("activity", "list.csv", "--as-of", "2026-11-20")
    assert days(office)["PatLee"] == (None,) * 4
    assert "This was a preview" in looked.out
    said = onboard("activity", "list.csv", "--as-of", "2026-11-20", "--record")
    assert said.code == 1
    assert said.out.splitlines()[-4:-1] == [
        "row 4, nobody: nobody has this sign-in name",
        "row 5, patlee2: “soon” is not a date. Write it as 2026-11-25",
        "4 rows: 2 saved, 2 skipped.",
    ]
    assert days(office) == {
        "PatLee": ("2026-11-20", "2026-11-03", "2026-11-04", None),
        "kimvale": ("2026-11-20", None, None, "2026-10-01"),
        "patlee2": (None,) * 4,
    }
    *_, summary = onboard("audit", "--json").json()
    counts = {kind["code"]: kind["count"] for kind in summary["kinds"]}
    assert counts["reach.bounced"] == 1
    assert any("of 1 of 3 accounts are not known" in note for note in summary["notes"])


def test_the_days_of_a_page_are_read_as_those_of_any_list(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    page_list(
        office, ("PatLee", "3 de noviembre de 2026", "46330", ""), ("kimvale", "never", "", "")
    )
    said = onboard("activity", "list.csv", "--as-of", "2026-11-20", "--record")
    assert "2 rows: 2 saved" in said.words
    assert days(office)["PatLee"][1:3] == ("2026-11-03", "2026-11-04")
    assert days(office)["kimvale"] == ("2026-11-20", None, None, None)


def test_a_page_may_write_handles_with_capitals(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    page_list(office, ("KimVale", "2026-11-03", "", ""), ("patlee", "2026-11-04", "", ""))
    said = onboard("activity", "list.csv", "--as-of", "2026-11-20", "--record")
    assert days(office)["kimvale"][1] == "2026-11-03"
    assert "patlee: nobody has this sign-in name" in said.words  # it is PatLee on file: not guessed


def test_an_older_list_changes_nothing(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    page_list(office, ("PatLee", "2026-11-03", "", ""))
    onboard("activity", "list.csv", "--as-of", "2026-11-20", "--record")
    page_list(office, ("PatLee", "2026-08-03", "", ""))
    (sums,) = onboard("activity", "list.csv", "--as-of", "2026-09-01", "--record", "--json").json()
    assert (sums["noted"], sums["older"]) == (0, 1)
    assert days(office)["PatLee"][1] == "2026-11-03"


def test_a_list_without_days_is_said_to_have_none(office: Path) -> None:
    said = onboard("activity", "members.csv")
    assert said.code == 2
    assert "no column of last sign-ins" in said.err


def test_a_list_that_was_taken_in_is_undone(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    page_list(office, ("PatLee", "2026-10-03", "2026-10-04", ""))
    onboard("activity", "list.csv", "--as-of", "2026-10-20", "--record")
    before = days(office)
    page_list(office, ("PatLee", "2026-11-03", "", "2026-11-01"), ("kimvale", "", "", "2026-10-01"))
    said = onboard("activity", "list.csv", "--as-of", "2026-11-20", "--record", "--by", "Robin")
    assert "Saved as number 2. To undo it: onboard undo 2 --record" in said.words
    assert "Robin activity list.csv" in onboard("undo").words
    assert "last sign in 2026-11-03 2026-10-03" in onboard("undo", "2").words
    assert onboard("undo", "1", "--record").code == 1  # the newer list goes first
    assert onboard("undo", "2", "--record").code == 0
    assert days(office) == before
    again = onboard("activity", "list.csv", "--as-of", "2026-11-20", "--record")
    assert "2 saved" in again.words
    assert onboard("undo", "3", "--line", "3", "--record").code == 0  # Kim's row alone
    assert (days(office)["kimvale"][3], days(office)["PatLee"][1]) == (None, "2026-11-03")


def test_a_day_to_come_is_taken_neither_for_a_list_nor_in_one(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    today = datetime.now(ZoneInfo("America/New_York")).date()
    tomorrow = str(today + timedelta(1))
    page_list(office, ("PatLee", tomorrow, "", ""), ("kimvale", str(today), "", ""))
    refused = onboard("activity", "list.csv", "--as-of", tomorrow, "--record")
    assert (refused.code, f"{tomorrow} is a day to come" in refused.err) == (2, True)
    said = onboard("activity", "list.csv", "--record")
    assert f"row 2, PatLee: “{tomorrow}” cannot be a day in a list of {today}" in said.words
    assert days(office)["PatLee"][1] is None
    assert days(office)["kimvale"][1] == str(today)


def test_of_two_sign_in_names_of_one_member_the_later_days_count(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    onboard("merge", "patlee2", "PatLee", "--stays", "PatLee", "--record")
    page_list(office, ("PatLee", "2026-11-03", "", ""), ("patlee2", "2024-01-05", "2025-02-01", ""))
    onboard("activity", "list.csv", "--as-of", "2026-11-20", "--record")
    assert days(office)["PatLee"][1:3] == ("2026-11-03", "2025-02-01")
    assert onboard("undo", "2", "--record").code == 0
    assert days(office)["PatLee"][1:3] == (None, None)


def test_what_an_audit_in_full_finds_is_at_the_desk_too(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    onboard("audit")
    assert findings.last_audit(open_office(office / "onboard.toml")) is None
    said = onboard("audit", "--to", "out", "--json")
    last = findings.last_audit(open_office(office / "onboard.toml"))
    assert last
    counted = {kind["code"]: kind["count"] for kind in said.json()[-1]["kinds"]}
    assert counted
    assert {kind.code: kind.count for kind in last.told.report.kinds} == counted
    onboard("audit", "members.csv", "--to", "list")  # of a list, nothing is kept
    again = findings.last_audit(open_office(office / "onboard.toml"))
    assert again
    assert again.number == last.number


def test_an_audit_that_cannot_be_kept_is_an_audit_all_the_same(office: Path) -> None:
    onboard("adopt", "members.csv", "--record")
    with store.transaction(store.open_store(f"sqlite:///{office / 'roster.db'}")):
        said = onboard("audit", "--to", "out")
    assert said.code == 1
    assert (office / "out" / "audit.html").exists()
    assert "The findings are not under Roster care at the desk" in said.words
