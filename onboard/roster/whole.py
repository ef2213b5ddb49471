"""All that the roster holds of one member, and what of it is shown to them.

A member is all their accounts: the one that stays, and those that were merged with it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, or_, select

from onboard.model import Member, Owner
from onboard.roster import search, tables
from onboard.roster.forms import AGAIN, FORGOTTEN

SOMEBODY_ELSE = "(left out: it names somebody else)"
NAMES_A_MEMBER = re.compile(r"\bmember (\d+)\b")


@dataclass(frozen=True, slots=True)
class Whole:
    """Where all of one member is to be found."""

    members: tuple[Member, ...]  # none: a form that became no member
    rows: tuple[str, ...]  # keys of their join forms

    @property
    def numbers(self) -> tuple[int, ...]:
        return tuple(member.id for member in self.members)

    @property
    def owners(self) -> tuple[Owner, ...]:
        """Under what they stand in `person`, `journal` and `call`."""
        return (*map(Owner.of_member, self.numbers), *map(Owner.of_row, self.rows))


def of_member(connection: Connection, number: int) -> Whole:
    """Where all of the member with this number is."""
    number = search.stays(connection, [number]).get(number, number)
    member, row, person = tables.member.c, tables.row.c, tables.person.c
    numbers, asked = {number}, {number}
    while asked:
        query = select(member.id, member.merged_into)
        asked = {
            n for n, _ in search._among(connection, query, member.merged_into, asked)
        } - numbers
        numbers |= asked
    keys = {
        k
        for k, _ in search._among(
            connection, select(row.key, row.member_id), row.member_id, numbers
        )
    }
    owners = [Owner.of_member(n) for n in numbers]
    spelt = search._among(connection, select(person.row_key), person.owner, owners)
    keys |= {key for (key,) in spelt if key}
    found = search.members_by_number(connection, numbers)
    return Whole(tuple(found[n] for n in sorted(found)), tuple(sorted(keys)))


def of_row(connection: Connection, key: str) -> Whole:
    """Where all of a join form is that became no member."""
    row = tables.row.c
    again = connection.execute(select(row.key).where(row.again_of == key)).scalars()
    return Whole((), (key, *again))


def row_meant(connection: Connection, beginning: str) -> list[str]:
    """The keys that begin so, of join forms that are no member's; at most two."""
    row = tables.row.c
    query = select(row.key).where(
        row.member_id.is_(None), row.decision.not_in((FORGOTTEN, AGAIN)),
        row.key.startswith(beginning, autoescape=True),
    )  # fmt: skip
    return list(connection.execute(query.limit(2)).scalars())


def lines_of(whole: Whole) -> dict[str, tuple[ColumnElement[bool], ...]]:
    """By table: the conditions under which its lines are the member's."""
    t = tables
    numbers, rows, owners = whole.numbers, whole.rows, whole.owners
    return {
        "member": (t.member.c.id.in_(numbers),),
        "handle": (t.handle.c.member_id.in_(numbers),),
        "row": (t.row.c.key.in_(rows),),
        "finding": (t.finding.c.row_key.in_(rows),),
        "decision": (t.decision.c.row_key.in_(rows),),
        "ruling": (t.ruling.c.row_key.in_(rows),),
        "apart": (or_(t.apart.c.row_key.in_(rows), t.apart.c.other.in_(owners)),),
        "person": (or_(t.person.c.owner.in_(owners), t.person.c.row_key.in_(rows)),),
        "journal": (t.journal.c.about.in_(owners),),
        "call": (t.call.c.about.in_(owners),),
        "attempt": (t.attempt.c.member_id.in_(numbers),),
        "outgoing": (t.outgoing.c.member_id.in_(numbers),),
        "came_back": (t.came_back.c.member_id.in_(numbers),),
        "applied_change": (t.applied_change.c.member_id.in_(numbers),),
        "exported": (t.exported.c.member_id.in_(numbers),),
        "audit_finding": (t.audit_finding.c.owner.in_(owners),),
    }


# ---------------------------------------------------------------- shown

# What is nobody's business but the program's, or is no more than a pointer.
_UNTOLD = {
    "member": {"password_hash", "handle_steps"},
    "outgoing": {"claim"},
    "came_back": {"digest"},
    "handle": {"base"},
    "row": {"position", "batch_id", "asks_who", "fields", "statement", "again_of"},
    "person": {"id", "owner"},
    "exported": {"account"},
    "audit_finding": {"audit_id", "key", "owner", "version", "applied"},
}
_NEVER_TOLD = {"id", "who", "undone_by", "handed_to"}  # who worked on it is another person's data


def everything(connection: Connection, whole: Whole) -> dict[str, list[dict[str, Any]]]:
    """All that is known of the member, by table, as JSON has it.

    Left out: the hash of a password (that there is one is said), who worked on it, and texts that
    name somebody else.
    """
    found: dict[str, list[dict[str, Any]]] = {}
    for name, where in lines_of(whole).items():
        table = tables.metadata.tables[name]
        untold = _UNTOLD.get(name, set()) | (_NEVER_TOLD if name != "member" else set())
        columns = [column for column in table.c if column.name not in untold]
        lines = connection.execute(select(*columns).where(*where))
        found[name] = [
            {key: _own(key, value, whole) for key, value in line._mapping.items()} for line in lines
        ]
    for line in found["audit_finding"]:
        if line.pop("others"):  # what is said of two accounts names both
            line |= {"said": SOMEBODY_ELSE, "note": SOMEBODY_ELSE, "change": None}
    for told, member in zip(found["member"], whole.members, strict=True):
        told["joined"] = told["joined"] or "unknown"
        told["password_hash"] = "kept, and shown to nobody" if member.password_hash else "none"
    causes = tables.call_cause.c
    for call in _calls(connection, whole):
        said = connection.execute(select(causes.cause).where(causes.call_id == call.id))
        found.setdefault("call_cause", []).append({"at": call.at, "causes": sorted(said.scalars())})
    return found


def _calls(connection: Connection, whole: Whole) -> list[Row[Any]]:
    call = tables.call
    return list(
        connection.execute(select(call).where(*lines_of(whole)["call"]).order_by(call.c.id))
    )


def _own(key: str, value: Any, whole: Whole) -> Any:
    """The value without what it says of others."""
    if key == "matches":
        return [m if m["owner"] in whole.owners else m | {"owner": "somebody else"} for m in value]
    if key == "other":
        return value if value in whole.owners else "somebody else"
    if key in ("before", "after"):
        return _unsigned(value)
    if key in ("reasons", "why", "questions"):
        return each_text(value, lambda text: SOMEBODY_ELSE if _names_another(text, whole) else text)
    return value


def _unsigned(value: Any) -> Any:
    """The value without whom a call was handed to."""
    if isinstance(value, dict):
        return {key: _unsigned(item) for key, item in value.items() if key != "handed_to"}
    return value


def _names_another(text: str, whole: Whole) -> bool:
    named = {int(number) for number in NAMES_A_MEMBER.findall(text)}
    return bool(named - set(whole.numbers)) or "(on hold)" in text


def each_text(value: Any, change: Callable[[str], str]) -> Any:
    """The value with every text in it changed."""
    if isinstance(value, str):
        return change(value)
    return [each_text(item, change) for item in value] if isinstance(value, list) else value
