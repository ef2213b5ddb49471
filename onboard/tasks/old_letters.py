"""Letters that do not count any more, taken out of the PDFs in the outbox: nobody prints an old password."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection

from onboard.mail import outbox
from onboard.model import Member
from onboard.office import Office
from onboard.roster import outgoing
from onboard.welcome import letters


def take_out(office: Office, numbers: Collection[int]) -> list[str]:
    """The files from which the letters of these members were taken out, those that do not count any more.

    A file in which none is left is taken away. Raises `FileTrouble` where the outbox cannot be written, and
    `StoreTrouble`.
    """
    if not outbox.letters_with(office.settings.outbox, numbers):
        return []
    with office.transaction() as connection:  # while nobody else writes letters
        return take_out_of(connection, office, numbers)


def take_out_of(connection: Connection, office: Office, numbers: Collection[int]) -> list[str]:
    """The same, within a transaction of the caller's that keeps others from writing letters."""
    folder = office.settings.outbox
    changed = []
    for name, old in _old(connection, office, numbers):
        left = letters.without(folder / name, old)
        if left:
            outbox.write_letters(folder, name, left)
        else:
            outbox.take_away(folder, name)
        changed.append(name)
    return changed


def files_with(office: Office, members: Collection[Member]) -> list[str]:
    """The files of letters in the outbox that hold one of these members'."""
    folder = office.settings.outbox
    handles = {member.handle.text for member in members}
    names = outbox.letters_with(folder, [member.id for member in members])
    return [name for name in names if not handles.isdisjoint(letters.whose(folder / name))]


def _old(
    connection: Connection, office: Office, numbers: Collection[int]
) -> list[tuple[str, frozenset[str]]]:
    """The files of letters that may hold these members', each with the sign-in names of those whose
    letter in it does not count."""
    folder = office.settings.outbox
    ours = [name for name in outbox.letters_with(folder, numbers) if outbox.is_ours(folder / name)]
    good = outgoing.letters_of(connection, ours)
    held = ((name, letters.whose(folder / name)) for name in ours)
    old = ((name, handles - good.get(name, frozenset())) for name, handles in held)
    return [(name, handles) for name, handles in old if handles]
