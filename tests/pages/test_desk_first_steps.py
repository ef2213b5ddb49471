"""From an empty folder to the first welcome packet, at the desk."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from at_desk import AtDesk, new_page, see_that_it_is_kind, served, settings_text
from playwright.sync_api import Page, expect
from test_desk_settings import form_of, send

from onboard.desk.rooms.first_steps import TITLES
from onboard.model import Need, Waiting
from onboard.settings import read, starter

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from onboard.office import Office

STEP = "/settings/first-steps/step"


@pytest.fixture
def new(desk: AtDesk) -> Path:
    """The settings file of a co-op that has only begun."""
    file = desk.place.office.settings.file
    file.write_text(starter(), "utf-8")
    return file


def test_today_leads_to_the_first_steps_until_they_are_done(desk: AtDesk, new: Path) -> None:
    assert "Your co-op is not set up yet." in desk.client.get("/").text
    page = desk.client.get("/settings/first-steps").text
    for words in (
        "The co-op&#39;s name",
        "Your postal address",
        "Its ordering windows",
        "Its ZIP code",
    ):
        assert words in page
    assert page.count("to do") == len(TITLES)
    assert "Still missing" in page


def test_today_leads_to_the_first_member_when_all_else_is_done(desk: AtDesk, new: Path) -> None:
    empty = "Your co-op is set up, and has no members yet."
    assert empty not in desk.client.get("/").text
    new.write_text(settings_text(), "utf-8")
    page = desk.client.get("/").text
    assert empty in page
    assert 'href="/settings/first-steps/step/form"' in page


def test_today_says_nothing_of_a_first_member_where_there_is_one(
    desk: AtDesk, members: Office
) -> None:
    assert "has no members yet" not in desk.client.get("/").text


def test_packets_of_a_new_coop_point_to_no_guide_that_is_not_theirs(
    desk: AtDesk, new: Path
) -> None:
    assert read(new).guide.page == ""


def test_today_tells_no_windows_of_the_sample_group(
    desk: AtDesk, new: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def both(office: object) -> tuple[Waiting, ...]:
        when = datetime(2026, 12, 1, tzinfo=UTC)
        return (Waiting(Need.OPENS, 1, "windows", when=when, group="Lake"),)

    monkeypatch.setattr("onboard.desk.rooms.today.waiting", both)
    assert "Lake" not in desk.client.get("/").text
    form = form_of(desk, f"{STEP}/group") | {"f-name": "Brook", "f-windows-0-opens": "2027-03-01"}
    send(desk, f"{STEP}/group", form | {"f-windows-0-closes": "2027-03-07"})
    assert "The ordering window of Lake opens" in desk.client.get("/").text


def test_today_speaks_spanish(desk: AtDesk, monkeypatch: pytest.MonkeyPatch) -> None:
    def some(office: object) -> tuple[Waiting, ...]:
        close = datetime(2026, 12, 1, 20, 30, tzinfo=UTC)
        return (
            Waiting(Need.FORMS, 2, "answer", date(2020, 1, 2)),
            Waiting(Need.PRINT, 1, "packets"),
            Waiting(Need.CLOSES, 1, "windows", when=close, group="Lake"),
        )

    monkeypatch.setattr("onboard.desk.rooms.today.waiting", some)
    page = desk.client.get("/", headers={"Accept-Language": "es"}).text
    assert "2 solicitudes en espera, lo más antiguo desde el jueves 2 de enero de 2020." in page
    assert "1 carta por imprimir y enviar." in page
    assert (
        "Los días de pedido de Lake terminan el martes 1 de diciembre de 2026, a las 8:30 p.m."
        in page
    )


def test_samples_are_not_taken_for_ones_own(desk: AtDesk, new: Path) -> None:
    before = new.read_bytes()
    for step in TITLES:
        form = form_of(desk, f"{STEP}/{step}")
        assert "Our Buying Co-op" not in str(form)
        assert "Lima Grange Hall" not in [value for key, value in form.items() if key != "site"]
    answer = send(desk, f"{STEP}/pages", form_of(desk, f"{STEP}/pages"))
    assert answer.status_code == 422
    assert answer.text.count("is empty: fill it in.") == 2  # one, told twice
    assert new.read_bytes() == before


def test_windows_that_are_over_or_have_no_last_day_are_told(desk: AtDesk, new: Path) -> None:
    before = new.read_bytes()
    form = form_of(desk, f"{STEP}/group") | {"f-name": "Brook", "f-windows-0-opens": "2025-03-01"}
    over = send(desk, f"{STEP}/group", form | {"f-windows-0-closes": "2025-03-07"})
    assert over.status_code == 422
    assert "All of these windows are over." in over.text
    half = send(desk, f"{STEP}/group", form | {"f-windows-0-closes": ""})
    assert "“Its last day” is empty: fill it in." in half.text
    assert new.read_bytes() == before


def test_a_zip_code_of_another_state_is_told_before_the_first_form(desk: AtDesk, new: Path) -> None:
    new.write_text(settings_text().replace('zip = "45801"', 'zip = "90210"'), "utf-8")
    page = desk.client.get(f"{STEP}/form").text
    assert "To look at" in page
    assert "ZIP code 90210" in page


def test_a_coop_whose_members_mistake_no_page_leaves_that_page_empty(
    desk: AtDesk, new: Path
) -> None:
    form = form_of(desk, f"{STEP}/pages") | {"f-ordering_page": "https://order.bakers.example.org"}
    answer = send(desk, f"{STEP}/pages", form | {"f-shop_page": ""})
    assert "Saved. Here is the next step." in answer.text
    assert read(new).shop_page == ""


def test_a_group_takes_its_sites_along_to_its_new_name(desk: AtDesk, new: Path) -> None:
    form = form_of(desk, f"{STEP}/group") | {
        "f-name": "North [1] \"A\"", "f-windows-0-opens": "2027-03-01", "f-windows-0-closes": "2027-03-07",
    }  # fmt: skip
    assert send(desk, f"{STEP}/group", form).status_code == 200
    settings = read(new)
    assert [group.name for group in settings.groups] == ['North [1] "A"']
    assert {site.group for site in settings.sites} == {'North [1] "A"'}
    assert len(settings.groups[0].windows) == 1
    notes = [line for line in starter().splitlines() if line.startswith("#")]
    assert [line for line in new.read_text().splitlines() if line.startswith("#")] == notes


def test_email_needs_a_server_and_letters_need_none(desk: AtDesk, new: Path) -> None:
    form = form_of(desk, f"{STEP}/mail") | {"f-sender": "hello@fen.example.org", "by": "server"}
    assert "Type the name of your mail server" in send(desk, f"{STEP}/mail", form).text
    assert (
        send(
            desk, f"{STEP}/mail", form | {"by": "letters", "f-host": "mail.example.org"}
        ).status_code
        == 200
    )
    assert read(new).mail.host == ""
    form = form_of(desk, f"{STEP}/mail") | {"by": "server", "f-host": "mail.fen.example.org"}
    assert send(desk, f"{STEP}/mail", form).status_code == 200
    assert read(new).mail.host == "mail.fen.example.org"


def test_somebody_elses_change_meanwhile_stays(desk: AtDesk, new: Path) -> None:
    form = form_of(desk, f"{STEP}/name")
    theirs = new.read_text().replace('"Our Buying Co-op"', '"Theirs"')
    new.write_text(theirs)
    answer = send(desk, f"{STEP}/name", form | {"f-name": "Mine"})
    assert answer.status_code == 422
    assert "You typed:" in answer.text
    assert new.read_text() == theirs


def test_only_an_empty_folder_is_begun(tmp_path: Path) -> None:
    (tmp_path / "forms.csv").write_text("Name\n")
    command = [sys.executable, "-m", "onboard", "desk", "--no-browser"]
    done = subprocess.run(
        command, cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 2
    assert "onboard start" in done.stderr.replace("\n", " ")
    assert [file.name for file in tmp_path.iterdir()] == ["forms.csv"]


# ---------------------------------------------------------------- in a browser


def fill_in(page: Page, **said: str) -> None:
    """Fill in a step by the names of its fields, and go on."""
    for name, text in said.items():
        page.locator(f"#f-{name.replace('__', '-')}").fill(text)
    page.get_by_role("button", name="Save, and go on").press("Enter")


def expect_step(page: Page, name: str) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(TITLES[name])
    see_that_it_is_kind(page)


def test_from_an_empty_folder_to_the_first_packet(tmp_path: Path, chromium: Browser) -> None:
    with served(tmp_path, named=False) as desk, new_page(chromium) as page:
        assert "the desk leads you through the first steps" in " ".join(desk.said)
        page.goto(desk.link)
        see_that_it_is_kind(page)
        page.get_by_role("link", name="Go to the first steps").press("Enter")
        see_that_it_is_kind(page)
        page.get_by_role("link", name="Go on").press("Enter")
        expect_step(page, "name")
        fill_in(page, name="Alder Creek Co-op", time_zone="America/Denver")
        expect_step(page, "pages")
        fill_in(
            page,
            ordering_page="order.alder.example.org",
            shop_page="https://shop.alder.example.org",
        )
        expect(page.get_by_role("alert")).to_be_focused()
        see_that_it_is_kind(page)
        fill_in(page, ordering_page="https://order.alder.example.org")
        expect_step(page, "reach")
        page.get_by_role("link", name="All steps").press("Enter")  # left, and come back to
        expect(page.get_by_text("finished")).to_have_count(2)
        page.get_by_role("link", name="Go on").press("Enter")
        fill_in(page, reply_phone="(307) 555-0100", postal_address="1 Barn Road\nLander, WY 82520")
        expect_step(page, "group")
        fill_in(page, name="Creek", windows__0__opens="2027-01-04", windows__0__closes="2027-01-10")
        expect_step(page, "site")
        fill_in(
            page, name="Lander Grange", address="12 Elm Street, Lander, WY", zip="82520", host="Robin Vale",
            host_phone="(307) 555-0101", pickup_day="Saturday", pickup_hours="9 to 11 a.m.",
        )  # fmt: skip
        expect_step(page, "mail")
        fill_in(page, sender="hello@alder.example.org")
        expect_step(page, "form")
        page.get_by_role("button", name="Preview").press("Enter")
        expect(page.get_by_role("alert")).to_contain_text("Type the member's name.")
        see_that_it_is_kind(page)
        page.get_by_label("Name, in full").fill("Ada Quill")
        page.get_by_label("Email address").fill("ada@quill.example.org")
        page.get_by_label("Phone").fill("307-555-0123")
        page.get_by_label("Mailing address").fill("3 Oak Street\nLander, WY 82520")
        page.get_by_label("The member said that we may email them.").check()
        page.get_by_role("button", name="Preview").press("Enter")
        page.get_by_role("button", name="Save, and make the packets").press("Enter")
        expect(page.get_by_text("Welcome packets made: 1.")).to_be_visible(timeout=30_000)
        page.get_by_role("link", name="Go on to Mail").press("Enter")
        page.get_by_role("link", name="Read it Ada Quill").press("Enter")
        expect(page.get_by_role("main")).to_contain_text("adaquill")
        expect(page.get_by_role("main")).to_contain_text("Alder Creek Co-op")
        page.goto(f"{desk.base}/settings/first-steps")
        expect(page.get_by_text("All steps are done.")).to_be_visible()
        see_that_it_is_kind(page)
        page.goto(desk.base)
        expect(page.get_by_text("Your co-op is not set up yet.")).to_have_count(0)
    notes = [line for line in starter().splitlines() if line.startswith("#")]
    text = (tmp_path / "onboard.toml").read_text("utf-8")
    assert [line for line in text.splitlines() if line.startswith("#")] == notes
