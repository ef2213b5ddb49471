"""One pass over the rows of a batch: each judged against the roster and all before it, and written.

The rows on hold come again at the front. After each decision that is not `Hold`, the rows on
hold that are like it are judged anew at once; so the roster is settled after every row, and it
makes no difference where one batch ends and the next begins.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from itertools import count
from typing import TypeGuard

from sqlalchemy import Connection

from onboard.clean import listed, other_of_two
from onboard.decide import decide
from onboard.model import Decision, Enrol, Hold, Match, Owner, RawRow, SameAs
from onboard.office import Office
from onboard.reports.batch import BatchReport, deleted_since
from onboard.roster import forms, index, record, search, store, traces
from onboard.tasks import alike, outcome
from onboard.tasks.at_hand import AtHand
from onboard.tasks.outcome import Outcome
from onboard.tasks.prepared import Prepared

NOT_YET = 1 << 40  # above the position of any row that is recorded
# Rows of a preview that stay in memory, some 9 kB each: written only when there are more, as that takes about as long as
# to judge them.
IN_MEMORY = 50_000


class MustBeTried(Exception):
    """What comes of the rows cannot be told by reading alone."""


class BatchPass:
    """One pass over the rows of a batch, within one transaction.

    Within one that only reads, what was decided stays in memory. Then `take` raises `MustBeTried` where others
    would have to be read from the roster after something on it was decided otherwise.
    """

    def __init__(
        self,
        connection: Connection,
        office: Office,
        file: str,
        tell: Callable[[Outcome], None],
        keep: bool,
    ) -> None:
        self.connection = connection
        self.settings, self.signature = office.settings, office.signature()
        self.file, self.tell, self.keep = file, tell, keep
        self.is_reading, self.is_ahead = store.is_reading(connection), False
        self.report = BatchReport()
        self.batch_id = 0
        self.next_member = record.next_member(connection)
        self.arrivals = count(NOT_YET)
        self.deleted = traces.read(connection)
        self.left_out: list[int] = []  # lines of old rows of those who were deleted
        self.held: dict[str, bool] = {}  # keys of the rows on hold: whether their turn has been
        self.listed: set[str] = set()  # those of them that are no forms but rows of an old list
        self.met: set[str] = set()  # those of them that the file says again, in other words
        self.put_on_hold: set[str] = set()  # keys of rows of this file
        self._forget()

    def _forget(self) -> None:
        """Nothing loaded, nothing waiting to be written."""
        self.hand = AtHand(self.connection, self.settings, self.deleted, self.arrivals)
        self.untold: list[str] = []  # keys of those that were judged since the last word
        # Keys of rows of a preview that were written before the others.
        self.written: set[str] = set()
        self.firsts: dict[
            str, RawRow
        ] = {}  # what the first said, by row that says it again, or more
        self.again: dict[str, str] = {}  # rows that came again: the key of the first
        self.outcomes: list[Outcome] = []  # not yet told
        self.known_as: dict[str, tuple[Owner, str]] = {}  # by row: whose it is by an earlier one
        # By row on hold, all that it and later ones of the same person say.
        self.more: dict[str, Mapping[str, str]] = {}
        self.given: dict[str, RawRow] = {}  # rows of old lists that are given as forms

    def on_hold(self, only: Collection[str] = ()) -> list[RawRow]:
        """The rows on hold, which come first; or those `only` that have one of these keys.

        All at once: what is decided of the first ones could settle a later one, which has its turn all the same.
        """
        rows = list(search.held(self.connection, only))
        self.held = dict.fromkeys((raw.key for raw in rows), False)
        self.listed = {raw.key for raw in rows if listed.is_skipped(raw)}
        return rows

    def take(self, ready: Sequence[Prepared]) -> None:
        """Judge the rows and write what was decided."""
        part = [form.applicant.raw for form in ready]
        first = {
            form.applicant.raw.key: form for form in reversed(ready)
        }  # of those that stand twice
        self.hand.ready = first
        self._load(part)
        for at, raw in enumerate(part):
            if self.held.get(raw.key):
                if raw.key in self.listed and not self.hand.is_decided(raw.key):
                    self._judge_as_form(raw)
                continue  # the file has it again: its turn has been
            is_on_hold = raw.key in self.held
            if is_on_hold:
                self.held[raw.key] = True
            if raw.key not in self.hand.applicants:  # a row on hold was fetched meanwhile
                self._load(part[at:])
            self.report.rows += 1
            was = self.hand.seen.get(raw.key)
            if is_on_hold and (raw.key in self.hand.judged or self.hand.is_decided(raw.key)):
                continue  # told already, when the row that it waited for was
            if (
                raw.key in self.hand.judged
                or raw.key in self.again
                or raw.key in self.put_on_hold
                or (was and (was.decision != "hold" or was.key != raw.key))
            ):
                self._given_before(raw)
            elif raw.key in self.hand.gone:
                self.left_out.append(raw.line)
                self.report.given_before += 1
            elif was or not self._came_again(raw):
                self._settle(raw.key)
        if self._stays_in_memory():
            self._write_members()
            self._tell()
        else:
            self._write()

    def end(self) -> None:
        """All rows were taken: the sums are whole."""
        self._count()
        self.report.notes += deleted_since(self.left_out)
        new = (one for key, one in self.hand.judged.items() if key not in self.hand.seen)
        self.report.held = search.count_held(self.connection)
        self.report.held += sum(isinstance(one.decision, Hold) for one in new)
        self._forget()

    def _load(self, part: Sequence[RawRow]) -> None:
        """Make the rows known, and everybody they could be."""
        if self.is_ahead:
            raise MustBeTried
        self.hand.load(part)

    def _says_the_same(self, first: str) -> str:
        return f"the same person as in {self._where(self.hand.seen.get(first))}"

    def _where(self, was: search.Seen | None) -> str:
        """Where an earlier row stands; written or not, one of this file is of this file."""
        if not self._is_earlier(was):
            return "a row earlier in this file"
        return f"row {was.line} of {was.file}, given on {was.at[:10]}"

    def _is_earlier(self, was: search.Seen | None) -> TypeGuard[search.Seen]:
        """Whether a row came before this file did."""
        return was is not None and was.batch != self.batch_id

    def _came_again(self, raw: RawRow) -> bool:
        """Whether the row decides nothing, as an earlier one says the same of the person.

        One that says more of a member is theirs, without being judged by its likeness; one that says
        more of somebody on hold is heard with the first.
        """
        first = self.hand.stated.first(raw, self.hand.stands)
        if not first:
            return False
        self.firsts[raw.key] = self.hand.stated.raw(first.key)
        if first.owner.is_member and self._is_earlier(self.hand.seen.get(first.key)):
            self.report.members_again += 1
        if first.is_more and first.owner.is_member:
            self.known_as[raw.key] = first.owner, self._says_the_same(first.key)
            return False
        self.again[raw.key] = first.key
        reasons = (self._says_the_same(first.key),)
        named = self.hand.named.get(first.owner) or self.hand.people[raw.key][0].shown
        decision = SameAs(self.hand.applicants[raw.key], first.owner, reasons, named=named)
        is_members = first.owner.is_member
        if first.key in self.held and first.key not in self.met:
            self.met.add(first.key)  # it is one row, and counted: on hold, or what became of it
            self.report.rows -= 1
        else:
            self.report.same += is_members
            self.report.given_before += not is_members
        self.outcomes.append(Outcome(decision, first.owner, given_before=not is_members))
        if first.is_more:
            self._hear_more(first.key, raw)
        return True

    def _hear_more(self, key: str, raw: RawRow) -> None:
        """Judge a row on hold anew with what a later one of the same person says besides."""
        if key not in self.hand.applicants:
            self._load(list(search.raw_rows(self.connection, [key]).values()))
        fields = self.hand.stated.say_more(key, raw)
        if not fields:
            return
        self.more[key] = fields
        spelt, was = self.hand.people[key], self.hand.applicants[key].raw
        self.hand.load_anew(was.but(fields, was.findings))
        self.hand.people[key] = tuple(dict.fromkeys((*spelt, *self.hand.people[key])))
        self._settle(key)

    def _judge_as_form(self, raw: RawRow) -> None:
        """Judge a row of an old list as the join form that somebody now gives it as."""
        self.listed.discard(raw.key)
        self._load([raw])  # unless it is there: what was known of it goes with it
        self.given[raw.key] = raw
        self.hand.load_anew(raw)
        self._settle(raw.key)

    def _settle(self, key: str) -> None:
        """Judge the row, then every row on hold that its decision may set free.

        It may by what it decides, or by making a crowd of those who share something with it.
        """
        waiting = [key]
        while waiting:
            key = waiting.pop()
            if key not in self.hand.applicants:
                self._write()
                self._load(list(search.raw_rows(self.connection, [key]).values()))
            if self.hand.is_decided(key):
                continue
            mine = Owner.of_row(key)
            asked_who = mine in self.hand.asking
            decision, matches = self._judge(key)
            parted = [owner for owner in self.hand.known.parted() if owner.is_row]
            parted.sort(key=lambda owner: -self.hand.arrived.get(owner, 0))
            waiting += [owner.row_key for owner in parted if owner.row_key]
            # Whether somebody on hold is asked about makes a difference to those who came after.
            if not isinstance(decision, Hold) or asked_who != (mine in self.hand.asking):
                waiting += [m.person.owner.row_key for m in matches if m.person.owner.row_key]

    def _judge(self, key: str) -> tuple[Decision, tuple[Match, ...]]:
        hand, applicant = self.hand, self.hand.applicants[key]
        # Who was told apart from a form for several may still be one of them.
        was_joint = other_of_two.was_for_several(applicant.name)
        apart = () if was_joint else hand.apart.get(key, ())
        found = alike.alike(applicant, hand.people[key], hand.known, apart)
        matches = alike.with_names(found, hand.named)
        decision: Decision
        if key in self.known_as:
            whose, reason = self.known_as[key]
            decision = SameAs(applicant, whose, (reason,), matches)
        else:
            decision = self._decide(key, matches)
        owner = self._owner(decision, key)
        hand.remember(key, decision, owner)
        self.untold.append(key)
        if isinstance(decision, Hold) and key not in self.held:
            self.put_on_hold.add(key)
        self.outcomes.append(Outcome(decision, owner, on_hold_before=key in hand.seen))
        return decision, matches

    def _decide(self, key: str, matches: tuple[Match, ...]) -> Decision:
        hand = self.hand
        mine = hand.arrived[Owner.of_row(key)]
        return decide(
            hand.applicants[key],
            # Of two rows on hold, the later waits for the earlier, never both for each other.
            tuple(m for m in matches if hand.arrived.get(m.person.owner, 0) <= mine),
            hand.rulings.get(key),
            taken=hand.taken,
            rule=self.settings.handle,
            asking=hand.asking,
            handle=hand.handles[key],
        )

    def _owner(self, decision: Decision, key: str) -> Owner:
        if isinstance(decision, SameAs):
            return decision.owner
        if not isinstance(decision, Enrol):
            return Owner.of_row(key)
        self.next_member += 1
        return Owner.of_member(self.next_member - 1)

    def _given_before(self, raw: RawRow) -> None:
        was = self.hand.seen.get(raw.key)
        stands = self.hand.stands(self.again.get(raw.key, raw.key))
        owner = stands.owner if stands else Owner.of_row(raw.key)
        applicant = self.hand.applicants[raw.key]
        reason = f"this very row was given before: {self._where(was)}"
        decision = SameAs(applicant, owner, (reason,))
        self.report.given_before += 1
        self.outcomes.append(Outcome(decision, owner, given_before=True))

    def _stays_in_memory(self) -> bool:
        """Whether what was decided need not be written yet: it is a preview, and nothing that the roster has is
        otherwise now."""
        if self.keep or self.is_reading or len(self.hand.judged) >= IN_MEMORY:
            return False
        known = [key for key in self.untold if key in self.hand.seen]
        if any(key in self.more or key in self.given for key in known):
            return False
        return record.is_as_before(self.connection, [self.hand.judged[key] for key in known])

    def _write_members(self) -> None:
        """Record the rows of the members whose forms say something: what is new is told from what is on file."""
        told = [one for one in self.outcomes if isinstance(one.decision, SameAs)]
        owners = {one.owner for one in told if one.owner.is_member}
        if owners:
            keys = [key for key, one in self.hand.judged.items() if one.owner in owners]
            self._record([key for key in keys if key not in self.written])
            self.written.update(keys)
            self._keep_again(owners)

    def _write(self) -> None:
        """Record what was decided since the last time, tell it, and forget it."""
        judged = list(self.hand.judged.values())
        if self.is_reading:  # what is decided now, the roster does not know
            self.is_ahead = self.is_ahead or not record.is_as_before(self.connection, judged)
        else:
            self._record([key for key in self.hand.judged if key not in self.written])
            forms.say_more(self.connection, self.more)
            forms.give(self.connection, self.given)
            if self.keep:
                index.update(self.connection, record.owners(judged))
        self._count()
        self._keep_again()
        self._tell()
        self._forget()

    def _record(self, keys: Sequence[str]) -> None:
        """Record what was decided of these rows."""
        if not self.batch_id and (self.again or any(key not in self.hand.seen for key in keys)):
            self.batch_id = record.batch(self.connection, self.file, self.signature)
        anew = self.more.keys() | self.given.keys()
        for some in search.parts(keys, search.AT_ONCE):  # lines to be written take memory, too
            judged = [self.hand.judged[key] for key in some]
            record.decisions(self.connection, judged, self.signature, self.batch_id, anew=anew)

    def _keep_again(self, owners: Collection[Owner] = ()) -> None:
        """Keep the rows that came again; with `owners`, theirs."""
        again = [
            forms.Again(self.hand.applicants[key].raw, first, stands.owner.member_id)
            for key, first in self.again.items()
            if key not in self.written and (stands := self.hand.stands(first))
            and (not owners or stands.owner in owners)
        ]  # fmt: skip
        forms.keep(self.connection, again, self.batch_id)
        self.written.update(one.raw.key for one in again)

    def _count(self) -> None:
        for decision, _, _ in self.hand.judged.values():
            self.report.count(decision)

    def _tell(self) -> None:
        """Tell the outcomes since the last time, with what members' forms say that is not on file."""
        hears = not self.is_reading
        told = outcome.with_news(
            self.connection, self.outcomes, self.firsts, self.signature, hears=hears
        )
        for one in told:
            self.tell(one)
        self.outcomes, self.untold, self.hand.ready = [], [], {}
        self.hand.known.go_on()
