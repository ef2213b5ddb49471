"""Members who have an account already, brought in from a spreadsheet with their sign-in names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence

from sqlalchemy import Connection

from onboard import handles, match, who
from onboard.audit.fields import STAND_IN
from onboard.clean import listed, row, statement
from onboard.clean.statement import Likeness
from onboard.decide import NO_HANDLE, adopt, name_anew, skip
from onboard.intake.days import Days
from onboard.match import keys
from onboard.model import (
    Applicant,
    Cleaned,
    Decision,
    Enrol,
    Finding,
    Handle,
    Hold,
    Match,
    Member,
    Owner,
    PersonName,
    RawRow,
    SameAs,
    Standing,
    Verdict,
)
from onboard.model.form import ASIDE
from onboard.office import Act, Office
from onboard.reports.adopted import ADDED, ASKS, KEY, AdoptReport, LeftOut, Same
from onboard.reports.batch import deleted_since
from onboard.roster import index, record, search, store, traces
from onboard.roster.record import Judged
from onboard.tasks import from_list
from onboard.tasks.later_news import Said
from onboard.tasks.mail_domains import AskedDomains

AT_ONCE = 500


def adopt_members(
    office: Office,
    rows: Iterable[RawRow],
    *,
    file: str,
    keep: bool,
    days: Days | None = None,
    with_new_names: bool = False,
    progress: Callable[[int], None] = lambda done: None,
) -> AdoptReport:
    """Bring in members with the sign-in names they have; no password is made and no packet is due.

    Nobody is matched here: who is twice in an old roster, an audit finds. What was said of a member
    is kept with them, understood or not, and every doubt about it. `days` is how the list writes
    days (`intake.days.days_of`). With `with_new_names`, members without a sign-in name get one, and
    a packet that is due, unless they may be on the roster already. Rows that are skipped are kept
    with what they say, on hold until somebody answers, or gives them fixed. Raises `StoreTrouble`, and `SettingsTrouble` where
    the settings ask the name servers and dnspython is not installed.
    """
    office.see_that_one_may(Act.INTAKE)
    domains = AskedDomains(office)
    days = days or Days(office.today(), office.settings.region)
    with office.transaction(keep=keep, wait=store.A_BATCH) as connection:
        adoption = _Adoption(connection, office, file, days, keep, with_new_names)
        for part in search.parts(adoption.deleted.hushed(domains.of_rows(rows)), AT_ONCE):
            adoption.take(part)
            progress(len(part))
        for part in search.parts(adoption.nameless, AT_ONCE):
            adoption.name(part)
    adoption.report.notes += (*domains.notes(), *deleted_since(adoption.left_out))
    return adoption.report


class _Adoption:
    """One list of members, brought in within one transaction."""

    def __init__(
        self,
        connection: Connection,
        office: Office,
        file: str,
        days: Days,
        keep: bool,
        with_new_names: bool,
    ) -> None:
        self.connection, self.settings, self.signature = (
            connection, office.settings, office.signature(),
        )  # fmt: skip
        self.file, self.days, self.keep, self.with_new_names = file, days, keep, with_new_names
        self.report = AdoptReport()
        self.number = record.next_member(connection)
        self.batch_id = 0
        self.nameless: list[RawRow] = []
        self.skipped = _Skipped(connection)
        self.deleted = traces.read(connection)
        self.left_out: list[int] = []  # lines of those who were deleted
        self.rows: dict[str, int] = {}  # of this file, by sign-in name in small letters
        self.owners: dict[Owner, int] = {}  # the row of each member of this file
        self.known: list[Said] = []  # of this part, by those who are members already

    def take(self, part: Sequence[RawRow]) -> None:
        """Bring in those who have a sign-in name."""
        asked = [any(head == ASKS and said for head, said in raw.cells) for raw in part]
        part = [self.skipped.as_it_was(raw) for raw in part]
        seen = search.seen(self.connection, [raw.key for raw in part])
        wanted = {raw.key: raw.fields.get("handle", "").strip() for raw in part}
        bases = {Handle(handle).base for handle in wanted.values()}
        taken = search.handles(self.connection, bases)
        members = {
            handle.casefold(): member
            for handle, member in search.members_by_handle(self.connection, taken).items()
        }
        judged: dict[str, Judged] = {}
        mine: set[str] = set()
        for raw, answered in zip(part, asked, strict=True):
            self.report.rows += 1
            if (raw.key in seen and not self.skipped.has(raw)) or raw.key in mine:
                self.report.given_before += 1
                continue
            mine.add(raw.key)
            is_gone = raw.key not in seen and wanted[raw.key].casefold() not in members
            if is_gone and self.deleted.came(raw, self.settings.region):
                self.left_out.append(raw.line)
                self.report.given_before += 1
                continue
            applicant = self._applicant(raw)
            handle = wanted[raw.key]
            has_it = members.get(handle.casefold())
            decision = self._on_roster(applicant, handle, has_it, answered)
            decision = decision or adopt(applicant, handle, taken, self.rows)
            if isinstance(decision, SameAs):
                judged[raw.key] = self._same(decision)
            elif isinstance(decision, Enrol):
                judged[raw.key] = self._judged(decision)
                taken.add(decision.handle.text.casefold())
                self.rows[decision.handle.text.casefold()] = raw.line
            elif decision.reasons == (NO_HANDLE,) and self.with_new_names:
                self.nameless.append(raw)
            else:
                judged |= self._leave_out(decision)
        self._record(judged)

    def name(self, part: Sequence[RawRow]) -> None:
        """Bring in those who have no sign-in name, with one made from their names."""
        applicants = [self._applicant(raw) for raw in part]
        known = self._known(applicants)
        rule = self.settings.handle
        made = (handles.clean(a.name.value or PersonName(""), rule).value for a in applicants)
        taken = search.handles(self.connection, {handle.text for handle in made if handle})
        judged: dict[str, Judged] = {}
        for applicant in applicants:
            alike = _alike(applicant, known)
            decision = name_anew(applicant, alike, taken=taken, rule=rule)
            if isinstance(decision, Enrol):
                one = judged[applicant.raw.key] = self._judged(decision)
                taken.add(decision.handle.text)
                for person, _ in one.people:
                    known.add(person, one.owner)
                self.report.named += 1
            else:
                judged |= self._leave_out(decision)
        self._record(judged)

    def _on_roster(
        self, applicant: Applicant, handle: str, has_it: Member | None, answered: bool
    ) -> Decision | None:
        """What becomes of a row that is a member's who joined by a form since the list was made; None
        for one that is judged by itself. `has_it` is the member who has the sign-in name.

        Whoever fills in a sign-in name in the sheet of questions (`answered`) says by that who it is.
        """
        is_others = has_it and (has_it.owner in self.owners or has_it.standing is Standing.MERGED)
        if is_others or not (has_it or (answered and handle)):
            return None
        alike = [
            one
            for one in _alike(applicant, self._known([applicant]))
            if one.evidence.verdict is not Verdict.DIFFERENT
            and (one.person.owner == has_it.owner if has_it else _is_sure(one))
            and one.person.owner.is_member
            and one.person.owner not in self.owners
        ]
        if not alike:
            return None
        if answered or _is_sure(alike[0]):
            return SameAs(applicant, alike[0].person.owner, ("already a member",), tuple(alike[:1]))
        why = (
            f"the sign-in name {handle} belongs to {who.shown(alike[0])}, who may be the same person: if so, "
            "leave the row as it is; if not, fill in another sign-in name"
        )
        return skip(applicant, why, tuple(alike[:1]))

    def _same(self, decision: SameAs) -> Judged:
        """A row of somebody who is a member."""
        applicant, number = decision.applicant, decision.owner.member_id
        assert number is not None, "whoever is on the roster has a number"
        self.known.append(Said(number, applicant))
        self.owners[decision.owner] = applicant.raw.line
        people = tuple((p, keys.of(p)) for p in applicant.people())
        return Judged(decision, decision.owner, people)

    def _take_along(self) -> None:
        """What the rows say of those who are members already; the rows themselves are recorded."""
        heard = from_list.take_along(self.connection, self.known, self.signature)
        for said, news in zip(self.known, heard, strict=True):
            raw = said.applicant.raw
            handle = raw.fields.get("handle", "").strip()
            if news is not None:
                record.handle_too(self.connection, handle, said.member_id)
                self.report.same.append(Same(raw.line, said.applicant.name.said, handle, news))
        self.known.clear()

    def _applicant(self, raw: RawRow) -> Applicant:
        days = {"joined": Cleaned("", None), **self.days.read(raw.fields)}
        # A list with last sign-ins says that the ordering page had them; but not who has no account.
        if (
            self.days.as_of
            and "last_sign_in" in raw.fields
            and raw.fields.get("handle", "").strip()
        ):
            days["page_seen"] = Cleaned("", self.days.as_of)
        settings = self.settings
        return row.clean(raw, region=settings.region, sites=settings.sites, days=days)

    def _known(self, applicants: Sequence[Applicant]) -> match.Known:
        """Everybody on the roster whom one of these could be."""
        known = match.Known()
        people = [person for applicant in applicants for person in applicant.people()]
        wanted = {key for person in people for key in known.keys_of(person)}
        others, crowds = search.sharing(self.connection, wanted, 2 * match.keys.CROWD)
        known.pass_over(crowds)
        for person, shared in others:
            known.add(person, by=shared)
        known.look_ahead(people)
        return known

    def _judged(self, decision: Enrol) -> Judged:
        people = tuple((p, keys.of(p)) for p in decision.applicant.people())
        applicant = decision.applicant
        self.report.add(applicant, _told(applicant))
        if "page_seen" in applicant.days:
            self.report.as_of = self.days.as_of
            self.report.never += "last_sign_in" not in applicant.days
        owner = Owner.of_member(self.number)
        self.owners[owner] = applicant.raw.line
        self.number += 1
        return Judged(decision, owner, people)

    def _leave_out(self, decision: Decision) -> dict[str, Judged]:
        """Tell of a row that is skipped; by its key what there is to record of it."""
        applicant, why = decision.applicant, decision.reasons[0]
        alike = decision.matches if isinstance(decision, Hold) else ()
        for owner in (one.person.owner for one in alike if one.person.owner in self.owners):
            # A member's number that is not saved yet tells nobody anything.
            why = why.replace(f"({owner.shown})", f"(row {self.owners[owner]} of {self.file})")
        self.report.without_name += why == NO_HANDLE
        key, is_new = applicant.raw.key, not self.skipped.has(applicant.raw)
        cells = applicant.raw.cells if self.keep else ()
        self.report.skipped.append(
            LeftOut(applicant.raw.line, applicant.name.said, why, cells, key)
        )
        people = tuple((p, keys.of(p)) for p in applicant.people()) if is_new else ()
        return {key: Judged(decision, Owner.of_row(key), people)} if is_new else {}

    def _record(self, judged: dict[str, Judged]) -> None:
        if not judged:
            return
        connection, signature = self.connection, self.signature
        self.batch_id = self.batch_id or record.batch(connection, self.file, signature)
        fixed = [
            Judged(SameAs(self._applicant(raw), one.owner, (why,)), one.owner, ())
            for one in judged.values()
            if not isinstance(one.decision, Hold)
            for raw, why in self.skipped.fixed_by(one.decision.applicant.raw)
        ]
        every = [*judged.values(), *fixed]
        record.decisions(connection, every, signature, self.batch_id)
        self._take_along()
        if self.keep:
            index.update(connection, record.owners(every))


class _Skipped:
    """The rows of old lists that were skipped so far and wait, and what comes back of them."""

    def __init__(self, connection: Connection) -> None:
        self.waiting = {raw.key: raw for raw in search.held(connection) if listed.is_skipped(raw)}
        self.alike: dict[str, list[str]] = defaultdict(list)  # keys, by sketch
        for key, raw in self.waiting.items():
            self.alike[_sketch(raw)].append(key)
        self.back: dict[str, str] = {}  # by row of a sheet of questions, which one it was

    def has(self, raw: RawRow) -> bool:
        return raw.key in self.waiting

    def as_it_was(self, raw: RawRow) -> RawRow:
        """The row without the columns that the sheet of questions adds: unless it was fixed, it is the row that
        was skipped."""
        cells = tuple((head, said) for head, said in raw.cells if head not in ADDED)
        if len(cells) == len(raw.cells):
            return raw
        own = {f"{ASIDE}{head}" for head in ADDED}
        fields = {field: said for field, said in raw.fields.items() if field not in own}
        was = RawRow(raw.file, raw.line, cells, fields, raw.findings)
        for head, said in raw.cells:
            if head == KEY and said in self.waiting:
                self.back[was.key] = said
        return was

    def fixed_by(self, raw: RawRow) -> Iterator[tuple[RawRow, str]]:
        """The skipped rows that this one settles, as it is one of them fixed or says the same of the person; each with
        why."""
        meant = {self.back.get(raw.key, "")}
        if said := _sketch(raw):
            fields = raw.fields
            meant |= {
                key
                for key in self.alike.get(said, ())
                if statement.compare(fields, self.waiting[key].fields) is not Likeness.OTHER
            }
        for key in sorted(meant - {raw.key}):
            was = self.waiting.pop(key, None)
            if was:
                yield was, f"it came again, fixed, as row {raw.line} of {raw.file}"


def _sketch(raw: RawRow) -> str:
    return statement.sketch(
        {field: said for field, said in raw.fields.items() if field != "handle"}
    )


def _told(applicant: Applicant) -> Sequence[Finding]:
    """The findings but those of what the list has no column for: that is not missing."""
    found = applicant.findings
    if not found:
        return found
    fields = applicant.raw.fields
    return [
        finding
        for finding in found
        if finding.code not in STAND_IN or any(f in fields for f in STAND_IN[finding.code])
    ]


def _is_sure(one: Match) -> bool:
    return one.evidence.verdict is Verdict.SAME


def _alike(applicant: Applicant, known: match.Known) -> tuple[Match, ...]:
    found = [one for person in applicant.people() for one in match.match(person, known)]
    return tuple(sorted(found, key=lambda one: -one.evidence.weight))
