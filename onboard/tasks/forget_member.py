"""A member deleted on request, and all that is known of one member told.

What law asks for differs by state and country: how soon, what must be kept, who must be told. This
module removes what the program holds and says what it cannot reach; whether to is for people.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from onboard.mail import outbox
from onboard.model import Owner, State, What
from onboard.office import Act, Office
from onboard.roster import page, search, store, whole
from onboard.roster.whole import Place, Whole
from onboard.tasks import meant as who

# How a packet stands that cannot have told anybody the handle.
UNTOLD = (None, State.DUE, State.WAITING)


@dataclass(slots=True)
class Forgotten:
    """What was removed, what stayed, and what is left for people to do."""

    handles: list[str]
    numbers: list[int]
    removed: dict[str, int] = field(default_factory=dict)  # lines, by table
    searched: dict[str, int] = field(default_factory=dict)  # how many emails, phones, names
    left: list[Place] = field(default_factory=list)  # as somebody else's
    files: list[str] = field(default_factory=list)  # taken out of the outbox
    letters: list[str] = field(default_factory=list)  # in the outbox, that may hold theirs
    forms: list[str] = field(default_factory=list)  # files that the join forms came from
    on_page: bool = False  # the page may have the account: it is told with the next export


def forget_member(office: Office, said: str, *, keep: bool) -> Forgotten:
    """What comes of deleting a member, told by number, handle, or "row:" and the key of a form;
    done if `keep`, for good.

    It is done in one transaction, after which the roster is searched for what was removed; then the
    roster's file is written anew, so that nothing is left in it where it was. Raises
    `SettingsTrouble` where the settings let others look members up, `FileTrouble` for a member who
    is unknown, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    settings = office.settings
    with office.transaction(keep=keep) as connection:
        meant = _meant(connection, said)
        done = Forgotten([member.handle.text for member in meant.members], list(meant.numbers))
        wanted = whole.needles(connection, meant)
        for what in wanted.values():
            done.searched[what] = done.searched.get(what, 0) + 1
        told = whole.everything(connection, meant)
        done.forms = sorted({row["file"] for row in told["row"] if row["file"]})
        done.letters = outbox.letters_with(settings.outbox, meant.numbers)
        mails = [outbox.email_name(handle) for handle in done.handles]
        mails += [line["file"] for line in told["outgoing"] if line["what"] == What.NOTICE]
        done.files = [name for name in mails if (settings.outbox / name).exists()]
        on_page = _on_page(connection, meant)
        done.on_page = bool(on_page)
        done.removed = whole.remove(connection, meant, office.signature(), on_page)
        done.left = whole.places(connection, wanted)
    if keep:
        for name in done.files:
            outbox.take_away(settings.outbox, name)
        store.write_anew(office.to_write())
    return done


def tell_all(office: Office, said: str) -> dict[str, list[dict[str, Any]]]:
    """All that is known of a member, by table.

    Raises `SettingsTrouble` where the settings let others look members up, `FileTrouble` for a
    member who is unknown, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        return whole.everything(connection, _meant(connection, said))


def _meant(connection: Connection, said: str) -> Whole:
    if (beginning := Owner(said).row_key) is not None:
        keys = whole.row_meant(connection, beginning)
        if len(keys) == 1:
            return whole.of_row(connection, keys[0])
        raise who.no_form("without a member ", beginning, len(keys))
    return whole.of_member(connection, who.member(connection, said).id)


def _on_page(connection: Connection, meant: Whole) -> set[int]:
    """Those whom the page may have: it was told of them, or they had an account before us."""
    marked = page.marks(connection, meant.numbers)
    adopted = {member.id for member in meant.members if not member.handle.steps}
    written = {member.id for member in meant.members if member.packet not in UNTOLD}
    return set(marked) | adopted | written


def receipts(office: Office) -> list[tuple[int, str, str]]:
    """(number, when, by whom) of every member deleted so far; when is ISO 8601, UTC.

    Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        return search.forgotten(connection)


def write_anew(office: Office) -> None:
    """Write the roster's file anew, so that nothing of whom was deleted is left in it.

    Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    store.write_anew(office.to_write())
