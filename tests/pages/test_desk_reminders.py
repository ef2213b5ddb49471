"""Reminders at the desk: previewed, read as they go out, made, sent by another process, and put into files."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes
from pathlib import Path

import pytest
from at_desk import AtDesk, settings_text
from sqlalchemy import text
from welcome.mail_server import Box, Proof, listening, proof_in

from onboard import passwords, spool
from onboard.desk.rooms.mail_reminders import WORK
from onboard.model import State, What
from onboard.model.role import Role
from onboard.office import Office
from onboard.roster import outgoing
from onboard.settings import MailServer
from onboard.tasks.write_reminders import write_reminders

ASKED = "How should we remind you?"
LOOK = """
[look]
color = "#1b5e20"
"""


@pytest.fixture(scope="module")
def proof(tmp_path_factory: pytest.TempPathFactory) -> Proof:
    return proof_in(tmp_path_factory.mktemp("proof"))


@pytest.fixture
def ordering(outside: AtDesk, members: Office) -> AtDesk:
    """A desk, and its settings in a file that another process reads: both groups order today, by the computer's clock."""
    outside.clock.at = datetime.now(UTC)
    outside.sign_in()
    write_settings(outside)
    on_file(outside, "UPDATE member SET consent = 1")
    return outside


def write_settings(desk: AtDesk, more: str = '[mail]\nhost = "127.0.0.1"\nport = 9\n') -> None:
    """Windows that are open by any clock of these hours: nothing hangs on midnight."""
    today = date.today()
    opens, closes = today - timedelta(2), today + timedelta(6)
    said = re.sub(
        r"opens = \S+, closes = [\d-]+", f"opens = {opens}, closes = {closes}", settings_text()
    )
    said = said.replace("[desk]", f'extra_questions = ["{ASKED}"]\n\n[desk]')
    rule = f'\n[reminders]\nway_question = "{ASKED}"\n'
    desk.place.office.settings.file.write_text(f"{said}{more}{rule}{LOOK}", "utf-8")


def on_file(desk: AtDesk, order: str) -> None:
    with desk.place.office.transaction() as connection:
        connection.execute(text(order))


def ended(desk: AtDesk) -> str:
    """The page of a step, once it has ended."""
    work = desk.place.works.named(WORK)
    assert work is not None
    assert work.wait(60)
    return desk.client.get("/mail/reminders/outcome").text


def made(desk: AtDesk) -> None:
    """Those that are due, made here: a process takes its time to begin."""
    office = desk.place.office_of("Robin")
    write_reminders(office)


@contextmanager
def mail_server(
    desk: AtDesk, box: Box, proof: Proof, monkeypatch: pytest.MonkeyPatch
) -> Iterator[MailServer]:
    monkeypatch.setenv("SSL_CERT_FILE", str(proof.file))
    with listening(box, proof) as server:
        write_settings(desk, f'[mail]\nhost = "{server.host}"\nport = {server.port}\n')
        yield server


def reminders(desk: AtDesk, state: State) -> list[int]:
    with desk.place.office.reading() as connection:
        return [line.id for line in outgoing.by_state(connection, What.REMINDER, state)]


def test_they_are_previewed_with_their_words_and_nothing_is_made(ordering: AtDesk) -> None:
    page = ordering.client.get("/mail/reminders").text
    assert "2 reminders due" in page
    assert "Hello Pat," in page
    assert "/calls/member/1" in page  # to whom
    assert "onboard remind" not in page
    assert not list(ordering.place.office.settings.outbox.glob("reminder-*"))
    later = date.today() + timedelta(4)
    another = ordering.client.get(f"/mail/reminders?on={later}").text
    assert "2 reminders due" in another
    assert "closes soon" in another
    assert "Make the reminders that are due" not in another
    for wrong in ("x", "2026-02-30", "9" * 40):
        refused = ordering.client.get(f"/mail/reminders?on={wrong}")
        assert (refused.status_code, "Choose a day, such as" in refused.text) == (422, True)
    assert ordering.client.get("/mail/reminders?on=9999-12-31").status_code == 200
    assert ordering.client.get("/mail/reminders?on=0001-01-01").status_code == 200


def test_one_is_read_as_a_mail_program_shows_it_and_its_page_can_do_nothing(
    ordering: AtDesk,
) -> None:
    page = ordering.client.get("/mail/reminders").text
    link = re.findall(r'href="(/mail/reminders/sample\?[^"]+)"', page)[0].replace("&amp;", "&")
    sample = ordering.client.get(link).text
    source = re.findall(r'<iframe[^>]* src="([^"]+)" sandbox title=', sample)[0]
    shown = ordering.client.get(source.replace("&amp;", "&"))
    assert "Hello Pat," in shown.text
    assert "#1b5e20" in shown.text
    assert not re.search(r"https?://[^\"]*\.(png|css|js)|cid:", shown.text)
    for header, has in (
        ("content-security-policy", "default-src 'none'"),
        ("content-security-policy", "sandbox"),
        ("content-security-policy", "frame-ancestors 'self'"),
        ("x-frame-options", "SAMEORIGIN"),
    ):
        assert has in shown.headers[header]
    assert "script-src" not in shown.headers["content-security-policy"]
    gone = ordering.client.get("/mail/reminders/sample?of=nothing")
    assert (gone.status_code, "Look at the list again." in gone.text) == (422, True)


