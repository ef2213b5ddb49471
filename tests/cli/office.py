"""A folder as a coordinator has it, and the commands as they type them."""

from __future__ import annotations

import csv
import io
import json
import logging
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from rich.console import Console

from onboard import cli
from onboard.cli import common

SETTINGS = """
[coop]
name = "Test Growers Co-op"
ordering_page = "https://order.example.org"
shop_page = "https://shop.example.com"
sender = "hello@growers.example.org"
reply_phone = "419-555-0100"
postal_address = "1 Barn Road, Lima OH 45801"
time_zone = "America/New_York"
languages = ["en", "es"]

[[group]]
name = "Lake"
windows = [{ opens = 2026-12-01, closes = 2026-12-06 }, { opens = 2027-12-01, closes = 2027-12-06 }]

[[site]]
name = "Lima Grange"
address = "12 Elm St, Lima OH"
zip = "45801"
group = "Lake"
host = "Robin Vale"
"""
HEADINGS = ("Full name", "Email", "Phone", "Street", "City", "State", "ZIP", "Drop site")
PAT = (
    "Pat Lee",
    "pat.lee@example.org",
    "419-555-0143",
    "12 N Main St",
    "Lima",
    "OH",
    "45801",
    "Lima Grange",
)
KIM = (
    "Kim Vale",
    "kim@example.net",
    "419-555-0177",
    "7 Oak Ave",
    "Lima",
    "OH",
    "45801",
    "Lima Grange",
)
SAM = (
    "Sam Moor",
    "",
    "419-555-0188",
    "40 Elm St",
    "Lima",
    "OH",
    "45801",
    "Lima Grange",
)  # no email


@dataclass(frozen=True)
class Said:
    """What a command said, and the code it ended with."""

    code: int
    out: str
    err: str

    @property
    def words(self) -> str:
        """Everything said, lines joined: a table breaks its cells anywhere."""
        return " ".join((self.out + self.err).split())

    def json(self) -> list[Any]:
        return [json.loads(line) for line in self.out.splitlines()]


class _Asked(io.StringIO):
    """A place to write that remembers everything."""


def onboard(*words: str | Path) -> Said:
    """The command in this process: what it says, with a screen wide enough for any line."""
    out, err = io.StringIO(), io.StringIO()
    with (
        patch.object(sys, "argv", ["onboard", *map(str, words)]),
        _console(common.console, out),
        _console(common.errors, err),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        try:
            cli.main()
            code = 0
        except SystemExit as end:
            code = int(end.code or 0)
    return Said(code, out.getvalue(), err.getvalue())


@contextmanager
def _console(console: Console, file: io.StringIO) -> Iterator[None]:
    """Consoles are made once, when the commands are imported."""
    with patch.object(console, "_file", file), patch.object(console, "_width", 500):
        yield


def program(*words: str | Path, cwd: Path, **env: str) -> Said:
    """The command as a program of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "onboard", *map(str, words)],
        cwd=cwd, env=os.environ | env, capture_output=True, timeout=120, check=False,
    )  # fmt: skip
    return Said(done.returncode, done.stdout.decode(), done.stderr.decode())


def write_csv(
    file: Path, rows: Sequence[Sequence[str]], headings: Sequence[str] = HEADINGS
) -> Path:
    with file.open("w", newline="", encoding="utf-8") as out:
        csv.writer(out).writerows([headings, *rows])
    return file


def with_mail(folder: Path) -> None:
    """Have the settings of a folder name a mail server."""
    with (folder / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write('\n[mail]\nhost = "mail.example.org"\n')


def listing(folder: Path) -> dict[str, bytes | None]:
    """Everything in a folder: names, and what is in the files."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
    }


def phrases(outbox: Path) -> set[str]:
    """The first passwords that the mails in the outbox tell."""
    import email
    import re
    from email.policy import default

    found = set()
    for file in outbox.glob("*.eml"):
        if file.name.startswith("notice-"):
            continue
        body = email.message_from_bytes(file.read_bytes(), policy=default).get_body(("plain",))
        assert body is not None
        words = re.findall(r"^\s*([a-z]+(?:[ -][a-z]+){4,})\s*$", body.get_content(), re.MULTILINE)
        assert len(words) == 1, body.get_content()
        found.add(words[0])
    return found


def today_is(monkeypatch: pytest.MonkeyPatch, *when: int) -> datetime:
    """The clock of every office that is opened stands at this moment (UTC)."""
    moment = datetime(*when, tzinfo=UTC)  # type: ignore[arg-type]
    monkeypatch.setattr("onboard.office.utc_now", lambda: moment)
    monkeypatch.setattr("onboard.office.open_office.__defaults__", (None, None, "", lambda: moment))
    return moment


@contextmanager
def all_logged() -> Iterator[io.StringIO]:
    """Every log record, of every library, at every level."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    root = logging.getLogger()
    level = root.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    try:
        yield stream
    finally:
        root.removeHandler(handler)
        root.setLevel(level)
