"""That somebody saw the contact info on file: the change log says so before anything is shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from onboard.errors import StoreBusy, StoreTrouble
from onboard.model import Owner
from onboard.office import Office
from onboard.roster import journal
from onboard.roster.journal import Entry

SHOWN = "contact info shown"  # as the change log calls it


NOT_NOTED = "Contact info is not shown while somebody saves something. Look again in a moment."


def note_shown(office: Office, owner: Owner, fields: Sequence[str]) -> bool:
    """Whether it is noted that whoever is at work saw these fields of somebody; if not, they may not be shown."""
    return not fields or _is_noted(office, Entry(SHOWN, owner, after={"shown": list(fields)}))


def note_page(
    office: Office, where: str, members: Iterable[int], about: Owner | None = None
) -> bool:
    """The same of a page that shows contact info of several at once, or of the form `about` which it is: one line, with
    the numbers of the members. `where` is what the page, or its room, is called."""
    entry = _of_page(where, members, about)
    return entry is None or _is_noted(office, entry)


def see_that_it_is_noted(office: Office, where: str, members: Iterable[int]) -> None:
    """As `note_page`, where nothing else can be shown: so it waits for whoever writes, as somebody who writes does.

    Raises `StoreBusy` where that takes too long.
    """
    if entry := _of_page(where, members):
        try:
            with office.transaction() as connection:
                journal.write(connection, [entry], office.signature())
        except StoreTrouble as trouble:
            raise StoreBusy(NOT_NOTED) from trouble


def _of_page(where: str, members: Iterable[int], about: Owner | None = None) -> Entry | None:
    numbers = sorted(set(members))
    if not (numbers or about):
        return None
    alone = Owner.of_member(numbers[0]) if len(numbers) == 1 else Owner.roster()
    return Entry(SHOWN, about or alone, where, after={"members": numbers})


def _is_noted(office: Office, entry: Entry) -> bool:
    try:
        with office.noting() as connection:
            journal.write(connection, [entry], office.signature())
    except StoreTrouble:
        return False
    return True