def test_they_are_made_by_another_process_and_read_before_they_go(ordering: AtDesk) -> None:
    ordering.post("/mail/reminders/do/make")
    assert "Made 2 reminders: 2 emails." in ended(ordering)
    assert len(list(ordering.place.office.settings.outbox.glob("reminder-*.eml"))) == 2
    page = ordering.client.get("/mail/reminders").text
    assert "Make the reminders that are due" not in page
    assert "Emails in the outbox: 2" in page
    number = re.findall(r'href="/mail/message/(\d+)"', page)[0]
    assert (
        f'src="/mail/message/{number}/page"' in ordering.client.get(f"/mail/message/{number}").text
    )
    assert "Hello " in ordering.client.get(f"/mail/message/{number}/page").text
    assert "See what the last step came to" in ordering.client.get("/mail/reminders").text


def test_the_page_of_a_packet_shows_no_password(ordering: AtDesk) -> None:
    with ordering.place.office.reading() as connection:
        (line,) = outgoing.by_state(connection, What.PACKET, State.WRITTEN, of=[1])
    shown = ordering.client.get(f"/mail/message/{line.id}/page").text
    assert "(temporary password, hidden)" in shown
    words = set(passwords.words())
    found = re.findall(r"[a-z]+(?:-[a-z]+){3,}", shown)
    assert not any(words.issuperset(phrase.split("-")) for phrase in found)


def test_they_are_sent_once_and_only_when_somebody_says_so(
    ordering: AtDesk, proof: Proof, monkeypatch: pytest.MonkeyPatch
) -> None:
    box = Box(rcpt={"kim@example.org": ["550 5.1.1 Nobody here"]})
    with mail_server(ordering, box, proof, monkeypatch):
        made(ordering)
        refused = ordering.post("/mail/reminders/do/send")
        assert refused.status_code == 422
        assert 'href="#sure-send"' in refused.text
        ordering.post("/mail/reminders/do/send", sure="yes")
        done = ended(ordering)
        assert "1 reminder sent by email. 1 for you to check." in done
        assert "5.1.1 Nobody here" in done
        (got,) = box.taken
        assert message_from_bytes(got.content or b"")["Subject"]
        ordering.post("/mail/reminders/do/send", sure="yes")
        assert "0 reminders sent by email." in ended(ordering)
        assert len(box.taken) == 1
    assert (len(reminders(ordering, State.SENT)), len(reminders(ordering, State.REFUSED))) == (1, 1)


