"""Reminders of ordering windows: who gets one, and those that are due put into the outbox."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from time import time

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.mail import outbox
from onboard.mail.envelope import message_id
from onboard.model import Event, ReminderKind, State, Way, What
from onboard.office import Act, Office
from onboard.roster import members, outgoing, reminded, search
from onboard.roster.reminded import New
from onboard.settings import Settings, Window
from onboard.tasks import claims, due_reminders, settings_doubts, take_clicks
from onboard.tasks import meant as who
from onboard.tasks.due_reminders import Due, NoWay
from onboard.welcome import words
from onboard.welcome.reminder import Hint, Reminders, Says
from onboard.windows import Known, upcoming

AT_ONCE = 1000  # members a transaction: what a crash throws away
AN_HOUR = 3600.0  # seconds; a file that is younger may be one that another program writes


@dataclass(slots=True)
class RemindersReport:
    """Who is reminded, and who is not."""

    day: date
    due: list[Due] = field(default_factory=list)  # of a preview
    written: Counter[tuple[ReminderKind, Way]] = field(default_factory=Counter)
    no_way: list[tuple[str, NoWay]] = field(default_factory=list)  # sign-in names
    unlisted: list[Known] = field(default_factory=list)  # closed; no list says who ordered in it
    overtaken: int = 0  # reminders in the outbox that go nowhere any more
    stopped: int = 0  # members who asked for no more email at the porch, heard just now
    waiting: dict[Way, int] = field(
        default_factory=dict
    )  # in the outbox, or on the list for paper and texts
    unsure: list[str] = field(default_factory=list)  # sign-in names: nobody knows if it arrived


def preview_reminders(office: Office, day: date | None = None) -> RemindersReport:
    """Which reminders are due at this moment and not yet in the outbox, or which are due on a day.

    Of a day to come, all that become due on it. Raises `StoreTrouble`.
    """
    wanted = due_reminders.on_day(office, day) if day else due_reminders.is_due_at(office.now())
    day = day or office.today()
    report = RemindersReport(day)
    with office.reading() as connection:
        plan = due_reminders.agenda(connection, office.settings, office.now(), wanted)
        if day == office.today():
            plan.overtaken = _overtaken(connection, office)
            report.overtaken = len(plan.overtaken)
        for page in due_reminders.pages(connection, plan, day):
            report.due += page.due
            report.no_way += [(reader.handle, why) for reader, why in page.no_way]
        report.unlisted = plan.unlisted
        _count(connection, report)
    return report


def _overtaken(connection: Connection, office: Office) -> set[tuple[int, str, str, Way]]:
    now = office.now()
    plan = due_reminders.agenda(connection, office.settings, now, due_reminders.is_due_at(now))
    old = due_reminders.stale(connection, plan, reminded.written(connection))
    return {
        (line.member_id, told.uid, str(line.kind), line.way)
        for line in old
        for told in line.told or ()
    }


def write_reminders(
    office: Office, *, progress: Callable[[int], None] = lambda done: None
) -> RemindersReport:
    """Put every reminder that is due now on the list of what goes out, emails into the outbox.

    What waits there and does not hold any more is taken back: it comes too late, its window moved, or its member is
    not to be reminded now. Who asked for no more email at the porch is heard first. Nobody gets one twice, also after a crash or of two programs at once. Raises
    `SettingsTrouble` where the settings still have samples, `StoreTrouble` and `FileTrouble`; what was written by then
    stays.
    """
    office.see_that_one_may(Act.TELL)
    settings, now, today = office.settings, office.now(), office.today()
    settings_doubts.see_that_they_are_your_own(settings, "reminder")
    report = RemindersReport(today, stopped=take_clicks.heed_porch(office))
    report.overtaken = take_back_stale(office)
    with office.transaction() as connection:
        wanted = due_reminders.is_due_at(now)
        plan = due_reminders.agenda(connection, settings, now, wanted, keep=True)
        report.unlisted = plan.unlisted
        _sweep(connection, settings)
    emails, sayings, after = Reminders(settings, now), Sayings(settings, today), 0
    while plan.by_site:
        with office.transaction() as connection:
            page = due_reminders.one_page(connection, plan, today, after, AT_ONCE)
            if not page.last:
                break
            added = _put(connection, office, page.due, emails, sayings)
        after = page.last
        report.no_way += [(reader.handle, why) for reader, why in page.no_way]
        report.written.update((one.kind, one.way) for one in added)
        progress(len(added))
    with office.reading() as connection:
        _count(connection, report)
    return report


def _put(
    connection: Connection, office: Office, due: Sequence[Due], emails: Reminders, sayings: Sayings
) -> list[Due]:
    """Those of the reminders that were not on the list and are now, their emails in the outbox."""
    new, messages = {}, {}
    for one in due:
        reader, told, file, content = one.reader, one.known.told, "", b""
        if one.way is Way.EMAIL:
            called = members.name_of(reader.id, reader.name)
            file = outbox.reminder_name(reader.id, told.uid, one.kind)
            content = emails.email(sayings.of(one), called, reader.email)
        key = reader.id, told.uid, str(one.kind)
        messages[key] = content
        new[key] = one, New(reader.id, one.way, one.kind, told, file, message_id(content))
    fresh = reminded.add(connection, [line for _, line in new.values()], office.signature())
    added = {key: pair for key, pair in new.items() if key in fresh}
    outbox.write_many(
        office.settings.outbox,
        {line.file: messages[key] for key, (_, line) in added.items() if line.file},
    )
    return [one for one, _ in added.values()]


@dataclass(slots=True)
class Sayings:
    """What reminders say: the same for many members, so made once."""

    settings: Settings
    today: date
    template: str = words.REMINDER
    _made: dict[tuple[str, ReminderKind, Hint, str], Says] = field(default_factory=dict)

    def of(self, one: Due) -> Says:
        """What one says, in the member's language if there are words in it."""
        key = one.known.uid, one.kind, one.hint, one.reader.language
        if key not in self._made:
            language = words.language_among(one.reader.language, self.settings, self.template)
            after = _next(one.known, self.settings, self.today)
            self._made[key] = Says(one.kind, one.known, after, one.hint, language)
        return self._made[key]


