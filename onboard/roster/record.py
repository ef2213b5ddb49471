"""What was decided, written: members with their handles and spellings, rows, findings, reasons.

Each function writes within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, select, update

from onboard.model import (
    Applicant,
    Decision,
    Drop,
    Enrol,
    Handle,
    Hold,
    Match,
    Member,
    Owner,
    Person,
    PersonName,
    Ruling,
    SameAs,
    Signature,
    State,
    What,
)
from onboard.roster import doubts, forms, journal, outgoing, search, spellings, tables
from onboard.roster import members as members_of
from onboard.roster.bulk import insert, next_number
from onboard.roster.journal import Entry, sound, stamp
from onboard.roster.spellings import Spelling

LONGEST_SAID = 500  # characters of what was said that a finding repeats; the row keeps it all
NOON = time(
    12
)  # of a day without a time: the same day in every time zone of the Americas and Europe
KIND = {Enrol: "enrol", SameAs: "same", Hold: "hold", Drop: "drop"}
WHAT = {Enrol: "enrolled", SameAs: "spelling kept", Hold: "put on hold", Drop: "dropped"}


class Judged(NamedTuple):
    """A decision, whose the row is from now on, and under which keys its spellings are found.

    Only `match` knows the keys. The owner of a new member is the next free `next_member`.
    """

    decision: Decision
    owner: Owner
    people: tuple[tuple[Person, Collection[str]], ...]


def batch(connection: Connection, file: str, signature: Signature) -> int:
    """The number of a new batch."""
    line = {"file": sound(file), "at": stamp(signature.when), "who": sound(signature.who)}
    return int(
        connection.execute(tables.batch.insert().returning(tables.batch.c.id), line).scalar_one()
    )


def decisions(
    connection: Connection,
    judged: Sequence[Judged],
    signature: Signature,
    batch_id: int,
    *,
    anew: Collection[str] = (),
) -> dict[str, Member]:
    """Record what was decided; the new members, by row key.

    A packet is due to each but those who had an account before. A row on hold that is still on hold with the
    same questions is left as it is, unless its key is among `anew`: those that say more now.
    """
    before = search.seen(connection, [j.decision.applicant.raw.key for j in judged])
    asked = _asked(connection, before)
    judged = [
        j
        for j in judged
        if j.decision.applicant.raw.key in anew or not _unchanged(j.decision, asked)
    ]
    if not judged:
        return {}
    at = stamp(signature.when)
    next_position = next_number(connection, tables.row.c.position)
    members: dict[str, Member] = {}
    lines = _Lines()
    for decision, owner, people in judged:
        applicant = decision.applicant
        key = applicant.raw.key
        member_id = owner.member_id
        columns: Mapping[str, Any] | None = None
        if isinstance(decision, Enrol) and member_id:
            members[key] = _member(decision, member_id, signature)
            columns = members_of.columns(members[key])
            lines.member.append(columns)
            lines.handle.append(_handle_line(decision, member_id))
        state = {
            "decision": KIND[type(decision)],
            "asks_who": _asks_who(decision),
            "member_id": member_id,
        }
        if key in before:
            lines.row_again.append({"row_key": key, **state})
        else:
            lines.row.append(forms.columns(applicant.raw, next_position, batch_id) | state)
            next_position += 1
        lines.finding += _finding_lines(applicant, columns)
        lines.decision.append(_decision_line(decision, member_id, at, signature.who))
        lines.apart += _apart_lines(decision)
        if not isinstance(decision, Drop):
            lines.people += [Spelling(owner, key, person, keys) for person, keys in people]
        lines.entries.append(_entry(decision, owner))
    lines.write(connection, signature)
    ways = {one.id: one.packet_goes_by for one in members.values() if one.packet}
    outgoing.add(connection, What.PACKET, ways, signature, state=State.DUE)
    return members


def is_as_before(connection: Connection, judged: Sequence[Judged]) -> bool:
    """Whether all are on hold as they were, with the same questions: then `decisions` writes nothing."""
    keys = [one.decision.applicant.raw.key for one in judged]
    asked = _asked(connection, search.seen(connection, keys))
    return all(_unchanged(one.decision, asked) for one in judged)


def _asks_who(decision: Decision) -> bool:
    """Whether it waits for who the person is."""
    return isinstance(decision, Hold) and any(q.field == "match" for q in decision.questions)


def owners(judged: Iterable[Judged]) -> set[Owner]:
    """Whom the decisions are about: the members, and the rows as their own owners."""
    judged = list(judged)
    on_hold = {Owner.of_row(decision.applicant.raw.key) for decision, _, _ in judged}
    return on_hold | {owner for _, owner, _ in judged}


def next_member(connection: Connection) -> int:
    """The number that the next new member gets: nobody had it, forgotten members included."""
    return max(
        next_number(connection, tables.member.c.id),
        next_number(connection, tables.forgotten.c.member_id),
    )


def handle_too(connection: Connection, text: str, number: int) -> None:
    """Keep a sign-in name that a list says is the member's, beside theirs: nobody else gets it."""
    if not search.handles(connection, {Handle(text).base}) & {text.casefold()}:
        line = {"text": text, "base": Handle(text).base, "member_id": number}
        insert(connection, tables.handle, [line])


