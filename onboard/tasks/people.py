"""Whose a member's number is, for those who print reports."""

from __future__ import annotations

from collections.abc import Collection

from onboard.office import Act, Office
from onboard.roster import search


def handles(office: Office, member_ids: Collection[int]) -> dict[int, str]:
    """The handles of members by number.

    Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        lines = search.lines_of_members(connection, member_ids)
        return {line.id: line.handle for line in lines}
