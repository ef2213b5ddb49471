"""Who is to be reminded of which ordering window, by which way, and who cannot be: read, and nothing is changed."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from functools import lru_cache

from sqlalchemy import Connection

from onboard.clean import consent, remind_by
from onboard.model import Outgoing, ReminderKind, State, Way
from onboard.model.outgoing import IN_DOUBT
from onboard.office import Office
from onboard.roster import reminded
from onboard.roster.reminded import Reader
from onboard.settings import Settings
from onboard.tasks import known_windows, said_dead
from onboard.welcome.reminder import Hint
from onboard.windows import Known, Reminding, reminders

LATELY = timedelta(31)  # a list of the ordering page that is older says nothing of who signed in
# An email that came to nothing has told nobody.
CAME_TO_NOTHING = (State.REFUSED, State.RETURNED)
NOT_THERE = (State.DUE, State.WAITING, State.WRITTEN, State.CLAIMED, *CAME_TO_NOTHING)


class NoWay(StrEnum):
    """Why a member gets no reminder."""

    NEVER_ASKED = "nobody asked if we may email them"
    NO_ANSWER = "their form says neither yes nor no to email"
    OPTED_OUT = "they opted out of email"
    WANTS_NONE = "they want no reminders"
    NO_CONTACT = "we have no way to reach them"


@dataclass(frozen=True, slots=True)
class Due:
    """A reminder that is due to a member."""

    reader: Reader
    reminding: Reminding
    way: Way
    hint: Hint = Hint.NONE

    @property
    def kind(self) -> ReminderKind:
        """What it says."""
        return self.reminding.kind

    @property
    def known(self) -> Known:
        """Of which window."""
        return self.reminding.known


@dataclass(slots=True)
class Agenda:
    """Which reminders there are, by drop site; of whom nobody speaks as they may have died."""

    settings: Settings
    by_site: dict[str, tuple[Reminding, ...]] = field(default_factory=dict)
    dead: set[int] = field(default_factory=set)
    unanswered: set[int] = field(default_factory=set)  # said neither yes nor no to email
    unlisted: list[Known] = field(default_factory=list)  # closed; no list says who ordered in it
    # By member, UID, kind and way: what waits to go out and is to go nowhere.
    overtaken: set[tuple[int, str, str, Way]] = field(default_factory=set)

    @property
    def uids(self) -> set[str]:
        """Of which windows they are."""
        return {one.known.uid for found in self.by_site.values() for one in found}


def agenda(
    connection: Connection,
    settings: Settings,
    now: datetime,
    wanted: Callable[[Reminding], bool] = lambda one: True,
    *,
    keep: bool = False,
) -> Agenda:
    """The reminders that are `wanted`, of the windows as calendars should know them now; with `keep` they do."""
    found = Agenda(settings)
    if not settings.reminders.sends:
        return found
    by_group: dict[str, list[Known]] = defaultdict(list)
    for window in known_windows.follow(connection, settings, now, keep=keep):
        by_group[window.group].append(window)
    orders: dict[str, bool] = {}
    for site in settings.sites:
        known = by_group.get(site.group, ())
        if site.closed or not known:
            continue
        zone = settings.zone(site)
        ours = [one for one in reminders(known, settings.reminders, zone) if wanted(one)]
        for one in list(ours):
            if one.kind is ReminderKind.NO_ORDER and not _is_listed(
                connection, settings, one.known, orders
            ):
                ours.remove(one)
                if one.known not in found.unlisted:
                    found.unlisted.append(one.known)
        if ours:
            found.by_site[site.name] = tuple(ours)
    if found.by_site:
        found.dead = reminded.with_finding(connection, said_dead.CODES)
        found.unanswered = reminded.without_answer(connection, consent.NO_ANSWER)
    return found


def _is_listed(
    connection: Connection, settings: Settings, known: Known, orders: dict[str, bool]
) -> bool:
    if known.uid not in orders:
        sites = [site.name for site in settings.sites if site.group == known.group]
        orders[known.uid] = reminded.has_orders(connection, sites, known.window.opens)
    return orders[known.uid]


def on_day(office: Office, day: date) -> Callable[[Reminding], bool]:
    """Which reminders are due on a day: of days to come and past those that become due on it, as if all before had gone
    out; of today also those that did not go out and are not too late."""
    now, today = office.now(), office.today()
    if day != today:
        return lambda one: one.falls_on(day)
    ends = datetime.combine(today + timedelta(1), time(), office.settings.zone())
    return lambda one: one.due < ends and one.until > now


def is_due_at(now: datetime) -> Callable[[Reminding], bool]:
    """Which reminders may go out at this moment."""
    return lambda one: one.is_due(now)


@dataclass(slots=True)
class Page:
    """What is due to some members."""

    due: list[Due] = field(default_factory=list)
    no_way: list[tuple[Reader, NoWay]] = field(default_factory=list)
    last: int = 0  # the highest number among them; 0: there were none


def pages(connection: Connection, plan: Agenda, today: date) -> Iterator[Page]:
    """What is due to all members, a page of them at a time."""
    after = 0
    while plan.by_site:
        page = one_page(connection, plan, today, after)
        if not page.last:
            return
        yield page
        after = page.last


def one_page(
    connection: Connection, plan: Agenda, today: date, after: int, most: int = reminded.PAGE
) -> Page:
    """What is due to the members whose numbers are above `after`, of `most` of them."""
    question = plan.settings.reminders.way_question
    readers = reminded.readers(connection, plan.by_site, question, after=after, most=most)
    page = Page(last=readers[-1].id if readers else 0)
    if not readers:
        return page
    told = reminded.told(connection, plan.uids, readers[0].id, readers[-1].id)
    for reader in readers:
        if reader.id in plan.dead:
            continue
        for one in plan.by_site[reader.site]:
            key = reader.id, one.known.uid, str(one.kind)
            before = {
                way: state
                for way, state in told.get(key, {}).items()
                if (*key, way) not in plan.overtaken
            }
            if any(state not in CAME_TO_NOTHING for state in before.values()) or not concerns(
                reader, one
            ):
                continue
            way = way_of(reader, plan.settings)
            if way is NoWay.OPTED_OUT and reader.id in plan.unanswered:
                way = NoWay.NO_ANSWER
            if isinstance(way, NoWay):
                page.no_way.append((reader, way))
            elif way not in before:
                page.due.append(Due(reader, one, way, hint(reader, plan.settings, today)))
    return page


def concerns(reader: Reader, one: Reminding) -> bool:
    """Whether a reminder has something to say to a member."""
    if one.kind is not ReminderKind.NO_ORDER:
        return True
    window = one.known.window
    return (
        reader.joined[:10] <= window.closes.isoformat()
        and reader.page_seen is not None
        and reader.page_seen > window.closes
        and (reader.last_order is None or reader.last_order < window.opens)
    )


def way_of(reader: Reader, settings: Settings) -> Way | NoWay:
    """By which way a member is reminded: the one that they chose, or else by email if they said yes to it, or else by
    postcard if there is no email address that works."""
    rule = settings.reminders
    chosen = _answer(reader.answer)
    if chosen is False:
        return NoWay.WANTS_NONE
    if chosen is Way.TEXT and reader.phone and ";" not in reader.phone:
        return Way.TEXT
    card = Way.LETTER if rule.postcards and reader.address else NoWay.NO_CONTACT
    if chosen is Way.LETTER and card is Way.LETTER:
        return card
    if not reader.email:
        return card
    if reader.consent is False:
        return NoWay.OPTED_OUT
    if reader.consent is None and chosen is not Way.EMAIL:
        return NoWay.NEVER_ASKED
    doubted = reader.packet is State.WAITING and reader.why == IN_DOUBT
    return card if reader.bounced or doubted or not settings.mail.host else Way.EMAIL


@lru_cache(maxsize=1024)
def _answer(said: str) -> Way | bool | None:
    return remind_by.clean(said) if said else None


def hint(reader: Reader, settings: Settings, today: date) -> Hint:
    """What keeps a member from ordering, as far as we know."""
    if reader.packet in NOT_THERE:
        return Hint.PACKET
    if reader.page_seen is None or reader.last_sign_in or reader.page_seen < today - LATELY:
        return Hint.NONE
    if reader.packet is None:  # they had an account before us
        return Hint.NEVER_IN
    ended = reader.password_expires is not None and reader.password_expires < today
    return Hint.ENDED if ended and not settings.password.set_by_member else Hint.UNUSED


def stale(connection: Connection, plan: Agenda, lines: Sequence[Outgoing]) -> list[Outgoing]:
    """Those of the reminders in the outbox that are to go nowhere any more, by a plan of what may go out now: they come
    too late, their window moved, or their member is no longer to be reminded, or by another way."""
    numbers = {line.member_id for line in lines}
    question = plan.settings.reminders.way_question
    readers = reminded.these_readers(connection, plan.by_site, question, numbers)
    return [line for line in lines if not _stands(plan, line, readers.get(line.member_id))]


def _stands(plan: Agenda, line: Outgoing, reader: Reader | None) -> bool:
    if reader is None or reader.id in plan.dead or way_of(reader, plan.settings) is not line.way:
        return False
    return any(
        one.kind is line.kind and line.told == (one.known.told,) and concerns(reader, one)
        for one in plan.by_site[reader.site]
    )


def count_due_reminders(office: Office) -> Counter[ReminderKind]:
    """How many reminders are due now and not yet in the outbox, by kind. Raises `StoreTrouble`."""
    with office.reading() as connection:
        return count(connection, office)


def count(connection: Connection, office: Office) -> Counter[ReminderKind]:
    """The same, within the transaction of the connection."""
    now = office.now()
    found: Counter[ReminderKind] = Counter()
    plan = agenda(connection, office.settings, now, is_due_at(now))
    for page in pages(connection, plan, office.today()):
        found.update(one.kind for one in page.due)
    return found
