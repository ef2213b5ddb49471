"""A desk to test: in this process, or served by another."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from browser import see_that_it_is_kind as see_that_it_is_kind
from coop_forms import PAT, form
from fastapi import FastAPI
from starlette.routing import Route
from starlette.testclient import TestClient

from onboard import codes
from onboard.desk.place import Place
from onboard.desk.visit import csrf_of
from onboard.model import Role
from onboard.office import Office
from onboard.roster import staff
from onboard.settings import (
    DeskRule,
    Group,
    HandleRule,
    MailServer,
    PasswordRule,
    Settings,
    Site,
    Window,
)
from onboard.tasks import desk_sessions
from onboard.tasks.process_batch import process_batch
from onboard.tasks.write_packets import write_packets

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

HOME = Path(__file__).parent.parent.parent
PORT = 8400
BASE = f"http://127.0.0.1:{PORT}"
OUTSIDE = ("/start", "/signed-out", "/sign-in", "/invitation")  # for whoever is not signed in


class Clock:
    """A clock that a test moves on."""

    def __init__(self) -> None:
        self.at = datetime(2026, 12, 2, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        """The time now."""
        return self.at


def coop_in(folder: Path) -> Settings:
    """An invented co-op with two sites in Ohio, in this folder; Robin may issue passwords."""
    return Settings(
        file=folder / "onboard.toml", coop="Test Growers Co-op", ordering_page="https://order.example.org",
        shop_page="https://shop.example.com", sender="hello@growers.example.org", reply_phone="+14195550100",
        postal_address="1 Barn Road\nLima OH 45801", timezone="America/New_York", languages=("en", "es"),
        handle=HandleRule(), password=PasswordRule(), mail=MailServer(), desk=DeskRule(may_reissue=("Robin",)),
        groups=(
            Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),)),
            Group("Hill", (Window(date(2026, 12, 8), date(2026, 12, 13)),)),
        ),
        sites=(
            Site("Lima Grange", "12 Elm St, Lima OH", "45801", "Lake", "Robin Vale", "+14195550101"),
            Site("Athens Barn", "9 Ash St, Athens OH", "45701", "Hill", "Sam Moor", "+17405550102"),
        ),
        outbox=folder / "outbox",
    )  # fmt: skip


def fill(folder: Path) -> Path:
    """The folder, with these members in its roster and their packets in its outbox."""
    rows = [form(2, **PAT)] + [
        form(line, full_name="Kim Vale", email=email, phone=phone, street=street, city=city, state="OH", zip=zip5, site=site)
        for line, email, phone, street, city, zip5, site in (
            (3, "kim@example.org", "419-555-0150", "4 Oak St", "Lima", "45801", "Lima Grange"),
            (4, "kv@example.org", "740-555-0166", "70 Fir Rd", "Athens", "45701", "Athens Barn"),
        )
    ]  # fmt: skip
    office = Office(coop_in(folder), who="Robin", now=Clock())
    process_batch(office, rows, file="f", keep=True)
    write_packets(office)
    office.close()
    return folder


def settings_text() -> str:
    """The settings file of the same co-op."""
    return '''
[coop]
name = "Test Growers Co-op"
ordering_page = "https://order.example.org"
shop_page = "https://shop.example.com"
sender = "hello@growers.example.org"
reply_phone = "(419) 555-0100"
postal_address = """1 Barn Road
Lima OH 45801"""
time_zone = "America/New_York"
languages = ["en", "es"]

[desk]
may_reissue = ["Robin"]

[[group]]
name = "Lake"
windows = [{ opens = 2026-12-01, closes = 2026-12-06 }]

[[group]]
name = "Hill"
windows = [{ opens = 2026-12-08, closes = 2026-12-13 }]

[[site]]
name = "Lima Grange"
address = "12 Elm St, Lima OH"
zip = "45801"
group = "Lake"
host = "Robin Vale"
host_phone = "+14195550101"

[[site]]
name = "Athens Barn"
address = "9 Ash St, Athens OH"
zip = "45701"
group = "Hill"
host = "Sam Moor"
host_phone = "(740) 555-0102"
'''


@dataclass
class AtDesk:
    """A desk in this process, and a browser's requests to it."""

    app: FastAPI
    place: Place
    client: TestClient
    clock: Clock

    def sign_in(self) -> None:
        """Come in by a new link."""
        token = self.place.link.renew()
        assert self.client.get(f"/start?token={token}", follow_redirects=False).status_code == 303

    @property
    def csrf(self) -> str:
        """What the forms of this session say."""
        return csrf_of(self.client.cookies[self.place.cookie])

    def post(self, path: str, follow: bool = True, **typed: str | list[str]):  # type: ignore[no-untyped-def]
        """Send a form of ours."""
        return self.client.post(
            path,
            data={"csrf": self.csrf} | typed,
            headers={"origin": BASE},
            follow_redirects=follow,
        )


