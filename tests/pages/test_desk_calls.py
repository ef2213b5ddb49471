"""Someone calls: who is found, what is shown to whom, and what is done, by requests."""

from __future__ import annotations

from dataclasses import replace

import pytest
from at_desk import AtDesk
from coop_forms import form

from onboard.office import Office
from onboard.roster import outgoing, search, tables
from onboard.settings import DeskRule
from onboard.tasks.look_up import look_up
from onboard.tasks.process_batch import process_batch

PHONE, EMAIL = "(419) 555-0143", "pat.lee@example.org"


def test_one_clear_match_leads_to_the_card_and_shows_nothing_of_it(
    desk: AtDesk, members: Office
) -> None:
    shown = desk.post("/calls/found", said="Pat Lee, Lima Grange").text
    assert "One clear match" in shown
    assert 'href="/calls/member/1"' in shown
    for secret in ("0143", EMAIL, "patlee"):
        assert secret not in shown
    assert "<html" not in shown  # a part of a page
    going = desk.post("/calls", follow=False, said="Pat Lee, Lima Grange")
    assert going.headers["location"] == "/calls/member/1"


def test_while_several_are_meant_there_is_a_question_and_no_card(
    desk: AtDesk, members: Office
) -> None:
    for path in ("/calls/found", "/calls"):
        shown = desk.post(path, said="Kim Vale").text
        assert "Which drop site do you pick up from?" in shown
        assert shown.count("This is the one") == 2
        for secret in ("0150", "0166", "kim@example.org", "kv@example.org", "kimvale"):
            assert secret not in shown


@pytest.mark.parametrize(
    "said", ["", "   ", "?!", "Nobody Atall", "<script>alert(1)</script>", "a" * 400]
)
def test_anything_may_be_said(desk: AtDesk, members: Office, said: str) -> None:
    answer = desk.post("/calls/found", said=said)
    assert answer.status_code == 200
    assert "<script>" not in answer.text


def test_who_calls_for_somebody_is_told_so(desk: AtDesk, members: Office) -> None:
    shown = desk.post("/calls/found", said="I am calling for my mother Pat Lee at Lima Grange").text
    assert "calling for the member" in shown
    assert "One clear match" not in shown


def test_the_card_has_what_helps(desk: AtDesk, members: Office) -> None:
    card = desk.client.get("/calls/member/1").text
    for said in (
        '<p class="handle" id="handle" translate="no">patlee</p>', "p as in Papa", "p (pe) de", PHONE, EMAIL,
        "Welcome packet", "ready, not sent yet", "Lima Grange", "Robin Vale", "yes, through Sunday, December 6, 2026",
        "What a caller knows proves nothing",
        "Español", "What to say",
    ):  # fmt: skip
        assert said in card, said
    assert "onboard " not in card.partition("<main")[2].partition("</main")[0]
    with members.reading() as connection:
        seen = connection.execute(
            tables.journal.select().where(tables.journal.c.what == "contact info shown")
        ).all()
    assert [line.who for line in seen] == ["Robin"]


def test_contact_info_is_for_those_who_may(outside: AtDesk, members: Office) -> None:
    outside.place.office = replace(
        members, settings=replace(members.settings, desk=DeskRule(may_reissue=("Ana",)))
    )
    outside.sign_in()
    for path in ("/calls/member/1", "/calls/member/1/reissue", "/calls/member/1/correct"):
        page = outside.client.get(path).text
        assert "0143" not in page
        assert EMAIL not in page
    assert "Ana" in outside.client.get("/calls/member/1").text
    answer = outside.post("/calls/member/1/reissue", checked="call-back", do="issue")
    assert answer.status_code == 403