def test_a_sending_that_is_stopped_leaves_nothing_in_doubt(
    ordering: AtDesk, proof: Proof, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The mail server puts one off, and the program waits: then somebody stops it."""
    box = Box(rcpt={"kim@example.org": ["451 4.7.1 Later"]})
    with mail_server(ordering, box, proof, monkeypatch):
        made(ordering)
        ordering.post("/mail/reminders/do/send", sure="yes")
        work = ordering.place.works.named(WORK)
        assert work is not None
        until(lambda: len(box.taken) == 1 and work.done == 1)
        assert "Done so far: 1" in ordering.client.get("/mail/reminders/outcome/part").text
        stopped = ordering.post("/mail/reminders/stop").text
        assert "The work was stopped." in stopped
        assert "nobody is reminded twice" in stopped
        until(lambda: len(reminders(ordering, State.WRITTEN)) == 1)
        assert len(reminders(ordering, State.SENT)) == 1
        ordering.post("/mail/reminders/do/send", sure="yes")
        assert "1 reminder sent by email." in ended(ordering)
        assert len(box.taken) == 2


def until(is_so: Callable[[], bool]) -> None:
    for _ in range(600):
        if is_so():
            return
        time.sleep(0.05)
    raise AssertionError("It never came to that.")


def test_without_a_mail_server_nothing_is_sent(ordering: AtDesk) -> None:
    write_settings(ordering, "")
    answer = ordering.post("/mail/reminders/do/send", sure="yes")
    assert answer.status_code == 422
    assert "No mail server is set." in answer.text
    assert ordering.place.works.named(WORK) is None


def test_texts_and_postcards_are_in_one_file_each(ordering: AtDesk) -> None:
    answers = f'\'{{"{ASKED}": "%s"}}\''
    on_file(ordering, f"UPDATE member SET extras = {answers % 'text'} WHERE id = 1")
    on_file(ordering, f"UPDATE member SET extras = {answers % 'postcard'} WHERE id = 2")
    made(ordering)
    for step in ("texts", "postcards"):
        assert ordering.post(f"/mail/reminders/do/{step}").status_code == 422
        ordering.post(f"/mail/reminders/do/{step}", sure="yes")
        assert f"Wrote 1 {step[:-1]} to " in ended(ordering)
        assert f"sure-{step}" not in ordering.client.get("/mail/reminders").text  # nothing waits
    page = ordering.client.get("/mail/reminders").text
    texts, cards = sorted(re.findall(r"/mail/reminders/files/([\w.-]+)", page), reverse=True)
    assert "patlee" in ordering.client.get(f"/mail/reminders/files/{texts}").text
    assert ordering.client.get(f"/mail/reminders/files/{cards}").content.startswith(b"%PDF")
    for name in ("onboard.toml", "roster.db", "texts-2026-01-01-000000.csv", "..%2Fonboard.toml"):
        assert ordering.client.get(f"/mail/reminders/files/{name}").status_code in (404, 422)
    file = ordering.place.office.settings.file.parent / texts
    assert file.stat().st_mode & 0o077 == 0


def test_who_may_look_up_and_not_tell_starts_nothing(ordering: AtDesk) -> None:
    from at_desk import BASE, signed_in

    from onboard.desk.visit import csrf_of

    client = signed_in(ordering, Role.HELP_DESK)
    page = client.get("/mail/reminders").text
    assert "2 reminders due" in page
    assert "Make the reminders" not in page
    csrf = csrf_of(client.cookies[ordering.place.cookie])
    for path in ("do/make", "do/send", "stop"):
        answer = client.post(
            f"/mail/reminders/{path}", data={"csrf": csrf, "sure": "yes"}, headers={"origin": BASE}
        )
        assert answer.status_code == 403
    assert ordering.place.works.named(WORK) is None


def test_what_may_not_have_arrived_is_answered_at_the_desk(ordering: AtDesk) -> None:
    made(ordering)
    on_file(ordering, "UPDATE outgoing SET state = 'unsure' WHERE state = 'written'")
    page = ordering.client.get("/mail").text
    assert page.count("It had arrived") == 4  # two packets, two reminders
    assert page.count("It did not arrive: remind again") == 2
    with ordering.place.office.reading() as connection:
        packet, *_ = outgoing.by_state(connection, What.PACKET, State.UNSURE)
    first, second = reminders(ordering, State.UNSURE)
    done = ordering.post(f"/mail/unsure/{packet.id}", do="arrived").text
    assert "It is saved what you found out." in done
    ordering.post(f"/mail/unsure/{first}", do="arrived")
    ordering.post(f"/mail/unsure/{second}", do="lost")
    assert reminders(ordering, State.SENT) == [first]
    assert "1 reminder due" in ordering.client.get("/mail/reminders").text
    again = ordering.post(f"/mail/unsure/{first}", do="lost")
    assert "Somebody has answered this by now." in again.text


def test_who_wants_no_more_email_is_taken_in_by_a_button(ordering: AtDesk, tmp_path: Path) -> None:
    assert "want no more email" not in ordering.client.get("/mail").text
    folder = tmp_path / "spool"
    spool.prepare(folder)
    unsubscribe = '[reminders]\nunsubscribe_page = "https://join.example.org/stop/{key}"'
    write_settings(ordering, '[mail]\nhost = "127.0.0.1"\nport = 9\n[files]\nspool = "spool"\n')
    file = ordering.place.office.settings.file
    file.write_text(file.read_text("utf-8").replace("[reminders]", unsubscribe), "utf-8")
    made(ordering)
    (mail, *_) = sorted(ordering.place.office.settings.outbox.glob("reminder-*.eml"))
    key = re.findall(r"/stop/(\w+)", mail.read_text())[0]
    spool.add_stop(folder, "2026-12-02T12:00:00Z", key)
    assert "1 request for no more email" in ordering.client.get("/").text
    page = ordering.client.get("/mail").text
    assert "People who want no more email: 1." in page
    done = ordering.post("/mail/stops").text
    assert "Whoever asked gets no more email." in done
    assert "People who want no more email" not in done
    with ordering.place.office.reading() as connection:
        said = connection.execute(text("SELECT count(*) FROM member WHERE consent = 0")).scalar()
    assert said == 1
    assert ordering.post("/mail/stops").status_code == 200  # somebody was quicker


def test_with_many_members_the_page_of_a_day_is_counted_beside_it(
    ordering: AtDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("onboard.desk.counted.MANY", 2)
    path = f"/mail/reminders?on={date.today() + timedelta(4)}"
    assert "All of them are being counted" in ordering.client.get(path).text
    count = ordering.place.counted.known(ordering.place.office, path)
    assert count.work
    assert count.work.wait(60)
    assert "2 reminders due" in ordering.client.get(path).text
    ordering.place.counted.close()
