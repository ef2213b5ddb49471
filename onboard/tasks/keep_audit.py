"""An audit of the roster whose findings are kept in it, to be worked through one by one."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import islice

from onboard.audit.observation import Observation
from onboard.audit.outcome import Audit
from onboard.errors import ChangedMeanwhile
from onboard.model import Handled, Owner
from onboard.office import Office, Seat
from onboard.reports import audit_kept, audited
from onboard.reports.audit import Earlier, Report
from onboard.roster import audits, journal
from onboard.roster.audits import Found, KeptAudit, Step
from onboard.roster.journal import Entry
from onboard.tasks.audit_due import AUDITED
from onboard.tasks.audit_roster import audit_roster
from onboard.tasks.findings import last_kept

AT_ONCE = 2_000  # findings that are saved together; in between, others may save
# What somebody said of a finding that is found again: it goes on. What was done, and is found again, is open.
LASTING = (Handled.LEFT, Handled.ASKED)

Lasting = Mapping[tuple[str, tuple[str, ...], str], Step]


def audit_in_full(seat: Seat, *, progress: Callable[[int], None]) -> int:
    """How many findings wait for a person: `keep_audit` as a whole work, which a page has done in another process."""
    office = seat.office()

    def told(stage: str, done: int) -> None:
        if stage == "accounts":
            progress(done)

    report = keep_audit(office, processes=0, progress=told)
    office.close()
    return sum(kind.count for kind in report.kinds if not kind.is_nearly_all)


def keep_audit(
    office: Office,
    *,
    processes: int = 1,
    progress: Callable[[str, int], None] = lambda stage, done: None,
) -> Report:
    """What is amiss in the roster, kept as `keep` does. `processes` and `progress` are as for `audit_roster`, and so is
    what it raises."""
    return keep(office, audit_roster(office, processes=processes, progress=progress))


def keep(office: Office, done: Audit) -> Report:
    """An audit of the roster, compared with the one kept before, in whose place it is kept.

    What was left as it is for a reason, or asked, stays so while it is found again with the same value; no call is
    about what was left. Nobody sees the new audit before it is whole: one that is broken off leaves the one before.
    Raises `StoreTrouble`, and `ChangedMeanwhile` where another audit ended meanwhile.
    """
    with office.reading() as connection:
        before = last_kept(connection)
        earlier, lasting = (
            _earlier(audits.keys(connection, before.number), before) if before else (None, {})
        )
    report, since = audited.report_of(done, earlier), earlier.at if earlier else ""
    del earlier  # of very many findings, it takes as much memory as they do
    left: set[int] = set()
    proposed: Counter[str] = Counter()
    for one, kept in _found(done, report, lasting):
        proposed[kept.code] += kept.change is not None
        if kept.step.state is Handled.LEFT:
            left.add(id(one))
    still = replace(done, found=[one for one in done.found if id(one) not in left])
    calls = audited.first_calls(still, report.kinds)
    told = audit_kept.as_kept(report, calls, +proposed, since)
    _keep(office, (kept for _, kept in _found(done, report, lasting)), told)
    return report


def _earlier(
    keys: Iterable[tuple[str, tuple[str, ...], str, Step]], before: KeptAudit
) -> tuple[Earlier, Lasting]:
    """What the audit before found, and what of it goes on."""
    told = audit_kept.of_kept(before.told).report
    known: dict[str, Counter[tuple[str, ...]]] = {kind.code: Counter() for kind in told.kinds}
    lasting = {}
    for code, key, said, step in keys:
        known[code][key] += 1
        if step.state in LASTING:
            lasting[code, key, said] = step
    for kind in told.kinds:  # of what nearly all had, only the count was kept
        if kind.is_nearly_all and kind.count:
            known[kind.code][()] = kind.count
    return Earlier(told.at, told.day, known, told.history), lasting


def _found(done: Audit, report: Report, lasting: Lasting) -> Iterator[tuple[Observation, Found]]:
    """What was found, kind by kind as it is told, each as it is kept; not what nearly all accounts have."""
    of_kind: dict[str, list[Observation]] = defaultdict(list)
    for one in done.found:
        of_kind[one.code].append(one)
    for kind in report.kinds:
        if kind.is_nearly_all:
            continue
        for one, item in zip(of_kind[kind.code], kind.items, strict=True):
            yield one, Found(
                kind.code, Owner(one.owner), tuple(map(Owner, one.others)), item.name, item.handle,
                item.field, item.said, item.note, one.change, item.key, item.new,
                lasting.get((kind.code, item.key, item.said), Step()),
            )  # fmt: skip


def _keep(office: Office, found: Iterable[Found], told: Mapping[str, object]) -> None:
    with office.transaction() as connection:
        number = audits.begin(connection, office.signature())
    rest = iter(found)
    while some := list(islice(rest, AT_ONCE)):
        with office.transaction() as connection:
            if not audits.add(connection, number, some):
                raise ChangedMeanwhile("Another audit ended meanwhile. Its findings are kept.")
    with office.transaction() as connection:
        audits.finish(connection, number, told)
        journal.write(connection, [Entry(AUDITED, Owner.roster())], office.signature())
    more = True
    while more:
        with office.transaction() as connection:
            more = audits.forget_earlier(connection, number, AT_ONCE)
