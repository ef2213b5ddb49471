"""What was said of a member and left in doubt, as long as nobody has settled it.

A row that made a member is kept with its findings, and one of theirs that came later with what it
says otherwise (`add`); each doubtful finding with what the member's column came to. The doubt stands while the column is that still, and the member has not said since
that all is right. So a correction settles it, and a correction that is undone brings it back; in a
merge the rows go to the member who stays, and with them the doubts about values that stay.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, exists, func, select

from onboard.model import Answer, Finding, Member, Owner, Standing, Weight, What
from onboard.roster import members as members_of
from onboard.roster import tables
from onboard.roster.among import among
from onboard.roster.asking import ask
from onboard.roster.bulk import insert
from onboard.roster.emails import CONFIRMED
from onboard.roster.journal import sound, stamp

# The column of the member that a finding is about, by the finding's field. What is not here is about
# the row as a whole, or about nothing that a member has.
COLUMN: Mapping[str, str] = {
    **{
        column: column
        for column in (
            "name", "email", "phone", "address", "site", "language", "consent", "born", "notes",
            "joined", "last_sign_in", "last_order", "bounced", "handle",
        )
    },
    **dict.fromkeys(("full_name", "given", "middle", "family", "second_family", "suffix"), "name"),
    **dict.fromkeys(
        ("place", "number", "street", "unit", "city", "state", "zip", "last_line"), "address"
    ),
    "submitted": "joined",
}  # fmt: skip


# No doubt, but what the audit must know of a value: a street that stands beside a post office box.
KNOWN_ASIDE = "address.kept_aside"


def understood(finding: Finding, columns: Mapping[str, Any]) -> list[Any] | None:
    """What is kept with a finding: in a list, what the member's column came to; None if it is no doubt."""
    if finding.weight is Weight.MENDED and finding.code != KNOWN_ASIDE:
        return None
    return [columns.get(COLUMN.get(finding.field, ""))]


def add(connection: Connection, said: Iterable[tuple[str, Finding, Any]]) -> None:
    """Keep what a member's later form puts in doubt: the key of its row, the finding, and what the
    member's column is."""
    lines = [
        {
            "row_key": key, "code": one.code, "field": one.field, "weight": str(one.weight),
            "said": sound(one.said), "note": sound(one.note), "understood": [now],
        }
        for key, one, now in said
    ]  # fmt: skip
    insert(connection, tables.finding, lines)


_EVER = (
    "SELECT DISTINCT r.member_id FROM {numbers} k CROSS JOIN row r JOIN finding f ON f.row_key = r.key "
    "WHERE r.member_id = k.v AND f.code IN ({codes})"
)

# Columns of a member of which the member can say that they are right.
OWN = ("name", "email", "phone", "address", "site")


@dataclass(frozen=True, slots=True)
class Settled:
    """What a person has said is right as it is, by the member's number."""

    columns: Mapping[int, frozenset[str]]
    emails: Mapping[int, tuple[str, str]]  # an address that is right, and the day it was said

    def of(self, member: Member) -> frozenset[str]:
        """The columns of a member that are settled as they are now."""
        columns = self.columns.get(member.id, frozenset())
        email, _ = self.emails.get(member.id, ("", ""))
        return columns | {"email"} if email and email == member.email else columns


def settled(connection: Connection) -> Settled:
    """What a person has settled of all members.

    Whoever said that all is right said so of what has not been changed since; whoever answered that an
    email address is right, of that address; and of a name that a coordinator has put right they asked.
    """
    change = tables.applied_change.c
    last: dict[int, dict[str, int]] = defaultdict(dict)
    query = select(change.member_id, change.field, func.max(change.id)).where(
        change.undone_at.is_(None), change.field.in_((*OWN, "confirmed"))
    )
    for number, field, at in connection.execute(query.group_by(change.member_id, change.field)):
        last[number][field] = at
    columns: dict[int, frozenset[str]] = {}
    for number, fields in last.items():
        right = {field for field in OWN if fields.get(field, 0) < fields.get("confirmed", 0)}
        columns[number] = frozenset(right | ({"name"} & fields.keys()))
    return Settled(columns, _confirmed_emails(connection))


