"""What many tests share: a small invented co-op, rows of a join form, a clock that stands still."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import hypothesis
import postgres_server
import pytest
from coop_forms import NOON, PAT, form
from sqlalchemy import Engine, text

from onboard.model import RawRow, Signature
from onboard.roster import store, tables
from onboard.settings import (
    Group,
    HandleRule,
    MailServer,
    PasswordRule,
    Settings,
    Site,
    Window,
)

# Drawn the same each time, so that no test fails by chance. `pytest --hypothesis-profile=default` draws anew.
hypothesis.settings.register_profile("same each time", derandomize=True)
hypothesis.settings.load_profile("same each time")


@pytest.fixture(autouse=True)
def garbage_is_found() -> Iterator[None]:
    """A command sets aside all that is loaded when it starts (`cli.tend_memory`). Thousands of them in one process
    would keep what each test leaves, for ever."""
    yield
    gc.unfreeze()


@pytest.fixture
def coop(tmp_path: Path) -> Settings:
    """An invented co-op with two sites in Ohio; ZIP codes and towns are real, streets are not."""
    return Settings(
        file=tmp_path / "onboard.toml",
        coop="Test Growers Co-op",
        ordering_page="https://order.example.org",
        shop_page="https://shop.example.com",
        sender="hello@growers.example.org",
        reply_phone="+14195550100",
        postal_address="1 Barn Road\nLima OH 45801",
        timezone="America/New_York",
        region="US",
        languages=("en", "es"),
        security_question=True,
        handle=HandleRule(),
        password=PasswordRule(),
        mail=MailServer(),
        groups=(
            Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),)),
            Group("Hill", (Window(date(2026, 12, 8), date(2026, 12, 13)),)),
        ),
        sites=(
            Site(
                "Lima Grange", "12 Elm St, Lima OH", "45801", "Lake", "Robin Vale", "+14195550101"
            ),
            Site("Athens Barn", "9 Ash St, Athens OH", "45701", "Hill", "Sam Moor", "+17405550102"),
        ),
        store="sqlite://",
        outbox=tmp_path / "outbox",
    )


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The address of a PostgreSQL server of our own."""
    where = postgres_server.programs()
    if where is None:
        pytest.skip("PostgreSQL is not installed here")
    with postgres_server.running(where) as url:
        yield url


@pytest.fixture(params=["sqlite", "postgresql"])
def roster(request: pytest.FixtureRequest) -> Iterator[Engine]:
    """An empty roster: in memory, and on a server."""
    if request.param == "sqlite":
        engine = store.open_store("sqlite://")
        yield engine
    else:
        engine = store.open_store(request.getfixturevalue("server"))
        yield engine
        with engine.begin() as connection:
            every = ", ".join(table.name for table in tables.metadata.sorted_tables)
            connection.execute(text(f"TRUNCATE {every} RESTART IDENTITY"))
    engine.dispose()


@pytest.fixture
def signature() -> Signature:
    """Somebody at work, at a fixed time."""
    return Signature("Robin", NOON)


@pytest.fixture
def pat() -> Callable[..., RawRow]:
    """A maker of Pat Lee's join form, with some fields said otherwise."""

    def make(line: int = 2, **other: str) -> RawRow:
        return form(line, **(PAT | other))

    return make
