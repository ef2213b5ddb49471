"""Roster care at the desk: the last audit, its findings, approved changes, merges, and undo."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from at_desk import BASE, PORT, AtDesk, Clock, new_page, see_that_it_is_kind, served, signed_in
from playwright.sync_api import expect
from sqlalchemy import update
from starlette.testclient import TestClient

from onboard.desk import desking
from onboard.desk.place import Place
from onboard.desk.rooms.care import AUDIT
from onboard.desk.work import At
from onboard.errors import FileTrouble, StoreBusy
from onboard.model import Handled, Role
from onboard.office import Office, open_office
from onboard.roster import audits, tables
from onboard.roster.audits import Found, Part
from onboard.settings import DeskRule
from onboard.tasks.approve_findings import approve_findings
from onboard.tasks.findings import handle_finding, last_audit, list_findings
from onboard.tasks.keep_audit import keep_audit

if TYPE_CHECKING:
    from playwright.sync_api import Browser

WAIT = 90_000  # ms for work in another process, on a slow machine


@pytest.fixture
def home(decayed: Path, tmp_path: Path) -> Path:
    """A folder of its own with this roster."""
    shutil.copytree(decayed, tmp_path, dirs_exist_ok=True)
    return tmp_path


@pytest.fixture
def desk(home: Path, clock: Clock) -> Iterator[AtDesk]:
    """A desk over it, at which Robin is signed in."""
    office = open_office(home / "onboard.toml", who="Robin", now=clock)
    place = Place.at_home(office, PORT)
    app = desking.make(place)
    made = AtDesk(app, place, TestClient(app, base_url=BASE, raise_server_exceptions=False), clock)
    made.sign_in()
    yield made
    place.works.close()
    office.close()


def findings(office: Office, code: str) -> list[Found]:
    """The findings of a kind in the last audit."""
    last = last_audit(office)
    assert last
    return list_findings(office, last.number, code, Part(tuple(Handled)))


def text(answer: object) -> str:
    """What a page says, without its tags."""
    said = answer.text.partition("<main")[2]  # type: ignore[attr-defined]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", said)).split())


def test_an_audit_is_made_once_and_its_page_tells_all(desk: AtDesk) -> None:
    first = text(desk.client.get("/care"))
    assert "The roster was not audited at the desk yet." in first
    for _ in range(2):
        assert "Accounts so far:" in text(desk.post("/care/audit"))
    work = desk.place.works.named(AUDIT)
    assert work
    assert work.wait(WAIT / 1000)
    assert (work.at, work.words) == (At.DONE, "")
    part = desk.client.get("/care/audit/part").text
    assert "The audit is done." in part
    assert "data-fresh" not in part
    page = desk.client.get("/care")
    told = text(page)
    assert "by Robin" in told
    assert "One person, very likely" in told
    assert "Findings by group" in told
    assert "Map of drop sites" in told
    assert "This is the first audit." in told
    assert "onboard " not in told
    last = last_audit(desk.place.office)
    assert last
    assert all(call.phone in told for call, _ in last.told.calls)


def test_a_stopped_audit_leaves_the_one_before(desk: AtDesk) -> None:
    keep_audit(desk.place.office)
    before = last_audit(desk.place.office)
    desk.post("/care/audit")
    told = text(desk.post("/care/audit/stop"))
    assert "The work was stopped. The audit before stays as it is." in told
    assert "Audit the roster again" in told
    assert last_audit(desk.place.office) == before


def test_the_next_audit_says_what_is_better_and_worse(desk: AtDesk) -> None:
    office = desk.place.office
    keep_audit(office)
    [*none] = findings(office, "site.missing")
    with office.transaction() as connection:
        member = tables.member
        some = [one.owner.member_id for one in none]
        site = office.settings.sites[0].name
        connection.execute(update(member).where(member.c.id.in_(some)).values(site=site))
        connection.execute(update(member).where(member.c.id == 5).values(email=""))
    keep_audit(replace(office, now=lambda: desk.clock.at.replace(day=9)))
    told = text(desk.client.get("/care"))
    assert "compared with the one of Dec 2, 2026" in told
    assert re.search(r"Better What was found then now new gone .*No drop site", told)
    assert re.search(
        r"Worse What was found then now new gone .*(No email address|Can't be reached)", told
    )
    assert "Findings, audit by audit" in told


def test_findings_are_worked_through_one_by_one(desk: AtDesk) -> None:
    office = desk.place.office
    keep_audit(office)
    found = findings(office, "site.closed") + findings(office, "site.missing")
    one, other = found[0], found[-1]
    page = text(desk.client.get(f"/care/kinds/{one.code}"))
    assert one.name in page
    shown = text(desk.client.get(f"/care/findings/{one.number}"))
    assert one.name in shown
    assert "What you can do" in shown
    assert f"member {one.owner.member_id}" in shown
    path = f"/care/findings/{one.number}"
    refused = desk.post(path, to="left", version="0")
    assert refused.status_code == 422
    assert "Say why it stays as it is" in text(refused)
    done = desk.post(path, to="left", version="0", why="moves <b>soon</b>")
    assert "It stays as it is. Here is the next one." in text(done)
    late = desk.post(path, to="done", version="0", why="typed meanwhile")
    assert late.status_code == 422
    assert "Somebody has worked on this finding meanwhile." in text(late)
    assert "typed meanwhile" in late.text
    assert "moves &lt;b&gt;soon" in late.text
    listed = text(desk.client.get(f"/care/kinds/{one.code}?state=left"))
    assert "moves <b>soon</b>" in listed
    assert desk.post(f"/care/findings/{other.number}", to="asked", version="0").status_code == 200
    assert desk.post(f"/care/findings/{other.number}", to="odd", version="x").status_code == 422
    assert desk.client.get("/care/findings/99999999999999999999").status_code == 422
    gone = desk.client.get("/care/findings/999999")
    assert gone.status_code == 422
    assert "This finding is of an earlier audit." in text(gone)


def test_changes_are_approved_applied_listed_and_undone(desk: AtDesk) -> None:
    office = desk.place.office
    keep_audit(office)
    code = "fields.uncleaned"
    found = [one for one in findings(office, code) if one.change]
    assert len(found) > 1
    path = f"/care/kinds/{code}/changes"
    none = desk.post(path)
    assert none.status_code == 422
    assert "Choose the changes that are right first." in text(none)
    chosen = [str(one.number) for one in found[:2]]
    preview = desk.post(path, finding=chosen)
    assert "Preview of the changes" in text(preview)
    assert "<ins>" in preview.text
    assert "<del>" in preview.text
    saved = desk.post(path, finding=chosen, do="save")
    assert "The changes are saved" in text(saved)
    again = desk.post(path, finding=chosen, do="save")
    assert again.status_code == 422
    listed = text(desk.client.get("/care/changes"))
    assert "audit of Wednesday, December 2, 2026" in listed
    number = next(one.applied for one in findings(office, code) if one.applied)
    one = text(desk.client.get(f"/care/changes/{number}"))
    assert "This would be undone." in one
    assert "It is undone." in text(desk.post(f"/care/changes/{number}"))
    assert not [one for one in findings(office, code) if one.applied]
    assert "Nothing of it is left to undo." in text(desk.client.get(f"/care/changes/{number}"))
    assert desk.client.get("/care/changes/77777").status_code == 422


def test_all_changes_of_a_kind_are_applied_in_one_work(desk: AtDesk) -> None:
    office = desk.place.office
    keep_audit(office)
    code, last = "fields.uncleaned", last_audit(office)
    assert last
    path = f"/care/kinds/{code}/changes"
    number = str(last.number)
    assert "all changes of this kind are applied" in text(desk.post(path, all=number))
    assert not [one for one in findings(office, code) if one.applied]
    for _ in range(2):
        assert desk.post(path, all=number, do="save").status_code == 200
    work = desk.place.works.named(f"changes of {code}")
    assert work
    assert work.wait(WAIT / 1000)
    there = [one for one in findings(office, code) if one.change]
    assert {one.step.state for one in there} == {Handled.DONE}
    told = text(desk.client.get(path))
    assert "Skipped, because somebody has changed them: 0." in told


def test_two_accounts_are_merged_as_they_were_shown(desk: AtDesk) -> None:
    office = desk.place.office
    keep_audit(office)
    one = findings(office, "twice.certain")[0]
    two = [owner.member_id for owner in (one.owner, *one.others)]
    shown = text(desk.client.get(f"/care/findings/{one.number}"))
    assert "Both accounts, side by side" in shown
    assert "Last sign-in" in shown
    asked = f"/care/merge?one={two[0]}&other={two[1]}&finding={one.number}"
    preview = desk.client.get(asked)
    assert "Which account stays?" in text(preview)
    assert "≠ not the same" in text(preview)
    version = re.search(r'name="as_shown" value="(\w+)"', preview.text)
    assert version
    said = {
        "one": str(two[0]),
        "other": str(two[1]),
        "finding": str(one.number),
        "as_shown": version[1],
    }
    with office.transaction() as connection:
        member = tables.member
        connection.execute(
            update(member).where(member.c.id == two[0]).values(email="new@example.org")
        )
    late = desk.post("/care/merge", do="save", stays=str(two[0]), **said)
    assert late.status_code == 422
    assert "Nothing was merged." in text(late)
    assert "new@example.org" in text(late)
    version = re.search(r'name="as_shown" value="(\w+)"', late.text)
    assert version
    said["as_shown"] = version[1]
    done = desk.post("/care/merge", do="save", stays=str(two[0]), why="asked them", **said)
    assert "The two accounts are one." in text(done)
    assert findings(office, "twice.certain")[0].step.state is Handled.DONE
    again = desk.post("/care/merge", do="save", **said)
    assert again.status_code == 422
    assert "already merged" in text(again)
    unknown = desk.client.get("/care/merge?one=nobodyatall&other=2")
    assert unknown.status_code == 422
    assert "onboard" not in text(unknown)


def test_a_merge_that_is_saved_asks_no_more_what_stays_and_leaves_names_as_they_are(
    desk: AtDesk,
) -> None:
    office = desk.place.office
    keep_audit(office)
    path = "/care/kinds/twice.certain/changes"
    chosen = str(findings(office, "twice.certain")[0].number)
    preview = desk.post(path, finding=chosen)
    assert "Choose what stays" in preview.text
    assert 'class="as-written"' in preview.text
    saved = desk.post(path, finding=chosen, do="save")
    assert "The changes are saved" in saved.text
    assert "Choose what stays" not in saved.text
    undo = desk.client.get(
        "/care/changes/1"
    ).text  # a merge goes back as a whole: one box, not one a field
    assert undo.count('name="line"') == 1
    assert "merged into" in undo.partition('aria-label="Undo only ')[2].partition('"')[0]


def test_an_account_is_closed_from_its_finding(desk: AtDesk) -> None:
    office = desk.place.office
    keep_audit(office)
    one = findings(office, "site.missing")[0]
    number = str(one.owner.member_id)
    before = text(desk.client.get(f"/care/close?member={number}&finding={one.number}"))
    assert "Close an account only when the member asks for it" in before
    done = desk.post("/care/close", member=number, finding=str(one.number), why="left")
    assert "The account is closed." in text(done)
    assert findings(office, "site.missing")[0].applied


def test_who_may_not_look_members_up_neither_sees_the_room_nor_gets_in(desk: AtDesk) -> None:
    keep_audit(desk.place.office)
    settings = replace(desk.place.office.settings, desk=DeskRule(may_look_up=("Kim",)))
    desk.place.office = replace(desk.place.office, settings=settings)
    assert "/care" not in desk.client.get("/").text
    number = 1
    for path in (
        "/care", "/care/kinds/site.missing", f"/care/findings/{number}", "/care/merge", "/care/merge?one=1&other=2",
        "/care/close?member=1", "/care/changes", "/care/changes/1",
    ):  # fmt: skip
        assert desk.client.get(path).status_code in (403, 422), path
    for path in ("/care/audit", "/care/audit/stop", "/care/kinds/fields.uncleaned/changes/stop"):
        assert desk.post(path).status_code == 403, path
    assert desk.place.works.named(AUDIT) is None


def test_an_audit_that_is_due_leads_here_from_today(desk: AtDesk) -> None:
    office = desk.place.office
    settings = replace(office.settings, audit=replace(office.settings.audit, every_days=1))
    desk.place.office = replace(office, settings=settings)
    page = desk.client.get("/").text
    assert re.search(r'<a href="/care">[^<]*audit', page, re.IGNORECASE)
    keep_audit(desk.place.office)
    assert "audit of the roster is due" not in desk.client.get("/").text


@pytest.mark.parametrize(
    ("role", "sees"),
    [(Role.COORDINATOR, True), (Role.HELP_DESK, False), (Role.READER, False)],
)
def test_the_room_is_for_those_whose_role_it_is(desk: AtDesk, role: Role, sees: bool) -> None:
    keep_audit(desk.place.office)
    client = signed_in(desk, role)
    assert ('href="/care"' in client.get("/").text) is sees
    one = client.get("/care")
    assert one.status_code == (200 if sees else 403)
    assert ("Findings, kind by kind" in one.text) is sees


def give(desk: AtDesk, file: Path) -> str:
    """The path of a list that was given at the desk."""
    answer = desk.client.post(
        "/care/lists/file", data={"csrf": desk.csrf}, headers={"origin": BASE},
        files={"members": (file.name, file.read_bytes())}, follow_redirects=False,
    )  # fmt: skip
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_a_list_from_a_file_is_audited_and_its_changes_taken_away(desk: AtDesk, home: Path) -> None:
    path = give(desk, home / "members.csv")
    assert "What the columns hold" in text(desk.client.get(path))
    assert desk.post(path).status_code == 200
    work = desk.place.files.of(path.rpartition("/")[2], "Robin").looked
    assert work
    assert work.wait(WAIT / 1000)
    told = text(desk.client.get(f"{path}/outcome"))
    assert (work.at, work.words) == (At.DONE, "")
    assert "To take away" in told
    assert "onboard " not in told
    taken = desk.client.get(f"{path}/take/changes.xlsx")
    assert taken.content.startswith(b"PK")
    assert 'filename="changes.xlsx"' in taken.headers["content-disposition"]
    assert desk.client.get(f"{path}/take/roster.db").status_code == 422
    assert last_audit(desk.place.office) is None
    desk.place.office = replace(desk.place.office, who="Kim")
    with pytest.raises(FileTrouble):
        desk.place.files.of(path.rpartition("/")[2], "Kim")


def test_a_list_that_is_none_is_told_and_nothing_is_lost(desk: AtDesk, tmp_path: Path) -> None:
    none = desk.post("/care/lists/file")
    assert none.status_code == 422
    assert "Choose a list of members first." in text(none)
    odd = tmp_path / "odd.csv"
    odd.write_text("Alpha,Beta\nx,1\n", "utf-8")
    path = give(desk, odd)
    assert "Say below which column holds this:" in text(desk.client.get(path))
    desk.post(path, heading=["Alpha", "Beta"], field=["-", "-"])
    work = desk.place.files.of(path.rpartition("/")[2], "Robin").looked
    assert work
    assert work.wait(WAIT / 1000)
    assert "not all clear" in text(desk.client.get(f"{path}/outcome"))


# ---------------------------------------------------------------- in a browser


def test_a_coordinator_audits_and_works_through_it(home: Path, chromium: Browser) -> None:
    with (
        served(home, "--by", "Robin") as desk,
        new_page(chromium) as page,
        new_page(chromium) as other,
    ):
        page.set_default_timeout(WAIT)
        page.goto(desk.link)
        page.get_by_role("link", name="Roster care").click()
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Audit the roster").dblclick()
        page.get_by_role("link", name="See what it found").click()
        see_that_it_is_kind(page)
        # Findings of one kind, and one of them: two people at once.
        page.get_by_role("link", name="Sign-in name with capitals").click()
        see_that_it_is_kind(page)
        page.get_by_role("table").get_by_role("link").first.click()
        see_that_it_is_kind(page)
        other.context.add_cookies(page.context.cookies())
        other.goto(page.url)
        page.get_by_role("button", name="Leave it as it is").click()
        expect(page.get_by_role("alert")).to_be_focused()
        page.get_by_label("Why, or what they said").fill("They like it so.")
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Leave it as it is").click()
        page.get_by_text("It stays as it is.").wait_for()
        other.get_by_role("button", name="It is settled").click()
        assert "Somebody has worked on this finding meanwhile." in other.inner_text("main")
        see_that_it_is_kind(other)
        # Proposed changes: approved, previewed, saved, undone.
        page.get_by_role("link", name="Roster care").first.click()
        page.get_by_role("link", name="Not in the standard form").click()
        page.get_by_role("checkbox").first.check()
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Preview the approved").click()
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Save the changes").click()
        see_that_it_is_kind(page)
        page.get_by_role("link", name="See the change, or undo it").click()
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Undo", exact=True).click()
        page.get_by_text("It is undone.").wait_for()
        see_that_it_is_kind(page)


def test_a_merge_by_keyboard_alone(home: Path, chromium: Browser) -> None:
    office = open_office(home / "onboard.toml", who="Robin")
    keep_audit(office)
    handles = [findings(office, code)[0].handle for code in ("site.missing", "site.closed")]
    two = findings(office, "twice.certain")[0]
    handle_finding(office, two.number, 0, Handled.ASKED)
    office.close()
    with served(home, "--by", "Robin") as desk, new_page(chromium) as page:
        page.goto(desk.link)
        page.goto(f"{desk.base}/care/findings/{two.number}")
        see_that_it_is_kind(page)
        page.goto(f"{desk.base}/care")
        page.get_by_role("link", name="Merge two accounts").press("Enter")
        see_that_it_is_kind(page)
        page.get_by_label("One account").focus()
        page.keyboard.type("nobodyatall")
        page.keyboard.press("Tab")
        page.keyboard.type(handles[1])
        page.keyboard.press("Enter")
        expect(page.get_by_role("alert")).to_be_focused()
        see_that_it_is_kind(page)
        page.get_by_label("One account").fill(handles[0])
        page.keyboard.press("Enter")
        page.get_by_role("heading", name="Preview of the merge").wait_for()
        see_that_it_is_kind(page)
        page.get_by_role("group", name="Which account stays?").get_by_role("radio").first.focus()
        page.keyboard.press("ArrowDown")
        page.get_by_role("button", name="Preview with what I chose").press("Enter")
        page.get_by_text("(you said so)").first.wait_for()
        page.get_by_label("How do you know?").focus()
        page.keyboard.type("asked them")
        page.get_by_role("button", name="Merge:").press("Enter")
        page.get_by_text("The two accounts are one.").wait_for()
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Undo", exact=True).press("Enter")
        page.get_by_text("It is undone.").wait_for()
        page.get_by_role("button", name="Español").click()
        page.goto(f"{desk.base}/care")
        assert page.get_by_role("heading", level=1).inner_text() == "Cuidado de la lista"
        see_that_it_is_kind(page)
        page.goto(f"{desk.base}/care/lists")
        see_that_it_is_kind(page)
        page.get_by_label("Escoja una hoja de cálculo").set_input_files(home / "members.csv")
        page.get_by_role("button", name="Leer el archivo").press("Enter")
        page.get_by_role("button", name="Revisar esta lista").press("Enter")
        page.get_by_role("link", name="changes.xlsx").wait_for()
        see_that_it_is_kind(page)
        page.goto(f"{desk.base}/care/close?member=7")
        see_that_it_is_kind(page)


def test_changes_that_are_saved_are_told_so_though_the_roster_is_busy_then(
    desk: AtDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    office = desk.place.office
    keep_audit(office)
    one, *_ = findings(office, "name.capitals")

    def busy(*_: object) -> None:
        raise StoreBusy("Another program is writing.")

    monkeypatch.setattr(audits, "applied_to", busy)
    assert approve_findings(office, [one.number], keep=True).number
    monkeypatch.undo()
    assert not approve_findings(office, [one.number], keep=True).number
    assert findings(office, "name.capitals")[0].step.state is Handled.DONE
