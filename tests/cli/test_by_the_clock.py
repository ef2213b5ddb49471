"""What a clock runs: once at a time, with codes and a log for whoever looks after the machine."""

from __future__ import annotations

import shlex
import sqlite3
import subprocess
import sys
import time
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest
from filelock import FileLock
from office import KIM, PAT, SAM, SETTINGS, listing, onboard, phrases, program, today_is, write_csv
from welcome.mail_server import SECRET, USER, Box, Proof, listening, proof_in

from onboard.cli import clock
from onboard.model import Need, Waiting
from onboard.office import open_office
from onboard.settings import MailServer
from onboard.tasks.tell_coordinator import is_news

LOG = '\n[files]\nlog = "log/onboard.log"\n'


def held(office: Path, name: str) -> FileLock:
    """The lock as another program holds it."""
    return FileLock(office / f".onboard-{name}.lock", timeout=0)


@pytest.fixture
def made(office: Path) -> Path:
    """The office with packets in the outbox."""
    (office / "log").mkdir()
    (office / "onboard.toml").write_text(SETTINGS + LOG, encoding="utf-8")
    write_csv(office / "forms.csv", [PAT, KIM])
    onboard("batch", "forms.csv", "--record")
    return office


def log_of(office: Path) -> list[str]:
    """The lines of the log, without their times."""
    text = (office / "log" / "onboard.log").read_text("utf-8")
    return [line.split(" ", 1)[1] for line in text.splitlines()]


# ---------------------------------------------------------------- one at a time


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("packets", ("packets", "--write")),
        ("packets", ("packets", "--send", "--really")),
        ("returned", ("returned", "box", "--record")),
        ("today", ("today", "--mail")),
    ],
)
def test_a_second_one_says_so_and_does_nothing(
    made: Path, name: str, words: tuple[str, ...]
) -> None:
    (made / "box").mkdir()
    before = None
    with held(made, name):
        before = listing(made)
        said = onboard(*words)
        assert said.code == 3
        assert said.err == (
            f"onboard {name} is running already, so this one did nothing. Wait until the other one has ended.\n"
        )
        after = listing(made)
        assert after.pop("log/onboard.log") is not None
        assert after == before
    assert log_of(made) == [
        f"INFO {name}: started",
        f"ERROR {name}: could not run. {said.err.strip()}",
    ]
    assert onboard(*words).code in (0, 1, 2)


def test_a_preview_and_one_member_wait_for_nobody(made: Path) -> None:
    (made / "box").mkdir()
    with held(made, "packets"), held(made, "returned"), held(made, "today"):
        assert onboard("packets").code == 0
        assert onboard("packets", "--send").code == 0
        assert onboard("today").code == 1
        assert onboard("packets", "--send", "--only", "patlee").code == 0