def test_who_may_not_look_up_sees_nobody(outside: AtDesk, members: Office) -> None:
    outside.place.office = replace(
        members, settings=replace(members.settings, desk=DeskRule(may_look_up=("Ana",)))
    )
    outside.sign_in()
    for method, path in (
        ("GET", "/calls"), ("POST", "/calls/found"), ("POST", "/calls"), ("GET", "/calls/member/1"),
        ("POST", "/calls/member/1/note"), ("POST", "/calls/member/1/correct"), ("GET", "/calls/member/1/reissue"),
    ):  # fmt: skip
        typed = {"said": "Pat Lee", "ended": "helped", "about": "dates", "email": "x@example.org"}
        answer = outside.client.get(path) if method == "GET" else outside.post(path, **typed)
        assert answer.status_code == 403, path
        assert "Robin is not allowed to look up members" in answer.text
        assert "Pat Lee" not in answer.text


@pytest.mark.parametrize(
    "path",
    [
        "/calls/member/99",
        "/calls/member/0",
        "/calls/member/x",
        "/calls/form/abc",
        "/calls/member/" + "9" * 30,
        "/calls/nobody/1",
    ],
)
def test_a_card_that_there_is_not_is_told_in_words(
    desk: AtDesk, members: Office, path: str
) -> None:
    answer = desk.client.get(path)
    assert answer.status_code in (404, 422)
    assert "Something is in the way" in answer.text


def test_what_they_say_of_their_try_gives_the_cause_and_is_not_told_again_as_a_cause(
    desk: AtDesk, members: Office
) -> None:
    card = desk.post("/calls/member/1", typed="pat@example.org", page="the shop").text
    assert "They typed an email address instead of their sign-in name." in card
    assert 'value="pat@example.org"' in card  # the box keeps what was typed


# ---------------------------------------------------------------- a new temporary password


def test_a_new_password_needs_a_check(desk: AtDesk, members: Office) -> None:
    refused = desk.post("/calls/member/1/reissue", do="issue")
    assert refused.status_code == 422
    assert "<title>Error: " in refused.text
    assert 'href="#checked"' in refused.text
    assert "--checked" not in refused.text
    done = desk.post("/calls/member/1/reissue", do="issue", checked="call-back")
    assert "A new temporary password is ready" in done.text
    assert not any(word in done.text for word in ("password-", "first-password"))


def test_a_failed_check_is_counted(desk: AtDesk, members: Office) -> None:
    for _ in range(3):
        assert (
            "The failed check is counted" in desk.post("/calls/member/1/reissue", do="failed").text
        )
    slowed = desk.post("/calls/member/1/reissue", do="issue", checked="call-back")
    assert "3 tries within an hour" in slowed.text


# ---------------------------------------------------------------- corrections


def version(page: str) -> str:
    return page.partition('name="as_shown" value="')[2].partition('"')[0]


def test_a_correction_is_previewed_then_saved(desk: AtDesk, members: Office) -> None:
    preview = desk.post("/calls/member/1/correct", do="preview", email="new@example.org").text
    assert EMAIL in preview
    assert "new@example.org" in preview
    assert "--record" not in preview
    with members.reading() as connection:
        assert search.members_by_number(connection, [1])[1].email == EMAIL
    saved = desk.post(
        "/calls/member/1/correct", do="save", email="new@example.org", as_shown=version(preview)
    )
    assert "The correction is saved" in saved.text
    with members.reading() as connection:
        assert search.members_by_number(connection, [1])[1].email == "new@example.org"


def test_what_somebody_changed_meanwhile_is_not_overwritten(desk: AtDesk, members: Office) -> None:
    preview = desk.post("/calls/member/1/correct", do="preview", email="mine@example.org").text
    theirs = desk.post("/calls/member/1/correct", do="preview", email="theirs@example.org").text
    desk.post(
        "/calls/member/1/correct", do="save", email="theirs@example.org", as_shown=version(theirs)
    )
    told = desk.post(
        "/calls/member/1/correct", do="save", email="mine@example.org", as_shown=version(preview)
    )
    assert told.status_code == 422
    assert "Somebody changed this member meanwhile" in told.text
    assert "theirs@example.org" in told.text  # what is on file now
    assert "mine@example.org" in told.text  # beside what was typed
    with members.reading() as connection:
        assert search.members_by_number(connection, [1])[1].email == "theirs@example.org"
    assert version(told.text) != version(preview)
    desk.post(
        "/calls/member/1/correct", do="save", email="mine@example.org", as_shown=version(told.text)
    )
    with members.reading() as connection:
        assert search.members_by_number(connection, [1])[1].email == "mine@example.org"