def _next(known: Known, settings: Settings, today: date) -> Window | None:
    """The window of the group after this one."""
    group = settings.group(known.group)
    coming = upcoming(group, today) if group else ()
    return next((one for one in coming if one.opens > known.window.closes), None)


def take_back_stale(office: Office) -> int:
    """How many reminders that waited to go out, and do not hold any more, go nowhere now. Raises `StoreTrouble`."""
    now, taken, after = office.now(), 0, 0
    with office.reading() as connection:
        plan = due_reminders.agenda(connection, office.settings, now, due_reminders.is_due_at(now))
    while True:
        with office.transaction() as connection:
            lines = reminded.written(connection, after=after, most=AT_ONCE)
            if not lines:
                return taken
            old = due_reminders.stale(connection, plan, lines)
            numbers = outgoing.step(
                connection, [line.id for line in old], Event.CANCEL, office.signature()
            )
        for line in old:
            if line.file and line.id in numbers:
                outbox.take_away(office.settings.outbox, line.file)
        taken, after = taken + len(numbers), lines[-1].id


def ask_again(office: Office, handles: Collection[str]) -> int:
    """How many reminders of these members, of which nobody knows if they arrived, count as not arrived from here on.

    They are due again while that helps. Raises `FileTrouble` if nobody has such a sign-in name, and `StoreTrouble`.
    """
    claims.lost(office, keep=True)  # what a program was sending that is gone
    with office.transaction() as connection:
        numbers = [member.id for member in who.by_handle(connection, handles).values()]
        unsure = outgoing.by_state(connection, What.REMINDER, State.UNSURE, of=numbers)
        if not unsure:
            raise FileTrouble(
                f"No reminder to {', '.join(handles)} is unsure. There is nothing to do."
            )
        found = outgoing.step(
            connection, [line.id for line in unsure], Event.CANCEL, office.signature()
        )
    return len(found)


def _sweep(connection: Connection, settings: Settings) -> None:
    """Emails that nobody knows of, left by a program that was stopped, are gone."""
    needed = reminded.files(connection)
    for file in outbox.reminders(settings.outbox):
        with suppress(OSError):
            if file.name not in needed and time() - file.stat().st_mtime > AN_HOUR:
                file.unlink()


def _count(connection: Connection, report: RemindersReport) -> None:
    counts = reminded.counted(connection)
    report.waiting = {
        way: counts[way, State.WRITTEN] for way in Way if (way, State.WRITTEN) in counts
    }
    if any(state is State.UNSURE for _, state in counts):
        unsure = outgoing.by_state(connection, What.REMINDER, State.UNSURE)
        named = search.handles_of(connection, {line.member_id for line in unsure})
        report.unsure = sorted(named.values())