def test_the_lock_of_a_program_that_was_killed_is_free(made: Path) -> None:
    hold = (
        "import sys, time; from filelock import FileLock; lock = FileLock(sys.argv[1]); lock.acquire(); "
        "print('held', flush=True); time.sleep(60)"
    )
    file = made / ".onboard-packets.lock"
    with subprocess.Popen([sys.executable, "-c", hold, file], stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"held\n"
        assert onboard("packets", "--write").code == 3
        other.kill()
    assert onboard("packets", "--write").code == 0


# ---------------------------------------------------------------- the log


def test_the_log_says_how_it_went_and_only_its_owner_reads_it(made: Path) -> None:
    assert onboard("packets", "--write").code == 0
    assert onboard("packets", "--send", "--really").code == 2
    assert onboard("packets", "--send").code == 0  # a preview is not in the log
    started, wrote, ended, again, failed = log_of(made)
    assert (started, wrote) == ("INFO packets: started", "INFO packets: 0 packets made, 0 wait for an answer")  # fmt: skip
    assert ended.startswith("INFO packets: ended with 0 after ")
    assert again == started
    assert failed.startswith("ERROR packets: could not run. No mail server is set in ")
    assert (made / "log" / "onboard.log").stat().st_mode & 0o777 == 0o600
    (stamp, *_) = (made / "log" / "onboard.log").read_text("utf-8").split()
    time.strptime(stamp, "%Y-%m-%dT%H:%M:%SZ")


def test_a_fault_of_the_program_is_in_the_log_without_a_value(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("pat.lee@example.org")

    monkeypatch.setattr("onboard.cli.packets.write_packets", broken)
    assert onboard("packets", "--write").code == 2
    assert log_of(made)[-1] == "CRITICAL packets: a fault of the program (RuntimeError)"


WARNS = """
import logging, sys
import onboard.cli.packets as packets
from onboard import cli

def warns(*_, **__):
    logging.getLogger("onboard.roster.store").warning("The disk is\\nnearly full.")
    sys.exit(0)

packets.write_packets = warns
sys.argv = ["onboard", "packets", "--write"]
cli.main()
"""


def test_warnings_reach_the_screen_and_the_log(made: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WARNS], cwd=made, capture_output=True, text=True, check=True
    )
    assert done.stderr == "The disk is\nnearly full.\n"
    assert log_of(made)[1] == "WARNING packets: The disk is nearly full."
    assert log_of(made)[2].startswith("INFO packets: ended with 0 ")


def test_trouble_is_on_the_screen_once(made: Path) -> None:
    said = program("packets", "--send", "--really", cwd=made)
    assert (said.code, said.err.count("No mail server is set")) == (2, 1)


def test_a_log_that_is_full_makes_room(made: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "LARGEST", 300)
    for _ in range(12):
        onboard("packets", "--write")
    files = sorted(file.name for file in (made / "log").iterdir())
    assert files == ["onboard.log", *(f"onboard.log.{n}" for n in range(1, clock.KEPT + 1))]
    assert all(file.stat().st_size < 700 for file in (made / "log").iterdir())


def test_a_log_that_cannot_be_written_is_told_in_words(made: Path) -> None:
    (made / "onboard.toml").write_text(SETTINGS + LOG.replace("log/", "nowhere/"), encoding="utf-8")
    said = onboard("packets", "--write")
    assert said.code == 2
    assert "nowhere" in said.err


# ---------------------------------------------------------------- the coordinator


def settings_with(server: MailServer, coordinator: str = "") -> str:
    return (
        f'{SETTINGS}{LOG}\n[mail]\nhost = "{server.host}"\nport = {server.port}\nuser = "{USER}"\n'
        f'coordinator = "{coordinator}"\n'
    )


def mails(box: Box) -> list[EmailMessage]:
    return [
        message_from_bytes(one.content or b"", policy=policy.default)  # type: ignore[arg-type, misc]
        for one in box.taken
    ]


@pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")
def test_the_coordinator_hears_what_is_new_and_of_nobody_by_name(made: Path) -> None:
    box, proof = Box(), proof_in(made)
    with listening(box, proof, auth=True) as server:
        (made / "onboard.toml").write_text(settings_with(server, "ana@example.org"), encoding="utf-8")  # fmt: skip
        trust = trust_in(proof)
        with sqlite3.connect(made / "roster.db") as roster:
            roster.execute("UPDATE member SET bounced = '2026-11-01' WHERE id = 2")
        first = program("today", "--mail", cwd=made, **trust)
        assert (first.code, first.out.splitlines()[0]) == (1, "Sent to ana@example.org.")
        second = program("today", "--mail", "--json", cwd=made, **trust)
        assert second.err == "Nothing new waits for you, so no email was sent.\n"
        assert second.json()
        write_csv(made / "more.csv", [SAM])
        onboard("batch", "more.csv", "--record")
        assert program("today", "--mail", cwd=made, **trust).out.startswith("Sent to")
    told, later = mails(box)
    assert (told["To"], told["Subject"]) == (
        "ana@example.org",
        "Test Growers Co-op: 4 things to do",
    )
    assert told["Auto-Submitted"] == "auto-generated"
    assert told["Date"].datetime.tzinfo  # RFC 5322, 3.6.1: required
    body = told.get_content()
    assert "1 member gets no email: it came back. Call or write" in body
    assert "onboard today" in body
    for secret in ("kimvale", "Vale", "kim@example.net", "Pat", *phrases(made / "outbox")):
        assert secret not in body
    assert "1 join form on hold" in later.get_content()


@pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")
def test_no_secret_and_no_address_is_in_the_log(made: Path) -> None:
    box, proof = (
        Box(rcpt={"kim@example.net": ["550 5.1.1 no kim@example.net here"]}),
        proof_in(made),
    )
    secrets = phrases(made / "outbox")
    with listening(box, proof, auth=True) as server:
        (made / "onboard.toml").write_text(settings_with(server), encoding="utf-8")
        trust = trust_in(proof)
        assert program("packets", "--send", "--really", cwd=made, **trust).code == 1
        wrong = trust | {"ONBOARD_MAIL_SECRET": "hunter2-wrong"}
        onboard("packets", "--again", "patlee")
        assert program("packets", "--send", "--really", cwd=made, **wrong).code == 2
    text = "\n".join(log_of(made))
    assert "INFO packets: 1 emails sent, 1 to check" in text
    assert "ERROR packets: could not run. The mail server refused the sign-in" in text
    for word in (
        *secrets,
        *phrases(made / "outbox"),
        SECRET,
        "hunter2",
        "kim@example.net",
        "patlee",
    ):
        assert word not in text


def trust_in(proof: Proof) -> dict[str, str]:
    return {"SSL_CERT_FILE": str(proof.file), "ONBOARD_MAIL_SECRET": SECRET}


def test_an_email_that_the_server_refuses_is_told_and_tried_again(made: Path) -> None:
    box, proof = Box(rcpt={"hello@growers.example.org": ["550 no"]}), proof_in(made)
    with listening(box, proof, auth=True) as server:
        (made / "onboard.toml").write_text(settings_with(server), encoding="utf-8")
        said = program("today", "--mail", cwd=made, **trust_in(proof))
        assert said.out.startswith("The email was not sent. 550 no")
        assert program("today", "--mail", cwd=made, **trust_in(proof)).out.startswith(
            "Sent to hello@"
        )


def test_news_is_what_there_is_more_of_or_newer() -> None:
    call = Waiting(Need.CALLS, 2, "calls", newest="2026-11-20T12:00:00Z")
    told = {"open calls": [2, "2026-11-20T12:00:00Z"]}
    assert is_news([call], {})
    assert not is_news([call], told)
    assert not is_news([Waiting(Need.CALLS, 1, "calls", newest="2026-11-19T12:00:00Z")], told)
    assert is_news([Waiting(Need.CALLS, 1, "calls", newest="2026-11-21T12:00:00Z")], told)
    assert is_news([Waiting(Need.TELL_PAGE, 3, "export")], {"accounts to tell the ordering page": [2, ""]})  # fmt: skip
    assert not is_news([Waiting(Need.OPENS, 1, "windows")], {})


# ---------------------------------------------------------------- as a clock runs it


def test_it_runs_with_an_empty_environment_from_any_folder(made: Path, tmp_path: Path) -> None:
    line = f"env -i {shlex.quote(sys.executable)} -m onboard today --settings {shlex.quote(str(made / 'onboard.toml'))}"  # fmt: skip
    done = subprocess.run(
        ["/bin/sh", "-c", line], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1, done.stderr
    assert done.stderr == ""
    assert "letters to print" in done.stdout
    assert f"--settings '{made / 'onboard.toml'}'" in done.stdout


def test_the_codes_of_a_command_that_cannot_run(tmp_path: Path) -> None:
    said = program("today", "--settings", tmp_path / "none.toml", cwd=tmp_path)
    assert said.code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_coordinator_that_is_no_address_is_a_mistake_of_the_settings(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    today_is(monkeypatch, 2026, 11, 25, 12)
    (made / "onboard.toml").write_text(SETTINGS + '\n[mail]\ncoordinator = "ana"\n', encoding="utf-8")  # fmt: skip
    assert 'coordinator is "ana": give just an email address, like hello@example.org.' in onboard("today").err  # fmt: skip
    (made / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    assert open_office(made / "onboard.toml").settings.mail.coordinator == ""