def _confirmed_emails(
    connection: Connection, owners: Collection[Owner] | None = None
) -> dict[int, tuple[str, str]]:
    entry = tables.journal.c
    query = select(entry.about, entry.at, entry.after).where(entry.what == CONFIRMED)
    query = query.order_by(entry.id)
    lines: Iterable[Any]
    if owners is None:
        lines = connection.execute(query)
    else:
        lines = among(connection, query, entry.about, owners)
    found: dict[int, tuple[str, str]] = {}
    for about, at, after in lines:
        number = Owner(about).member_id
        if number and isinstance(after, dict) and isinstance(after.get("email"), str):
            found[number] = (after["email"], at[:10])
    return found


def _said_right(connection: Connection, members: Collection[Member]) -> dict[int, str]:
    """When (UTC) each of these members last said that all is right, where the change log has it: the day on
    file is the co-op's, and the days of batches are not."""
    entry = tables.journal.c
    query = select(entry.about, entry.at, entry.after).order_by(entry.id)
    found = {}
    for about, at, after in among(connection, query, entry.about, [m.owner for m in members]):
        number = Owner(about).member_id
        if number and isinstance(after, dict) and after.get("confirmed"):
            found[number] = at
    return found


def new_members_since(connection: Connection, since: datetime) -> set[int]:
    """The numbers of the members who came by a join form, and of whom a form since then says something
    doubtful; a packet was due to each."""
    finding, row, batch, line = tables.finding.c, tables.row.c, tables.batch.c, tables.outgoing.c
    is_new = exists().where(line.member_id == row.member_id, line.what == What.PACKET)
    query = (
        select(row.member_id)
        .select_from(tables.finding.join(tables.row).join(tables.batch))
        .where(batch.at >= stamp(since), finding.weight == str(Weight.DOUBTFUL))
        .where(finding.understood.is_not(None), row.member_id.is_not(None), is_new)
        .distinct()
    )
    return set(connection.scalars(query))


def ever(connection: Connection, member_ids: Iterable[int], codes: Collection[str]) -> list[int]:
    """Those of the members of whom one of these kinds of finding was ever kept, settled or not, by number."""
    named = ", ".join(f"'{code}'" for code in sorted(codes))
    said = ask(connection, _EVER.format(codes=named, numbers="{numbers}"), member_ids)
    return sorted(number for (number,) in said)


def of_members(
    connection: Connection, members: Iterable[Member], settled: Settled | None = None
) -> dict[int, list[Finding]]:
    """The doubts that stand about open members, by the member's number, in the order they came.

    `settled` is what was settled of all members, for whoever reads them all.
    """
    known = {member.id: member for member in members if member.standing is Standing.OPEN}
    if not known:
        return {}
    finding, row, batch, ruling = tables.finding.c, tables.row.c, tables.batch.c, tables.ruling.c
    # What held a form was asked, and somebody has answered.
    answered = exists().where(ruling.row_key == row.key, ruling.answer == str(Answer.ENROL))
    query = (
        select(
            row.member_id, batch.at, finding.code, finding.field, finding.weight, finding.said,
            finding.note, finding.understood,
        )
        .select_from(tables.finding.join(tables.row).join(tables.batch))
        .where(row.decision.in_(("enrol", "same", "again")), finding.understood.is_not(None))
        .where((finding.weight != str(Weight.BLOCKING)) | ~answered)
        .order_by(finding.id)
    )  # fmt: skip
    lines = list(among(connection, query, row.member_id, list(known)))
    found: dict[int, list[Finding]] = defaultdict(list)
    if not lines:
        return found
    emails = (
        settled.emails
        if settled
        else _confirmed_emails(connection, [member.owner for member in known.values()])
    )
    said_right = _said_right(connection, [m for m in known.values() if m.confirmed])
    columns: dict[int, Mapping[str, Any]] = {}
    for number, at, code, field, weight, said, note, came_to in lines:
        member = known[number]
        now = columns.get(number) or columns.setdefault(number, members_of.columns(member))
        confirmed = member.confirmed is not None and (
            said_right[number] >= at
            if number in said_right
            else member.confirmed.isoformat() >= at[:10]
        )
        column = COLUMN.get(field, "")
        if column == "email" and number in emails:
            address, day = emails[number]
            confirmed = confirmed or (address == member.email and day >= at[:10])
        if column == "name":  # an earlier program left out the parts that were empty
            came_to = [members_of.parts(members_of.name_of(number, came_to[0]))]
        if not confirmed and came_to == [now.get(column)]:
            found[number].append(Finding(code, field, Weight(weight), said, note))
    return found
