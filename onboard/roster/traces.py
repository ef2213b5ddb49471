"""What was deleted, known again in the files that come: see `clean.trace`.

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from sqlalchemy import Connection, select

from onboard.clean import day, trace
from onboard.clean.trace import Came, Trace
from onboard.model import RawRow
from onboard.roster import tables
from onboard.roster.bulk import insert
from onboard.roster.spoken_of import DELETED, is_about_anybody


class Traces(NamedTuple):
    """All traces, by salt and digest."""

    forms: Mapping[str, Mapping[str, list[Trace]]]
    remarks: Mapping[str, Mapping[str, Trace]]

    def came(self, raw: RawRow, region: str) -> Came | None:
        """Whether a row is of somebody who was deleted, and older than that."""
        if not self.forms:
            return None
        on = day.clean(raw.fields.get("submitted", ""), field="joined", region=region).value
        return trace.came(raw.fields, on, self.forms)

    def hushed(self, rows: Iterable[RawRow]) -> Iterator[RawRow]:
        """The rows without what they again say of somebody who was deleted."""
        return map(self._hushed, rows) if self.remarks else iter(rows)

    def _hushed(self, raw: RawRow) -> RawRow:
        new = {
            text: now
            for field, text in raw.fields.items()
            if text and is_about_anybody(field)
            and (now := trace.hushed(text, self.remarks, DELETED)) != text
        }  # fmt: skip
        return raw.saying(new) if new else raw


def read(connection: Connection) -> Traces:
    """All that is kept of what was deleted."""
    forms: dict[str, dict[str, list[Trace]]] = defaultdict(lambda: defaultdict(list))
    remarks: dict[str, dict[str, Trace]] = defaultdict(dict)
    for line in connection.execute(select(tables.trace)):
        if line.places is not None:
            places = tuple((start, end) for start, end in line.places)
            remarks[line.salt][line.digest] = Trace(line.salt, line.digest, places=places)
            continue
        answers = None if line.answers is None else frozenset(line.answers)
        on = date.fromisoformat(line.day) if line.day else None
        forms[line.salt][line.digest].append(Trace(line.salt, line.digest, answers, on=on))
    return Traces(forms, remarks)


def salt(connection: Connection) -> str:
    """One for all, so that a text is looked for once: that of the traces that there are, or the key of a form."""
    newest = select(tables.trace.c.salt).order_by(tables.trace.c.id.desc()).limit(1)
    first = select(tables.row.c.key).order_by(tables.row.c.position).limit(1)
    known = connection.execute(newest).scalar() or connection.execute(first).scalar_one()
    return str(known)


def keep_remarks(connection: Connection, remarks: Mapping[str, Iterable[tuple[int, int]]]) -> None:
    """Keep the traces of remarks on others' forms, in each of which somebody was named at these places."""
    if remarks:
        known = salt(connection)
        keep(connection, [trace.of_remark(known, text, places) for text, places in remarks.items()])


def keep(connection: Connection, traces: Collection[Trace]) -> None:
    """Keep the traces."""
    lines = [
        {
            "salt": one.salt, "digest": one.digest,
            "answers": None if one.answers is None else sorted(one.answers),
            "places": [list(place) for place in one.places] or None,
            "day": one.on.isoformat() if one.on else None,
        }
        for one in traces
    ]  # fmt: skip
    if lines:
        insert(connection, tables.trace, lines)
