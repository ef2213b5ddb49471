"""What is on file of a member, beside the boxes in which it is corrected."""

from __future__ import annotations

from collections.abc import Mapping

from onboard.clean import stored
from onboard.model import Owner, Standing
from onboard.office import Act, Office
from onboard.roster import members, search
from onboard.tasks.shown import note_shown

OPEN = ("name", "site", "consent")
PRIVATE = ("email", "phone", "address", "born")  # for those who may issue temporary passwords


def on_file(office: Office, number: int) -> Mapping[str, str]:
    """What is on file, in words, by field; fields that hold nothing are left out, and contact info for whoever
    may not see it. That it was shown is in the change log before this returns.

    Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        member = search.members_by_number(connection, [number]).get(number)
    if member is None or member.standing is Standing.MERGED:
        return {}
    columns = members.columns(member)
    words = {field: stored.in_words(field, columns[field]) for field in (*OPEN, *PRIVATE)}
    private = [field for field in PRIVATE if columns[field]]
    shows = office.sees_contacts(Act.REISSUE)
    if not shows or not note_shown(office, Owner.of_member(number), private):
        private = []
    return {field: words[field] for field in (*OPEN, *private) if words[field]}
