"""All that the roster holds of one member: to be shown to them, or to be removed.

A member is all their accounts: the one that stays, and those that were merged with it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    JSON,
    ColumnElement,
    Connection,
    Row,
    Table,
    Text,
    cast,
    delete,
    or_,
    select,
    update,
)

from onboard.model import Member, Owner, Signature
from onboard.roster import index, search, tables
from onboard.roster.bulk import insert
from onboard.roster.journal import stamp

FORGOTTEN = "forgotten"  # decision of a row whose cells were removed; whose a call was
REMOVED = "(removed: it spoke of somebody who was deleted on request)"
SOMEBODY_ELSE = "(left out: it names somebody else)"
_NAMES_A_MEMBER = re.compile(r"\bmember (\d+)\b")


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


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the roster where something of a member still stands, as somebody else's."""

    table: str
    whose: str  # an `Owner`, or the number of a line
    what: str  # "email", "phone", "name"


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
    return Whole((), (key,))


def row_meant(connection: Connection, beginning: str) -> list[str]:
    """The keys that begin so, of join forms that are no member's; at most two."""
    row = tables.row.c
    query = select(row.key).where(
        row.member_id.is_(None), row.decision != FORGOTTEN,
        row.key.startswith(beginning, autoescape=True),
    )  # fmt: skip
    return list(connection.execute(query.limit(2)).scalars())


def _of(whole: Whole) -> dict[str, tuple[ColumnElement[bool], ...]]:
    """By table: which of its lines are the member's."""
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
        "applied_change": (t.applied_change.c.member_id.in_(numbers),),
        "exported": (t.exported.c.member_id.in_(numbers),),
    }


# ---------------------------------------------------------------- shown

# What is nobody's business but the program's, or is no more than a pointer.
_UNTOLD = {
    "member": {"password_hash", "handle_steps"},
    "outgoing": {"claim"},
    "handle": {"base"},
    "row": {"position", "batch_id", "asks_who", "fields"},
    "person": {"id", "owner"},
    "exported": {"account"},
}
_NEVER_TOLD = {"id", "who", "undone_by"}  # who worked on it is another person's data


def everything(connection: Connection, whole: Whole) -> dict[str, list[dict[str, Any]]]:
    """All that is known of the member, by table, as JSON has it.

    Left out: the hash of a password (that there is one is said), who worked on it, and texts that
    name somebody else.
    """
    found: dict[str, list[dict[str, Any]]] = {}
    for name, where in _of(whole).items():
        table = tables.metadata.tables[name]
        untold = _UNTOLD.get(name, set()) | (_NEVER_TOLD if name != "member" else set())
        columns = [column for column in table.c if column.name not in untold]
        lines = connection.execute(select(*columns).where(*where))
        found[name] = [
            {key: _own(key, value, whole) for key, value in line._mapping.items()} for line in lines
        ]
    for told, member in zip(found["member"], whole.members, strict=True):
        told["password_hash"] = "kept, and shown to nobody" if member.password_hash else "none"
    causes = tables.call_cause.c
    for call in _calls(connection, whole):
        said = connection.execute(select(causes.cause).where(causes.call_id == call.id))
        found.setdefault("call_cause", []).append({"at": call.at, "causes": sorted(said.scalars())})
    return found


def _calls(connection: Connection, whole: Whole) -> list[Row[Any]]:
    call = tables.call
    return list(connection.execute(select(call).where(*_of(whole)["call"]).order_by(call.c.id)))


def _own(key: str, value: Any, whole: Whole) -> Any:
    """The value without what it says of others."""
    if key == "matches":
        return [m if m["owner"] in whole.owners else m | {"owner": "somebody else"} for m in value]
    if key == "other":
        return value if value in whole.owners else "somebody else"
    if key in ("reasons", "why", "questions"):
        return _each_text(
            value, lambda text: SOMEBODY_ELSE if _names_another(text, whole) else text
        )
    return value


