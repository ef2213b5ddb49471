"""Join forms to members: read, clean, match, decide, record, in one transaction.

The rows on hold come again at the front. After each decision that is not `Hold`, the rows on
hold that are like it are judged anew at once; so the roster is settled after every row, and it
makes no difference where one batch ends and the next begins.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, count

from sqlalchemy import Connection

from onboard import handles, match
from onboard.clean import row
from onboard.decide import decide
from onboard.errors import FileTrouble
from onboard.model import (
    Answer,
    Applicant,
    Decision,
    Drop,
    Enrol,
    Hold,
    Match,
    Owner,
    Person,
    RawRow,
    Ruling,
    SameAs,
)
from onboard.office import Office
from onboard.reports.batch import BatchReport
from onboard.roster import index, record, search
from onboard.roster.record import Judged

NOT_YET = 1 << 40  # above the position of any row that is recorded
AT_ONCE = 500  # rows judged between two writes; memory is bounded by this, not by the file


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a row."""

    decision: Decision
    owner: Owner
    on_hold_before: bool = False
    given_before: bool = False  # the very same row was decided earlier; nothing was done


def process_batch(
    office: Office,
    rows: Iterable[RawRow],
    *,
    file: str,
    keep: bool,
    rulings: Sequence[Ruling] = (),
    tell: Callable[[Outcome], None] = lambda outcome: None,
    progress: Callable[[int], None] = lambda done: None,
) -> BatchReport:
    """The sums of one batch; each row's outcome is told as it is reached.

    A row on hold that a later row settles is told again; the last word holds. With
    `keep=False` everything happens just so and is then taken back. `progress` is given how many
    rows were just done. Raises `StoreTrouble`, and `FileTrouble` for rulings about rows or
    members that do not exist; then nothing has changed.
    """
    with office.transaction(keep=keep) as connection:
        batch = _Pass(connection, office, file, tell, keep)
        sound = _sound_rulings(connection, rulings, batch.report)
        record.rulings(connection, sound, batch.signature)
        batch.report.waiting = search.count_held(connection)
        for part in search.parts(chain(search.held(connection), rows), AT_ONCE):
            batch.take(part)
            progress(len(part))
        batch.report.held = search.count_held(connection)
    return batch.report


