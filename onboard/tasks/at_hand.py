"""The rows at hand, understood, and everybody they could be: as the roster and the decisions so far have them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence

from sqlalchemy import Connection

from onboard import match
from onboard.clean import name as names
from onboard.clean import statement
from onboard.clean.trace import Came
from onboard.model import (
    Applicant,
    Cleaned,
    Decision,
    Drop,
    Enrol,
    Handle,
    Hold,
    Owner,
    Person,
    PersonName,
    RawRow,
    Ruling,
)
from onboard.roster import search
from onboard.roster.record import Judged
from onboard.roster.traces import Traces
from onboard.settings import Settings
from onboard.tasks import prepared
from onboard.tasks.prepared import Prepared
from onboard.tasks.stated import Stands, Stated


class AtHand:
    """What is known while rows are judged; what was decided is known here before it is written.

    `deleted` knows whose rows come again, `arrivals` numbers the rows that the roster does not have.
    """

    def __init__(
        self,
        connection: Connection,
        settings: Settings,
        deleted: Traces,
        arrivals: Iterator[int],
    ) -> None:
        self.connection, self.settings = connection, settings
        self.deleted, self.arrivals = deleted, arrivals
        self.ready: dict[str, Prepared] = {}  # what was made of rows ahead
        self.known = match.Known()
        self.seen: dict[str, search.Seen] = {}
        self.applicants: dict[str, Applicant] = {}
        self.people: dict[str, tuple[Person, ...]] = {}
        self.handles: dict[str, Cleaned[Handle]] = {}  # that their names give
        self.rulings: dict[str, Ruling] = {}
        self.apart: dict[str, set[Owner]] = defaultdict(set)
        self.taken: set[str] = set()
        self.asking: set[Owner] = set()
        self.named: dict[Owner, str] = {}  # members, as they are called on file
        self.arrived: dict[Owner, int] = {}  # by owner, the order of the rows not yet a member's
        self.judged: dict[str, Judged] = {}
        self.gone: set[str] = set()  # keys of old rows of those who were deleted
        self.stated = Stated()

    def load(self, part: Sequence[RawRow]) -> None:
        """Clean the rows, and fetch everybody they could be, with one question a table.

        The rows on hold among those everybody come along: a decision may set them free.
        """
        on_hold = self._read(part)
        self._read(list(search.raw_rows(self.connection, on_hold).values()))

    def load_anew(self, raw: RawRow) -> None:
        """Clean a row that says something else now."""
        self.applicants.pop(raw.key)
        self.ready.pop(raw.key, None)
        self.load([raw])

    def _read(self, raw_rows: Sequence[RawRow]) -> list[str]:
        """Clean the rows and fetch their like; the keys of the rows on hold that are new here."""
        new: dict[str, RawRow] = {}
        for raw in raw_rows:
            if raw.key not in self.applicants:
                new.setdefault(raw.key, raw)  # of a row that stands twice the first one counts
        if not new:
            return []
        self._look_up(new)
        self._read_statements(new)
        bases: set[str] = set()
        match_keys: set[str] = set()
        for key, raw in new.items():
            form = self._prepared(raw)
            self.applicants[key], self.people[key] = form.applicant, form.people
            self.handles[key] = form.handle
            for person, spelt in zip(form.people, form.spelt, strict=True):
                self.known.expect(person, spelt)
                match_keys.update(spelt.keys)
            if form.handle.value:
                bases.add(form.handle.value.base)
            if (ruling := self.rulings.get(key)) and "handle" in ruling.corrections:
                bases.add(Handle(ruling.corrections["handle"].strip()).base)
        self.taken |= search.handles(self.connection, bases)
        # A margin, for what the decisions on these rows may take away from a crowd.
        others, crowds = search.sharing(self.connection, match_keys, 2 * match.keys.CROWD)
        self.known.pass_over(crowds)
        for person, shared in others:
            self.known.add(person, by=shared)
        self.known.look_ahead([person for key in new for person in self.people[key]])
        self._read_names({person.owner for person, _ in others})
        held = {p.owner.row_key for p, _ in others if p.owner.row_key}
        self._look_up(held - self.seen.keys())
        return [key for key in held if key not in self.applicants]

    def _look_up(self, row_keys: Collection[str]) -> None:
        """What the roster has of the rows themselves: decisions, rulings, order of arrival."""
        seen = search.seen(self.connection, row_keys)
        self.seen |= seen
        on_hold = [key for key, was in seen.items() if was.decision == "hold"]
        self.rulings |= search.rulings(self.connection, on_hold)
        for key, owners in search.apart(self.connection, on_hold).items():
            self.apart[key] |= owners
        for key in row_keys:
            was, owner = seen.get(key), Owner.of_row(key)
            if was or owner not in self.arrived:
                self.arrived[owner] = was.position if was else next(self.arrivals)
            if was and was.asks_who:
                self.asking.add(was.owner)

    def _read_statements(self, new: Mapping[str, RawRow]) -> None:
        """Make known the rows that could say the same of a person as these."""
        sketches = set()
        for key, raw in new.items():
            form = self.ready.get(key)
            sketch = form.sketch if form else statement.of(raw)
            self.stated.add(key, raw.fields, sketch)
            sketches.add(sketch)
        sketches.discard("")
        earlier = {key for key in self.stated.read(self.connection, sketches) if key not in new}
        self._look_up(earlier - self.seen.keys())

    def _read_names(self, owners: set[Owner]) -> None:
        numbers = {n for owner in owners - self.named.keys() if (n := owner.member_id) is not None}
        for number, name in search.names_of(self.connection, numbers).items():
            self.named[Owner.of_member(number)] = names.show(name)

    def _prepared(self, raw: RawRow) -> Prepared:
        if raw.key not in self.seen and self.stated.sketch(raw.key):
            raw = self._known_again(raw)
        ready, ruling = self.ready.get(raw.key), self.rulings.get(raw.key)
        return prepared.as_answered(raw, ready, ruling, self.settings)

    def _known_again(self, raw: RawRow) -> RawRow:
        """The row, with a question if it is of somebody who was deleted and may be newer."""
        came = self.deleted.came(raw, self.settings.region)
        if came is Came.OLD:
            self.gone.add(raw.key)
        return prepared.asked_about(raw) if came is Came.NEW else raw

    def remember(self, key: str, decision: Decision, owner: Owner) -> None:
        """Make the decision known to the next row."""
        people = self.people[key]
        spelt = tuple((person, self.known.keys_of(person)) for person in people)
        self.judged[key] = Judged(decision, owner, spelt)
        mine = Owner.of_row(key)
        if isinstance(decision, Drop):
            self.known.forget(mine)
        else:
            # As before an answer corrected it, the roster keeps it, too.
            self.known.hand_over(mine, owner)
            for person in people:
                self.known.add(person, owner)
        self.asking.discard(mine)
        if isinstance(decision, Hold) and any(q.field == "match" for q in decision.questions):
            self.asking.add(mine)
        if isinstance(decision, Enrol):
            self.named[owner] = names.show(decision.applicant.name.value or PersonName(""))
            self.taken.add(decision.handle.text.casefold())
            for other in decision.matches:
                self.apart[key].add(other.person.owner)
                self.apart[other.person.owner.row_key or ""].add(owner)
        if owner != mine:
            for owners in self.apart.values():
                if mine in owners:
                    owners.add(owner)

    def is_decided(self, key: str) -> bool:
        """Whether a row was judged, and is not on hold."""
        if judged := self.judged.get(key):
            return not isinstance(judged.decision, Hold)
        was = self.seen.get(key)
        return was is not None and was.decision != "hold"

    def stands(self, key: str) -> Stands | None:
        """How an earlier row stands; None for one whose turn has not come."""
        was, judged = self.seen.get(key), self.judged.get(key)
        if judged:
            at = was.position if was else self.arrived[Owner.of_row(key)]
            return Stands(key, judged.owner, self.is_decided(key), at)
        return Stands(was.key, was.owner, was.decision != "hold", was.position) if was else None