def rulings(connection: Connection, given: Iterable[Ruling], signature: Signature) -> None:
    """Keep the rulings; the rows they are about are judged anew in the next batch."""
    lines, entries = [], []
    for ruling in given:
        lines.append(
            {
                "row_key": ruling.row,
                "answer": str(ruling.answer),
                "member_id": ruling.member.member_id if ruling.member else None,
                "corrections": {field: sound(text) for field, text in ruling.corrections.items()},
                "why": sound(ruling.why),
                "at": stamp(signature.when),
                "who": sound(ruling.by),
            }
        )
        entries.append(
            Entry(
                "ruled", Owner.of_row(ruling.row), ruling.why, after={"answer": str(ruling.answer)}
            )
        )
    if lines:
        connection.execute(tables.ruling.insert(), lines)
        journal.write(connection, entries, signature)


# ---------------------------------------------------------------- first passwords


@dataclass(frozen=True, slots=True)
class Issued:
    """A first password given to a member: its hash only."""

    member_id: int
    password_hash: str
    expires: date


def issued(connection: Connection, passwords: Sequence[Issued], signature: Signature) -> None:
    """Store hashes and expiry before any packet is written: the packet stays due until it is."""
    change = update(tables.member).where(tables.member.c.id == bindparam("number"))
    connection.execute(
        change.values(
            password_hash=bindparam("hash"), password_expires=bindparam("expires"),
            must_change=True,
        ),
        [
            {"number": p.member_id, "hash": p.password_hash, "expires": p.expires.isoformat()}
            for p in passwords
        ],
    )  # fmt: skip
    entries = [
        Entry(
            "first password issued",
            Owner.of_member(p.member_id),
            after={"expires": p.expires.isoformat()},
        )
        for p in passwords
    ]
    journal.write(connection, entries, signature)


# ---------------------------------------------------------------- lines


class _Lines:
    """What one call writes, table by table, so that each table is written once."""

    def __init__(self) -> None:
        self.member: list[dict[str, Any]] = []
        self.handle: list[dict[str, Any]] = []
        self.row: list[dict[str, Any]] = []
        self.row_again: list[dict[str, Any]] = []
        self.finding: list[dict[str, Any]] = []
        self.decision: list[dict[str, Any]] = []
        self.apart: list[dict[str, Any]] = []
        self.people: list[Spelling] = []
        self.entries: list[Entry] = []

    def write(self, connection: Connection, signature: Signature) -> None:
        insert(connection, tables.member, self.member)
        insert(connection, tables.handle, self.handle)
        insert(connection, tables.row, self.row)
        if self.row_again:
            self._again(connection)
        insert(connection, tables.finding, self.finding)
        insert(connection, tables.decision, self.decision)
        insert(connection, tables.apart, self.apart)
        self._people(connection)
        journal.write(connection, self.entries, signature)

    def _again(self, connection: Connection) -> None:
        """Rows decided before: the new state, the newest findings, the spelling's new owner."""
        row, finding, person = tables.row, tables.finding, tables.person
        change = update(row).where(row.c.key == bindparam("row_key"))
        connection.execute(
            change.values(
                decision=bindparam("decision"), asks_who=bindparam("asks_who"),
                member_id=bindparam("member_id"),
            ),
            self.row_again,
        )  # fmt: skip
        forms.follow(connection, self.row_again)
        keys = [line["row_key"] for line in self.row_again]
        for some in search.parts(keys, search.AT_ONCE):
            connection.execute(finding.delete().where(finding.c.row_key.in_(some)))
        dropped = [line["row_key"] for line in self.row_again if line["decision"] == "drop"]
        for some in search.parts(dropped, search.AT_ONCE):
            gone = select(person.c.id).where(person.c.row_key.in_(some))
            connection.execute(
                tables.person_key.delete().where(tables.person_key.c.person_id.in_(gone))
            )
            connection.execute(person.delete().where(person.c.row_key.in_(some)))
        moved = [
            {"row": line["row_key"], "to": Owner.of_member(line["member_id"])}
            for line in self.row_again
            if line["member_id"]
        ]
        if moved:
            change = update(person).where(person.c.row_key == bindparam("row"))
            connection.execute(change.values(owner=bindparam("to")), moved)

    def _people(self, connection: Connection) -> None:
        """Spellings not yet kept, each with its match keys."""
        again = {line["row_key"] for line in self.row_again}
        kept: set[tuple[Any, ...]] = set()
        person = tables.person
        for some in search.parts(again, search.AT_ONCE):
            for line in connection.execute(select(person).where(person.c.row_key.in_(some))):
                kept.add((line.row_key, *tuple(line)[3:-1], tuple(line.joint)))
        spellings.add(
            connection,
            [one for one in self.people if not kept or (one.row_key, *one.person[1:]) not in kept],
        )


