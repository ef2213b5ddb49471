"""Mail at the desk: how it stands, previews without a password, letters, sending, by requests."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial

import pytest
from at_desk import AtDesk
from coop_forms import form
from sqlalchemy import text
from welcome.mail_server import Box, listening

from onboard import passwords
from onboard.model import State, What
from onboard.office import Office
from onboard.roster import outgoing
from onboard.settings import DeskRule, MailServer
from onboard.tasks.correct_member import correct_member
from onboard.tasks.process_batch import process_batch
from onboard.tasks.send_packets import send_packets
from onboard.tasks.write_packets import write_packets


def serve_by(desk: AtDesk, office: Office, server: MailServer) -> None:
    desk.place.office = replace(office, settings=replace(office.settings, mail=server))


def number_of(office: Office, member: int = 1) -> int:
    with office.reading() as connection:
        return outgoing.by_state(connection, What.PACKET, State.WRITTEN, of=[member])[0].id


def test_without_a_mail_server_everybody_gets_a_letter(desk: AtDesk, members: Office) -> None:
    page = desk.client.get("/mail").text
    assert "No mail server is set" in page
    assert "2 letters to print and mail" in page
    pdf = desk.client.get("/mail/letters.pdf")
    assert pdf.headers["content-type"] == "application/pdf"
    assert pdf.headers["cache-control"] == "no-store"
    assert pdf.content.startswith(b"%PDF")
    shown = page.partition('name="letters" value="')[2].partition('"')[0]
    assert desk.post("/mail/mailed", letters=shown).status_code == 422  # not by one click
    assert (
        "marked as printed and mailed" in desk.post("/mail/mailed", letters=shown, sure="yes").text
    )
    assert "There are no letters to mail." in desk.client.get("/mail").text
    assert desk.client.get("/mail/letters.pdf").status_code == 422


def test_one_letter_is_one(desk: AtDesk, members: Office) -> None:
    newest = "UPDATE outgoing SET state = 'printed' WHERE id = (SELECT max(id) FROM outgoing)"
    with members.transaction() as connection:
        connection.execute(text(newest))
    page = desk.client.get("/mail").text
    assert "1 letter to print and mail" in page
    assert "1 letters" not in page


def test_days_are_those_of_the_coop(desk: AtDesk, members: Office) -> None:
    """Late in the evening at the co-op it is the next day elsewhere."""
    with members.transaction() as connection:
        connection.execute(text("UPDATE outgoing SET at = '2026-11-26T03:30:00Z'"))
    for page in ("/mail", "/calls/member/1"):
        told = desk.client.get(page).text
        assert "Nov 25, 2026" in told
        assert "Nov 26, 2026" not in told


def test_why_a_letter_goes_instead_is_told_in_spanish(desk: AtDesk, members: Office) -> None:
    with members.transaction() as connection:
        connection.execute(text("UPDATE outgoing SET why = 'email address in doubt'"))
    page = desk.client.get("/mail", headers={"Accept-Language": "es"}).text
    assert "correo electrónico en duda" in page
    assert "email address in doubt" not in page


def test_letters_that_were_made_since_are_not_marked_as_mailed(
    desk: AtDesk, members: Office
) -> None:
    page = desk.client.get("/mail").text
    shown = page.partition('name="letters" value="')[2].partition('"')[0]
    process_batch(members, [form(7, full_name="Ana Ruiz", email="ana@example.org", phone="419-555-0177", site="Lima Grange", street="8 Elm St", city="Lima", state="OH", zip="45801")], file="h", keep=True)  # fmt: skip
    write_packets(members)
    refused = desk.post("/mail/mailed", letters=shown, sure="yes")
    assert refused.status_code == 422
    assert "Other letters wait by now." in refused.text
    assert "3 letters to print and mail" in refused.text


def test_an_email_is_read_without_its_password(desk: AtDesk, members: Office) -> None:
    page = desk.client.get(f"/mail/message/{number_of(members)}").text
    assert "pat.lee@example.org" in page
    assert "patlee" in page
    assert "(temporary password, hidden)" in page
    file = (members.settings.outbox / "patlee.eml").read_text()
    words = set(passwords.words())
    phrases = [
        found for found in re.findall(r"[a-z]+(?:-[a-z]+){4,}", file.replace("=\n", "")) if words.issuperset(found.split("-"))
    ]  # fmt: skip
    assert phrases
    assert not any(phrase in page for phrase in phrases)


@pytest.mark.parametrize("number", ["0", "999", "9" * 30, "x"])
def test_an_email_that_there_is_not_is_told_in_words(
    desk: AtDesk, members: Office, number: str
) -> None:
    answer = desk.client.get(f"/mail/message/{number}")
    assert answer.status_code == 422
    assert "Something is in the way" in answer.text


def test_nobody_is_named_to_whom_may_not_look_up(desk: AtDesk, members: Office) -> None:
    settings = replace(members.settings, desk=DeskRule(may_look_up=("Ana",)))
    desk.place.office = replace(members, settings=settings)
    page = desk.client.get("/mail").text
    assert "Pat Lee" not in page
    assert desk.client.get(f"/mail/message/{number_of(members)}").status_code == 403


def test_emails_are_previewed_then_sent_a_few_at_a_time(
    desk: AtDesk, members: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "onboard.tasks.send_some.send_packets", partial(send_packets, plain_on_loopback=True)
    )
    monkeypatch.setattr("onboard.desk.rooms.mail.AT_ONCE", 1)
    box = Box()
    with listening(box, None, "plain") as server:
        serve_by(desk, members, server)
        preview = desk.client.get("/mail/send").text
        assert "Nothing was sent yet." in preview
        assert "pat.lee@example.org" in preview
        assert not box.taken
        first = desk.post("/mail/send").text
        assert "More emails wait." in first
        assert [mail.rcpt_tos for mail in box.taken] == [["pat.lee@example.org"]]
        desk.post("/mail/send")
        assert len(box.taken) == 2
        assert "No email waits in the outbox." in desk.post("/mail/send").text
        assert len(box.taken) == 2


def test_a_mail_server_that_does_not_answer_is_told(desk: AtDesk, members: Office) -> None:
    serve_by(desk, members, MailServer("127.0.0.1", 1, "", security="plain"))
    answer = desk.post("/mail/send")
    assert answer.status_code in (200, 422)
    assert "mail server" in answer.text
    with members.reading() as connection:
        assert outgoing.count(connection) == {State.WRITTEN: 2}


def test_an_address_in_doubt_is_answered(desk: AtDesk, members: Office) -> None:
    process_batch(members, [form(7, full_name="Ana Ruiz", email="ana@gmail.con", phone="419-555-0177", site="Lima Grange", street="8 Elm St", city="Lima", state="OH", zip="45801")], file="h", keep=True)  # fmt: skip
    write_packets(members)
    page = desk.client.get("/mail").text
    assert "ana@gmail.con" in page
    number = re.findall(r"/mail/question/(\d+)", page)[0]
    for typed in ({"do": "other", "email": ""}, {}, {"do": "nonsense"}, {"email": "x@example.org"}):
        refused = desk.post(f"/mail/question/{number}", **typed)
        assert refused.status_code == 422
        assert f'href="#where-{number}"' in refused.text
    done = desk.post(f"/mail/question/{number}", do="other", email="ana@gmail.com")
    assert "The answer is saved." in done.text
    assert "welcome packets that were due are made" in desk.post("/mail/make").text
    assert "ana@gmail.con" not in desk.client.get("/mail").text


@pytest.mark.parametrize("do", ["right", "letter"])
def test_a_mailbox_of_several_members_is_told_and_answered(
    desk: AtDesk, members: Office, do: str
) -> None:
    serve_by(desk, members, MailServer(host="mail.example.org"))
    home = {"email": "marshes@example.org", "site": "Lima Grange", "street": "8 Elm St", "city": "Lima", "state": "OH", "zip": "45801"}  # fmt: skip
    rows = [form(n, full_name=f"{given} Marsh", phone=f"419-555-017{n}", **home) for n, given in ((7, "Ana"), (8, "Omar"))]  # fmt: skip
    process_batch(members, rows, file="h", keep=True)
    write_packets(members)
    page = desk.client.get("/mail").text
    assert "Mailboxes of several members" in page
    assert "A letter for Omar Marsh" in page
    number = re.findall(r"/mail/question/(\d+)", page)[0]
    assert "The answer is saved." in desk.post(f"/mail/question/{number}", do=do).text
    assert "Mailboxes of several members" not in desk.client.get("/mail").text


def test_how_a_packet_looks(desk: AtDesk, members: Office) -> None:
    english = desk.client.get("/mail/test").text
    assert "this-is-only-a-test" in english
    assert "esta-es-solo-una-prueba" in desk.client.get("/mail/test?language=es").text
    assert "this-is-only-a-test" in desk.client.get("/mail/test?language=xx").text
    assert desk.client.get("/mail/test/letter.pdf").content.startswith(b"%PDF")
    for to in ("", "nonsense", "me@example.org"):
        refused = desk.post("/mail/test", to=to)  # there is no mail server either
        assert refused.status_code == 422
        assert f'value="{to}"' in refused.text


def test_the_ordering_page_is_told_once(desk: AtDesk, members: Office) -> None:
    assert "No file yet." in desk.client.get("/mail/told").text
    assert desk.client.get("/mail/told/accounts.csv").status_code == 422
    assert "accounts.csv" in desk.post("/mail/tell").text
    file = desk.client.get("/mail/told/accounts.csv")
    assert "patlee" in file.text
    assert file.headers["content-disposition"] == 'attachment; filename="accounts.csv"'
    assert "There is nothing to tell the ordering page." in desk.post("/mail/tell").text
    for name in ("onboard.toml", "roster.db", "..%2Fonboard.toml", "changes.csv"):
        assert desk.client.get(f"/mail/told/{name}").status_code in (404, 422)


def test_a_packet_that_waits_for_a_check_of_the_caller_is_named_with_why(
    desk: AtDesk, members: Office
) -> None:
    correct_member(members, "1", {"email": "other@example.net"}, keep=True)
    page = desk.client.get("/mail").text
    assert "Held until the caller is checked" in page
    assert "the email address on file changed on " in page
    assert 'href="/calls/member/1"' in page


def test_the_card_says_the_way_that_mail_says(desk: AtDesk, members: Office) -> None:
    for page in ("/mail", "/calls/member/1"):
        shown = desk.client.get(page).text
        assert "by letter" in shown
        assert "by email" not in shown


def test_without_a_mail_server_nothing_speaks_of_sending(desk: AtDesk, members: Office) -> None:
    page = desk.client.get("/mail").text
    assert "ready, not mailed yet" in page
    assert "not sent yet" not in page
    assert "send a test email" not in page
    assert "Send a test email" not in desk.client.get("/mail/test").text
