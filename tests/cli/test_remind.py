"""Reminders as a coordinator makes them: who gets one, by which way, once, and never too late."""

from __future__ import annotations

import csv
import email
import hashlib
import json
import re
import sqlite3
from email import policy
from email.message import EmailMessage
from pathlib import Path

import pytest
from office import HEADINGS, KIM, PAT, SAM, onboard, write_csv
from office import SETTINGS as WITHOUT_SERVER
from pypdf import PdfReader
from test_windows_command import today_is

from onboard.settings.model import KEYS
from onboard.welcome.texts import septets

SETTINGS = f'{WITHOUT_SERVER}\n[mail]\nhost = "mail.example.org"\n'
MAY = "May we email you?"
NOA = ("Noa Reyes", "noa@example.org", "419-555-0111", "3 Oak Ave", "Lima", "OH", "45801", "Lima Grange")  # fmt: skip


def forms(folder: Path, *answers: str) -> None:
    people = [(*one, said) for one, said in zip((PAT, KIM, SAM, NOA), answers, strict=True)]
    write_csv(folder / "forms.csv", people, (*HEADINGS, MAY))


def joined(folder: Path, monkeypatch: pytest.MonkeyPatch, *said: str) -> None:
    """Four forms that say this about email, each of them enrolled."""
    (folder / "onboard.toml").write_text(SETTINGS)
    forms(folder, *said)
    today_is(monkeypatch, 2026, 11, 20, 17)
    onboard("batch", "forms.csv", "--record")
    for line in held(folder):
        onboard("answer", line, "enroll")


