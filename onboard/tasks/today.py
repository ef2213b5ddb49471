"""What waits for a person now, most pressing first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from shlex import quote
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard import spool, windows
from onboard.model import EmailQuestion, Need, Outgoing, State, Waiting, Way, What
from onboard.model.outgoing import IN_DOUBT, NO_ADDRESS
from onboard.model.waiting import in_order
from onboard.office import Act, Office
from onboard.reports.sentences import CHANGES, LETTERS
from onboard.roster import outgoing, search, waiting
from onboard.roster.journal import stamp
from onboard.roster.waiting import Heap, Messages
from onboard.settings import Group, Settings
from onboard.tasks import (
    audit_due,
    claims,
    due_reminders,
    from_porch,
    known_windows,
    moved_windows,
    take_clicks,
    to_ask,
    where_questions,
)
from onboard.tasks.export_accounts import to_tell
from onboard.tasks.list_windows import clocks
from onboard.tasks.take_returned import ENOUGH, LATELY, SOFT

SOON = timedelta(7)  # how far ahead a window is told of
NAMED = 5  # members that a line names at most

AUDIT = "audit --to audit"
FIRST_EXPORT = "export accounts.csv --record"


def today(office: Office) -> tuple[Waiting, ...]:
    """What waits for a person now, the most pressing first: kind, count, and the command that does it.

    It reads, and waits for nobody who writes. Members are named only to those whom the settings let look members up.
    Raises `StoreTrouble`, `SettingsTrouble`, and `FileTrouble` for a spool of the porch that is somebody else's.
    """
    lost = claims.lost(office, keep=False)
    with office.reading() as connection:
        found = [
            *_messages(connection, office),
            *_at_porch(office),
            *_news(connection, office),
            *_forms_and_calls(connection, office),
            *_came_back(connection, office),
            *_stops(office),
            *_reminders(connection, office, lost),
            *_windows(connection, office),
            *_audit(connection, office),
            *_to_ask(connection, office),
        ]
    others = sum(line.what is not What.REMINDER for line in lost)
    return in_order(_with_lost(found, others), office.today())


def _at_porch(office: Office) -> Iterator[Waiting]:
    found = from_porch.waiting_at_porch(office.settings)
    if found and found.count:
        zone = ZoneInfo(office.settings.timezone)
        since = found.oldest.astimezone(zone).date() if found.oldest else None
        newest = stamp(found.newest) if found.newest else ""
        yield Waiting(Need.PORCH, found.count, found.command, since, newest=newest)


def _forms_and_calls(connection: Connection, office: Office) -> Iterator[Waiting]:
    forms, calls = waiting.forms_on_hold(connection), waiting.open_calls(connection)
    if forms.count:
        rows = waiting.skipped_rows(connection)
        yield replace(_of_heap(Need.FORMS, forms, "answer", office), rows=rows)
    if calls.count:
        yield _of_heap(Need.CALLS, calls, "calls", office)


# ---------------------------------------------------------------- messages


def packets_that_wait(office: Office) -> dict[Need, int]:
    """How many packets and notices there are for which a person does something. Raises `StoreTrouble`."""
    with office.reading() as connection:
        return {one.need: one.count for one in _messages(connection, office)}


def _messages(connection: Connection, office: Office) -> Iterator[Waiting]:
    heaps: dict[Need, list[Heap]] = {}
    has_mail = bool(office.settings.mail.host)
    for some in waiting.messages(connection):
        if need := _need(some, has_mail=has_mail):
            heaps.setdefault(need, []).append(some.heap)
    stuck = Counter(
        (line.state, type(one)) for line, one in where_questions.stuck(connection, office.settings)
    )
    for (state, asked), count in stuck.items():  # nobody can make, print or send it before that
        by_email = asked is EmailQuestion
        made = Need.MAKE if state is State.DUE else Need.SEND if by_email else Need.PRINT
        if made in heaps:
            heap = heaps[made][0]
            asks = Need.EMAIL_DOUBTS if by_email else Need.ADDRESS_DOUBTS
            heaps.setdefault(asks, []).append(replace(heap, count=count))
            heaps[made].append(replace(heap, count=-count))
    for need, found in heaps.items():
        since = min(heap.since for heap in found)
        count = sum(heap.count for heap in found)
        heap = Heap(count, since, max(heap.newest for heap in found))
        if count:
            yield _of_heap(need, heap, MESSAGES[need], office)


def _news(connection: Connection, office: Office) -> Iterator[Waiting]:
    news = to_tell(connection, office.settings)
    if news.count:
        yield Waiting(Need.TELL_PAGE, news.count, CHANGES if news.as_changes else FIRST_EXPORT)


MESSAGES = {
    Need.EMAIL_DOUBTS: "answer",
    Need.ADDRESS_DOUBTS: "answer",
    Need.CALLER_CHECKS: "packets",
    Need.UNSURE: "packets",
    Need.REFUSED: "packets",
    Need.MAKE: "packets --write",
    Need.SEND: "packets --send",
    Need.PRINT: LETTERS,
    Need.REMINDERS: "remind",
}


_ASKED = {IN_DOUBT: Need.EMAIL_DOUBTS, NO_ADDRESS: Need.ADDRESS_DOUBTS}


def _need(some: Messages, *, has_mail: bool) -> Need | None:
    """What a person does about messages that stand so; None where a packet alone asks for it."""
    match some.state:
        case State.WAITING:
            return _ASKED.get(some.asked, Need.CALLER_CHECKS)
        case State.DUE:
            return Need.MAKE if some.what is What.PACKET else None
        case State.WRITTEN if some.what is What.REMINDER:
            return Need.REMINDERS
        case State.WRITTEN:
            by_email = some.way is Way.EMAIL and has_mail
            return Need.SEND if by_email else Need.PRINT
        case State.UNSURE:
            return None if some.what is What.REMINDER else Need.UNSURE
        case _:
            return Need.REFUSED if some.what is What.PACKET else None


def _with_lost(found: Iterable[Waiting], lost: int) -> Iterator[Waiting]:
    """With the messages whose program is gone: nobody knows whether they went out."""
    for one in found:
        if one.need is Need.UNSURE:
            one, lost = Waiting(one.need, one.count + lost, one.command, one.since), 0
        yield one
    if lost:
        yield Waiting(Need.UNSURE, lost, MESSAGES[Need.UNSURE])


def _came_back(connection: Connection, office: Office) -> Iterator[Waiting]:
    found = waiting.came_back(connection, SOFT, ENOUGH, office.today() - LATELY)
    if not found:
        return
    handles = [handle for _, handle in found]
    may_see = office.may(Act.LOOK_UP)
    # Whoever calls needs the phone number.
    command = f"find {quote(handles[0])}" if may_see else AUDIT
    named = tuple(handles[:NAMED]) if may_see else ()
    since = date.fromisoformat(found[0][0])
    yield Waiting(Need.CAME_BACK, len(found), command, since, members=named, newest=found[-1][0])


def _stops(office: Office) -> Iterator[Waiting]:
    """Requests for no more email by one click, that nobody has taken in."""
    folder = take_clicks.porch_with_stops(office.settings)
    if folder is None:
        return
    if count := take_clicks.count_stops(office.settings):
        files = spool.waiting_stops(folder)
        newest = datetime.fromtimestamp(max(file.stat().st_mtime for file in files), UTC)
        command = f"returned --clicks {from_porch.named_here(folder)} --record"
        yield Waiting(Need.STOPS, count, command, newest=stamp(newest))


def _reminders(
    connection: Connection, office: Office, lost: Iterable[Outgoing]
) -> Iterator[Waiting]:
    """Those that are due and not made, and those of which nobody knows if they arrived."""
    if due := sum(due_reminders.count(connection, office).values()):
        yield Waiting(Need.REMIND, due, "remind --write")
    unsure = outgoing.by_state(connection, What.REMINDER, State.UNSURE)
    unsure += [line for line in lost if line.what is What.REMINDER]
    if not unsure:
        return
    named: tuple[str, ...] = ()
    if office.may(Act.LOOK_UP):
        numbers = dict.fromkeys(line.member_id for line in unsure)
        handles = search.handles_of(connection, numbers)
        named = tuple(handles[number] for number in list(numbers)[:NAMED])
    since = min(line.at for line in unsure).astimezone(ZoneInfo(office.settings.timezone)).date()
    newest = max(stamp(line.at) for line in unsure)
    # A line about one member: whoever has more asks them one by one.
    command = f"remind --again {quote(named[0])}" if named else "remind"
    yield Waiting(Need.UNSURE_REMINDERS, len(unsure), command, since, members=named, newest=newest)


# ---------------------------------------------------------------- windows, audit


def _windows(connection: Connection, office: Office) -> Iterator[Waiting]:
    settings, now = office.settings, office.now()
    if moved := known_windows.not_told(connection, settings, now):
        yield Waiting(Need.MOVED, moved, "windows --record")
    if others := moved_windows.count_regrouped(connection, office):
        yield Waiting(Need.REGROUPED, others, "windows --record")
    for group in settings.groups:
        yield from _turning(settings, group, now)


def _turning(settings: Settings, group: Group, now: datetime) -> Iterator[Waiting]:
    """The moments at which a window of the group opens or closes soon; where clocks differ, the first one."""
    moments: dict[tuple[date, Need], datetime] = {}
    for zone, _ in clocks(settings, group):
        for window in windows.upcoming(group, now.astimezone(zone).date()):
            # A window that has the whole of its last day closes with the last second of it.
            rest = timedelta(seconds=0 if window.closes_at else 1)
            for need, day, at in (
                (Need.OPENS, window.opens, windows.opening(window, zone)),
                (Need.CLOSES, window.closes, windows.closing(window, zone) - rest),
            ):
                if now <= at.astimezone(UTC) <= now + SOON:
                    earlier = moments.get((day, need), at)
                    moments[day, need] = min(earlier, at, key=lambda one: one.astimezone(UTC))
    for (_, need), at in moments.items():
        yield Waiting(need, 1, "windows", when=at, group=group.name)


def _audit(connection: Connection, office: Office) -> Iterator[Waiting]:
    if last := audit_due.overdue(connection, office):
        yield Waiting(Need.AUDIT, 1, AUDIT, last)


def _to_ask(connection: Connection, office: Office) -> Iterator[Waiting]:
    if asked := to_ask.recent(connection, office.now()):
        yield Waiting(Need.TO_ASK, len(asked), "answer --ask")


def _of_heap(need: Need, heap: Heap, command: str, office: Office) -> Waiting:
    since = None
    if heap.since:
        zone = ZoneInfo(office.settings.timezone)
        since = datetime.fromisoformat(heap.since).astimezone(zone).date()
    return Waiting(need, heap.count, command, since, newest=heap.newest)
