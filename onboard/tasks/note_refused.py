"""What the desk refused somebody who is signed in, in the change log."""

from __future__ import annotations

from contextlib import suppress

from onboard.errors import StoreTrouble
from onboard.model import Owner
from onboard.office import Office
from onboard.roster import journal
from onboard.roster.journal import Entry

REFUSED = "refused at the desk"  # in the change log


def note_refused(office: Office, page: str, address: str = "") -> None:
    """Note that whoever is at work was refused a page, which is named as its room states it, without a value. What
    cannot be noted is refused all the same."""
    after = {"from": address} if address else {}
    entry = Entry(REFUSED, Owner.roster(), why=page, after=after)
    with suppress(StoreTrouble), office.noting() as connection:
        journal.write(connection, [entry], office.signature())
