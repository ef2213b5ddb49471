"""Who pressed “Unsubscribe” in their mail program: the no is noted once, from a POST, and nobody can say it for others."""

from __future__ import annotations

import gzip
import re
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cli.office import SETTINGS, onboard, today_is

from onboard import spool
from onboard.office import open_office
from onboard.tasks.take_clicks import take_clicks

PAGE = '\n[mail]\nhost = "mail.example.org"\n[reminders]\nunsubscribe_page = "https://coop.example.org/stop?key={key}"\n'
LOG = '203.0.113.9 - - [29/Nov/2026:08:00:00 -0500] "{how} /stop?key={key} HTTP/1.1" 404 12 "-" "mail program"\n'


@pytest.fixture
def keys(office: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """By sign-in name, the key in the reminder that each got."""
    (office / "onboard.toml").write_text(SETTINGS + PAGE, encoding="utf-8")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE member SET consent = 1")
    today_is(monkeypatch, 2026, 11, 28, 17)
    onboard("remind", "--write")
    found = {}
    for file in sorted((office / "outbox").glob("reminder-*.eml")):
        text = file.read_text(encoding="utf-8")
        (key,) = re.findall(r"stop\?key=([0-9a-f]{32})>", text)
        (message_id,) = re.findall(r"^Message-ID: (\S+)", text, re.MULTILINE)
        assert key not in message_id  # whoever reads a reply sees the Message-ID
        with sqlite3.connect("roster.db") as roster:
            roster.execute(
                "UPDATE outgoing SET state = 'sent', message_id = ? WHERE file = ?",
                (message_id, file.name),
            )
            ((name,),) = roster.execute(
                "SELECT handle FROM member JOIN outgoing ON member.id = member_id WHERE file = ?", (file.name,)
            )  # fmt: skip
        found[name] = key
    assert sorted(found) == ["kimvale", "patlee"]
    return found


def consents() -> dict[str, object]:
    with sqlite3.connect("roster.db") as roster:
        return dict(roster.execute("SELECT handle, consent FROM member").fetchall())


def test_a_post_in_the_log_of_the_web_server_is_a_no_once(keys: dict[str, str]) -> None:
    log = (
        LOG.format(how="GET", key=keys["kimvale"]) + LOG.format(how="POST", key=keys["patlee"]) * 2
    )
    Path("access.log").write_text(log, encoding="utf-8")
    look = onboard("returned", "--clicks", "access.log")
    assert "1 request for no more email." in look.words
    assert "1 time the page was only opened. That asks for nothing." in look.words
    assert consents() == {"patlee": 1, "kimvale": 1}
    said = onboard("returned", "--clicks", "access.log", "--record")
    assert "Pat Lee (patlee): they asked for no more email." in said.words
    assert "1 change on file." in said.words
    assert consents() == {"patlee": 0, "kimvale": 1}
    onboard("correct", "patlee", "--consent", "yes", "--why", "asked by phone", "--record")
    Path("access.log.1.gz").write_bytes(gzip.compress(log.encode()))
    again = onboard("returned", "--clicks", "access.log.1.gz", "--record")
    assert "1 request for no more email, 1 taken in before." in again.words
    assert consents()["patlee"] == 1


def test_a_no_takes_what_waits_out_and_no_reminder_follows(
    keys: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("stops.csv").write_text(f"method,key\nPOST,{keys['patlee']}\n", encoding="utf-8")
    onboard("returned", "--clicks", "stops.csv", "--record")
    today_is(monkeypatch, 2026, 12, 1, 17)
    due = {one["handle"] for one in onboard("remind", "--json").json()}
    assert due == {"kimvale"}


def test_nobody_can_make_a_key_out_of_what_a_reply_carries(keys: dict[str, str]) -> None:
    with sqlite3.connect("roster.db") as roster:
        ids = [
            one
            for (one,) in roster.execute("SELECT message_id FROM outgoing WHERE message_id != ''")
        ]
    lines = [LOG.format(how="POST", key=one.strip("<").partition("@")[0]) for one in ids]
    lines.append(LOG.format(how="POST", key="0" * 32))
    Path("access.log").write_text("".join(lines), encoding="utf-8")
    said = onboard("returned", "--clicks", "access.log", "--record")
    assert "3 keys in it of no email of ours." in said.words
    assert consents() == {"patlee": 1, "kimvale": 1}


def test_an_email_of_an_earlier_domain_is_known(keys: dict[str, str], office: Path) -> None:
    moved = (SETTINGS + PAGE).replace("hello@growers.example.org", "hello@new.example.org")
    (office / "onboard.toml").write_text(moved, encoding="utf-8")
    Path("stops.log").write_text(LOG.format(how="POST", key=keys["kimvale"]), encoding="utf-8")
    onboard("returned", "--clicks", "stops.log", "--record")
    assert consents()["kimvale"] == 0


def test_a_file_that_is_none_is_refused_in_words(keys: dict[str, str]) -> None:
    assert "Can't read nothing.log" in onboard("returned", "--clicks", "nothing.log").err
    Path("bad.gz").write_bytes(b"no gzip")
    assert "Can't read bad.gz" in onboard("returned", "--clicks", "bad.gz").err
    Path("odd.log").write_bytes(b"POST \xff\xfe" + b"a" * 200_000 + b"\n")
    assert onboard("returned", "--clicks", "odd.log").code == 0


# ---------------------------------------------------------------- at the porch

AT = "2026-11-28T17:00:00+00:00"


@pytest.fixture
def porch(keys: dict[str, str], office: Path) -> Path:
    """The spool of a porch that the settings name."""
    folder = office / "spool"
    spool.prepare(folder)
    (office / "onboard.toml").write_text(
        f'{SETTINGS}{PAGE}\n[files]\nspool = "spool"\n', encoding="utf-8"
    )
    return folder


def test_a_no_counts_as_soon_as_the_email_is_written_and_the_email_goes_nowhere(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spool.prepare(office / "spool")
    settings = f'{SETTINGS}{PAGE}\n[files]\nspool = "spool"\n'
    (office / "onboard.toml").write_text(settings, encoding="utf-8")
    with sqlite3.connect("roster.db") as roster:
        roster.execute("UPDATE member SET consent = 1")
    today_is(monkeypatch, 2026, 11, 28, 17)
    onboard("remind", "--write")
    for file in (office / "outbox").glob("reminder-*.eml"):  # the co-op hands them out by itself
        (key,) = re.findall(r"stop\?key=([0-9a-f]{32})>", file.read_text(encoding="utf-8"))
        spool.add_stop(office / "spool", AT, key)
    said = onboard("returned", "--clicks", "spool", "--record")
    assert "2 requests for no more email." in said.words
    assert "no email of ours" not in said.words
    assert consents() == {"patlee": 0, "kimvale": 0}
    onboard("remind", "--write")
    assert not [*(office / "outbox").glob("reminder-*.eml")]


def test_a_key_of_no_email_stays_in_the_spool_and_counts_once_it_is_known(
    keys: dict[str, str], porch: Path
) -> None:
    def restore(prefix: str) -> None:
        with sqlite3.connect("roster.db") as roster:
            roster.execute("UPDATE outgoing SET message_id = ? || substr(message_id, 2)", (prefix,))

    now = datetime.now(UTC)
    restore("!")  # a roster that does not know these emails
    spool.add_stop(porch, now.isoformat(), keys["patlee"])
    spool.add_stop(porch, (now - timedelta(60)).isoformat(), "1" * 32)
    said = onboard("returned", "--clicks", "spool", "--record")
    assert "2 keys in it of no email of ours. They take nobody off. They stay in" in said.words
    assert consents() == {"patlee": 1, "kimvale": 1}
    assert waits() == []
    spool.add_stop(porch, now.isoformat(), keys["kimvale"])
    assert "2 keys in it of no email" in onboard("returned", "--clicks", "spool", "--record").words
    assert keys["patlee"] in (porch / spool.UNKNOWN).read_text(encoding="utf-8")
    assert "1" * 32 not in (porch / spool.UNKNOWN).read_text(encoding="utf-8")  # too old
    restore("<")
    onboard("remind", "--write")
    assert consents() == {"patlee": 0, "kimvale": 0}
    assert spool.unknown_stops(porch) == ()


def waits() -> list[dict[str, object]]:
    lines = onboard("today", "--json").json()
    return [one for one in lines if one["kind"] == "requests for no more email"]


def test_what_came_in_at_the_porch_is_told_and_taken_in_by_the_line_of_today(
    keys: dict[str, str], porch: Path
) -> None:
    assert waits() == []
    for key in (keys["patlee"], keys["patlee"], "0" * 32):
        spool.add_stop(porch, AT, key)
    (line,) = waits()
    assert (line["count"], line["command"]) == (2, "onboard returned --clicks spool --record")
    look = onboard("returned")  # no mailbox is set
    assert "1 request for no more email." in look.words
    assert consents() == {"patlee": 1, "kimvale": 1}
    assert len(spool.waiting_stops(porch)) == 1
    said = onboard(*str(line["command"]).split()[1:])
    assert "Pat Lee (patlee): they asked for no more email." in said.words
    assert "1 key in it of no email of ours." in said.words
    assert consents() == {"patlee": 0, "kimvale": 1}
    assert waits() == []
    assert spool.waiting_stops(porch) == ()
    assert "No mailbox is set" in onboard("returned").err


def test_a_no_at_the_porch_is_heard_before_reminders_are_made_and_sent(
    keys: dict[str, str], porch: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 12, 1, 17)
    spool.add_stop(porch, AT, keys["patlee"])
    assert {one["handle"] for one in onboard("remind", "--json").json()} == {"patlee", "kimvale"}
    made = onboard("remind", "--write")
    assert "1 member asked for no more email by one click." in made.words
    assert consents()["patlee"] == 0
    assert spool.waiting_stops(porch) == ()
    spool.add_stop(porch, AT, keys["kimvale"])
    onboard("remind", "--send", "--really")  # there is no such mail server; first it is heard
    assert consents()["kimvale"] == 0


def test_a_crash_after_saving_notes_no_one_twice_and_one_before_loses_nothing(
    keys: dict[str, str], porch: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spool.add_stop(porch, AT, keys["patlee"])
    office = open_office(Path("onboard.toml"), who="Robin")

    class Dead(BaseException):
        pass

    def die(*_: object, **__: object) -> None:
        raise Dead

    with monkeypatch.context() as patched, pytest.raises(Dead):
        patched.setattr(spool, "_sync", die)  # set aside, and nothing read
        take_clicks(office, porch, keep=True)
    assert consents()["patlee"] == 1
    with pytest.raises(Dead), spool.stops(porch, keep=True) as (file,):
        take_clicks(office, file, keep=True)
        raise Dead
    assert consents()["patlee"] == 0
    assert spool.waiting_stops(porch)
    onboard("correct", "patlee", "--consent", "yes", "--why", "asked by phone", "--record")
    spool.add_stop(porch, AT, keys["kimvale"])  # comes in meanwhile
    again = onboard("returned", "--clicks", "spool", "--record")
    assert "2 requests for no more email, 1 taken in before." in again.words
    assert consents() == {"patlee": 1, "kimvale": 0}
    office.close()
