"""Many forms on hold at the desk: a page at a time, by mouse and by keyboard, and quickly."""

from __future__ import annotations

import re
from time import process_time
from typing import TYPE_CHECKING

import pytest
from at_desk import AtDesk, new_page, served
from coop_forms import form

from onboard.office import Office, open_office
from onboard.tasks import paged
from onboard.tasks.answer_form import forms_on_hold, holds_page, next_on_hold
from onboard.tasks.process_batch import process_batch

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

SYLLABLES = ("bra", "cel", "dov", "fen", "gil", "hax", "jor", "kep", "lum", "mas")


def name(at: int) -> str:
    """A name that none of the others is like."""
    ones, tens, hundreds = (SYLLABLES[at // size % 10] for size in (1, 10, 100))
    return f"{tens}{ones}{hundreds} {ones}{tens}{SYLLABLES[(at * 7 + 3) % 10]}{hundreds}".title()


def put_on_hold(office: Office, many: int) -> list[str]:
    """The keys of so many forms on hold, in their order: each has neither an email nor a way to write to them."""
    rows = [
        form(at + 2, full_name=name(at), email="none", phone="", street="", city="", state="", zip="", site="Lima Grange")
        for at in range(many)
    ]  # fmt: skip
    process_batch(office, rows, file="forms.csv", keep=True)
    return [one.applicant.raw.key for one in forms_on_hold(office)]


def listed(page: str) -> list[str]:
    return re.findall(r'href="/sign-ups/holds/([0-9a-f]+)', page)


def go_on(desk: AtDesk, key: str, page: int) -> str:
    """Where somebody is led who answers a form of this page."""
    answer = desk.client.post(
        f"/sign-ups/holds/{key}", data={"csrf": desk.csrf, "answer": "drop", "page": page},
        headers={"origin": "http://127.0.0.1:8400"}, follow_redirects=False,
    )  # fmt: skip
    assert answer.status_code == 303
    return answer.headers["location"]


def test_each_is_on_one_page_and_the_count_is_of_all(
    desk: AtDesk, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paged, "ON_A_PAGE", 5)
    keys = put_on_hold(office, 12)
    assert len(keys) == 12
    pages = [desk.client.get(f"/sign-ups?page={number}").text for number in (1, 2, 3)]
    assert [key for page in pages for key in listed(page)] == keys
    for number, page in enumerate(pages, 1):
        assert 'On hold <span class="faint">12</span>' in page
        assert f"Page {number} of 3" in page
        assert ("/sign-ups?page=4" in page, f"/sign-ups?page={number + 1}#" in page) == (
            False,
            number < 3,
        )
    assert listed(desk.client.get("/sign-ups?page=99").text) == keys[10:]
    assert listed(desk.client.get("/sign-ups?page=0").text) == keys[:5]
    assert desk.client.get("/sign-ups?page=x").status_code == 422
    assert "12 join forms on hold" in desk.client.get("/").text
    spanish = desk.client.get("/sign-ups", headers={"accept-language": "es"}).text
    assert "Página 1 de 3" in spanish


def test_an_answer_goes_on_at_the_form_that_came_next(
    desk: AtDesk, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paged, "ON_A_PAGE", 3)
    keys = put_on_hold(office, 7)
    assert 'name="page" value="2"' in desk.client.get(f"/sign-ups/holds/{keys[3]}?page=2").text
    assert go_on(desk, keys[3], 2) == f"/sign-ups?page=2&done=form-answered#hold-{keys[4]}"
    assert listed(desk.client.get("/sign-ups?page=2").text) == keys[4:]
    for at in range(3):  # all of a page: the next ones come up
        following = keys[at + 1] if at < 2 else keys[4]
        assert go_on(desk, keys[at], 1) == f"/sign-ups?done=form-answered#hold-{following}"
    assert listed(desk.client.get("/sign-ups").text) == keys[4:]
    assert go_on(desk, keys[6], 1) == "/sign-ups?done=form-answered"  # the last: nothing came next
    left = desk.client.get("/sign-ups?page=2").text
    assert listed(left) == keys[4:6]
    assert "Page 1" not in left
    assert next_on_hold(office, keys[0]) == ""


def test_a_page_of_many_is_there_at_once(desk: AtDesk, office: Office) -> None:
    keys = put_on_hold(office, 300)
    assert len(keys) == 300
    whole = holds_page(office)
    assert (whole.count, whole.pages, len(whole.some)) == (300, 12, 25)
    desk.client.get("/sign-ups")  # what is read once
    took = []
    for number in (1, 6, 12):
        began = process_time()
        page = desk.client.get(f"/sign-ups?page={number}").text
        took.append(process_time() - began)
        assert listed(page) == keys[25 * (number - 1) : 25 * number]
    everything = process_time()
    forms_on_hold(office)
    everything = process_time() - everything
    assert sorted(took)[1] < everything / 2  # no more is judged than is shown


def test_by_keyboard_from_one_page_to_the_next(folder: Path, chromium: Browser) -> None:
    office = open_office(folder / "onboard.toml", who="Robin")
    put_on_hold(office, 27)
    office.close()
    with served(folder) as desk, new_page(chromium) as page:
        page.goto(desk.link)
        page.goto(f"{desk.base}/sign-ups")
        page.get_by_role("link", name="More", exact=True).press("Enter")
        page.get_by_text("Page 2 of 2").wait_for()
        first, second = (
            page.locator("#main .tasks a").nth(at).get_attribute("id") for at in (0, 1)
        )
        page.locator(f"#{first}").press("Enter")
        page.get_by_label("Do not enroll this form").focus()
        page.keyboard.press("Space")
        page.keyboard.press("Enter")
        page.get_by_text("Your answer is saved.").wait_for()
        assert page.evaluate("document.activeElement.id") == second
        page.keyboard.press("Enter")
        page.get_by_role("link", name="Back to New sign-ups").press("Enter")
        page.get_by_text("Page 2 of 2").wait_for()
