"""A member removed: what is theirs goes, and where others' records speak of them a neutral word stays."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date
from typing import Any

from sqlalchemy import (
    Connection,
    Row,
    Table,
    Text,
    case,
    cast,
    delete,
    or_,
    select,
    update,
)

from onboard.clean import trace
from onboard.model import Owner, Signature
from onboard.roster import audits, index, tables, traces
from onboard.roster.bulk import insert
from onboard.roster.forms import FORGOTTEN
from onboard.roster.journal import stamp
from onboard.roster.whole import NAMES_A_MEMBER, Whole, each_text, lines_of

REMOVED = "(removed: it spoke of somebody who was deleted on request)"


def remove(
    connection: Connection,
    whole: Whole,
    signature: Signature,
    on_page: Collection[int] = (),
    on: date | None = None,
) -> dict[str, int]:
    """Remove what is the member's; how many lines of each table that was. `on` is today, as the co-op's
    clocks have it.

    What stays: the handles, bound to nobody, so that they are never given again; the number, for
    the same reason; the key of each join form, so that a file given again does not bring the
    member back; who did what when, without what it was about; that there was a call, and its cause,
    for the counts. Of the members `on_page` the page is told with the next export. What others'
    records say of them is another matter: `spoken_of.mask`.
    """
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("PRAGMA secure_delete = ON")  # write zeros over what goes
    where = lines_of(whole)
    counts = {}
    t = tables
    earlier = _earlier_emails(connection, whole)
    spelt = select(t.person.c.id).where(*where["person"])
    connection.execute(delete(t.person_key).where(t.person_key.c.person_id.in_(spelt)))
    for name in ("person", "finding", "decision", "ruling", "apart", "attempt", "outgoing", "came_back",
                 "applied_change"):  # fmt: skip
        gone = connection.execute(delete(t.metadata.tables[name]).where(*where[name]))
        counts[name] = gone.rowcount
    rows = connection.execute(select(t.row.c.key, t.row.c.fields).where(*where["row"])).all()
    counts["row"] = connection.execute(
        update(t.row).where(*where["row"]).values(
            file="", cells=[], fields={}, repairs=[], decision=FORGOTTEN, asks_who=False,
            member_id=None, statement=None, again_of=None,
        )
    ).rowcount  # fmt: skip
    said = [row.fields for row in rows]
    _leave_traces(connection, whole, said, earlier, on or signature.when.date())
    counts["call"] = connection.execute(
        update(t.call).where(*where["call"]).values(
            about=FORGOTTEN, note="", words="", handed_to="",
            # Nobody can come back to it.
            ended=case((t.call.c.ended == "open", "helped"), else_=t.call.c.ended),
        )
    ).rowcount  # fmt: skip
    counts["journal"] = connection.execute(
        update(t.journal).where(*where["journal"]).values(why="", before={}, after={})
    ).rowcount
    names = [member.handle.text for member in whole.members]
    counts["audit_finding"] = audits.forget(connection, whole.owners, names)
    counts["texts about others"] = _scrub(connection, whole)
    connection.execute(update(t.handle).where(*where["handle"]).values(member_id=None))
    _tell_page(connection, whole, signature, on_page)
    for table in (t.decision, t.ruling):  # of forms that for a while were taken for the member's
        column = table.c.member_id
        connection.execute(update(table).where(column.in_(whole.numbers)).values(member_id=None))
    counts["member"] = connection.execute(delete(t.member).where(*where["member"])).rowcount
    index.update(connection, whole.owners)
    return counts


def _leave_traces(
    connection: Connection,
    whole: Whole,
    forms: Collection[Mapping[str, str]],
    earlier: Mapping[int, Collection[str]],
    on: date,
) -> None:
    """Keep of each join form what knows one again that says the same, and tells nothing."""
    corrected = [
        {"given": member.name.given, "email": email}
        for member in whole.members
        for email in (member.email, *earlier.get(member.id, ()))
        if email
    ]
    for fields in forms:
        salt = traces.salt(connection)
        traces.keep(connection, trace.of_form(salt, fields, corrected, on))


def _earlier_emails(connection: Connection, whole: Whole) -> dict[int, set[str]]:
    """By member, the email addresses that were ever corrected to or from."""
    part = tables.applied_change.c
    query = select(part.member_id, part.before, part.after).where(
        part.field == "email", part.member_id.in_(whole.numbers)
    )
    found: dict[int, set[str]] = {}
    for number, before, after in connection.execute(query):
        found.setdefault(number, set()).update(text for text in (before, after) if text)
    return found


def keep_receipt(
    connection: Connection, whole: Whole, removed: dict[str, int], signature: Signature
) -> None:
    """Keep that the members were deleted, when, by whom, and how many lines of which table went."""
    at = stamp(signature.when)
    lines = [
        {"member_id": n, "at": at, "who": signature.who, "removed": removed} for n in whole.numbers
    ]
    if lines:
        insert(connection, tables.forgotten, lines)


def _tell_page(
    connection: Connection, whole: Whole, signature: Signature, on_page: Collection[int]
) -> None:
    """Keep of the marks no more than what the page must be told: the handle."""
    told = tables.exported
    connection.execute(delete(told).where(told.c.member_id.in_(set(whole.numbers) - set(on_page))))
    mine = select(told.c.member_id).where(*lines_of(whole)["exported"])
    marked = {n for (n,) in connection.execute(mine)}
    for line in whole.members:
        bare = {"account": {"userName": line.handle.text}, "at": stamp(signature.when)}
        if line.id in marked:
            connection.execute(update(told).where(told.c.member_id == line.id).values(bare))
        elif line.id in on_page:
            insert(connection, told, [bare | {"member_id": line.id, "page_id": None}])


def _scrub(connection: Connection, whole: Whole) -> int:
    """Take the member out of decisions about others: who was asked about them is asked no more.

    The program's own reasons tell what the two had in common, so they go whole.
    """
    decision, journal = tables.decision, tables.journal
    owners = set(whole.owners)
    count = 0
    mentions = [f'%"{owner}"%' for owner in owners]
    named = [f"%member {number}%" for number in whole.numbers]
    for line in _like(connection, decision, (decision.c.matches,), mentions) + _like(
        connection, decision, (decision.c.reasons, decision.c.questions), named
    ):
        matches = [m for m in line.matches if m["owner"] not in owners]
        if len(matches) == len(line.matches) and not _speaks(line.reasons, whole):
            continue
        said = {
            "matches": matches,
            "reasons": [REMOVED] if line.reasons else [],
            "questions": each_text(
                line.questions, lambda text: REMOVED if "?" in text or "(" in text else text
            ),
        }
        connection.execute(update(decision).where(decision.c.id == line.id).values(said))
        about = update(journal).where(
            journal.c.about == Owner.of_row(line.row_key), journal.c.at == line.at
        )
        connection.execute(about.values(why=REMOVED))
        count += 1
    return count


def _speaks(texts: Any, whole: Whole) -> bool:
    return any(int(n) in whole.numbers for n in NAMES_A_MEMBER.findall(str(texts)))


def _like(
    connection: Connection, table: Table, columns: Iterable[Any], patterns: Iterable[str]
) -> list[Row[Any]]:
    found = [cast(column, Text).like(pattern) for column in columns for pattern in patterns]
    return list(connection.execute(select(table).where(or_(False, *found)))) if found else []
