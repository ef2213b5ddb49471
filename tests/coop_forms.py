"""Forms of an invented member, a clock that stands still, an office, and what a roster says: for many tests."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Engine, select

from onboard.model import RawRow, Signature
from onboard.office import Office
from onboard.roster import store, tables
from onboard.settings import Settings

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
ROBIN = Signature("Robin", NOON)


def form(line: int = 2, **fields: str) -> RawRow:
    """A row of a join form whose headings are the fields' own names."""
    return RawRow("forms.csv", line, tuple(fields.items()), fields)


def office_of(settings: Settings, engine: Engine, signature: Signature = ROBIN) -> Office:
    """The office of a co-op with this roster, where whoever signs is at work at that time."""
    return Office(settings, engine, signature.who, lambda: signature.when)


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

# Of Ohio, Indiana, Iowa and Wisconsin: each has a hundred numbers that nobody answers, 555-0100 to 555-0199 (ATIS-0300115).
AREA_CODES = (
    "216", "234", "330", "419", "440", "513", "567", "614", "740", "937", "219", "260", "317", "574", "765", "812",
    "319", "515", "563", "641", "712", "262", "414", "608", "715", "920",
)  # fmt: skip
PHONES = tuple(f"{code}-555-01{line:02}" for code in AREA_CODES for line in range(100))

UNSEEN = {  # what may differ between two ways to the same roster: numbers of lines, times, batches
    "batch": None,
    # The look-up index is made of the other tables; `index.check` compares it with them.
    "index_owner": None,
    "index_site": None,
    "index_word": None,
    "index_near": None,
    "index_place": None,
    "index_pair": None,
    "index_written": None,
    "decision": None,  # the history of decisions; the one that holds is in `row`
    "journal": None,
    "row": {"batch_id", "file", "line", "position"},
    "finding": {"id"},
    "ruling": {"id", "at"},
    "person": {"id"},
    "person_key": {"person_id"},
    "member": {"joined", "password_hash", "password_expires"},
    "outgoing": {"id", "made", "at"},
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
