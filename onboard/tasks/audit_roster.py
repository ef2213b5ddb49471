"""The audit: the roster looked at as a whole; `audit_sheets` does so with spreadsheets that nobody imported.

Accounts are understood and judged one by one in parts, on as many processors as are asked for, one
of which sees meanwhile whether the roster itself is whole; what is left of each account is a few
texts, by which all are then compared. Nothing is changed, and others may write meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import chain
from typing import TYPE_CHECKING, Any

import numpy as np
from sqlalchemy import URL, Connection

from onboard import audit, catalogue, engines
from onboard.audit import access, cells, place, reach, sound, twice
from onboard.audit.briefs import Briefs
from onboard.audit.cells import CellChange
from onboard.audit.observation import Observation
from onboard.audit.outcome import Audit
from onboard.audit.record import Brief, Record, Rules
from onboard.intake.days import Days
from onboard.match import keys, many
from onboard.match.folds import fold
from onboard.model import Finding, Member, Person, RawRow, Standing
from onboard.office import Act, Office
from onboard.roster import condition, index_check, search, store, waiting
from onboard.roster import doubts as kept_doubts
from onboard.roster.condition import Flaw, Spelling
from onboard.roster.doubts import Settled
from onboard.tasks.looked import Gathered, Looked
from onboard.tasks.mail_domains import AskedDomains

if TYPE_CHECKING:
    from onboard.engines.cluster import Cluster

# Accounts judged at a time, in one process; fewer than these are not worth a second process.
PART = 2_500

Spelt = tuple[Member, list[Spelling], list[Finding], frozenset[str]]
Within = tuple[int, int]  # numbers of members: above the one, up to the other
Progress = Callable[[str, int], None]


def audit_roster(
    office: Office,
    *,
    apart: Collection[tuple[str, str]] = (),
    processes: int = 1,
    engine: Cluster | None = None,
    progress: Progress = lambda stage, done: None,
) -> Audit:
    """What is amiss in the roster. `apart` are pairs of owners or handles that a person ruled two.

    `processes` is how many work at once, 0 is one a processor; with an `engine`
    (`onboard.engines.reaching.reached`) the accounts are judged on its workers, each of which reads its own of
    a roster on a server, all as it is at one moment. What is found does not depend on either.
    A program that wants more than one keeps what it runs behind `if __name__ == "__main__":`, as
    each of them loads it anew. Raises `SettingsTrouble` where the settings let others look members
    up, `StoreTrouble`, and `EngineTrouble` if one of them is stopped.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    at, rules, roster = office.now(), Rules.of(office.settings, office.today()), office.to_look()
    domains = AskedDomains(office)
    with store.reading(roster) as connection:
        ruled = condition.apart(connection)
        look = Look(rules)
        small = search.count(connection) < PART
        snapshot = store.snapshot_of(connection) if engine or processes != 1 else ""
        # A roster that only this process, or this machine, has cannot be opened by another.
        there = bool(snapshot) or bool(roster.url.database and not engine)
        work: Callable[[Any], Looked | Within] = look.at_members
        parts: Iterable[Any] = engines.parts(
            _with_domains(condition.members(connection), domains), PART
        )
        if there and (engine or processes != 1) and not small and not domains.are_asked:
            last, settled = condition.last_entry(connection), kept_doubts.settled(connection)
            work = _Reading(look, roster.url, snapshot, last, settled).at
            parts = condition.numbers(connection, PART)
        with engines.choose(processes, work, small=small, cluster=engine) as workers:
            sound = workers.beside(_flaws_at, roster.url) if there else None
            done = (
                look.at_numbers(connection, one) if isinstance(one, tuple) else one
                for one in workers.map(parts)
            )
            looked = gathered(done, progress)
            flaws = sound() if sound else _flaws(connection)
        skipped = _skipped(waiting.skipped_rows(connection))
        progress("sound", 1)
    asked = Asked(rules, at, "roster", True, apart, progress)
    audited = joined(asked, looked, ruled, flaws)
    return replace(audited, notes=(*audited.notes, *skipped, *domains.notes()))


def _skipped(rows: int) -> list[str]:
    """What to know of the rows of old lists that make no account."""
    if not rows:
        return []
    are = "row of an old list is" if rows == 1 else "rows of an old list are"
    return [
        f"{rows:,} {are} on hold and not looked at: they were not brought in. To see and answer: `onboard answer`."
    ]


