"""A small roster to change: some members with spellings, one of them closed."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from coop_forms import NOON, form
from sqlalchemy import Engine

from onboard.model import RawRow, Signature
from onboard.roster import index, store
from onboard.settings import Settings
from onboard.tasks.process_batch import process_batch

ROBIN = Signature("Robin", NOON)
PEOPLE = (
    {"full_name": "Kim Vale", "email": "kim@example.net", "phone": "419-555-0177", "street": "7 Oak Ave"},
    {"full_name": "Ana Ruiz", "email": "ana@example.org", "phone": "419-555-0121", "street": "3 Low Rd"},
    {"full_name": "Omar Haddad", "email": "omar@example.com", "phone": "419-555-0122", "street": "88 Pine St"},
    {"full_name": "Joan Weber", "email": "joan@example.org", "phone": "419-555-0123", "street": "5 Hill Dr"},
)  # fmt: skip


@pytest.fixture
def enrolled(roster: Engine, coop: Settings, pat: Callable[..., RawRow]) -> Engine:
    """Pat Lee (1) and four others (2 to 5), each with a join form and a packet that is due."""
    town = {"city": "Lima", "state": "OH", "zip": "45801", "site": "Lima Grange"}
    rows = [pat(2), *(form(n, **(who | town)) for n, who in enumerate(PEOPLE, 3))]
    process_batch(roster, coop, rows, file="forms.csv", signature=ROBIN, keep=True)
    with store.transaction(roster) as connection:
        index.rebuild(connection)
    return roster
