"""Who pressed “Unsubscribe” in their mail program: the no is noted once, from a POST, and nobody can say it for others."""

from __future__ import annotations

import gzip
import re
import sqlite3
from pathlib import Path

import pytest
from cli.office import SETTINGS, onboard, today_is

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
