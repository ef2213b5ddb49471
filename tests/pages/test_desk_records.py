"""The change log, a member's copy of their data, and a member deleted for good, at the desk."""

from __future__ import annotations

import html
import io
import re
import shutil
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from at_desk import AtDesk, new_page, see_that_it_is_kind, served, settings_text
from playwright.sync_api import expect

from onboard.model import Owner, Role, Signature
from onboard.office import Office
from onboard.reports import undone
from onboard.roster import journal, log_page
from onboard.roster.log_page import Wanted
from onboard.tasks.correct_member import correct_member
from onboard.tasks.undo import undo

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def shown(desk: AtDesk, query: str = "") -> list[str]:
    """The lines of the change log as they are shown."""
    page = desk.client.get(f"/settings/change-log{query}").text
    rows = re.findall(r"<tr>\s*<td(.*?)</tr>", page, re.DOTALL)
    return [" ".join(html.unescape(re.sub(r"<[^>]+>", " ", "<td" + row)).split()) for row in rows]


def test_the_log_is_read_by_member_person_kind_and_day(members: Office, desk: AtDesk) -> None:
    every = shown(desk)
    assert "packet written kimvale" in every[0]
    assert all("patlee" in line for line in shown(desk, "?member=patlee"))
    assert len(shown(desk, "?member=1")) == len(shown(desk, "?member=patlee")) == 3
    assert len(shown(desk, "?what=enrolled")) == 2
    assert [line for line in shown(desk, "?who=onboard") if "groups of drop sites" in line]
    assert len(shown(desk, "?day=2026-12-02")) == len(every)
    assert shown(desk, "?day=2026-12-01") == shown(desk, "?day=2026-12-03") == []
    assert len(shown(desk, "?member=patlee&what=enrolled&who=Robin&day=2026-12-02")) == 1


def test_what_was_changed_is_shown_as_people_write_it(members: Office, desk: AtDesk) -> None:
    said = {
        "name": "Juanita Soto", "phone": "575-555-0133", "address": "27 Park St\nSocorro NM 87801", "born": "1980-02-03",
    }  # fmt: skip
    correct_member(members, "patlee", said, new_handle=True, keep=True)
    for page in (
        " ".join(shown(desk, "?member=1&what=corrected")),
        re.sub(r"<[^>]+>", "", html.unescape(desk.client.get("/care/changes/1").text)),
    ):
        for words in (
            "Juanita Soto",
            "(575) 555-0133",
            "27 PARK ST, SOCORRO NM 87801",
            "Feb 3, 1980",
            "(nothing)",
            "juanitasoto",
        ):
            assert words in page
        for raw in ("{'", "['", "tel:", "None", "handle steps", "[["):
            assert raw not in page
    done = undo(members, 1, keep=False)
    told = " ".join(str(one) for one in undone.pieces(done, kept=False))
    assert "Juanita Soto" in told
    assert "handle steps" not in told


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("?member=nobodyatall", "Nobody here has the sign-in name"), ("?day=soon", "Write the day as"),
        ("?day=9999-12-31", "Write the day as"), ("?day=0001-01-01", "Write the day as"), ("?who=<b>Zoe", "Nothing like that"),
        ("?below=-5", "enrolled"), ("?below=99999999999999999999", "enrolled"), ("?member='; drop", "Nobody here has"),
    ],
)  # fmt: skip
def test_odd_questions_get_an_answer_in_words(
    members: Office, desk: AtDesk, query: str, words: str
) -> None:
    answer = desk.client.get(f"/settings/change-log{query}")
    assert answer.status_code in (200, 422)
    assert words in html.unescape(answer.text)
    assert "<b>Zoe" not in answer.text


def long_log(office: Office, days: int, each: int) -> None:
    with office.transaction() as connection:
        for day in range(days):
            at = datetime(2026, 1, 1, 12, tzinfo=UTC) + timedelta(day)
            entries = [
                journal.Entry("odd" if n == day == 0 else "kept", Owner.of_member(n + 1))
                for n in range(each)
            ]
            journal.write(connection, entries, Signature(f"Person {day % 3}", at))


