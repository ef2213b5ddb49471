"""Who is meant by a sign-in name, a number or the key of a form; told in words where nobody is."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.model import Member, RawRow
from onboard.roster import desk, search


def member(connection: Connection, said: str) -> Member:
    """The member whom a sign-in name ever theirs, or a number, means. Raises `FileTrouble`."""
    found = desk.member_meant(connection, said)
    if found is None:
        raise FileTrouble(
            f"Nobody here has the sign-in name or number “{said[:60]}”. Check its spelling, or find "
            "the member: onboard find"
        )
    return found


def by_handle(connection: Connection, handles: Collection[str]) -> dict[str, Member]:
    """The members with just these sign-in names. Raises `FileTrouble` if nobody has one of them."""
    found = search.members_by_handle(connection, handles)
    if unknown := sorted(set(handles) - found.keys()):
        raise FileTrouble(
            f"No member has the sign-in name {', '.join(unknown)}. Check the spelling."
        )
    return found


def form_on_hold(connection: Connection, beginning: str) -> RawRow:
    """The form on hold whose key starts so. Raises `FileTrouble` for none, and for several."""
    rows = desk.held_rows(connection, beginning.strip())
    if len(rows) != 1:
        raise no_form("on hold ", beginning, len(rows))
    return rows[0]


def no_form(which: str, beginning: str, found: int) -> FileTrouble:
    """The trouble that no single form has a key that starts so."""
    many = f"More than one form {which}has" if found else f"No form {which}has"
    return FileTrouble(
        f"{many} a key that starts with {beginning.strip()[:60]}. To see the keys: onboard answer"
    )