def _with_domains(spelt: Iterable[list[Spelt]], domains: AskedDomains) -> Iterator[Spelt]:
    """Member by member, with what the name servers say of their email among the doubts."""
    for some in spelt:
        said = domains.of_members([member for member, *_ in some])
        for (member, spellings, doubts, settled), found in zip(some, said, strict=True):
            kept = [doubt for doubt in doubts if doubt.code not in {new.code for new in found}]
            yield member, spellings, [*kept, *found], settled


def count_accounts(office: Office) -> int:
    """How many accounts an audit of the roster will look at.

    Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    with office.reading() as connection:
        return search.count(connection)


# ---------------------------------------------------------------- the roster itself


def _flaws(connection: Connection) -> list[Flaw]:
    """What is not sound, but for what the accounts one by one tell."""
    unlike = map(condition.unlike_tables, index_check.check(connection))
    return [*condition.flaws(connection), *unlike]


def _flaws_at(url: URL) -> list[Flaw]:
    engine = store.open_store(url.render_as_string(hide_password=False), to_write=False)
    try:
        with store.reading(engine) as connection:
            return _flaws(connection)
    finally:
        engine.dispose()


# ---------------------------------------------------------------- one by one


@dataclass(frozen=True, slots=True)
class Look:
    """Judges some accounts by these rules, wherever that is."""

    rules: Rules
    asked: frozenset[str] = frozenset()  # fields that the spreadsheet has columns for
    days: Days | None = None  # how its columns write days
    headings: Mapping[str, Sequence[str]] = field(default_factory=dict)  # of its columns, by field
    file: str = ""  # its name, where there are several

    def at_members(self, members: Sequence[Spelt]) -> Looked:
        accounts, spelt, flaws = [], [], []
        for member, spellings, doubts, settled in members:
            account = audit.of_member(member, self.rules.settings, doubts, settled)
            accounts.append(account)
            spelt.append([person for person, _ in spellings])
            if not spellings and account.standing is not Standing.MERGED:
                flaws.append(condition.unspelt(account.owner))
            wrong = [(keys.of(person), kept) for person, kept in spellings]
            missing, extra = (sum(len(w - k) for w, k in wrong), sum(len(k - w) for w, k in wrong))
            if missing or extra:
                flaws.append(condition.unlike_index(account.owner, missing, extra))
        return self._at(accounts, spelt, flaws)

    def at_numbers(
        self, connection: Connection, within: Within, settled: Settled | None = None
    ) -> Looked:
        """The accounts of the members with these numbers."""
        spelt = condition.members(connection, within, settled)
        return self.at_members(list(chain.from_iterable(spelt)))

    def at_rows(self, rows: Sequence[RawRow]) -> Looked:
        accounts = [
            audit.of_row(raw, self.rules.settings, self.asked, self.days, self.file) for raw in rows
        ]
        return self._at(accounts, [[] for _ in accounts], [])

    def _at(
        self, accounts: Sequence[Record], spelt: Sequence[list[Person]], flaws: list[Flaw]
    ) -> Looked:
        briefs: list[Brief] = []
        found: list[Observation] = []
        changes: list[CellChange] = []
        people: list[Person] = []
        whose: list[int] = []
        for place_of, (account, others) in enumerate(zip(accounts, spelt, strict=True)):
            now = account.applicant.people(account.owner)
            briefs.append(account.brief(now[0], " ".join(sorted(reach.ways(account)))))
            told = audit.look(account, self.rules)
            found += told
            if self.headings:
                changes += cells.proposed(account, told, self.headings)
            if account.is_open:
                known = [_with_what_stays(person, now[0]) for person in others]
                unlike = {fold(person): person for person in (*now, *known)}
                people += unlike.values()
                whose += [place_of] * len(unlike)
        return Looked(
            Briefs.of(briefs),
            found,
            many.folded(people),
            np.array(whose, np.int32),
            flaws,
            sum(account.page_seen is not None for account in accounts),
            sum(account.is_open and not self._has_windows(account) for account in accounts),
            changes,
        )

    def _has_windows(self, account: Record) -> bool:
        passed = self.rules.windows.get(account.applicant.site.value or "")
        # That they have no site is told already.
        return passed is None or len(passed) >= self.rules.settings.audit.idle_windows


@dataclass(frozen=True, slots=True)
class _Reading:
    """Reads some accounts of a roster itself, as they were when the audit began."""

    look: Look
    url: URL
    snapshot: str  # on a server; a file has none
    last: int  # entry of the change log then
    settled: Settled

    def at(self, within: Within) -> Looked | Within:
        """The accounts with these numbers; or the numbers, where somebody wrote into the file since: then they
        are read by whoever still sees it as it was."""
        engine = store.open_store(self.url.render_as_string(hide_password=False), to_write=False)
        try:
            with store.reading(engine, self.snapshot) as connection:
                if not self.snapshot and condition.last_entry(connection) != self.last:
                    return within
                return self.look.at_numbers(connection, within, self.settled)
        finally:
            engine.dispose()


def _with_what_stays(person: Person, now: Person) -> Person:
    """An earlier spelling with the birth date and the suffix of the member, where it leaves them out."""
    born, suffix = person.born or now.born, person.suffix or now.suffix
    stays = (born, suffix) == (person.born, person.suffix)
    return person if stays else person._replace(born=born, suffix=suffix)


def gathered(parts: Iterable[Looked], progress: Progress) -> Gathered:
    """What is left of all accounts."""
    done = Gathered()
    for part in parts:
        done.add(part)
        progress("accounts", len(part.briefs))
    return done


# ---------------------------------------------------------------- all together


@dataclass(frozen=True, slots=True)
class Asked:
    """What an audit was asked."""

    rules: Rules
    at: datetime
    source: str
    is_roster: bool
    apart: Collection[tuple[str, str]]
    progress: Progress


def joined(
    asked: Asked, looked: Gathered, ruled: set[frozenset[str]], flaws: Sequence[Flaw]
) -> Audit:
    briefs, found = looked.briefs(), looked.found
    pairs = twice.pairs(*looked.people(), reach.helpers(briefs, asked.rules))
    asked.progress("twice", 1)
    found += twice.among(pairs.pairs, briefs, ruled | _by_owner(asked.apart, briefs))
    found += reach.among(briefs, asked.rules, twice.one_person(pairs.pairs, briefs))
    found += access.among(briefs)
    found += place.among(briefs, asked.rules)
    found += sound.look(chain(flaws, looked.flaws))
    asked.progress("among", 1)
    order = {group: n for n, group in enumerate(audit.GROUPS)}
    place_of = briefs.by_owner.place
    found.sort(key=lambda one: (order[audit.group_of(one.code)], one.code, place_of(one.owner)))
    kinds = {kind.code: kind for kind in catalogue.kinds()}
    return Audit(
        asked.at, asked.source, asked.rules, briefs, found,
        _notes(looked, asked.rules, len(briefs), asked.is_roster), pairs.households,
        asked.is_roster, kinds, looked.changes,
    )  # fmt: skip


def _by_owner(pairs: Collection[tuple[str, str]], briefs: Briefs) -> set[frozenset[str]]:
    """Pairs of owners, of what a person wrote as owners, numbers or handles."""
    wanted = {text for pair in pairs for text in pair}
    if not wanted:
        return set()
    owner: dict[str, str] = {}
    for brief in briefs:
        for called in (brief.owner, brief.handle, str(brief.number)):
            if called in wanted:
                owner.setdefault(called, brief.owner)
    return {frozenset((owner.get(a, a), owner.get(b, b))) for a, b in pairs}


def _notes(looked: Gathered, rules: Rules, count: int, is_roster: bool) -> tuple[str, ...]:
    """What could not be looked at, and why."""
    notes = []
    seen = looked.seen_on_page
    if seen < count and is_roster:  # of a spreadsheet it is said that it has no such column
        notes.append(
            f"Sign-ins and orders of {count - seen:,} of {count:,} accounts are not known: take in the "
            "ordering page's list with `onboard activity`."
        )
    least, without = rules.settings.audit.idle_windows, looked.no_window
    if seen and without:
        notes.append(
            f"For {without:,} accounts the settings name fewer than {least} windows that have closed, so "
            "the audit can't tell whether they are idle. You can add past windows to the settings."
        )
    return tuple(notes)