def test_pages_go_from_the_newest_to_the_oldest_and_miss_no_line(office: Office) -> None:
    long_log(office, days=30, each=100)
    with office.reading() as connection:
        for wanted, count in (
            (Wanted(), 3000), (Wanted(who="Person 1"), 1000), (Wanted(what="odd"), 1), (Wanted(about="member:7"), 30),
            (Wanted(since=datetime(2026, 1, 5, tzinfo=UTC), until=datetime(2026, 1, 7, tzinfo=UTC)), 200),
        ):  # fmt: skip
            found, below, pages = [], 0, 0
            while True:
                lines, below = log_page.page(connection, wanted, below)
                found += [line.id for line in lines]
                pages += 1
                if not below:
                    break
            assert len(found) == count
            assert found == sorted(set(found), reverse=True)
            assert pages <= count // log_page.MOST + 1


def test_no_page_looks_at_more_than_so_many_lines(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(log_page, "LOOKED", 200)
    long_log(office, days=10, each=100)
    with office.reading() as connection:
        below, pages, found = 0, 0, []
        while True:
            lines, below = log_page.page(connection, Wanted(what="odd"), below)
            found += lines
            pages += 1
            if not below:
                break
        assert (len(found), pages) == (1, 5)
        lines, below = log_page.page(connection, Wanted(about="member:5"))
        assert (len(lines), below) == (10, 0)  # of one member all are at hand


@pytest.mark.parametrize("path", ["/settings/change-log", "/settings/delete", "/settings/copy"])
def test_whoever_may_not_sees_nothing(members: Office, desk: AtDesk, path: str) -> None:
    may_not = replace(members.settings, desk=replace(members.settings.desk, may_look_up=("Ana",)))
    desk.place.office = replace(members, settings=may_not)
    said = {"member": "patlee", "sure": "yes", "do": "delete", "again": "patlee"}
    if path != "/settings/copy":
        assert desk.client.get(path).status_code == 403
    if path != "/settings/change-log":
        assert desk.post(path, **said).status_code == 403  # type: ignore[arg-type]
    with members.reading() as connection:
        assert [line for line in journal.read(connection, "member:1") if line[2] == "enrolled"]


def test_help_desk_and_readers_do_neither(members: Office) -> None:
    from onboard.errors import NotAllowed
    from onboard.tasks.change_log import Asked, change_log
    from onboard.tasks.change_settings import written_settings

    for role in (Role.HELP_DESK, Role.READER):
        with pytest.raises(NotAllowed):
            change_log(replace(members, role=role), Asked())
    for role in (Role.COORDINATOR, Role.HELP_DESK, Role.READER):
        with pytest.raises(NotAllowed):
            written_settings(replace(members, role=role))


def test_a_copy_is_a_spreadsheet_of_this_member_alone(members: Office, desk: AtDesk) -> None:
    from python_calamine import load_workbook

    assert "made sure who asks" in desk.post("/settings/copy", member="patlee").text
    assert "Type the member" in desk.post("/settings/copy", sure="yes").text
    unknown = desk.post("/settings/copy", member="<b>nobody", sure="yes")
    assert unknown.status_code == 422
    assert "<b>nobody" not in unknown.text
    answer = desk.post("/settings/copy", member="patlee", sure="yes")
    assert answer.headers["content-disposition"] == 'attachment; filename="copy-of-your-data.xlsx"'
    assert answer.headers["cache-control"] == "no-store"
    book = load_workbook(io.BytesIO(answer.content))
    text = str([book.get_sheet_by_name(name).to_python() for name in book.sheet_names])
    assert "patlee" in text
    assert "kimvale" not in text


def test_nobody_is_deleted_before_the_name_was_typed(members: Office, desk: AtDesk) -> None:
    assert desk.post("/settings/delete", member="patlee").status_code == 422
    preview = desk.post("/settings/delete", member="patlee", sure="yes")
    assert preview.status_code == 200
    main = html.unescape(preview.text.partition("<main")[2].partition("</main>")[0])
    for words in (
        "Would be deleted for patlee",
        "What stays, and why",
        "Ask somebody qualified",
        "Left for you to do",
    ):
        assert words in main
    assert "--record" not in main
    for again in ("", "PATLEE ", "kimvale", "1"):
        answer = desk.post(
            "/settings/delete", member="patlee", sure="yes", do="delete", again=again
        )
        assert answer.status_code == 422
    assert desk.client.get("/calls/member/1").status_code == 200
    done = desk.post("/settings/delete", member="patlee", sure="yes", do="delete", again="patlee")
    assert "Deleted for patlee" in done.text
    assert "Nobody else on the roster has these" in done.text
    assert "Member 1, on Dec 2, 2026, by Robin" in desk.client.get("/settings/delete").text
    twice = desk.post("/settings/delete", member="patlee", sure="yes", do="delete", again="patlee")
    assert twice.status_code == 422
    assert not [line for line in shown(desk) if "patlee" in line]


def test_all_of_it_is_for_everybody(enrolled: Path, tmp_path: Path, chromium: Browser) -> None:
    shutil.copytree(enrolled, tmp_path, dirs_exist_ok=True)
    (tmp_path / "onboard.toml").write_text(settings_text(), "utf-8")
    with served(tmp_path, "--by", "Robin") as desk, new_page(chromium) as page:
        page.goto(desk.link)
        page.goto(f"{desk.base}/settings")
        page.get_by_role("link", name="Change log").press("Enter")
        see_that_it_is_kind(page)
        page.get_by_label("Sign-in name").fill("patlee")
        page.get_by_label("What was done").select_option("enrolled")
        page.get_by_role("button", name="Show").press("Enter")
        expect(page.get_by_role("row")).to_have_count(2)
        see_that_it_is_kind(page)
        page.goto(f"{desk.base}/settings/copy")
        page.get_by_role("button", name="Download the copy").press("Enter")
        expect(page.get_by_role("alert")).to_be_focused()
        see_that_it_is_kind(page)
        page.get_by_label("Sign-in name").fill("patlee")
        page.get_by_label("I made sure").press("Space")
        with page.expect_download() as download:
            page.get_by_role("button", name="Download the copy").press("Enter")
        assert download.value.suggested_filename == "copy-of-your-data.xlsx"
        page.goto(f"{desk.base}/settings/delete")
        see_that_it_is_kind(page)
        page.get_by_label("Sign-in name").fill("patlee")
        page.get_by_label("I made sure").press("Space")
        page.get_by_role("button", name="Preview what would be deleted").press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Preview: delete patlee for good")
        see_that_it_is_kind(page)
        page.get_by_label("To delete for good").fill("pat")
        page.get_by_role("button", name="Delete for good").press("Enter")
        expect(page.get_by_role("alert")).to_be_focused()
        page.get_by_label("To delete for good").fill("patlee")
        page.get_by_role("button", name="Delete for good").press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Deleted for good")
        see_that_it_is_kind(page)


def test_the_day_is_that_of_the_co_op(members: Office, desk: AtDesk) -> None:
    with members.transaction() as connection:
        late = datetime(2026, 12, 6, 4, 30, tzinfo=UTC)  # the evening before in New York
        journal.write(connection, [journal.Entry("noted", Owner.roster())], Signature("Ana", late))
    on = date(2026, 12, 5)
    assert len(shown(desk, f"?day={on}&who=Ana")) == 1
    assert shown(desk, f"?day={on + timedelta(1)}&who=Ana") == []


def test_the_log_speaks_as_people_do(desk: AtDesk, members: Office) -> None:
    page = desk.client.get("/settings/change-log").text
    assert "temporary password issued" in page
    assert '<option value="first password issued">temporary password issued</option>' in page
    assert "first password issued" not in page.replace('value="first password issued"', "")
    spanish = desk.client.get("/settings/change-log", headers={"accept-language": "es"}).text
    assert "contraseña temporal dada" in spanish
