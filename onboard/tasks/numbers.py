"""How it goes: of those who joined, who got in and ordered, and what they called about.

Nobody is named, and small groups are not broken down: see `reports.small_cells`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from onboard import windows
from onboard.errors import FileTrouble
from onboard.model import Outgoing, State
from onboard.office import Office
from onboard.reports import small_cells
from onboard.reports.small_cells import LEAST, OTHERS, Cell
from onboard.roster import numbers as read
from onboard.roster import outgoing, packet_words
from onboard.roster.numbers import Asked, Joined
from onboard.roster.packet_words import PacketWords
from onboard.settings import Settings
from onboard.tasks.calls import ABOUTS

ARRIVED = (State.SENT, State.PRINTED)
NEVER_OUT = (State.DUE, State.WAITING, State.WRITTEN, State.CLAIMED, State.VOID)
MONTHS = 12  # that are counted if none are named
CALLS_COUNT = timedelta(
    60
)  # after the packet: so the calls after an old packet and a new one can be compared
OTHER_MATTERS = "all other matters together"
NO_SITE = "no drop site"

# What is asked of each member. Not everything is known of everybody: then they are not among “of how many”.
MEASURES = ("arrived", "signed in", "ordered", "called")


@dataclass(frozen=True, slots=True)
class Group:
    """Some of those who joined."""

    by: str  # "all", "month", "site", "language", "way"
    name: str
    joined: int
    cells: Mapping[str, Cell]  # by measure


@dataclass(frozen=True, slots=True)
class Matter:
    """What calls were about."""

    cause: str  # "" of all the others together
    about: str
    calls: int
    members: int


@dataclass(frozen=True, slots=True)
class Wording:
    """A sentence of the packet as it was for some time, and the calls about what it tells."""

    cause: str
    language: str
    section: str
    sentence: str  # "" of packets made when nobody kept the words
    since: date  # when a packet was first made with it
    called: Cell  # members who called about it, of how many who got it


@dataclass(frozen=True, slots=True)
class Numbers:
    """How those got on who joined in some months."""

    first: date  # the first day of the first month
    last: date  # the last day that is counted
    groups: tuple[Group, ...]  # the first is all of them; none if nobody joined
    matters: tuple[Matter, ...]  # the most members first
    wordings: tuple[Wording, ...]  # as the matters; of each, the oldest first
    waiting: int  # of whom nobody can know yet whether they signed in in time


@dataclass(frozen=True, slots=True)
class _Course:
    """How one member got on; None where nobody can know."""

    month: str
    site: str
    language: str
    way: str
    arrived: bool
    signed_in: bool | None
    ordered: bool | None
    called: bool
    is_early: bool  # their first window has not closed yet

    def answer(self, measure: str) -> bool | None:
        return getattr(self, measure.replace(" ", "_"))  # type: ignore[no-any-return]


def numbers(office: Office, since: str = "", until: str = "") -> Numbers:
    """How those got on who joined in the months from `since` to `until` ("2026-01"), or in the last twelve.

    Only members whose welcome packet this program made are counted. Raises `FileTrouble` for what is no month, and
    `StoreTrouble`.
    """
    settings, today = office.settings, office.today()
    zone = ZoneInfo(settings.timezone)
    first, end = _span(since, until, today)
    start, stop = (datetime(day.year, day.month, day.day, tzinfo=zone) for day in (first, end))
    with office.reading() as connection:
        joined = read.joined(connection, start, stop)
        packets = outgoing.newest_packets(connection, [one.id for one in joined])
        joined = [one for one in joined if one.id in packets]
        calls = read.calls(connection, [one.id for one in joined])
        words = packet_words.kept(connection)
    called = {call.member_id for call in calls}
    courses = [_course(one, packets[one.id], settings, today, called) for one in joined]
    matters = _matters(calls)
    shown = [matter.cause for matter in matters if matter.cause]
    return Numbers(
        first,
        min(end - timedelta(1), today),
        tuple(_groups(courses)),
        tuple(matters),
        tuple(_wordings(shown, packets, calls, words, {one.id for one in joined}, zone)),
        sum(one.is_early for one in courses),
    )


def _span(since: str, until: str, today: date) -> tuple[date, date]:
    """The first day of the first month, and the first day after the last month."""
    last = _month(until, "--until") if until else today.replace(day=1)
    if since:
        first = _month(since, "--since")
    else:
        count = last.year * 12 + last.month - MONTHS
        first = date(count // 12, count % 12 + 1, 1)
    if first > last:
        raise FileTrouble("--since is after --until. Swap them.")
    return first, (last + timedelta(31)).replace(day=1)


def _month(said: str, option: str) -> date:
    try:
        found = datetime.strptime(said, "%Y-%m").date()
    except ValueError:
        raise FileTrouble(f"{option} {said[:40]!r} is not a month. Write it as 2026-11.") from None
    if not 2000 <= found.year < 2100:
        raise FileTrouble(f"{option} {said[:40]!r} is not a month between 2000 and 2099.")
    return found


# ---------------------------------------------------------------- how one member got on


def _course(
    one: Joined, packet: Outgoing, settings: Settings, today: date, called: set[int]
) -> _Course:
    zone = ZoneInfo(settings.timezone)
    there = packet.at.astimezone(zone).date()
    closes = None if packet.state in NEVER_OUT else _first_close(one, packet, settings, there)
    ordered = True if one.orders else False if one.lists else None
    return _Course(
        f"{one.joined.astimezone(zone):%Y-%m}", one.site or NO_SITE, one.language, str(packet.way),
        packet.state in ARRIVED, _in_time(one, closes, today), ordered, one.id in called,
        closes is None or closes >= today,
    )  # fmt: skip


def _first_close(one: Joined, packet: Outgoing, settings: Settings, there: date) -> date | None:
    """The last day of the first window after the packet went out: as it was told, or as the settings have it."""
    told = [w.closes for w in packet.told or () if not w.canceled and w.closes >= there]
    if told:
        return min(told)
    site = settings.site(one.site)
    group = settings.group(site.group) if site else None
    window = windows.first_to_reach(group, there) if group else None
    return window.closes if window else None


def _in_time(one: Joined, closes: date | None, today: date) -> bool | None:
    """Whether the member signed in before their first window closed; None where nobody knows, or can know yet."""
    days = one.sign_ins | one.orders  # nobody orders without signing in
    if closes is None:
        return None
    if any(day <= closes for day in days):
        return True
    if closes >= today:
        return None
    # A list that was made after the window closed, and before the first sign-in that is known, knew of none.
    first = min(days, default=date.max)
    return False if any(closes < day and day <= first for day in one.lists) else None


# ---------------------------------------------------------------- groups


def _groups(courses: Sequence[_Course]) -> Iterator[Group]:
    if not courses:
        return
    whole = {name: Cell(*_count(courses, name)) for name in MEASURES}
    few = dict.fromkeys(MEASURES, small_cells.HIDDEN)
    yield Group("all", "", len(courses), few if len(courses) < LEAST else whole)
    kinds: dict[str, Callable[[_Course], str]] = {
        "month": lambda one: one.month, "site": lambda one: one.site,
        "language": lambda one: one.language, "way": lambda one: one.way,
    }  # fmt: skip
    for by, of in kinds.items():
        named: dict[str, list[_Course]] = {}
        for one in courses:
            named.setdefault(of(one), []).append(one)
        groups = small_cells.grouped(named)
        if by == "month":
            groups.sort(key=lambda group: (group[0] == OTHERS, group[0]))
        columns = {
            name: small_cells.shown([_count(some, name) for _, some in groups]) for name in MEASURES
        }
        for at, (name, some) in enumerate(groups):
            yield Group(by, name, len(some), {of: cells[at] for of, cells in columns.items()})


def _count(courses: Iterable[_Course], measure: str) -> tuple[int, int]:
    known = [said for one in courses if (said := one.answer(measure)) is not None]
    return sum(known), len(known)


# ---------------------------------------------------------------- calls


def _matters(calls: Sequence[Asked]) -> list[Matter]:
    """What calls were about; matters of few members are told as one."""
    by: dict[str, list[Asked]] = {}
    for call in calls:
        for cause in call.causes:
            by.setdefault(cause, []).append(call)
    ordered = sorted(by.items(), key=lambda one: (-_members(one[1]), one[0]))
    large = [(cause, some) for cause, some in ordered if _members(some) >= LEAST]
    rest = [call for _, some in ordered if _members(some) < LEAST for call in some]
    while rest and _members(rest) < LEAST and large:
        rest += large.pop()[1]
    found = [Matter(c, ABOUTS.get(c, ""), len(some), _members(some)) for c, some in large]
    if _members(rest) >= LEAST:
        found.append(Matter("", OTHER_MATTERS, len(rest), _members(rest)))
    return found


def _members(calls: Iterable[Asked]) -> int:
    return len({call.member_id for call in calls})


def _wordings(
    causes: Sequence[str],
    packets: Mapping[int, Outgoing],
    calls: Sequence[Asked],
    words: Mapping[str, PacketWords],
    members: set[int],
    zone: ZoneInfo,
) -> Iterator[Wording]:
    """Of each matter the sentences of the packet that spoke of it, before and after each change."""
    out = [packets[n] for n in sorted(members) if packets[n].state not in NEVER_OUT]
    for cause in causes:
        about = {
            call.member_id for call in calls
            if cause in call.causes and timedelta() <= call.at - packets[call.member_id].made <= CALLS_COUNT
        }  # fmt: skip
        eras: dict[tuple[str, str, str], list[Outgoing]] = {}
        for packet in out:
            version = words.get(packet.words)
            said = version.sentences.get(cause) if version else None
            if version and said:
                eras.setdefault((version.language, *said), []).append(packet)
        ordered = sorted(
            (era[0], min(packet.made for packet in some), era, some) for era, some in eras.items()
        )
        # All languages at once: the members of a matter are told as a whole, too.
        cells = small_cells.shown(
            [(sum(p.member_id in about for p in some), len(some)) for *_, some in ordered]
        )
        for (language, since, (_, section, sentence), _), cell in zip(ordered, cells, strict=True):
            day = since.astimezone(zone).date()
            yield Wording(cause, language, section, sentence, day, cell)
