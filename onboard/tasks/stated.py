"""What the rows at hand say of a person, by which one that comes again is known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import NamedTuple

from sqlalchemy import Connection

from onboard.clean import row, statement
from onboard.clean.statement import Likeness
from onboard.model import Owner, RawRow
from onboard.roster import forms


class Stands(NamedTuple):
    """How an earlier row stands."""

    key: str  # of the row that came first, where this one came again
    owner: Owner
    is_decided: bool  # not on hold
    at: int  # in the order of arrival


class First(NamedTuple):
    """The earlier row that says the same of a person."""

    key: str
    owner: Owner
    is_more: bool = False  # the later one says more of the person: there is something to keep


class Stated:
    """What rows say, of the file and of the roster."""

    def __init__(self) -> None:
        self._fields: dict[str, Mapping[str, str]] = {}
        self._sketches: dict[str, str] = {}
        self._alike: dict[str, list[str]] = defaultdict(list)  # keys, by sketch

    def add(self, key: str, fields: Mapping[str, str], sketch: str) -> None:
        """Make a row known, with its sketch, which is "" if it says nobody."""
        if key not in self._fields:
            self._fields[key] = fields
            self._sketches[key] = sketch
            self._alike[sketch].append(key)

    def read(self, connection: Connection, sketches: Collection[str]) -> list[str]:
        """The keys of the rows of the roster with these sketches, which are known from now on."""
        found = []
        for sketch, key, fields in forms.stated(connection, sketches):
            found.append(key)
            self.add(key, fields, sketch)
        return found

    def first(self, raw: RawRow, stands: Callable[[str], Stands | None]) -> First | None:
        """The earlier row that says the same of the person; None if there is none, if they are several
        people's, or if this one refuses email and the other, on hold, must not go on without that.

        `stands` says how an earlier row stands, by key.
        """
        alike = [(one, likeness) for key, likeness in self._of(raw) if (one := stands(key))]
        if len({one.owner for one, _ in alike}) != 1:
            return None
        # The nearest first: one that was not asked something is no better than one that said it.
        alike.sort(key=lambda pair: (pair[1] is not Likeness.SAME, pair[0].at))
        one, likeness = alike[0]
        is_more = likeness is Likeness.MORE
        if one.is_decided:  # whoever was not to be enrolled is not for saying more
            return First(one.key, one.owner, is_more and one.owner.is_member)
        return None if self._refuses_first(raw, one.key) else First(one.key, one.owner, is_more)

    def _of(self, raw: RawRow) -> Iterator[tuple[str, Likeness]]:
        sketch = self._sketches[raw.key]
        for other in self._alike[sketch] if sketch else ():
            if other == raw.key:
                continue
            likeness = statement.compare(raw.fields, self._fields[other])
            if likeness is not Likeness.OTHER:
                yield other, likeness

    def _refuses_first(self, raw: RawRow, other: str) -> bool:
        """Whether a row says no to email, and the other one does not."""
        before = row.may_email(self.raw(other)).value
        return row.may_email(raw).value is False and before is not False

    def sketch(self, key: str) -> str:
        """The sketch of a row that is known here."""
        return self._sketches[key]

    def say_more(self, key: str, raw: RawRow) -> Mapping[str, str]:
        """All that an earlier row and this one of the same person say, by field; {} if this one says no more."""
        more = statement.besides(raw.fields, self._fields[key])
        if not more:
            return {}
        self._fields[key] = {**self._fields[key], **more}
        return self._fields[key]

    def raw(self, key: str) -> RawRow:
        """A row that is known here, as far as what it says."""
        return RawRow("", 0, (), self._fields[key])
