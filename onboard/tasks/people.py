"""Whose a member's number is, for those who print reports."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Engine

from onboard.roster import search, store


def handles(engine: Engine, member_ids: Collection[int]) -> dict[int, str]:
    """The handles of members by number. Raises `StoreTrouble`."""
    with store.reading(engine) as connection:
        lines = search.lines_of_members(connection, member_ids)
        return {line.id: line.handle for line in lines}
