"""A row of a list of members that was not brought in: kept with what it says, until somebody says what it is.

It is no join form, though it waits like one: nobody becomes a member by it unasked.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from onboard.model import Cleaned, Kind, RawRow, Weight

SKIPPED = Kind(
    "row.skipped",
    Weight.BLOCKING,
    "A row of a list of members was not brought in.",
    wrong="a row without a sign-in name in a list of members",
    right="a row with a sign-in name that nobody else has",
)
KINDS = (SKIPPED,)  # not for a rule's `clean`: whether a row can be brought in, a roster shows

# Fields that hold a day of a member, and the member's column.
DAYS: Mapping[str, str] = {
    "born": "born", "submitted": "joined", "last_sign_in": "last_sign_in", "last_order": "last_order",
    "bounced": "bounced",
}  # fmt: skip


def is_skipped(raw: RawRow) -> bool:
    """Whether it is such a row."""
    return bool(raw.findings) and any(f.code == SKIPPED.code for f in raw.findings)


def skipped(raw: RawRow, why: str, days: Mapping[str, Cleaned[date]]) -> RawRow:
    """The row, kept with why it was skipped, a sentence. `days` are those that were read in it: only its list as
    a whole shows whether the month comes first, so they are written here as they were understood."""
    fields = dict(raw.fields)
    for field, column in DAYS.items():
        if field in fields and (day := days.get(column)) and day.value:
            fields[field] = day.value.isoformat()
    return raw.but(fields, (*raw.findings, SKIPPED.found(fields.get("handle", "").strip(), why)))


def as_form(raw: RawRow) -> RawRow:
    """The row as a join form, for whoever gives it as one."""
    return raw.but(raw.fields, tuple(f for f in raw.findings if f.code != SKIPPED.code))
