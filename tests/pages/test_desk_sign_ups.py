"""New sign-ups at the desk: from a file to members, by mouse, by keyboard, and by two people at once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from at_desk import BASE, PORT, AtDesk, Clock, new_page, see_that_it_is_kind, served
from coop_forms import form
from sqlalchemy import func, select
from starlette.testclient import TestClient

from onboard import spool
from onboard.desk import desking
from onboard.desk.given import Files
from onboard.desk.place import Place
from onboard.desk.work import At, Work
from onboard.errors import FileTrouble
from onboard.model import Answer, Hold, RawRow, Ruling
from onboard.office import Office, open_office
from onboard.reports import held
from onboard.roster import tables
from onboard.spool import Answer as Answer_
from onboard.spool import Entry
from onboard.tasks import answer_form as answering
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.answer_form import forms_on_hold
from onboard.tasks.process_batch import process_batch

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

FORMS = """\
Name,Email,Phone,Street,City,State,ZIP,Drop site,OK to email?,Anything else?
Opal Fenwick,opal.fenwick@example.org,515-555-0141,12 Barley Rd,Grinnell,IA,50112,Grinnell Town Shed,yes,
Ruben Castellanos,ruben@example.net,515-555-0142,9 Oat St,Grinnell,IA,50112,Grinnell Town Shed,yes,my password is kiwi-lantern-42x
Della & Otto Vance,vances@example.org,515-555-0143,4 Rye Ln,Newton,IA,50208,Grinnell Town Shed,yes,
Imogen Pryce,imogen.pryce@gmial.com,515-555-0144,77 Millet Ave,Newton,IA,50208,Grinnell Town Shed,yes,
<b>Hattie</b> Boone,hattie,515-555-0145,3 Sorghum Ct,Newton,IA,50208,Grinnell Town Shed,yes,
"""
WAIT = 90_000  # ms for work in another process, on a slow machine


@pytest.fixture
def forms(tmp_path: Path) -> Path:
    """A file of five join forms."""
    file = tmp_path / "forms.csv"
    file.write_text(FORMS, "utf-8")
    return file


@pytest.fixture
def at_work(folder: Path, clock: Clock) -> Iterator[AtDesk]:
    """A desk over a roster in a file, at which Robin is signed in."""
    office = open_office(folder / "onboard.toml", who="Robin", now=clock)
    office.to_write()
    place = Place.at_home(office, PORT)
    app = desking.make(place)
    client = TestClient(app, base_url=BASE, raise_server_exceptions=False)
    desk = AtDesk(app, place, client, clock)
    desk.sign_in()
    yield desk
    place.works.close()


def beyond_a_phone(page: Page) -> list[str]:
    """The titles of the lists that somebody with a phone has to push sideways."""
    before = page.viewport_size
    page.set_viewport_size({"width": 390, "height": 844})
    found: list[str] = page.evaluate(
        "[...document.querySelectorAll('.wide')].filter(e => e.scrollWidth > e.clientWidth).map(e => e.ariaLabel)"
    )
    assert before
    page.set_viewport_size(before)
    return found


def give(desk: AtDesk, file: Path, name: str = "forms.csv") -> str:
    """The path of a file that was given at the desk."""
    answer = desk.client.post(
        "/sign-ups/file", data={"csrf": desk.csrf}, headers={"origin": BASE},
        files={"forms": (name, file.read_bytes())}, follow_redirects=False,
    )  # fmt: skip
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def settled(desk: AtDesk, path: str) -> Work:
    """The newest work on a file, when it has ended."""
    given = desk.place.files.of(path.rpartition("/")[2], "Robin")
    work = given.saved or given.looked
    assert work is not None
    assert work.wait(WAIT / 1000)
    return work


def enroll(desk: AtDesk, file: Path) -> None:
    """Save a file with its columns as they are read."""
    path = give(desk, file)
    for step in (path, f"{path}/save"):
        assert desk.post(step).status_code == 200
        assert settled(desk, path).at is At.DONE


def test_a_file_becomes_members_once_however_often_it_is_saved(
    at_work: AtDesk, forms: Path
) -> None:
    path = give(at_work, forms, "..\\..\\odd/name.csv")
    page = at_work.client.get(path).text
    assert "name.csv" in page
    assert "Opal Fenwick" in page
    assert at_work.post(path).status_code == 200
    work = settled(at_work, path)
    assert (work.at, work.outcome.sums.enrolled, work.outcome.sums.held) == (At.DONE, 3, 2)
    assert not forms_on_hold(at_work.place.office)  # a preview
    for _ in range(2):
        at_work.post(f"{path}/save")
    saved = settled(at_work, path)
    assert (saved.outcome.sums.enrolled, saved.outcome.packets, saved.outcome.asked) == (3, 2, 1)
    shown = at_work.client.get(f"{path}/outcome").text
    assert "Saved. New members: 3." in shown
    assert "kiwi" not in shown
    assert len(forms_on_hold(at_work.place.office)) == 2
    enroll(at_work, forms)
    assert settled(at_work, path).outcome.sums.enrolled == 3


def test_a_file_that_is_none_and_a_column_that_nobody_knows_are_told(
    at_work: AtDesk, tmp_path: Path
) -> None:
    for name, content in (("forms.pdf", b"%PDF-1.4"), ("empty.csv", b"")):
        (tmp_path / name).write_bytes(content)
        page = at_work.client.get(give(at_work, tmp_path / name, name))
        assert page.status_code == 422
        assert "There is a problem" in page.text
        assert ".onboard-" not in page.text
    odd = tmp_path / "odd.csv"
    odd.write_text("Alpha,Beta\nPat Lee,x\nKim Vale,y\n", "utf-8")
    path = give(at_work, odd)
    assert "Say below which column holds this:" in at_work.client.get(path).text
    at_work.post(path, heading=["Alpha", "Beta"], field=["full_name", "-"])
    assert settled(at_work, path).at is At.FAILED
    assert "not all clear" in at_work.client.get(f"{path}/outcome").text


def at_the_porch(desk: AtDesk, *given: str) -> Path:
    """The spool that the settings name, with a sign-up of each of these first names."""
    file = desk.place.office.settings.file
    spool.prepare(file.parent / "spool")
    text = file.read_text("utf-8")
    if "\nspool =" not in text:
        file.write_text(
            f'{text.partition("[files]")[0]}[files]\nspool = "spool"{text.partition("[files]")[2]}',
            "utf-8",
        )
    entries = [
        Entry(f"id-{name}", "2026-12-01T20:00:00+00:00", "form", tuple(
            Answer_(field, field, said)
            for field, said in (
                ("given", name), ("family", "Quillon"), ("email", f"{name.lower()}@example.org"), ("phone", f"419-555-{len(name):04}"),
                ("street", f"{len(name)} Rye Ln"), ("city", "Lima"), ("state", "OH"), ("zip", "45801"), ("site", "Lima Grange"),
                ("consent", "Yes, you may email me."),
            )
        ))
        for name in given
    ]  # fmt: skip
    spool.add(file.parent / "spool", entries)
    return file.parent / "spool"


def look_at_the_porch(desk: AtDesk) -> str:
    """The path of a preview of what waits there."""
    answer = desk.client.post(
        "/sign-ups/porch", data={"csrf": desk.csrf}, headers={"origin": BASE}, follow_redirects=False
    )  # fmt: skip
    assert answer.status_code == 303
    path: str = answer.headers["location"]
    return path.removesuffix("/outcome")


def members(desk: AtDesk) -> int:
    """How many there are."""
    with desk.place.office.reading() as connection:
        return connection.scalar(select(func.count()).select_from(tables.member)) or 0


def test_sign_ups_from_the_porch_are_looked_at_and_saved_once(at_work: AtDesk) -> None:
    assert "From the porch" not in at_work.client.get("/sign-ups").text
    folder = at_the_porch(at_work, "Ada", "Boris")
    before = members(at_work)
    assert "2 sign-ups wait at the porch" in at_work.client.get("/").text
    room = at_work.client.get("/sign-ups").text
    assert "From the porch" in room
    assert "The oldest came on Dec 1, 2026, 2:00 PM." in room
    at_work.post("/language", language="es")
    assert "La primera llegó el 1 dic 2026, 2:00 p.m.<" in at_work.client.get(
        "/sign-ups"
    ).text.replace("\xa0", " ")
    at_work.post("/language", language="en")
    path = look_at_the_porch(at_work)
    looked = settled(at_work, path)
    assert looked.outcome.sums.enrolled == 2, looked.words
    assert len(spool.look(folder).entries) == 2  # a preview takes nothing
    assert members(at_work) == before
    at_the_porch(at_work, "Cordelia")  # comes in after the look
    for _ in range(2):
        at_work.post(f"{path}/save")
    saved = settled(at_work, path)
    assert (saved.outcome.sums.enrolled, saved.outcome.packets) == (2, 2)
    shown = at_work.client.get(f"{path}/outcome").text
    assert "Saved. New members: 2." in shown
    assert not re.search(r"\d\.[A-Z]", shown)  # sentences have a blank between them
    assert "1 sign-up came in after you looked" in shown
    assert members(at_work) == before + 2
    assert [one.identity for one in spool.look(folder).entries] == ["id-Cordelia"]
    assert "1 sign-up waits at the porch" in at_work.client.get("/").text
    assert at_work.client.get(path, follow_redirects=False).headers["location"] == f"{path}/outcome"


def test_two_desks_that_save_the_same_sign_ups_enroll_nobody_twice(at_work: AtDesk) -> None:
    folder = at_the_porch(at_work, "Ada", "Boris")
    before, paths = members(at_work), [look_at_the_porch(at_work) for _ in range(2)]
    for path in paths:
        assert settled(at_work, path).at is At.DONE
    for path in paths:
        at_work.post(f"{path}/save")
    outcomes = [settled(at_work, path) for path in paths]
    assert sum(one.outcome.sums.enrolled for one in outcomes if one.outcome) == 2
    assert members(at_work) == before + 2
    assert spool.look(folder).entries == []


def test_nothing_is_saved_of_the_porch_that_nobody_looked_at(at_work: AtDesk) -> None:
    folder = at_the_porch(at_work, "Ada")
    given = at_work.place.files.of_porch(folder, "Robin")
    before = members(at_work)
    at_work.post(f"/sign-ups/files/{given.number}/save")
    assert settled(at_work, f"/sign-ups/files/{given.number}").outcome.sums.enrolled == 0
    assert members(at_work) == before
    assert [one.identity for one in spool.look(folder).entries] == ["id-Ada"]


def test_without_a_file_the_page_says_so(at_work: AtDesk) -> None:
    page = at_work.post("/sign-ups/file")
    assert page.status_code == 422
    assert "Choose a file of join forms first." in page.text


def test_a_file_is_for_whoever_gave_it_and_a_folder_left_by_a_killed_desk_is_swept(
    forms: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    files = Files()
    with forms.open("rb") as stream:
        given = files.take(stream, "forms.csv", "Robin")
    assert files.of(given.number, "Robin") is given
    with pytest.raises(FileTrouble, match="no longer at the desk"):
        files.of(given.number, "Kim")
    folder = given.file.parent.parent
    assert folder.stat().st_mode & 0o077 == 0
    left = tmp_path / re.sub(r"-\d+-", "-999999999-", folder.name)
    left.mkdir()
    with forms.open("rb") as stream:
        Files().take(stream, "forms.csv", "Robin")
    assert not left.exists()
    assert folder.exists()


def test_a_work_that_is_stopped_saves_nothing(at_work: AtDesk, forms: Path) -> None:
    path = give(at_work, forms)
    at_work.post(path)
    at_work.post(f"{path}/stop")
    assert settled(at_work, path).at is At.FAILED
    assert "The work was stopped." in at_work.client.get(f"{path}/outcome").text
    assert not forms_on_hold(at_work.place.office)


def test_a_form_on_hold_is_answered_once(at_work: AtDesk, forms: Path) -> None:
    enroll(at_work, forms)
    office = at_work.place.office
    keys = {one.applicant.name.said: one.applicant.raw.key for one in forms_on_hold(office)}
    page = at_work.client.get(f"/sign-ups/holds/{keys['<b>Hattie</b> Boone']}").text
    assert "&lt;b&gt;Hattie" in page
    assert "<b>Hattie" not in page
    path = f"/sign-ups/holds/{keys['Della & Otto Vance']}"
    assert "Choose an answer." in at_work.post(path).text
    again = at_work.post(path, answer="enrol")
    assert again.status_code == 422
    assert "It is still on hold." in again.text
    fixed = {"correct-full_name": "Della Vance", "correct-email": "della.vance@example.org"}
    done = at_work.post(path, answer="enrol", why="asked by phone", **fixed)
    assert "Your answer is saved." in done.text
    assert "Welcome packets to make: 1" in done.text
    assert "Addresses to check: 1" in done.text
    late = at_work.post(path, answer="drop")
    assert late.status_code == 422
    for page in (late, at_work.client.get(path)):
        assert "Somebody has answered this form in the meantime." in page.text


def test_an_answer_that_enrolled_nobody_is_taken_back(at_work: AtDesk, forms: Path) -> None:
    enroll(at_work, forms)
    office = at_work.place.office
    before = forms_on_hold(office)
    keys = {one.applicant.name.said: one.applicant.raw.key for one in before}
    assert "Answers you can take back" not in at_work.client.get("/sign-ups").text
    path = f"/sign-ups/answers/{keys['Della & Otto Vance']}/take-back"
    at_work.post(f"/sign-ups/holds/{keys['Della & Otto Vance']}", answer="drop", why="<i>both</i>")
    page = at_work.client.get("/sign-ups").text
    assert "Answers you can take back" in page
    assert "&lt;i&gt;both" in page
    assert f'action="{path}"' in page
    spanish = at_work.client.get("/sign-ups", headers={"accept-language": "es"}).text
    assert "Deshacer esta respuesta" in spanish
    assert "No inscribir esta solicitud" in spanish
    assert "The answer is taken back." in at_work.post(path).text
    assert forms_on_hold(office) == before
    late = at_work.post(path)
    assert late.status_code == 422
    assert "This answer can&#39;t be taken back any more." in late.text


def test_a_row_of_an_old_list_is_called_no_form(at_work: AtDesk) -> None:
    row = RawRow(
        "old.csv", 2, (("Name", "Ina Brandt"),), {"full_name": "Ina Brandt", "email": "ina@example.org"}
    )  # fmt: skip
    adopt_members(at_work.place.office, [row], file="old.csv", keep=True)
    assert "1 row of an old list on hold" in at_work.client.get("/").text
    (one,) = forms_on_hold(at_work.place.office)
    shown = at_work.client.get(f"/sign-ups/holds/{one.applicant.raw.key}").text
    assert "What the row says" in shown
    assert "Do not bring this row in" in shown
    assert "What the form says" not in shown
    assert "row of an old list" in at_work.client.get("/sign-ups").text
    at_work.post(f"/sign-ups/holds/{one.applicant.raw.key}", answer="drop", why="she moved away")
    room = at_work.client.get("/sign-ups").text
    assert "Do not bring this row in" in room
    assert "(she moved away)" in room
    assert "Nothing is on hold." in room
    at_work.post("/language", language="es")
    assert "No incorporar esta fila" in at_work.client.get("/sign-ups").text


def test_what_is_on_file_is_for_those_who_may_look_up(at_work: AtDesk, forms: Path) -> None:
    enroll(at_work, forms)
    twin = forms.with_name("twin.csv")
    twin.write_text(
        FORMS.splitlines()[0]
        + "\nOpal Fenwick,opal@example.com,515-555-0199,,Grinnell,IA,50112,Grinnell Town Shed,yes,\n",
        "utf-8",
    )
    enroll(at_work, twin)
    hold = next(one for one in forms_on_hold(at_work.place.office) if one.matches)
    [other] = held.likely(hold, whole=True)
    assert other.name == "Opal Fenwick"
    assert "12 BARLEY RD" in other.where
    assert any(part.file for part in other.likeness)
    [hidden] = held.likely(hold, whole=False)
    assert (hidden.where, {part.file for part in hidden.likeness}) == ("", {""})
    said = {one.field: one for one in held.said(hold)}
    assert said["phone"].understood == "(515) 555-0199"


# ---------------------------------------------------------------- in a browser


def test_a_coordinator_takes_a_file_to_members(
    folder: Path, forms: Path, chromium: Browser
) -> None:
    with served(folder) as desk, new_page(chromium) as page, new_page(chromium) as other:
        page.set_default_timeout(WAIT)
        page.goto(desk.link)
        page.get_by_role("link", name="New sign-ups").click()
        see_that_it_is_kind(page)
        page.get_by_label("Choose a spreadsheet, or drop it here").set_input_files(forms)
        page.get_by_role("button", name="Read the file").click()
        see_that_it_is_kind(page)
        assert page.get_by_label("Drop site").input_value() == "site"
        page.get_by_role("button", name="Look at the forms").click()
        page.get_by_text("This is a preview. Nothing is saved yet.").wait_for()
        see_that_it_is_kind(page)
        assert not beyond_a_phone(page)
        page.get_by_role("button", name="Save, and make the packets").dblclick()
        page.get_by_text("Saved. New members: 3.").wait_for()
        see_that_it_is_kind(page)
        page.get_by_role("link", name="Answer the forms on hold: 2").click()
        see_that_it_is_kind(page)
        # A second window is on the same form: who answers later is told.
        other.context.add_cookies(page.context.cookies())
        page.get_by_role("link", name="Della & Otto Vance").click()
        see_that_it_is_kind(page)
        other.goto(page.url)
        # By keyboard alone: to the first answer, the next one, and the button.
        page.get_by_role("radio").first.focus()
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowUp")
        page.get_by_text("Put something right on the form").focus()
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        page.keyboard.type("Della Vance")
        page.keyboard.press("Enter")
        page.get_by_text("Your answer is saved.").wait_for()
        other.get_by_label("I don't know yet").check()
        other.get_by_role("button", name="Answer", exact=True).click()
        assert "Somebody has answered this form in the meantime." in other.inner_text("main")
        see_that_it_is_kind(other)
        page.get_by_role("link", name="Welcome packets to make: 1").click()
        assert page.get_by_role("heading", level=1).inner_text() == "Mail"
        page.get_by_role("button", name="Español").click()
        page.goto(f"{desk.base}/sign-ups")
        assert page.get_by_role("heading", level=1).inner_text() == "Nuevas inscripciones"
        see_that_it_is_kind(page)


def test_a_desk_that_was_started_again_asks_for_the_file_once_more(
    folder: Path, forms: Path, chromium: Browser
) -> None:
    with new_page(chromium) as page:
        page.set_default_timeout(WAIT)
        with served(folder) as desk:
            page.goto(desk.link)
            page.goto(f"{desk.base}/sign-ups")
            page.get_by_label("Choose a spreadsheet, or drop it here").set_input_files(forms)
            page.get_by_role("button", name="Read the file").click()
            page.get_by_role("button", name="Look at the forms").wait_for()
            desk.process.kill()
            port = desk.base.rpartition(":")[2]
        with served(folder, "--port", port):
            page.get_by_role("button", name="Look at the forms").click()
            assert "Give it once more: nobody is enrolled twice." in page.inner_text("main")


def test_what_a_new_member_is_to_be_asked_stands_in_the_room(desk: AtDesk, members: Office) -> None:
    row = form(9, full_name="Ana Ruiz", email="ana@example.org", phone="419-555-0177",
               street="Oak Ave", city="Lima", state="OH", zip="45801", site="Lima Grange")  # fmt: skip
    process_batch(members, [row], file="h", keep=True)
    page = desk.client.get("/sign-ups").text
    assert "Ask when you can" in page
    assert "OAK AVE has no house number. Ask for it." in page
    number = re.findall(r"/sign-ups/all-right/(\d+)", page)[0]
    assert desk.post(f"/sign-ups/all-right/{number}").status_code == 200
    assert f"/sign-ups/all-right/{number}" not in desk.client.get("/sign-ups").text


def test_a_form_on_hold_stands_as_it_was_written_and_names_both_of_two(
    desk: AtDesk, members: Office
) -> None:
    row = form(9, full_name="Rob & Delia Marsh", email="marsh@example.org ", phone="419-555-0188",
               street="9 N Main St", city="Lima", state="OH", zip="45801", site="Lima Grange")  # fmt: skip
    process_batch(members, [row], file="h", keep=True)
    wait = Ruling(row.key, Answer.WAIT, "Robin", corrections={"full_name": "Delia Marsh"})
    process_batch(members, (), file="", keep=True, rulings=[wait])
    page = desk.client.get(f"/sign-ups/holds/{row.key}").text
    assert "<h1>Rob &amp; Delia Marsh</h1>" in page
    again = Ruling(row.key, Answer.ENROL, "Robin", corrections={"email": "marsh@", "site": "Mars"})
    process_batch(members, (), file="", keep=True, rulings=[again])
    page = desk.client.get(f"/sign-ups/holds/{row.key}").text
    assert re.search(r'data-label="As it was written">\s*marsh@example.org', page)
    assert 'data-label="As it was written">Lima Grange' in page
    assert "Rob &amp; Delia Marsh" in desk.client.get("/sign-ups").text


def test_of_two_who_answer_at_the_same_moment_the_second_is_told(
    desk: AtDesk, members: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    (hold,) = forms_on_hold(members)
    key, find = hold.applicant.raw.key, answering.form_on_hold

    def found(office: Office, start: str) -> Hold:
        """The form, which somebody else answers before it is answered here."""
        monkeypatch.setattr(answering, "form_on_hold", find)
        form_found = find(office, start)
        answering.answer_form(office, key, "drop", why="by somebody else")
        return form_found

    monkeypatch.setattr(answering, "form_on_hold", found)
    said = desk.post(f"/sign-ups/holds/{key}", answer="enrol").text
    assert "Somebody has answered this form in the meantime. Nothing was changed." in said
    with members.reading() as connection:
        ruling, row = tables.ruling.c, tables.row.c
        assert connection.scalars(select(ruling.why)).all() == ["by somebody else"]
        assert connection.scalar(select(row.decision).where(row.key == key)) == "drop"