@pytest.fixture
def coop(office: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Four members: Pat said yes to email, Kim no, Sam has none, and Noa said yes."""
    joined(office, monkeypatch, "yes", "no", "", "yes")
    return office


def held(folder: Path) -> list[str]:
    return [key for (key,) in ask(folder, "SELECT key FROM row WHERE decision = 'hold'")]


def ask(folder: Path, question: str) -> list[tuple[str, ...]]:
    with sqlite3.connect(folder / "roster.db") as connection:
        return connection.execute(question).fetchall()


def run(folder: Path, order: str) -> None:
    with sqlite3.connect(folder / "roster.db") as connection:
        connection.execute(order)


def listed(folder: Path) -> list[tuple[str, ...]]:
    return ask(
        folder,
        "SELECT handle, kind, way, state FROM outgoing JOIN member ON member.id = member_id WHERE what = 'reminder'"
        " ORDER BY outgoing.id",
    )


def mails(folder: Path) -> dict[str, EmailMessage]:
    found = [
        email.message_from_bytes(file.read_bytes(), policy=policy.default)
        for file in sorted((folder / "outbox").glob("reminder-*.eml"))
    ]
    return {str(mail["To"].addresses[0].addr_spec): mail for mail in found}  # type: ignore[misc]


def due(*words: str) -> list[tuple[str, str, str]]:
    lines = onboard("remind", *words, "--json").json()
    return sorted((one["handle"], one["kind"], one["way"]) for one in lines)


def test_a_box_left_blank_is_not_called_a_no(office: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    joined(office, monkeypatch, "", "no", "", "maybe later")
    today_is(monkeypatch, 2026, 12, 1, 17)
    said = onboard("remind").words
    assert "as they opted out of email: kimvale." in said
    assert "as their form says neither yes nor no to email: patlee, noareyes." in said
    # Whoever takes it back later has said no.
    onboard("correct", "noareyes", "--consent", "yes", "--why", "asked by phone", "--record")
    onboard("correct", "noareyes", "--consent", "no", "--why", "called", "--record")
    said = onboard("remind").words
    assert "as they opted out of email: kimvale, noareyes." in said
    # So has whoever says no where the box was blank; and that can be taken back as any correction can.
    words = ("correct", "patlee", "--consent", "no", "--why", "called")
    assert "no answer" in onboard(*words).words
    saved = onboard(*words, "--record").words
    assert "as they opted out of email: patlee, kimvale, noareyes." in onboard("remind").words
    assert "There is nothing to change" in onboard(*words).words
    number = re.search(r"onboard undo (\d+)", saved)
    assert number
    onboard("undo", number[1], "--record")
    assert "neither yes nor no to email: patlee." in onboard("remind").words


def test_who_said_yes_gets_an_email_who_has_none_a_postcard_and_who_said_no_nothing(
    coop: Path,
) -> None:
    assert due("--on", "2026-11-28") == [
        ("noareyes", "opens soon", "email"), ("patlee", "opens soon", "email"), ("sammoor", "opens soon", "postcard"),
    ]  # fmt: skip
    said = onboard("remind", "--on", "2026-11-28")
    assert "3 reminders due on Sat, Nov 28, 2026:" in said.words
    assert "1 member gets no reminder, as they opted out of email: kimvale." in said.words
    assert listed(coop) == []


def test_each_becomes_due_on_its_day_and_on_no_other(coop: Path) -> None:
    days = {
        f"2026-{day}"
        for day in ("11-28", "12-01", "12-05", "12-04", "12-06", "11-27", "12-07", "12-02")
    }
    found = {day: {kind for _, kind, _ in due("--on", day)} for day in sorted(days)}
    assert {day: kinds for day, kinds in found.items() if kinds} == {
        "2026-11-28": {"opens soon"}, "2026-12-01": {"open now"}, "2026-12-04": {"closes soon"},
    }  # fmt: skip


def test_the_next_ones_are_those_after_the_day_that_was_asked_about(coop: Path) -> None:
    said = onboard("remind", "--on", "2026-11-29").words
    assert "The next ones are due on Tue, Dec 1, 2026." in said
    later = onboard("remind", "--on", "2026-12-02").words
    assert "The next ones are due on Fri, Dec 4, 2026." in later


def test_a_line_has_the_member_the_kind_the_way_and_the_window(coop: Path) -> None:
    first = onboard("remind", "--on", "2026-12-01", "--json").json()[0]
    ((number,),) = ask(coop, "SELECT id FROM member WHERE handle = 'patlee'")
    assert first["member"] == number
    assert first["window"] | {"uid": ""} == {
        "uid": "", "group": "Lake", "opens": "2026-12-01T00:00:00-05:00", "closes": "2026-12-06T23:59:59-05:00",
    }  # fmt: skip


def test_a_preview_saves_nothing_and_a_second_writing_writes_nothing(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 28, 15)
    look = onboard("remind")
    assert (
        "This was a preview. Nothing was saved. To make them: onboard remind --write" in look.words
    )
    assert listed(coop) == []
    made = onboard("remind", "--write")
    assert made.code == 0
    assert "Made 3 reminders: 2 emails, 1 postcard." in made.words
    assert (
        "2 emails in the outbox, not sent yet. To send: onboard remind --send --really"
        in made.words
    )
    assert "Made 0 reminders." in onboard("remind", "--write").words
    assert due() == []
    assert [state for *_, state in listed(coop)] == ["written"] * 3
    assert sorted(mails(coop)) == ["noa@example.org", "pat.lee@example.org"]


def test_a_day_that_was_missed_is_made_good_until_it_is_too_late(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 12, 1, 4, 59)  # a minute before midnight in New York
    assert {kind for _, kind, _ in due()} == {"opens soon"}
    onboard("remind", "--write")
    today_is(monkeypatch, 2026, 12, 1, 5, 0)
    assert {kind for _, kind, _ in due()} == {"open now"}
    look = onboard("remind")
    assert "3 reminders in the outbox no longer right" in look.words
    onboard("remind", "--write")
    assert [row[1:] for row in listed(coop) if row[0] == "patlee"] == [
        ("opens soon", "email", "void"), ("open now", "email", "written"),
    ]  # fmt: skip
    assert len(mails(coop)) == 2


def test_a_window_that_moves_takes_its_reminders_along(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 28, 15)
    onboard("remind", "--write")
    moved = SETTINGS.replace(
        "opens = 2026-12-01, closes = 2026-12-06", "opens = 2026-12-08, closes = 2026-12-13"
    )
    (coop / "onboard.toml").write_text(moved)
    onboard("remind", "--write")
    assert {state for *_, state in listed(coop)} == {"void"}
    assert not mails(coop)
    today_is(monkeypatch, 2026, 12, 5, 15)
    onboard("remind", "--write")
    text = " ".join(mails(coop)["pat.lee@example.org"].get_body(("plain",)).get_content().split())  # type: ignore[union-attr]
    assert "from Tuesday, December 8, 2026 through Sunday, December 13, 2026" in text


def test_a_reminder_that_moved_windows_overtook_is_no_notice(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only what went out was heard; what still waits is made anew."""
    run(coop, "UPDATE outgoing SET state = 'sent', told = NULL")
    today_is(monkeypatch, 2026, 11, 28, 15)
    onboard("remind", "--write")
    run(
        coop,
        "UPDATE outgoing SET state = 'sent' WHERE what = 'reminder' AND file LIKE '%.eml' AND member_id = (SELECT id FROM member WHERE handle = 'patlee')",
    )
    moved = SETTINGS.replace(
        "opens = 2026-12-01, closes = 2026-12-06", "opens = 2026-12-02, closes = 2026-12-07"
    )
    (coop / "onboard.toml").write_text(moved)
    said = onboard("windows", "--json", "--record").json()
    assert [(one["handle"], one["told by"]) for one in said if "told by" in one] == [
        ("patlee", ["email"])
    ]
    assert [row[3] for row in listed(coop)] == ["sent", "written", "written"]
    today_is(monkeypatch, 2026, 11, 29, 15)  # three days before the new first day
    onboard("remind", "--write")
    assert [row[3] for row in listed(coop)] == ["sent", "void", "void", "written", "written"]


def test_who_closes_opts_out_or_died_is_not_reminded(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 28, 15)
    onboard("remind", "--write")
    onboard("close", "patlee", "--why", "moved away", "--record")
    onboard("correct", "noareyes", "--consent", "no", "--why", "asked by phone", "--record")
    onboard("correct", "kimvale", "--consent", "yes", "--why", "asked by phone", "--record")
    made = onboard("remind", "--write")
    assert "Took 2 reminders back that no longer held." in made.words
    assert [row for row in listed(coop) if row[3] == "written"] == [
        ("sammoor", "opens soon", "letter", "written"), ("kimvale", "opens soon", "email", "written"),
    ]  # fmt: skip
    assert list(mails(coop)) == ["kim@example.net"]


def test_who_was_never_asked_gets_none_and_is_told_to_the_coordinator(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (office / "onboard.toml").write_text(SETTINGS)
    today_is(monkeypatch, 2026, 11, 28, 15)
    onboard("batch", "forms.csv", "--record")
    assert "emailed" not in onboard("remind").words
    assert "get no reminder, as nobody asked if we may email them" in onboard("remind").words
    assert {way for _, _, way in due()} <= {"postcard"}


def test_without_a_mail_server_who_said_yes_gets_a_postcard(coop: Path) -> None:
    (coop / "onboard.toml").write_text(WITHOUT_SERVER)
    assert due("--on", "2026-11-28") == [
        ("noareyes", "opens soon", "postcard"), ("patlee", "opens soon", "postcard"), ("sammoor", "opens soon", "postcard"),
    ]  # fmt: skip


def test_an_email_that_came_back_makes_it_a_postcard(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 28, 15)
    onboard("remind", "--write")
    run(coop, "UPDATE outgoing SET state = 'returned' WHERE what = 'reminder' AND way = 'email'")
    run(coop, "UPDATE member SET bounced = '2026-11-28' WHERE handle = 'patlee'")
    assert due() == [("patlee", "opens soon", "postcard")]


def test_who_did_not_order_hears_so_only_where_a_list_says_it(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 12, 7, 15)
    assert due() == []
    said = onboard("remind").words
    assert (
        "No list of the ordering page says who ordered in Tue, Dec 1, 2026 to Sun, Dec 6, 2026 (Lake)"
        in said
    )
    run(coop, "UPDATE member SET page_seen = '2026-12-07', last_sign_in = '2026-12-02'")
    assert due() == []
    run(coop, "UPDATE member SET last_order = '2026-12-03' WHERE handle = 'patlee'")
    assert due() == [("noareyes", "no order", "email"), ("sammoor", "no order", "postcard")]
    run(coop, "UPDATE member SET page_seen = '2026-12-06'")
    assert due() == []


def test_what_is_odd_is_told_in_words(coop: Path) -> None:
    assert (
        "--on 1 December is not a day. Write it as 2026-12-01."
        in onboard("remind", "--on", "1 December").words
    )
    assert onboard("remind", "--really").code == 2
    assert onboard("remind", "--write", "--on", "2026-12-01").code == 2
    (coop / "onboard.toml").write_text(WITHOUT_SERVER)
    assert "No mail server is set in" in onboard("remind", "--send", "--really").words


def test_an_email_can_be_left_by_one_word_and_by_the_program(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 28, 15)
    page = '[reminders]\nunsubscribe_page = "https://coop.example.org/stop?k={key}"\n'
    onboard("remind", "--write")
    mail = mails(coop)["pat.lee@example.org"]
    assert mail["List-Unsubscribe"] == "<mailto:hello@growers.example.org?subject=unsubscribe>"
    assert mail["List-Unsubscribe-Post"] is None
    run(coop, "DELETE FROM outgoing WHERE what = 'reminder'")
    (coop / "onboard.toml").write_text(SETTINGS + page)
    onboard("remind", "--write")
    mail = mails(coop)["pat.lee@example.org"]
    # The key stands in this email alone: the Message-ID is a hash of it, and tells nobody what it is.
    page, _ = mail["List-Unsubscribe"].split(",")
    key = page.strip("<>").removeprefix("https://coop.example.org/stop?k=")
    made_of_it = hashlib.sha256(f"one click {key}".encode()).hexdigest()[:32]
    assert len(key) == 32
    assert mail["Message-ID"] == f"<{made_of_it}@growers.example.org>"
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    text = mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert "unsubscribe" in text
    assert "1 Barn Road, Lima OH 45801" in text


ASKED = "How should we remind you?"
TEXTS = SETTINGS.replace(
    'languages = ["en", "es"]', f'languages = ["en", "es"]\nextra_questions = ["{ASKED}"]'
) + (f'[reminders]\nway_question = "{ASKED}"\n')


@pytest.fixture
def choosers(office: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Pat and Kim chose texts (Kim said no to email), Sam a postcard, and Noa no reminders."""
    (office / "onboard.toml").write_text(TEXTS)
    chosen = [("yes", "Text"), ("no", "SMS, please"), ("", "Postcard"), ("yes", "none")]
    people = [(*one, *said) for one, said in zip((PAT, KIM, SAM, NOA), chosen, strict=True)]
    write_csv(office / "forms.csv", people, (*HEADINGS, MAY, ASKED))
    today_is(monkeypatch, 2026, 11, 28, 17)
    onboard("batch", "forms.csv", "--record")
    for line in held(office):
        onboard("answer", line, "enroll")
    run(office, "UPDATE member SET language = 'es' WHERE handle = 'kimvale'")
    return office


def test_a_text_goes_only_to_who_chose_it_and_once(choosers: Path) -> None:
    assert due() == [
        ("kimvale", "opens soon", "text"), ("patlee", "opens soon", "text"), ("sammoor", "opens soon", "postcard"),
    ]  # fmt: skip
    onboard("remind", "--write")
    said = onboard("remind", "--texts", "texts.csv")
    assert "Wrote 2 texts to texts.csv. They count as sent now" in said.words
    with (choosers / "texts.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["phone"] for row in rows} == {"+14195550143", "+14195550177"}
    spanish = next(row["message"] for row in rows if row["sign-in name"] == "kimvale")
    assert spanish.startswith("Test Growers Co-op: puede pedir desde el 1 dic hasta el 6 dic.")
    assert all((septets(row["message"]) or 999) <= 160 for row in rows)
    assert "No text waits." in onboard("remind", "--texts", "again.csv").words
    assert not (choosers / "again.csv").exists()
    assert due() == []
    assert [row[3] for row in listed(choosers) if row[2] == "text"] == ["printed", "printed"]


def test_a_reminder_that_did_not_arrive_is_due_again(choosers: Path) -> None:
    onboard("remind", "--write")
    run(choosers, "UPDATE outgoing SET state = 'unsure' WHERE what = 'reminder'")
    said = onboard("remind", "--again", "patlee").words
    assert "1 reminder counted as not arrived. To make them anew: onboard remind --write" in said
    assert [handle for handle, *_ in due()] == ["patlee"]


def test_a_text_that_cannot_fit_is_told_and_stays(choosers: Path) -> None:
    long = "The Very Long Named Buying and Growing Cooperative of the Maumee and Auglaize and Ottawa Rivers and All Their Creeks"  # fmt: skip
    (choosers / "onboard.toml").write_text(TEXTS.replace("Test Growers Co-op", long))
    onboard("remind", "--write")
    said = onboard("remind", "--texts", "texts.csv")
    assert said.code == 1
    assert "2 texts would not fit into 160 letters: patlee, kimvale" in said.words
    assert [row[3] for row in listed(choosers) if row[2] == "text"] == ["written", "written"]


def test_postcards_have_address_and_words_and_no_sign_in_name(choosers: Path) -> None:
    onboard("remind", "--write")
    onboard("remind", "--postcards", "cards.pdf")
    (page,) = PdfReader(choosers / "cards.pdf").pages
    words = " ".join(page.extract_text().split())
    for said in (
        "Sam Moor",
        "40 ELM ST",
        "Your ordering days start soon",
        "Call 419-555-0100",
    ):
        assert said in words
    assert "sammoor" not in words
    assert [row[3] for row in listed(choosers) if row[2] == "letter"] == ["printed"]


def test_what_is_too_late_is_in_no_file(choosers: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    onboard("remind", "--write")
    today_is(monkeypatch, 2026, 12, 1, 6)
    onboard("remind", "--texts", "texts.csv", "--postcards", "cards.pdf")
    assert not (choosers / "texts.csv").exists()
    assert {row[3] for row in listed(choosers)} == {"void"}


# ---------------------------------------------------------------- read before they go out


def test_the_words_of_each_kind_and_way_are_shown_before_they_go_out(coop: Path) -> None:
    said = onboard("remind", "--on", "2026-11-28", "--words")
    assert "Opens soon, Lake, by email, in English, to 2 members:" in said.words
    assert "Subject: Test Growers Co-op: your ordering days start soon" in said.words
    assert "Hello Pat," in said.words
    assert "\r" not in said.out
    assert "Opens soon, Lake, by postcard, in English, to 1 member:" in said.words
    assert "Questions, or no more cards? Call 419-555-0100." in said.words
    assert listed(coop) == []
    lines = onboard("remind", "--on", "2026-11-28", "--words", "--json").json()
    assert [(one["way"], one["members"]) for one in lines] == [("email", 2), ("postcard", 1)]
    refused = onboard("remind", "--words", "--write")
    assert refused.code == 2
    assert "--words is for a preview" in refused.err


def test_a_day_without_reminders_names_the_next_that_has_some(coop: Path) -> None:
    said = onboard("remind")
    assert "No reminders are due on Fri, Nov 20, 2026." in said.words
    assert "due on Sat, Nov 28, 2026. To preview them: onboard remind --on 2026-11-28" in said.words


def test_sample_settings_are_refused_in_words_about_reminders(coop: Path) -> None:
    sample = KEYS["coop"]["postal_address"].example
    (coop / "onboard.toml").write_text(SETTINGS.replace('"1 Barn Road, Lima OH 45801"', json.dumps(sample)))  # fmt: skip
    said = onboard("remind", "--write")
    assert said.code == 2
    assert "No reminder can be made yet" in said.err
    assert "packet" not in said.err


def test_who_was_here_before_us_hears_of_no_welcome_packet(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (coop / "old.csv").write_text(
        "Sign-in name,First name,Last name,Email,Drop site,May we email you?\n"
        "ida.l,Ida,Lind,ida@example.org,Lima Grange,yes\n",
        encoding="utf-8",
    )
    onboard("adopt", "old.csv", "--record")
    run(coop, "UPDATE member SET page_seen = '2026-11-27'")
    today_is(monkeypatch, 2026, 11, 28, 15)
    onboard("remind", "--write")
    said = mails(coop)["ida@example.org"].get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert "you have not signed in yet" in said
    assert "packet" not in said


def test_whom_the_settings_let_look_nobody_up_sees_no_address(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 28, 17)
    onboard("remind", "--write")
    (to, *_) = [one.get("to") for one in onboard("remind", "--send", "--json").json()]
    assert to
    with (coop / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write('\n[desk]\nmay_look_up = ["robin"]\n')
    for hidden in onboard("remind", "--send", "--json").json():
        assert (hidden["handle"], "to" in hidden) == ("", False)
    assert "@" not in onboard("remind", "--send").words