def all_routes(desk: AtDesk) -> list[tuple[str, set[str]]]:
    """Every path of the desk as its room states it, with its methods."""
    found: list[tuple[str, set[str]]] = []

    def gather(these: list[object], under: str) -> None:
        for route in these:
            if isinstance(route, Route):
                found.append((under + route.path, set(route.methods or ())))
            elif inner := getattr(getattr(route, "original_router", None), "routes", None):
                gather(inner, under + route.include_context.prefix)  # type: ignore[attr-defined]

    gather(list(desk.app.routes), "")
    return found


# ---------------------------------------------------------------- in another process


@dataclass
class Served:
    """A desk in a process of its own."""

    link: str
    base: str
    process: subprocess.Popen[str]
    said: list[str]

    def new_link(self) -> str:
        """A link for another browser: the desk is asked for it as by the Enter key."""
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.write("\n")
        self.process.stdin.flush()
        return self.process.stdout.readline().strip()

    def stop(self) -> None:
        """Stop it, as Ctrl-C does."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(15)


@contextmanager
def served(folder: Path, *more: str, named: bool = True) -> Iterator[Served]:
    """The desk of the co-op in a folder, until the block ends. Without `named` it finds the settings by itself."""
    settings = ["--settings", str(folder / "onboard.toml")] if named else []
    process = subprocess.Popen(
        [sys.executable, "-m", "onboard", "desk", "--no-browser", *settings, *more],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=folder,
        env=os.environ | {"PYTHONPATH": str(HOME)},
    )  # fmt: skip
    said: list[str] = []
    assert process.stdout
    try:
        for line in process.stdout:
            said.append(line.rstrip("\n"))
            if "/start?token=" in line:
                break
        else:
            raise AssertionError("\n".join(said))
        link = said[-1]
        yield Served(link, link.partition("/start")[0], process, said)
    finally:
        Served("", "", process, said).stop()
        said += process.stdout.read().splitlines()
        process.stdout.close()


# ---------------------------------------------------------------- in a browser


@contextmanager
def new_page(chromium: Browser, wide: int = 1000, language: str = "en-US") -> Iterator[Page]:
    """A page in a window of its own. Trouble in its scripts, and what the policy keeps from it, is told."""
    with chromium.new_context(viewport={"width": wide, "height": 900}, locale=language) as context:
        context.grant_permissions(["clipboard-read", "clipboard-write"])
        page = context.new_page()
        trouble: list[str] = []
        page.on("pageerror", lambda error: trouble.append(str(error)))
        page.on(
            "console",
            lambda said: trouble.append(said.text) if "Content Security" in said.text else None,
        )
        yield page
        assert trouble == []


def signed_in(desk: AtDesk, role: Role) -> TestClient:
    """A browser of somebody with this role; the first account is another's."""
    office = desk.place.office
    with office.transaction() as connection:
        if not staff.every(connection):
            staff.add(connection, "Lou Fir", Role.READER, codes.new_key(), office.now())
        old = staff.by_name(connection, f"Sam {role}")
        number = (
            old.id
            if old
            else staff.add(connection, f"Sam {role}", role, codes.new_key(), office.now())
        )
        token = desk_sessions.begin(connection, office, f"Sam {role}", staff_id=number)
    return TestClient(
        desk.app, base_url=BASE, cookies={desk.place.cookie: token}, raise_server_exceptions=False
    )
