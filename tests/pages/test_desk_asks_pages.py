"""Many members to ask something at the desk: a page at a time."""

from __future__ import annotations

import re

import pytest
from at_desk import AtDesk
from coop_forms import form
from test_desk_holds_pages import name, put_on_hold
from test_desk_shown import noted

from onboard.office import Office
from onboard.tasks import paged
from onboard.tasks.process_batch import process_batch
from onboard.tasks.to_ask import to_ask


def to_be_asked(office: Office, many: int) -> list[int]:
    """The numbers of so many members whose street has no house number."""
    rows = [
        form(at + 2, full_name=name(at + 100), email=f"m{at}@example.org", phone="", street=f"{name(at).split()[0]} Ave",
             city="Lima", state="OH", zip="45801", site="Lima Grange")
        for at in range(many)
    ]  # fmt: skip
    process_batch(office, rows, file="forms.csv", keep=True)
    return [one.member.id for one in to_ask(office)]


def listed(page: str) -> list[int]:
    return [int(number) for number in re.findall(r'id="ask-([0-9]+)"', page)]


def test_each_is_on_one_page_and_only_they_are_noted(
    desk: AtDesk, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paged, "ON_A_PAGE", 5)
    numbers = to_be_asked(office, 12)
    assert len(numbers) == 12
    put_on_hold(office, 7)
    for at in (1, 2, 3):
        page = desk.client.get(f"/sign-ups?page=2&asked={at}").text
        of_page = numbers[5 * (at - 1) : 5 * at]
        assert listed(page) == of_page
        assert noted(office)[-1][3]["members"] == of_page
        assert 'Ask when you can <span class="faint">12</span>' in page
        asks = page.partition('id="ask-title"')[2]
        assert f"Page {at} of 3" in asks
        assert (f"/sign-ups?page=2&amp;asked={at + 1}#ask-title" in asks) is (at < 3)
        holds = page.partition('id="ask-title"')[0]
        assert "Page 2 of 2" in holds
        assert (f"/sign-ups?asked={at}#holds-title" in holds) is (at > 1)


def test_who_said_that_all_is_right_makes_room_for_the_next(
    desk: AtDesk, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paged, "ON_A_PAGE", 3)
    numbers = to_be_asked(office, 7)
    page = desk.client.get("/sign-ups?asked=2").text
    assert listed(page) == numbers[3:6]
    following = re.findall(
        r'name="asked" value="2"><input type="hidden" name="next" value="(\d*)"', page
    )
    assert following == [str(numbers[4]), str(numbers[5]), ""]
    for at, then in ((3, numbers[4]), (5, "title")):
        answer = desk.post(
            f"/sign-ups/all-right/{numbers[at]}", follow=False, page="1", asked="2",
            next="" if then == "title" else str(then),
        )  # fmt: skip
        assert answer.headers["location"] == f"/sign-ups?asked=2&done=form-answered#ask-{then}"
    assert listed(desk.client.get("/sign-ups?asked=2").text) == [numbers[4], numbers[6]]
