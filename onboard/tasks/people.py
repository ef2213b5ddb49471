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
        members = search.members_by_number(connection, member_ids)
        return {number: member.handle.text for number, member in members.items()}