def _names_another(text: str, whole: Whole) -> bool:
    named = {int(number) for number in _NAMES_A_MEMBER.findall(text)}
    return bool(named - set(whole.numbers)) or "(on hold)" in text


def _each_text(value: Any, change: Any) -> Any:
    if isinstance(value, str):
        return change(value)
    return [_each_text(item, change) for item in value] if isinstance(value, list) else value


# ---------------------------------------------------------------- removed


def remove(
    connection: Connection, whole: Whole, signature: Signature, on_page: Collection[int] = ()
) -> dict[str, int]:
    """Remove the member; how many lines of each table that was.

    What stays: the handles, bound to nobody, so that they are never given again; the number, for
    the same reason; the key of each join form, so that a file given again does not bring the
    member back; who did what when, without what it was about; that there was a call, and its cause,
    for the counts. Of the members `on_page` the page is told with the next export.
    """
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("PRAGMA secure_delete = ON")  # write zeros over what goes
    where = _of(whole)
    wanted = needles(connection, whole)
    counts = {}
    t = tables
    spelt = select(t.person.c.id).where(*where["person"])
    connection.execute(delete(t.person_key).where(t.person_key.c.person_id.in_(spelt)))
    for name in ("person", "finding", "decision", "ruling", "apart", "attempt", "outgoing",
                 "applied_change"):  # fmt: skip
        gone = connection.execute(delete(t.metadata.tables[name]).where(*where[name]))
        counts[name] = gone.rowcount
    counts["row"] = connection.execute(
        update(t.row).where(*where["row"]).values(
            file="", cells=[], fields={}, repairs=[], decision=FORGOTTEN, asks_who=False,
            member_id=None,
        )
    ).rowcount  # fmt: skip
    counts["call"] = connection.execute(
        update(t.call).where(*where["call"]).values(about=FORGOTTEN, note="")
    ).rowcount
    counts["journal"] = connection.execute(
        update(t.journal).where(*where["journal"]).values(why="", before={}, after={})
    ).rowcount
    counts["texts about others"] = _scrub(connection, whole)
    connection.execute(update(t.handle).where(*where["handle"]).values(member_id=None))
    _tell_page(connection, whole, signature, on_page)
    for table in (t.decision, t.ruling):  # of forms that for a while were taken for the member's
        column = table.c.member_id
        connection.execute(update(table).where(column.in_(whole.numbers)).values(member_id=None))
    counts["member"] = connection.execute(delete(t.member).where(*where["member"])).rowcount
    counts["texts about others"] += _scrub_values(connection, wanted)
    index.update(connection, whole.owners)
    if whole.numbers:
        insert(
            connection,
            t.forgotten,
            [
                {
                    "member_id": n,
                    "at": stamp(signature.when),
                    "who": signature.who,
                    "removed": counts,
                }
                for n in whole.numbers
            ],
        )
    return counts


def _tell_page(
    connection: Connection, whole: Whole, signature: Signature, on_page: Collection[int]
) -> None:
    """Keep of the marks no more than what the page must be told: the handle."""
    told = tables.exported
    connection.execute(delete(told).where(told.c.member_id.in_(set(whole.numbers) - set(on_page))))
    marked = {
        n for (n,) in connection.execute(select(told.c.member_id).where(*_of(whole)["exported"]))
    }
    for line in whole.members:
        bare = {"account": {"userName": line.handle.text}, "at": stamp(signature.when)}
        if line.id in marked:
            connection.execute(update(told).where(told.c.member_id == line.id).values(bare))
        elif line.id in on_page:
            insert(connection, told, [bare | {"member_id": line.id, "page_id": None}])