def _asked(connection: Connection, before: Mapping[str, search.Seen]) -> Mapping[str, Any]:
    """What was asked last of those of the rows that are on hold, by key."""
    on_hold = [key for key, was in before.items() if was.decision == "hold"]
    return search.last_questions(connection, on_hold)


def _unchanged(decision: Decision, asked: Mapping[str, Any]) -> bool:
    key = decision.applicant.raw.key
    return isinstance(decision, Hold) and asked.get(key) == _questions(decision)


def _questions(decision: Hold) -> list[Any]:
    return [[q.field, sound(q.ask), [str(a) for a in q.answers]] for q in decision.questions]


def _member(decision: Enrol, number: int, signature: Signature) -> Member:
    applicant = decision.applicant
    said = members_of.of_applicant(applicant)
    days = {column: day.value for column, day in applicant.days.items()}
    # Whoever had an account before joined on the day that their list says, or on one that nobody knows.
    is_new = "joined" not in days
    joined = days.pop("joined", None)
    if joined and joined > signature.when.date():
        joined = None
    return Member(
        id=number,
        handle=decision.handle,
        joined=datetime.combine(joined, NOON, UTC)
        if joined
        else signature.when
        if is_new
        else None,
        packet=None if decision.had_account else State.DUE,
        **said
        | {"name": applicant.name.value or PersonName(""), "address": tuple(said["address"])}
        | days,
    )


def _handle_line(decision: Enrol, number: int) -> dict[str, Any]:
    text = decision.handle.text
    return {"text": text, "base": decision.handle.base, "member_id": number}


def _finding_lines(applicant: Applicant, columns: Mapping[str, Any] | None) -> list[dict[str, Any]]:
    """The findings; with the columns of the member that the row made, if it made one."""
    return [
        {
            "row_key": applicant.raw.key,
            "code": finding.code,
            "field": finding.field,
            "weight": str(finding.weight),
            "said": sound(finding.said[:LONGEST_SAID]),
            "note": sound(finding.note),
            "understood": doubts.understood(finding, columns) if columns else None,
        }
        for finding in applicant.findings
    ]


def _decision_line(decision: Decision, member_id: int | None, at: str, who: str) -> dict[str, Any]:
    matches: tuple[Match, ...] = () if isinstance(decision, Drop) else decision.matches
    return {
        "row_key": decision.applicant.raw.key,
        "kind": KIND[type(decision)],
        "member_id": member_id,
        "reasons": [sound(reason) for reason in decision.reasons],
        "questions": _questions(decision) if isinstance(decision, Hold) else [],
        "matches": [
            {
                "owner": match.person.owner,
                "confidence": round(match.evidence.confidence, 4),
                "parts": [
                    [part.field, round(part.weight, 2), part.words] for part in match.evidence.parts
                ],
            }
            for match in matches
        ],
        "at": at,
        "who": sound(who),
    }


def _apart_lines(decision: Decision) -> list[dict[str, Any]]:
    """Enrolling somebody in spite of people like them says that they are not those people."""
    if not isinstance(decision, Enrol):
        return []
    others = sorted({match.person.owner for match in decision.matches})
    return [{"row_key": decision.applicant.raw.key, "other": other} for other in others]


def _entry(decision: Decision, owner: Owner) -> Entry:
    why = "; ".join(decision.reasons)
    after: dict[str, Any] = {"row": decision.applicant.raw.key}
    if isinstance(decision, Enrol):
        after["handle"] = decision.handle.text
    return Entry(WHAT[type(decision)], owner, why, after=after)
