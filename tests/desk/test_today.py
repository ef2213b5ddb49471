"""`onboard today`: what waits for a person, counted, in order, and with a line that works."""

from __future__ import annotations

import re
import shlex
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from cli.office import PAT, SAM, SETTINGS, listing, onboard, program, today_is, write_csv
from desk.test_returned import came, failed
from sqlalchemy import Connection, event, text

from onboard.model import Need, Waiting
from onboard.model.waiting import in_order
from onboard.office import Office, open_office
from onboard.reports.today import WORDS
from onboard.tasks.today import today

MAIL = '\n[mail]\nhost = "mail.example.org"\n'
MOVED = SETTINGS.replace("opens = 2026-12-01, closes = 2026-12-06", "opens = 2026-12-02, closes = 2026-12-07")  # fmt: skip


def kinds(*words: str) -> dict[str, int]:
    """What waits, in order, and how many."""
    return {one["kind"]: one["count"] for one in onboard("today", "--json", *words).json()}


@pytest.fixture
def november(office: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The office with its two members, a week before the first window opens."""
    today_is(monkeypatch, 2026, 11, 20, 17)
    (office / "onboard.toml").write_text(SETTINGS + MAIL, encoding="utf-8")
    return office


# ---------------------------------------------------------------- the order, which knows no store


def test_the_most_pressing_comes_first_and_the_longest_wait_before_others() -> None:
    day, zone = date(2026, 12, 1), ZoneInfo("America/New_York")
    closes = Waiting(Need.CLOSES, 1, "windows", when=datetime(2026, 12, 1, 20, tzinfo=zone), group="A")  # fmt: skip
    opens = Waiting(Need.OPENS, 1, "windows", when=datetime(2026, 12, 3, tzinfo=zone), group="B")
    old, new = (Waiting(Need.CALLS, 1, "calls", day - timedelta(n)) for n in (9, 2))
    export, send = Waiting(Need.TELL_PAGE, 3, "export"), Waiting(Need.SEND, 3, "packets --send")
    audit, forms = Waiting(Need.AUDIT, 1, "audit"), Waiting(Need.FORMS, 1, "answer")
    assert in_order([audit, opens, send, new, export, old, forms, closes], day) == (
        closes, forms, old, new, export, send, opens, audit,
    )  # fmt: skip
    assert in_order([forms, opens], date(2026, 12, 3)) == (opens, forms)


# ---------------------------------------------------------------- what is counted


def test_a_week_of_work_is_told_and_goes_away_as_it_is_done(november: Path) -> None:
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'due'")
    assert kinds() == {"packets to make": 2}
    write_csv(november / "more.csv", [SAM])
    onboard("batch", "more.csv", "--record")
    onboard("packets", "--write")
    onboard("call", "patlee", "--about", "order", "--ended", "open")
    assert kinds() == {
        "forms on hold": 1,
        "open calls": 1,
        "accounts to tell the ordering page": 2,
        "emails to send": 2,
    }
    onboard("export", "accounts.csv", "--record")
    onboard("calls", "1", "--close")
    assert kinds() == {"forms on hold": 1, "emails to send": 2}
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'sent'")
    assert kinds() == {"forms on hold": 1}
    onboard("correct", "patlee", "--phone", "419-555-0199", "--record")
    assert kinds() == {"forms on hold": 1, "accounts to tell the ordering page": 1, "emails to send": 1}  # fmt: skip


def test_an_email_that_came_in_doubt_after_it_was_made_waits_for_an_answer_and_not_to_be_sent(
    november: Path,
) -> None:
    onboard("packets", "--write")
    other = write_csv(november / "more.csv", [(PAT[0], "plee@example.net", *PAT[2:])])
    onboard("batch", other, "--record")
    found = kinds()
    assert (found["email addresses in doubt"], found["emails to send"]) == (1, 1)
    said = onboard("packets").words
    assert "1 welcome packet waits" in said
    assert "1 email to send. 1 for you to check." in onboard("packets", "--send").words


def test_without_a_mail_server_all_are_letters(november: Path) -> None:
    (november / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    onboard("packets", "--write")
    assert kinds() == {"accounts to tell the ordering page": 2, "letters to print": 2}


def test_email_that_came_back_is_told_once_with_whom_to_call(november: Path) -> None:
    onboard("packets", "--write")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'sent', message_id = '<' || id || '@x>'")
    came(november / "box", "1.eml", failed("kim@example.net", about="<2@x>"))
    onboard("returned", "box", "--record")
    (back,) = (one for one in onboard("today", "--json").json() if "email that" in one["kind"])
    assert (back["count"], back["members"]) == (1, ["kimvale"])
    assert back["command"] == "onboard find kimvale"
    assert "messages that did not arrive" not in kinds()
    assert "1 member gets no email: it came back. Call or write: kimvale" in onboard("today").words
    onboard("correct", "kimvale", "--email", "kim.vale@example.net", "--record")
    assert "email that came back" not in kinds()


def test_mail_that_is_put_off_again_and_again_asks_for_a_call(november: Path) -> None:
    for number in range(3):
        assert "email that came back" not in kinds()
        mail = failed("kim@example.net", "4.4.1", "delayed", f"<{number}@y>")
        came(november / "box", f"{number}.eml", mail)
        onboard("returned", "box", "--record")
    assert kinds()["email that came back"] == 1


def test_what_may_not_have_arrived_and_what_was_refused_is_told(november: Path) -> None:
    onboard("packets", "--write")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'unsure' WHERE member_id = 1")
        roster.execute("UPDATE outgoing SET state = 'refused' WHERE member_id = 2")
    assert kinds() == {"messages that may not have arrived": 1, "messages that did not arrive": 1}
    onboard("close", "patlee", "kimvale", "--why", "moved", "--record")
    assert kinds() == {}


def test_a_message_whose_program_is_gone_may_not_have_arrived(november: Path) -> None:
    onboard("packets", "--write")
    with sqlite3.connect("roster.db") as roster:
        roster.execute(
            "UPDATE outgoing SET state = 'claimed', claim = 'elsewhere:1', at = '2026-11-20T09:00:00Z'"
        )
    assert kinds()["messages that may not have arrived"] == 2


def test_a_packet_held_for_a_caller_is_not_an_address_in_doubt(november: Path) -> None:
    with sqlite3.connect("roster.db") as roster:
        roster.execute(
            "UPDATE outgoing SET state = 'waiting', why = CASE member_id WHEN 1 THEN 'email address in doubt' "
            "ELSE 'call-back' END"
        )
    assert kinds() == {"email addresses in doubt": 1, "callers to check": 1}


# ---------------------------------------------------------------- windows, audit


@pytest.mark.parametrize(
    ("now", "told"),
    [
        ((2026, 11, 24, 4), {}),
        ((2026, 11, 24, 6), {"window opens": "2026-12-01T00:00:00-05:00"}),
        ((2026, 12, 1, 6), {"window closes": "2026-12-06T23:59:59-05:00"}),
        ((2026, 12, 7, 4), {"window closes": "2026-12-06T23:59:59-05:00"}),
        ((2026, 12, 7, 6), {}),
    ],
)
def test_a_window_that_turns_within_a_week_is_told(
    november: Path, monkeypatch: pytest.MonkeyPatch, now: tuple[int, ...], told: dict[str, str]
) -> None:
    today_is(monkeypatch, *now)
    lines = onboard("today", "--json").json()
    assert {one["kind"]: one["when"] for one in lines if "when" in one} == told


def test_a_window_of_today_stands_first_and_one_of_this_week_asks_for_nobody(
    november: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 12, 6, 12)
    assert list(kinds()) == [
        "window closes",
        "accounts to tell the ordering page",
        "emails to send",
    ]
    said = onboard("today")
    assert said.out.startswith("The ordering window of Lake closes today, at the end of the day.\n")
    onboard("close", "patlee", "kimvale", "--why", "moved", "--record")
    assert onboard("today").code == 0
    today_is(monkeypatch, 2026, 12, 8, 12)
    assert onboard("today").out == "Nothing waits for you now.\n"


def test_a_moved_window_is_told_until_the_notices_are_made(november: Path) -> None:
    onboard("packets", "--write")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'sent'")
    assert kinds() == {}
    (november / "onboard.toml").write_text(MOVED + MAIL, encoding="utf-8")
    assert kinds() == {"moved windows": 1}
    onboard("windows", "--to", "web")  # calendars know it; members do not yet
    assert kinds() == {"moved windows": 1}
    onboard("windows", "--record")
    assert kinds() == {"letters to print": 2}  # nobody of them said yes to email
    (november / "onboard.toml").write_text(SETTINGS + MAIL, encoding="utf-8")
    assert kinds()["moved windows"] == 1


def test_a_new_window_has_not_moved(november: Path) -> None:
    onboard("packets", "--write")
    more = SETTINGS.replace("windows = [", "windows = [{ opens = 2027-03-01, closes = 2027-03-06 }, ")  # fmt: skip
    (november / "onboard.toml").write_text(more + MAIL, encoding="utf-8")
    assert "moved windows" not in kinds()


def test_an_audit_is_due_again_after_the_days_of_the_settings(
    november: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE journal SET at = '2026-11-20T15:00:00Z'")
    today_is(monkeypatch, 2027, 5, 18, 17)
    assert "audit" not in kinds()
    today_is(monkeypatch, 2027, 5, 19, 17)
    assert kinds()["audit"] == 1
    onboard("audit")  # on the screen alone: nobody has it
    assert kinds()["audit"] == 1
    onboard("audit", "--to", "audit")
    assert "audit" not in kinds()
    (november / "onboard.toml").write_text(SETTINGS + "\n[audit]\nevery_days = 0\n", encoding="utf-8")  # fmt: skip
    today_is(monkeypatch, 2031, 2, 18, 17)
    assert "audit" not in kinds()


# ---------------------------------------------------------------- a look, for whoever may see


def test_it_makes_and_changes_nothing(november: Path) -> None:
    onboard("packets", "--write")
    before = listing(november)
    onboard("today")
    assert listing(november) == before
    (november / "roster.db").unlink()
    assert onboard("today").out == "Nothing waits for you now.\n"
    assert not (november / "roster.db").exists()


def test_it_waits_for_nobody_who_writes(november: Path) -> None:
    with sqlite3.connect("roster.db") as writer:
        writer.execute("BEGIN IMMEDIATE")
        writer.execute("UPDATE member SET notes = 'x'")
        assert kinds()["emails to send"] == 2
        writer.rollback()


def test_whom_the_settings_do_not_name_sees_numbers_alone(november: Path) -> None:
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE member SET bounced = '2026-11-01' WHERE id = 2")
    desk = SETTINGS + MAIL + '\n[desk]\nmay_look_up = ["robin"]\n'
    (november / "onboard.toml").write_text(desk, encoding="utf-8")
    assert "kimvale" in onboard("today", "--by", "robin").out
    said = onboard("today", "--by", "sam", "--json")
    assert "kimvale" not in said.out
    assert '"count": 1' in said.out


def test_every_line_works_from_anywhere(
    november: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_csv(november / "more.csv", [SAM, (PAT[0], "pat@gmail.con", *PAT[2:])])
    onboard("batch", "more.csv", "--record")
    onboard("packets", "--write")
    onboard("call", "patlee", "--about", "order", "--ended", "open")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE member SET bounced = '2026-11-01' WHERE id = 2")
        roster.execute("UPDATE outgoing SET state = 'unsure' WHERE member_id = 1")
        roster.execute("UPDATE journal SET at = '2026-01-20T15:00:00Z'")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(elsewhere)
    place = ("--settings", str(november / "onboard.toml"))
    lines = [one["command"] for one in onboard("today", "--json", *place).json()]
    assert len(lines) >= 6
    for line in lines:
        said = program(*shlex.split(line)[1:], cwd=elsewhere)
        assert said.code in (0, 1), (line, said.words)


# ---------------------------------------------------------------- how much it reads


@contextmanager
def plans(connection: Connection) -> Iterator[list[str]]:
    """What SQLite says of how it finds the lines of each question that is asked meanwhile."""
    found: list[str] = []

    def explain(_: Any, cursor: Any, statement: str, parameters: Any, *__: Any) -> None:
        if statement.lstrip().upper().startswith("SELECT"):
            lines = connection.connection.cursor().execute(f"EXPLAIN QUERY PLAN {statement}", parameters)  # fmt: skip
            found.extend(f"{line[3]}\n    {statement}" for line in lines)

    event.listen(connection.engine, "before_cursor_execute", explain)
    try:
        yield found
    finally:
        event.remove(connection.engine, "before_cursor_execute", explain)


def test_no_question_reads_a_whole_table(november: Path) -> None:
    onboard("packets", "--write")
    onboard("export", "accounts.csv", "--record")
    office = open_office(november / "onboard.toml")
    with office.reading() as connection:
        engine = connection.engine
    asked = 0
    with engine.connect() as connection:
        connection.execute(text("SELECT 1"))
        with plans(connection) as found:
            today(replace(office, engine=engine))
        asked = len(found)
    large = ("member", "row", "outgoing", "call", "journal", "exported", "person")
    read = [plan for plan in found if plan.split()[0] == "SCAN" and plan.split()[1] in large]
    # The newest lines of the journal alone: it is read backward, to the first line that is old enough.
    assert [plan for plan in read if "journal.at <" not in plan and "LIMIT" not in plan] == []
    assert asked > 10


def test_a_program_gets_a_typed_list(november: Path) -> None:
    found = today(open_office(november / "onboard.toml", now=lambda: datetime(2026, 11, 20, tzinfo=UTC)))  # fmt: skip
    assert [(one.need, one.count, one.command) for one in found] == [
        (Need.TELL_PAGE, 2, "export accounts.csv --record"), (Need.SEND, 2, "packets --send"),
    ]  # fmt: skip
    assert isinstance(open_office(november / "onboard.toml"), Office)


# ---------------------------------------------------------------- reminders, and who was here before us

MAY = "May we email you?"


@pytest.fixture
def due(november: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Both members said yes to email, and a window of theirs opens in three days."""
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE member SET consent = 1")
    today_is(monkeypatch, 2026, 11, 28, 17)
    return november


def test_reminders_that_are_due_and_not_made_are_told(due: Path) -> None:
    assert kinds()["reminders to make"] == 2
    said = onboard("today").words
    assert "2 reminders to make. To make them: onboard remind --write" in said
    onboard("remind", "--write")
    assert "reminders to make" not in kinds()
    assert kinds()["reminders"] == 2


def test_a_reminder_that_may_not_have_arrived_leads_to_the_line_that_makes_it_due_again(
    due: Path,
) -> None:
    onboard("remind", "--write")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'unsure' WHERE what = 'reminder'")
    lines = {one["kind"]: one for one in onboard("today", "--json").json()}
    assert "messages that may not have arrived" not in lines
    told = lines["reminders that may not have arrived"]
    assert (told["count"], told["members"]) == (2, ["patlee", "kimvale"])
    assert told["command"] == "onboard remind --again patlee"
    assert onboard(*shlex.split(told["command"])[1:]).code == 0
    assert kinds()["reminders that may not have arrived"] == 1
    assert kinds()["reminders to make"] == 1


def test_a_reminder_whose_program_is_gone_can_be_made_again_at_once(due: Path) -> None:
    onboard("remind", "--write")
    with sqlite3.connect("roster.db") as roster:
        roster.execute(
            "UPDATE outgoing SET state = 'claimed', claim = 'elsewhere:1', at = '2026-11-28T09:00:00Z'"
            " WHERE what = 'reminder' AND member_id = 1"
        )
    assert kinds()["reminders that may not have arrived"] == 1
    assert "messages that may not have arrived" not in kinds()
    assert "1 reminder counted as not arrived" in onboard("remind", "--again", "patlee").words
    assert "reminders that may not have arrived" not in kinds()


def test_whom_a_reminder_may_not_have_reached_is_not_named_to_everybody(due: Path) -> None:
    onboard("remind", "--write")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE outgoing SET state = 'unsure' WHERE what = 'reminder'")
    desk = SETTINGS + MAIL + '\n[desk]\nmay_look_up = ["robin"]\n'
    (due / "onboard.toml").write_text(desk, encoding="utf-8")
    said = onboard("today", "--by", "sam", "--json").out
    assert "onboard remind" in said
    assert "patlee" not in said


@pytest.fixture
def adopted(november: Path) -> Path:
    """Noa had an account at the page before us, and has a new phone since."""
    (november / "list.csv").write_text(
        "Sign-in name,First name,Last name,Email,Drop site\nnoa.r,Noa,Reyes,noa@example.org,Lima Grange\n",
        encoding="utf-8",
    )
    onboard("adopt", "list.csv", "--record")
    onboard("packets", "--write")
    onboard("correct", "noa.r", "--phone", "419-555-0188", "--record")
    return november


def test_before_the_first_export_a_change_of_whom_the_page_has_is_told_with_the_line_that_tells_it(
    adopted: Path,
) -> None:
    (told,) = (one for one in onboard("today", "--json").json() if "tell" in one["kind"])
    assert told["count"] == 3
    assert "--changed" in told["command"]
    onboard(*shlex.split(told["command"])[1:])
    assert "noa.r" in (adopted / "changes.csv").read_text(encoding="utf-8")
    assert "accounts to tell the ordering page" not in kinds()


def test_after_the_first_export_a_change_from_before_it_still_waits(adopted: Path) -> None:
    onboard("export", "accounts.csv", "--record")
    assert kinds()["accounts to tell the ordering page"] == 1
    onboard("export", "changes.csv", "--changed", "--record")
    assert "accounts to tell the ordering page" not in kinds()


def test_the_page_says_what_the_command_prints_in_its_order() -> None:
    page = (Path(__file__).parents[2] / "docs" / "today.md").read_text("utf-8")
    rows = [row for row in page.splitlines() if row.startswith("| `")]
    kinds = [kind for row in rows for kind in re.findall(r"`([^`]+)`", row.split(" | ")[0])]
    assert kinds[2:] == ["window closes", "window opens", *map(str, list(Need)[2:])]
    for need in list(Need)[2:]:
        (row,) = [row for row in rows if f"`{need}`" in row.split(" | ")[0]]
        said = {words.casefold() for words in WORDS[need][:2]} | {"an audit is due"}
        assert any(words in row.casefold() for words in said if words), need