class _Pass:
    """One pass over the rows of a batch, within one transaction."""

    def __init__(
        self,
        connection: Connection,
        office: Office,
        file: str,
        tell: Callable[[Outcome], None],
        keep: bool,
    ) -> None:
        self.connection = connection
        self.settings = office.settings
        self.signature = office.signature()
        self.file = file
        self.tell = tell
        self.report = BatchReport()
        self.keep = keep
        self.batch_id = 0
        self.next_member = record.next_member(connection)
        self.arrivals = count(NOT_YET)
        self._forget()

    def _forget(self) -> None:
        """Nothing loaded, nothing waiting to be written."""
        self.known = match.Known()
        self.seen: dict[str, search.Seen] = {}
        self.applicants: dict[str, Applicant] = {}
        self.people: dict[str, tuple[Person, ...]] = {}
        self.rulings: dict[str, Ruling] = {}
        self.apart: dict[str, set[Owner]] = defaultdict(set)
        self.taken: set[str] = set()
        self.asking: set[Owner] = set()
        self.arrived: dict[Owner, int] = {}  # by owner, the order of the rows not yet a member's
        self.judged: dict[str, Judged] = {}

    def take(self, part: Sequence[RawRow]) -> None:
        """Judge the rows and write what was decided."""
        self._load(part)
        for at, raw in enumerate(part):
            if raw.key not in self.applicants:  # a row on hold was fetched meanwhile
                self._load(part[at:])
            self.report.rows += 1
            was = self.seen.get(raw.key)
            if raw.key in self.judged or (was and was.decision != "hold"):
                self._given_before(raw)
            else:
                self._settle(raw.key)
        self._write()

    def _load(self, part: Sequence[RawRow]) -> None:
        """Clean the rows, and fetch everybody they could be, with one question a table.

        The rows on hold among those everybody come along: a decision may set them free.
        """
        on_hold = self._read(part)
        self._read(list(search.raw_rows(self.connection, on_hold).values()))

    def _read(self, raw_rows: Sequence[RawRow]) -> list[str]:
        """Clean the rows and fetch their like; the keys of the rows on hold that are new here."""
        new: dict[str, RawRow] = {}
        for raw in raw_rows:
            if raw.key not in self.applicants:
                new.setdefault(raw.key, raw)  # of a row that stands twice the first one counts
        if not new:
            return []
        self._look_up(new)
        bases: set[str] = set()
        match_keys: set[str] = set()
        for key, raw in new.items():
            applicant = self.applicants[key] = self._applicant(raw)
            self.people[key] = applicant.people()
            match_keys.update(*map(self.known.keys_of, self.people[key]))
            if applicant.name.value:
                handle = handles.clean(applicant.name.value, self.settings.handle).value
                bases |= {handle.text} if handle else set()
        self.taken |= search.handles(self.connection, bases)
        # A margin, for what the decisions on these rows may take away from a crowd.
        crowds = search.crowds(self.connection, match_keys, 2 * match.keys.CROWD)
        self.known.pass_over(crowds)
        others = search.people(self.connection, match_keys - crowds)
        for person, shared in others:
            self.known.add(person, by=shared)
        self.known.look_ahead([person for key in new for person in self.people[key]])
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
            was = seen.get(key)
            self.arrived[Owner.of_row(key)] = was.position if was else next(self.arrivals)
            if was and was.asks_who:
                self.asking.add(was.owner)

    def _applicant(self, raw: RawRow) -> Applicant:
        ruling = self.rulings.get(raw.key)
        # "Wait" puts nothing right, or a row could be enrolled that was to wait.
        settles = ruling is not None and ruling.answer is not Answer.WAIT
        put_right = ruling.corrections if ruling and settles else {}
        return row.clean(
            row.corrected(raw, put_right), region=self.settings.region, sites=self.settings.sites
        )

    def _settle(self, key: str) -> None:
        """Judge the row, then every row on hold that its decision may set free.

        It may by what it decides, or by making a crowd of those who share something with it.
        """
        waiting = [key]
        while waiting:
            key = waiting.pop()
            if key not in self.applicants:
                self._write()
                self._load(list(search.raw_rows(self.connection, [key]).values()))
            if self._is_decided(key):
                continue
            mine = Owner.of_row(key)
            asked_who = mine in self.asking
            decision, matches = self._judge(key)
            parted = [owner for owner in self.known.parted() if owner.is_row]
            parted.sort(key=lambda owner: -self.arrived.get(owner, 0))
            waiting += [owner.row_key for owner in parted if owner.row_key]
            # Whether somebody on hold is asked about makes a difference to those who came after.
            if not isinstance(decision, Hold) or asked_who != (mine in self.asking):
                waiting += [m.person.owner.row_key for m in matches if m.person.owner.row_key]

    def _is_decided(self, key: str) -> bool:
        if judged := self.judged.get(key):
            return not isinstance(judged.decision, Hold)
        was = self.seen.get(key)
        return was is not None and was.decision != "hold"

    def _judge(self, key: str) -> tuple[Decision, tuple[Match, ...]]:
        applicant = self.applicants[key]
        matches = self._matches(key)
        mine = self.arrived[Owner.of_row(key)]
        decision = decide(
            applicant,
            # Of two rows on hold, the later waits for the earlier, never both for each other.
            tuple(m for m in matches if self.arrived.get(m.person.owner, 0) <= mine),
            self.rulings.get(key),
            taken=self.taken,
            rule=self.settings.handle,
            asking=self.asking,
        )
        owner = self._owner(decision, key)
        self._remember(key, decision, owner)
        self.tell(Outcome(decision, owner, on_hold_before=key in self.seen))
        return decision, matches

    def _matches(self, key: str) -> tuple[Match, ...]:
        """The best match with each owner, over all spellings, but those told apart."""
        best: dict[Owner, Match] = {}
        for person in self.people[key]:
            for found in match.match(person, self.known):
                owner = found.person.owner
                if owner in self.apart[key]:
                    continue
                if owner not in best or found.evidence.weight > best[owner].evidence.weight:
                    best[owner] = found
        return tuple(sorted(best.values(), key=lambda m: (-m.evidence.weight, m.person.owner)))

    def _owner(self, decision: Decision, key: str) -> Owner:
        match decision:
            case Enrol():
                number, self.next_member = self.next_member, self.next_member + 1
                return Owner.of_member(number)
            case SameAs(owner=owner):
                return owner
            case _:
                return Owner.of_row(key)

    def _remember(self, key: str, decision: Decision, owner: Owner) -> None:
        """Make the decision known to the next row."""
        people = self.people[key]
        self.judged[key] = Judged(
            decision, owner, tuple((p, self.known.keys_of(p)) for p in people)
        )
        mine = Owner.of_row(key)
        self.known.forget(mine)
        if not isinstance(decision, Drop):
            for person in people:
                self.known.add(person, owner)
        self.asking.discard(mine)
        if isinstance(decision, Hold) and any(q.field == "match" for q in decision.questions):
            self.asking.add(mine)
        if isinstance(decision, Enrol):
            self.taken.add(decision.handle.text)
            for other in decision.matches:
                self.apart[key].add(other.person.owner)
                self.apart[other.person.owner.row_key or ""].add(owner)
        if owner != mine:
            for owners in self.apart.values():
                if mine in owners:
                    owners.add(owner)

    def _given_before(self, raw: RawRow) -> None:
        judged, was = self.judged.get(raw.key), self.seen.get(raw.key)
        owner = judged.owner if judged else was.owner if was else Owner.of_row(raw.key)
        applicant = self.applicants[raw.key]
        when = f"on {was.at[:10]}, row {was.line}" if was else "earlier in this file"
        decision = SameAs(applicant, owner, (f"this very row was given before ({when})",))
        self.report.given_before += 1
        self.tell(Outcome(decision, owner, given_before=True))

    def _write(self) -> None:
        """Record what was decided since the last time, and forget it."""
        judged = list(self.judged.values())
        if judged:
            if not self.batch_id and any(
                j.decision.applicant.raw.key not in self.seen for j in judged
            ):
                self.batch_id = record.batch(self.connection, self.file, self.signature)
            record.decisions(self.connection, judged, self.signature, self.batch_id)
            if self.keep:
                index.update(self.connection, record.owners(judged))
            for decision, _, _ in judged:
                self._count(decision)
        self._forget()

    def _count(self, decision: Decision) -> None:
        match decision:
            case Enrol():
                self.report.enrolled += 1
            case SameAs():
                self.report.same += 1
            case Drop():
                self.report.dropped += 1
            case Hold():
                pass  # counted in the roster when all is done
        self.report.codes.update(f.code for f in decision.applicant.findings)


def _sound_rulings(
    connection: Connection, given: Sequence[Ruling], report: BatchReport
) -> list[Ruling]:
    """The rulings that still have something to say; trouble if one is about nobody."""
    rows = search.seen(connection, [ruling.row for ruling in given])
    meant = {ruling.member.member_id or 0 for ruling in given if ruling.member}
    members = search.existing(connection, meant)
    wrong, sound = [], []
    for ruling in given:
        was = rows.get(ruling.row)
        if was is None:
            wrong.append(f"No form has the key {ruling.row}. Was it saved in another roster?")
        elif ruling.member and ruling.member.member_id not in members:
            wrong.append(f"Form {ruling.row}: there is no {ruling.member.shown}.")
        elif was.decision != "hold":
            report.notes.append(
                f"The answer about row {was.line} came too late. That row is no longer on hold."
            )
        else:
            sound.append(ruling)
    if wrong:
        raise FileTrouble("Can't use these answers:\n" + "\n".join(f"- {line}" for line in wrong))
    return sound
