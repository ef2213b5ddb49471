"""What many tests share: a small invented co-op, rows of a join form, a clock that stands still."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, select

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

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


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


@pytest.fixture
def roster() -> Iterator[Engine]:
    """An empty roster in memory."""
    engine = store.open_store("sqlite://")
    yield engine
    engine.dispose()


@pytest.fixture
def signature() -> Signature:
    """Somebody at work, at a fixed time."""
    return Signature("Robin", NOON)


def form(line: int = 2, **fields: str) -> RawRow:
    """A row of a join form whose headings are the fields' own names."""
    return RawRow("forms.csv", line, tuple(fields.items()), fields)


PAT = {
    "full_name": "Pat Lee",
    "email": "pat.lee@example.org",
    "phone": "419-555-0143",
    "street": "12 N Main St",
    "city": "Lima",
    "state": "OH",
    "zip": "45801",
    "site": "Lima Grange",
}


@pytest.fixture
def pat() -> Callable[..., RawRow]:
    """A maker of Pat Lee's join form, with some fields said otherwise."""

    def make(line: int = 2, **other: str) -> RawRow:
        return form(line, **(PAT | other))

    return make


UNSEEN = {  # what may differ between two ways to the same roster: numbers of lines, times, batches
    "batch": None,
    "decision": None,  # the history of decisions; the one that holds is in `row`
    "journal": None,
    "row": {"batch_id", "file", "line", "position"},
    "finding": {"id"},
    "ruling": {"id", "at"},
    "person": {"id"},
    "person_key": {"person_id"},
    "member": {"joined", "password_hash", "password_expires"},
}


def contents(engine: Engine) -> dict[str, list[str]]:
    """What a roster says, table by table, without what only tells how it got there."""
    found = {}
    with store.transaction(engine, keep=False) as connection:
        for table in tables.metadata.sorted_tables:
            unseen: Any = UNSEEN.get(table.name, set())
            if unseen is None:
                continue
            columns = [column for column in table.columns if column.name not in unseen]
            lines = (tuple(line) for line in connection.execute(select(*columns)))
            found[table.name] = sorted(map(repr, lines))
    return found