def _scrub(connection: Connection, whole: Whole) -> int:
    """Take the member out of decisions about others, and of the journal's words about them."""
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
            "questions": _each_text(
                line.questions, lambda text: REMOVED if "?" in text or "(" in text else text
            ),
        }
        connection.execute(update(decision).where(decision.c.id == line.id).values(said))
        about = update(journal).where(
            journal.c.about == Owner.of_row(line.row_key), journal.c.at == line.at
        )
        connection.execute(about.values(why=REMOVED))
        count += 1
    for line in _like(connection, journal, (journal.c.why,), named):
        if _speaks(line.why, whole):
            connection.execute(update(journal).where(journal.c.id == line.id).values(why=REMOVED))
            count += 1
    return count


def _scrub_values(connection: Connection, wanted: Mapping[str, str]) -> int:
    """Take emails and phones that are nobody's any more out of what others' accounts once held.

    A merge that was taken back leaves such behind.
    """
    person, journal, part = tables.person.c, tables.journal, tables.applied_change
    count = 0
    for text, what in wanted.items():
        column = {"email": person.email, "phone": person.phone}.get(what)
        if (
            column is None
            or connection.execute(select(person.id).where(column.in_((text, f"+{text}")))).first()
        ):
            continue
        said = [
            cast(column, Text).icontains(json.dumps(text)[1:-1], autoescape=True)
            for column in (journal.c.before, journal.c.after, journal.c.why)
        ]
        emptied = update(journal).where(or_(*said)).values(before={}, after={}, why=REMOVED)
        count += connection.execute(emptied).rowcount
        said = [
            cast(column, Text).icontains(json.dumps(text)[1:-1], autoescape=True)
            for column in (part.c.before, part.c.after)
        ]
        undone = part.c.undone_at.is_not(None)
        count += connection.execute(delete(part).where(or_(*said), undone)).rowcount
    return count


def _speaks(texts: Any, whole: Whole) -> bool:
    said = json.dumps(texts)
    return any(int(n) in whole.numbers for n in _NAMES_A_MEMBER.findall(said))


def _like(
    connection: Connection, table: Table, columns: Iterable[Any], patterns: Iterable[str]
) -> list[Row[Any]]:
    found = [cast(column, Text).like(pattern) for column in columns for pattern in patterns]
    return list(connection.execute(select(table).where(or_(False, *found)))) if found else []


# ---------------------------------------------------------------- proved


def needles(connection: Connection, whole: Whole) -> dict[str, str]:
    """Texts by which the member would be known again, with what each is."""
    found: dict[str, str] = {}
    for person in connection.execute(select(tables.person).where(*_of(whole)["person"])):
        said = {
            person.email: "email",
            person.phone.lstrip("+"): "phone",
            f"{person.given} {person.family}" if person.given and person.family else "": "name",
        }
        found |= {text: what for text, what in said.items() if text}
    for line in whole.members:
        if line.email:
            found[line.email] = "email"
    return found


def places(connection: Connection, wanted: Mapping[str, str]) -> list[Place]:
    """Where in the whole roster one of the texts still stands, capitals set aside."""
    found: dict[Place, None] = {}
    for table in tables.metadata.sorted_tables:
        texts = [c for c in table.c if isinstance(c.type, (Text, JSON))]
        for text, what in wanted.items():
            # JSON is stored in ASCII, with other letters escaped (RFC 8259, section 7).
            forms = {text, json.dumps(text)[1:-1]}
            where = [
                cast(column, Text).icontains(form, autoescape=True)
                for column in texts for form in forms
            ]  # fmt: skip
            if where:
                for line in connection.execute(select(table).where(or_(*where))):
                    found[Place(table.name, _whose(line), what)] = None
    return list(found)


def _whose(line: Row[Any]) -> str:
    """Whose a line is, as far as the line itself says."""
    said = line._mapping
    if "owner" in said or "about" in said:
        return str(said.get("owner") or said.get("about"))
    if said.get("member_id"):
        return Owner.of_member(said["member_id"])
    if "row_key" in said:
        return Owner.of_row(said["row_key"])
    return Owner.of_row(said["key"]) if "key" in said else f"{said.get('id', '')}"
