"""Who is meant by a sign-in name, a number or the key of a form; told in words where nobody is."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from sqlalchemy import Connection

from onboard.clean import sites as named
from onboard.errors import FileTrouble
from onboard.model import Member, RawRow
from onboard.roster import desk, search
from onboard.settings import Site


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


def site(sites: Sequence[Site], said: str) -> Site:
    """The drop site that the words name, open or closed. Raises `FileTrouble` for none, and for several."""
    exact = [one for one in sites if one.name.casefold() == said.strip().casefold()]
    opened = [replace(one, closed=False) for one in sites]  # a closed one may be meant, too
    name = exact[0].name if exact else named.clean(said, opened).value
    found = next((one for one in sites if one.name == name), None)
    if found is None:
        known = ", ".join(one.name for one in sites)
        raise FileTrouble(f"“{said[:60]}” does not name one drop site. Write one of: {known}")
    return found


def no_form(which: str, beginning: str, found: int) -> FileTrouble:
    """The trouble that no single form has a key that starts so."""
    many = f"More than one form {which}has" if found else f"No form {which}has"
    return FileTrouble(
        f"{many} a key that starts with {beginning.strip()[:60]}. To see the keys: onboard answer"
    )
