"""The findings of the last audit, worked through one by one: what is wrong, what is on file now, what became of it."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from onboard.audit.calls import topics
from onboard.errors import ChangedMeanwhile, FileTrouble, StoreBusy
from onboard.model import Act, Handled, Member
from onboard.office import Office
from onboard.reports import audit_kept
from onboard.reports.audit_kept import Told
from onboard.roster import audits, members, search
from onboard.roster.audits import Found, KeptAudit, Part, Step
from onboard.roster.journal import stamp

CHANGED = (
    "Somebody has worked on this finding meanwhile. Nothing was changed. This is how it stands now."
)
NO_REASON = "Say why it stays as it is: the next audit does not ask again."
GONE = "This finding is of an earlier audit. The roster was audited again since: look at the new findings."


@dataclass(frozen=True, slots=True)
class LastAudit:
    """The last audit, and how far it is worked through."""

    number: int
    at: datetime
    who: str
    told: Told
    handled: Mapping[
        str, Mapping[Handled, int]
    ]  # by code, how many findings are in each state but open

    def in_state(self, code: str, state: Handled) -> int:
        """How many findings of a kind are in a state."""
        of_kind = self.handled.get(code, {})
        if state is not Handled.OPEN:
            return of_kind.get(state, 0)
        kind = self.told.kind(code)
        # Members who were deleted since have none.
        return max(0, (kind.count if kind else 0) - sum(of_kind.values()))


@dataclass(frozen=True, slots=True)
class AtHand:
    """A finding, and whom it is about as they are now."""

    found: Found
    members: tuple[
        Member, ...
    ]  # whose it is first; none if it is about a site or the roster, or they are gone
    also: tuple[Found, ...]  # what else was found of them
    ask: str  # what to ask the member; "" if no talk can settle it
    is_changed: bool  # the value is another than when the audit was made


def see_that_one_may(office: Office) -> None:
    """Raises `NotAllowed` unless whoever is at work may look after the roster, and see its members."""
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)


def last_audit(office: Office) -> LastAudit | None:
    """The last audit that was kept; None if there is none.

    Raises `NotAllowed` where somebody may not, and `StoreTrouble`, as all do here.
    """
    see_that_one_may(office)
    with office.reading() as connection:
        kept = last_kept(connection)
        if kept is None:
            return None
        handled = audits.counts(connection, kept.number)
    return LastAudit(kept.number, kept.at, kept.who, audit_kept.of_kept(kept.told), handled)


def last_kept(connection: Connection) -> KeptAudit | None:
    """The last audit, if this version of the program can read it."""
    kept = audits.last(connection)
    return kept if kept and audit_kept.can_read(kept.told) else None


def list_findings(office: Office, audit: int, code: str, part: Part) -> list[Found]:
    """Findings of one kind, in their order; one more than `part.most` if there are more."""
    see_that_one_may(office)
    with office.reading() as connection:
        return audits.listed(connection, audit, code, part)


def open_finding(office: Office, number: int) -> AtHand:
    """One finding, and whom it is about. Raises `FileTrouble` if it is no longer there."""
    see_that_one_may(office)
    with office.reading() as connection:
        found = _found(connection, number)
        owners = [found.owner, *found.others]
        numbers = [n for owner in owners if (n := owner.member_id)]
        known = search.members_by_number(connection, numbers)
        last = audits.last(connection)
        also = audits.about(connection, last.number, found.owner) if last and numbers else []
    topic = topics().get(f"{found.code}/{found.said}") or topics().get(found.code)
    return AtHand(
        found, tuple(known[n] for n in numbers if n in known),
        tuple(one for one in also if one.number != number), topic.ask_member if topic else "",
        _is_changed(found, known),
    )  # fmt: skip


def _is_changed(found: Found, known: Mapping[int, Member]) -> bool:
    """Whether the value that a change is proposed for is another by now."""
    if found.change is None:
        return False
    member = known.get(found.change.member_id)
    return member is None or members.columns(member)[found.change.field] != found.change.before


def _found(connection: Connection, number: int) -> Found:
    found = audits.by_number(connection, [number])
    if not found:
        raise FileTrouble(GONE)
    return found[0]


def next_finding(office: Office, found: Found) -> Found | None:
    """The next finding of its kind that nobody has worked on; after the last, the first."""
    see_that_one_may(office)
    with office.reading() as connection:
        last = audits.last(connection)
        if last is None:
            return None
        for after in (found.number, 0):
            part = Part((Handled.OPEN,), after, most=1)
            for one in audits.listed(connection, last.number, found.code, part):
                if one.number != found.number:
                    return one
    return None


def handle_finding(
    office: Office, number: int, version: int, to: Handled, *, why: str = ""
) -> Found:
    """The finding, with what became of it: asked, left as it is for a reason, done, or open again.

    `version` is that of the finding as whoever decides saw it. Raises `FileTrouble` if it is gone, or is left
    without a reason, and `ChangedMeanwhile` if somebody has worked on it since.
    """
    see_that_one_may(office)
    if to is Handled.LEFT and not why.strip():
        raise FileTrouble(NO_REASON)
    signature = office.signature()
    with office.transaction() as connection:
        found = _found(connection, number)
        if found.applied:
            raise FileTrouble(
                "Its change is saved. To take it back, undo it in the list of changes made."
            )
        step = Step(to, why.strip(), stamp(signature.when), signature.who)
        if not audits.step(connection, number, version, step):
            raise ChangedMeanwhile(CHANGED)
    return found


def settle_with(office: Office, number: int, applied: int) -> None:
    """The finding is done by a change that was saved under the number `applied`; nothing if it is gone, or was
    settled already, or the roster is busy: the change is saved, and the next audit does not find it again."""
    see_that_one_may(office)
    signature = office.signature()
    step = Step(Handled.DONE, "", stamp(signature.when), signature.who)
    with suppress(StoreBusy), office.transaction() as connection:
        for found in audits.by_number(connection, [number]):
            if found.applied is None:
                audits.step(connection, number, found.version, step, applied=applied)
