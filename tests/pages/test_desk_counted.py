"""With many members a page shows what was counted last, says when, and never makes anybody wait for all of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from at_desk import AtDesk, settings_text

from onboard.desk import counted
from onboard.desk.counted import Counted

PAGES = ("/", "/mail", "/mail/reminders", "/windows")
COUNTING = "All of them are being counted for this page."


@pytest.fixture
def desk_of_many(
    desk: AtDesk, members: object, monkeypatch: pytest.MonkeyPatch
) -> Iterator[AtDesk]:
    """A desk for which two members are many."""
    desk.place.office.settings.file.write_text(settings_text(), "utf-8")
    monkeypatch.setattr(counted, "MANY", 2)
    yield desk
    desk.place.counted.close()


def done(desk: AtDesk, page: str) -> None:
    """Wait for the count of a page."""
    work = desk.place.counted.known(desk.place.office, page).work
    assert work is None or work.wait(60)


def fresh(page: str) -> str:
    """Where the part of a page comes from that stays fresh; "" if there is none."""
    found = re.search(r'data-fresh="([^"]+)"', page)
    return found[1].replace("&amp;", "&") if found else ""


def test_a_page_comes_at_once_and_again_when_all_are_counted(desk_of_many: AtDesk) -> None:
    client, office = desk_of_many.client, desk_of_many.place.office
    first = client.get("/").text
    assert COUNTING in first
    assert "This takes a while the first time." in client.get(fresh(first)).text
    done(desk_of_many, "/")
    part = client.get(fresh(first)).text
    assert 'All members are counted. <a href="/">Show it</a>' in part
    assert not fresh(part)
    page = client.get("/").text
    assert "1 join form on hold" in page
    assert "As of " in page
    assert not fresh(page)
    # Something was done: the page comes at once as it was, and says that it is being counted again.
    desk_of_many.place.counted.outdate()
    again = client.get("/").text
    assert "1 join form on hold" in again
    assert "All members are being counted again." in again
    assert "counted again" in client.get(fresh(again)).text
    done(desk_of_many, "/")
    assert "Show it" in client.get(fresh(again)).text
    assert office.settings.file.exists()


@pytest.mark.parametrize("page", PAGES[1:])
def test_the_page_says_what_a_page_with_few_members_says(
    desk_of_many: AtDesk, page: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    office = desk_of_many.place.office
    while True:  # the process beside it goes by the computer's clock: both sides are of one day
        desk_of_many.clock.at = datetime.now(UTC)
        day = office.today()
        desk_of_many.place.counted.outdate()
        desk_of_many.client.get(page)
        done(desk_of_many, page)
        kept = desk_of_many.client.get(page).text
        desk_of_many.clock.at = datetime.now(UTC)
        if office.today() == day:
            break
    assert "As of " in kept
    monkeypatch.setattr(counted, "MANY", 5_000)
    at_once = desk_of_many.client.get(page).text
    without = re.sub(r'<p class="faint" role="status">\s*As of [^<]+</p>\s*', "", kept)
    assert without.split() == at_once.split()


def test_what_was_done_while_it_was_counted_is_counted_again(desk_of_many: AtDesk) -> None:
    desk_of_many.client.get("/mail")
    desk_of_many.place.counted.outdate()  # somebody does something meanwhile
    done(desk_of_many, "/mail")
    assert "All members are being counted again." in desk_of_many.client.get("/mail").text


def test_a_form_that_comes_back_is_on_the_page_that_was_counted(desk_of_many: AtDesk) -> None:
    desk_of_many.client.get("/mail")
    done(desk_of_many, "/mail")
    answer = desk_of_many.post("/mail/mailed", sure="yes", letters="of before")
    assert answer.status_code == 422
    assert "Other letters wait by now." in answer.text
    assert "All members are being counted again." in answer.text
    assert "page=%2Fmail&" in fresh(answer.text)


def test_what_cannot_be_counted_is_told(desk_of_many: AtDesk) -> None:
    file = desk_of_many.place.office.settings.file
    good = file.read_text("utf-8")
    desk_of_many.client.get("/account")  # the settings are read
    file.write_text(good.replace("[coop]", "[koop]"), "utf-8")
    keeps = Counted()
    count = keeps.of(desk_of_many.place.office, "/", _never)
    assert count.work
    assert count.work.wait(60)
    assert "koop" in keeps.known(desk_of_many.place.office, "/").words
    file.write_text(good, "utf-8")


def _never(office: object) -> None:
    raise AssertionError


def test_a_page_that_nobody_has_asked_for_has_no_count(desk_of_many: AtDesk) -> None:
    part = desk_of_many.client.get("/counted?page=javascript:alert(1)").text
    assert "javascript" not in part
    assert desk_of_many.client.get("/counted?page=/&shown=never").status_code == 422