def test_a_refused_correction_comes_back_as_it_was_typed(desk: AtDesk, members: Office) -> None:
    back = desk.post(
        "/calls/member/1/correct", do="preview", email='nonsense"><i>', born="1976-07-04", remove=["phone"], site="Athens Barn"
    )  # fmt: skip
    assert back.status_code == 422
    assert "nonsense&#34;&gt;&lt;i&gt;" in back.text
    assert 'value="1976-07-04"' in back.text
    assert 'value="phone" checked' in back.text
    assert "<option selected>Athens Barn" in back.text


# ---------------------------------------------------------------- calls written down


def test_a_call_is_written_down_and_closed(desk: AtDesk, members: Office) -> None:
    noted = desk.post(
        "/calls/member/1/note", cause="typed.email", about="dates", words="wants a larger site",
        ended="open", hand_to="ana", note="calls again",
    )  # fmt: skip
    assert "The call is written down." in noted.text
    assert "Call 1" in noted.text
    assert "wants a larger site" in desk.client.get("/calls").text
    assert "1 call open" in desk.client.get("/").text
    closed = desk.post("/calls/noted/1", do="close")
    assert "The call is saved as it stands now." in closed.text
    assert "No call is open." in desk.client.get("/calls").text


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"about": "dates"}, "Say how the call ended."),
        ({"ended": "helped"}, "Say what it was about"),
        ({"ended": "nonsense", "about": "dates"}, ""),
        ({"ended": "helped", "about": "dates", "hand_to": "ana"}, "still open"),
        ({"ended": "helped", "about": "dates", "note": "her password is Sunflower77"}, "password"),
    ],
)
def test_a_call_that_can_not_be_written_down_comes_back_as_it_was_typed(
    desk: AtDesk, members: Office, typed: dict[str, str], words: str
) -> None:
    back = desk.post(
        "/calls/member/1/note", **({"words": "about a truck"} if len(typed) > 3 else {}), **typed
    )
    assert back.status_code == 422
    assert words in back.text


def test_the_packets_of_the_member_are_told_as_they_stand(desk: AtDesk, members: Office) -> None:
    with members.transaction() as connection:
        outgoing.cancel(connection, [1], members.signature())
    assert "canceled: something newer took its place" in desk.client.get("/calls/member/1").text


def test_a_form_on_hold_has_a_card_without_an_account(desk: AtDesk, members: Office) -> None:
    process_batch(
        members,
        [form(9, full_name="Pat Lee", email="p@example.org", site="Lima Grange")],
        file="g",
        keep=True,
    )
    with members.reading() as connection:
        (key,) = [
            line.key
            for line in connection.execute(tables.row.select().where(tables.row.c.line == 9))
        ]
    card = desk.client.get(f"/calls/form/{key}").text
    assert "On hold" in card
    assert "There is no account yet" in card
    assert desk.post(f"/calls/form/{key}/note", ended="helped", about="dates").status_code == 200


def test_the_card_has_the_address_and_remarks_and_correct_what_is_on_file(
    desk: AtDesk, members: Office
) -> None:
    row = form(9, full_name="Ana Ruiz", email="ana@example.org", phone="419-555-0177", street="8 Oak Ave",
               city="Lima", state="OH", zip="45801", site="Lima Grange", notes="Gate code is at the host's.",
               **{"aside:Anything else?": "My dog bites. password is Tulip42!x"})  # fmt: skip
    process_batch(members, [row], file="h", keep=True)
    number = look_up(members, "Ana Ruiz").found[0].owner.member_id
    page = desk.client.get(f"/calls/member/{number}").text
    assert "8 OAK AVE" in page
    assert "Gate code is at the host" in page
    assert "Anything else?" in page
    assert "Tulip42" not in page
    page = desk.client.get(f"/calls/member/{number}/correct").text
    for value in ("Ana Ruiz", "ana@example.org", "(419) 555-0177", "8 OAK AVE", "Lima Grange"):
        assert f"On file: {value}" in page, value
