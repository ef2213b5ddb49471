"""What was said when accounts were closed."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection, select

from onboard.model import Standing
from onboard.roster import tables
from onboard.roster.among import among


def why_closed(connection: Connection, member_ids: Collection[int]) -> dict[int, str]:
    """Why accounts were closed, by member, of those of whom it was said."""
    part = tables.applied_change.c
    query = select(part.member_id, part.after, part.why).where(
        part.field == "standing", part.undone_at.is_(None)
    )
    lines = among(connection, query.order_by(part.id), part.member_id, member_ids)
    return {number: why for number, after, why in lines if after == Standing.CLOSED and why}
