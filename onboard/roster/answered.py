"""Forms that a person answered, and by which nobody has a new account: such an answer can be taken back.

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from sqlalchemy import Connection, and_, delete, func, or_, select, update

from onboard.model import Answer, Owner, RawRow, Ruling, Signature
from onboard.roster import forms, search, tables
from onboard.roster.bulk import insert
from onboard.roster.journal import sound, stamp

HOLD = "hold"  # decision of a row that waits for an answer


class Answered(NamedTuple):
    """A form with the newest answer about it."""

    raw: RawRow
    ruling: Ruling
    at: datetime  # when it was given, UTC


def answered(connection: Connection, beginning: str = "", most: int = 0) -> list[Answered]:
    """The forms whose newest answer can be taken back, the newest answer first; of those whose key begins so.

    An answer that enrolled somebody is none of them, nor "wait", which settles nothing. `most` is how many, 0: all.
    """
    row, ruling = tables.row.c, tables.ruling.c
    newest = select(func.max(ruling.id)).group_by(ruling.row_key)
    settled = and_(
        row.decision == ruling.answer, ruling.answer.in_((str(Answer.DROP), str(Answer.SAME)))
    )
    open_still = and_(row.decision == HOLD, ruling.answer == str(Answer.ENROL))
    query = (
        select(ruling.row_key, ruling.at)
        .join_from(tables.ruling, tables.row)
        .where(ruling.id.in_(newest), or_(settled, open_still))
        .where(func.substr(row.key, 1, len(beginning)) == beginning)
        .order_by(ruling.id.desc())
    )
    at = dict(tuple(line) for line in connection.execute(query.limit(most) if most else query))
    raw, rulings = search.raw_rows(connection, at), search.rulings(connection, at)
    return [
        Answered(raw[key], rulings[key], datetime.fromisoformat(when)) for key, when in at.items()
    ]


def reopen(connection: Connection, key: str, signature: Signature) -> Owner:
    """Put a row back on hold, asked what it was asked before; it is to be judged anew. Who it was until now.

    Its spellings are known no more: judging it makes them known again, without what the answer corrected.
    """
    row, person, decision = tables.row, tables.person, tables.decision
    member = connection.scalar(select(row.c.member_id).where(row.c.key == key))
    asked = connection.scalar(
        select(decision.c.questions)
        .where(decision.c.row_key == key, decision.c.kind == HOLD)
        .order_by(decision.c.id.desc())
        .limit(1)
    )
    asks_who = any(field == "match" for field, *_ in asked or ())
    connection.execute(
        update(row).where(row.c.key == key).values(decision=HOLD, asks_who=asks_who, member_id=None)
    )
    forms.follow(connection, [{"row_key": key, "member_id": None}])
    mine = select(person.c.id).where(person.c.row_key == key)
    connection.execute(delete(tables.person_key).where(tables.person_key.c.person_id.in_(mine)))
    connection.execute(delete(person).where(person.c.row_key == key))
    line = {
        "row_key": key, "kind": HOLD, "member_id": None, "questions": [], "matches": [],
        "reasons": ["the answer was taken back"], "at": stamp(signature.when), "who": sound(signature.who),
    }  # fmt: skip
    insert(connection, decision, [line])
    return Owner.of_member(member) if member else Owner.of_row(key)
