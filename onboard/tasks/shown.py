"""That somebody saw the contact info on file: the change log says so before anything is shown."""

from __future__ import annotations

from collections.abc import Sequence

from onboard.errors import StoreTrouble
from onboard.model import Owner
from onboard.office import Office
from onboard.roster import journal
from onboard.roster.journal import Entry

SHOWN = "contact info shown"  # as the change log calls it


def note_shown(office: Office, owner: Owner, fields: Sequence[str]) -> bool:
    """Whether it is noted that whoever is at work saw these fields of somebody; if not, they may not be shown."""
    if not fields:
        return True
    try:
        with office.noting() as connection:
            entry = Entry(SHOWN, owner, after={"shown": list(fields)})
            journal.write(connection, [entry], office.signature())
    except StoreTrouble:
        return False
    return True
