"""A porch to test: in this process, or served by another."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from onboard.porch import keys, porching
from onboard.porch.place import Place
from onboard.settings import PorchRule, Settings, read

HOME = Path(__file__).parent.parent.parent
DEMO = HOME / "fixtures_demo" / "onboard.toml"
BASE = "http://127.0.0.1:8500"
QUESTION = "How did you hear about us?"
PAT = {
    "given": "Pat", "family": "Lee", "email": "pat.lee@example.org", "phone": "608-234-5678", "street": "12 Main St",
    "city": "Viroqua", "state": "WI", "zip": "54665", "site": "Viroqua Grange Hall", "consent": "Yes, you may email me.",
    "language": "English",
}  # fmt: skip


class Clock:
    """A clock that a test moves on."""

    def __init__(self) -> None:
        self.at = datetime(2026, 12, 2, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        """The time now."""
        return self.at

    def passes(self, seconds: float) -> None:
        """Move it on."""
        self.at += timedelta(seconds=seconds)


@dataclass
class AtPorch:
    """A porch in this process, a client of it, and the key of a program."""

    place: Place
    client: TestClient
    key: str
    clock: Clock
    folder: Path
    headers: dict[str, str] = field(default_factory=dict)

    def post(self, path: str, said: Any, **headers: str) -> Any:
        """Send something as the program."""
        own = {"authorization": f"Bearer {self.key}"} | {
            name.replace("_", "-"): value for name, value in headers.items()
        }
        return self.client.post(path, json=said, headers=own)


def settings(**rule: Any) -> Settings:
    """Those of the demo, with a porch."""
    return replace(read(DEMO), porch=PorchRule(**rule))


@contextmanager
def porch(folder: Path, **rule: Any) -> Iterator[AtPorch]:
    """A porch with its spool in the folder."""
    key, known = keys.new("website")
    clock = Clock()
    coop = settings(keys=(known,), **rule)
    place = Place(coop, folder / "spool", frozenset({"127.0.0.1:8500"}), now=clock)
    client = TestClient(
        porching.make(place), base_url=BASE, raise_server_exceptions=False, follow_redirects=False
    )
    try:
        yield AtPorch(place, client, key, clock, folder / "spool")
    finally:
        place.close()


# ---------------------------------------------------------------- in another process


@dataclass
class Served:
    """A porch in a process of its own."""

    base: str
    key: str
    process: subprocess.Popen[str]
    said: list[str]


@contextmanager
def served(folder: Path, *more: str, rule: str = "") -> Iterator[Served]:
    """The porch of the demo co-op, with its spool in the folder, until the block ends."""
    key, known = keys.new("website")
    stop = '[reminders]\nunsubscribe_page = "https://join.example.org/stop?key={key}"'
    text = DEMO.read_text("utf-8") + f'\n{stop}\n[porch]\nkeys = ["{known}"]\n{rule}\n'
    (folder / "onboard.toml").write_text(text, "utf-8")
    process = subprocess.Popen(
        [sys.executable, "-m", "onboard", "porch", "--spool", str(folder / "spool"), *more],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=folder,
        env=os.environ | {"PYTHONPATH": str(HOME)},
    )  # fmt: skip
    said: list[str] = []
    assert process.stdout
    try:
        for line in process.stdout:
            said.append(line.rstrip("\n"))
            if line.rstrip().endswith("/join"):
                break
        else:
            raise AssertionError("\n".join(said))
        yield Served(said[-1].removesuffix("/join"), key, process, said)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
            process.wait(15)
        said += process.stdout.read().splitlines()
        process.stdout.close()
