"""Who heard which days of ordering windows, and what is otherwise for them now: by the windows' moving, or by theirs to
another group or clock."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from itertools import chain
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard.model import Member, Outgoing, SiteNews, State, ToldWindow, Way, What
from onboard.office import Office
from onboard.roster import at_sites, outgoing, search
from onboard.settings import Settings
from onboard.tasks import known_windows, ways
from onboard.welcome.moved import Move, is_rezoned
from onboard.welcome.packet import MOST_WINDOWS
from onboard.windows import Known

# What the member may have read. A letter in the outbox may have been mailed, and nobody said so.
HEARD = (State.CLAIMED, State.SENT, State.UNSURE, State.PRINTED, State.TOLD)
CAME_BACK = (State.REFUSED, State.RETURNED)
AS_FAR_AS_TOLD = timedelta(18 * 31)  # for so long windows are told ahead


@dataclass(slots=True)
class Heard:
    """What one member heard, and what waits in the outbox for them."""

    told: dict[str, tuple[ToldWindow, Way]] = field(default_factory=dict)  # by UID, the latest
    packets: list[Outgoing] = field(default_factory=list)  # not gone out, with old days
    notices: list[Outgoing] = field(default_factory=list)  # not gone out, and to be made anew
    waiting: list[Outgoing] = field(default_factory=list)  # not gone out, with the days of now
    email_came_back: bool = False
    sites: set[str] = field(default_factory=set)  # UIDs that a waiting notice of a drop site tells
    moves: list[tuple[Move, Way | None]] = field(default_factory=list)
    zone: ZoneInfo | None = None  # of the member's drop site; None where it has no group


def tells_old_days(line: Outgoing, member: Member, known: Iterable[Known], office: Office) -> bool:
    """Whether a message to a member tells of a window that is otherwise for them now, and matters still."""
    site = office.settings.site(member.site)
    # What tells of another drop site tells the days that the member has there.
    group = site.group if site and not line.told_site else ""
    now, today = theirs(known, group, office.now()), office.today()
    zone = office.settings.zone(site) if group else None
    return any(_is_otherwise(told, now.get(told.uid), today, zone) for told in line.told or ())


def theirs(known: Iterable[Known], group: str, now: datetime) -> dict[str, Known]:
    """By UID, the windows as they are for members of a group: those of the others are not theirs. Of "", all are."""
    return {
        one.uid: one
        if one.group == group or not group or one.canceled
        else replace(one, canceled=True, sequence=one.sequence + 1, changed=now)
        for one in known
    }


def _is_otherwise(
    told: ToldWindow, now: Known | None, today: date, zone: ZoneInfo | None = None
) -> bool:
    """Whether a window is otherwise than it was told, for a member with the clock of this time zone."""
    if now is None or (now.canceled and told.canceled):
        return False
    if now.told == told:
        has_clock = told.opens_at is not None or told.closes_at is not None
        matters = has_clock and told.closes >= today
        return zone is not None and matters and is_rezoned(told, now, zone)
    if told.canceled or now.canceled:
        # Days that are over anyway are not worth a word.
        return (told.closes if now.canceled else now.window.closes) >= today
    return max(told.closes, now.window.closes) >= today


def regrouped(connection: Connection, office: Office) -> set[int] | None:
    """The members who may have had another group or clock before; None if all may."""
    sites = known_windows.changed_sites(connection, office.settings)
    if sites is None:
        return None
    found = at_sites.changed_since(connection, office.now() - AS_FAR_AS_TOLD)
    for site in sites:
        found |= {one.member_id for one in at_sites.members(connection, site)}
    return found


def _telling(
    connection: Connection, office: Office, known: Sequence[Known], of: Collection[int] | None
) -> Iterator[Outgoing]:
    """What told members of windows that may be otherwise for them now; or only what told those `of` these numbers."""
    if of is not None:
        return outgoing.telling(connection, None, of=of)
    others = regrouped(connection, office)
    if others is None:
        return outgoing.telling(connection, None)
    # What was made since the last change tells the days of now.
    since = outgoing.telling(connection, max(one.changed for one in known))
    mine = (line for line in since if line.member_id not in others)
    return chain(mine, outgoing.telling(connection, None, of=others) if others else ())


def by_member(
    connection: Connection,
    office: Office,
    known: Sequence[Known],
    *,
    of: Collection[int] | None = None,
) -> dict[int, Heard]:
    """The members for whom something is otherwise than they heard, or waits in the outbox that is; or those `of` these
    numbers."""
    today = office.today()
    if not known:
        return {}
    heard: dict[int, Heard] = {}
    groups = _groups(connection, office.settings, of)
    by_group = {group: theirs(known, group, office.now()) for group in {"", *groups.values()}}
    sites = at_sites.by_member(connection, of)
    by_site = {site.name: office.settings.zone(site) for site in office.settings.sites}
    zones = {n: by_site[site] for n, site in sites.items() if n in groups}
    for line in _telling(connection, office, known, of):
        now = by_group[groups.get(line.member_id, "")]
        one = heard.setdefault(line.member_id, Heard(zone=zones.get(line.member_id)))
        _hear(one, line, now, today)
    _see_that_they_can_go(connection, office.settings, heard)
    for number, one in heard.items():
        group = groups.get(number, "")
        one.moves = _moves(one, group, by_group[group], today)
    return {number: one for number, one in heard.items() if one.moves or one.packets or one.notices}


def _groups(
    connection: Connection, settings: Settings, of: Collection[int] | None
) -> dict[int, str]:
    """The group of each member, or of those `of` these numbers; nothing of whoever has none, or was told that their drop
    site will close: they have the days of both."""
    sites = at_sites.by_member(connection, of)
    group = {site.name: site.group for site in settings.sites}
    leaving: set[int] = set()
    for line in outgoing.telling_sites(connection):
        told = line.told_site
        is_leaving = (
            told and told.news is SiteNews.CLOSES and told.site == sites.get(line.member_id)
        )
        (leaving.add if is_leaving else leaving.discard)(line.member_id)
    return {n: group[name] for n, name in sites.items() if name in group and n not in leaving}


def _moves(
    heard: Heard, group: str, now: Mapping[str, Known], today: date
) -> list[tuple[Move, Way | None]]:
    """What is otherwise for a member than they heard; whoever is in another group hears the windows of that one too."""
    on_its_way = {told.uid for line in heard.waiting for told in line.told or ()} | heard.sites
    moves: list[tuple[Move, Way | None]] = []
    for uid, (told, way) in heard.told.items():
        if uid in on_its_way or not _is_otherwise(told, now.get(uid), today, heard.zone):
            continue
        one = now[uid]
        # Canceled in their calendar alone, it may be, or by another clock: a higher number moves it.
        if told.canceled or one.told == told:
            one = replace(one, sequence=one.sequence + 1)
        moves.append((Move(told, one, bool(group) and one.group != group), way))
    if any(move.regrouped for move, _ in moves):
        new = [
            one
            for one in now.values()
            if one.group == group and not (one.canceled or one.is_over(today))
            and one.uid not in heard.told and one.uid not in on_its_way
        ]  # fmt: skip
        new.sort(key=lambda one: one.window.opens)
        moves += [(Move(None, one), None) for one in new[:MOST_WINDOWS]]
    return moves


def _see_that_they_can_go(
    connection: Connection, settings: Settings, heard: dict[int, Heard]
) -> None:
    """An email that waits, and that its member may not get any more, is to be made anew as what they may get."""
    emails = {
        number: one
        for number, one in heard.items()
        if any(line.way is Way.EMAIL and line.what is What.NOTICE for line in one.waiting)
    }
    members = search.members_by_number(connection, emails)
    back = [number for number, one in emails.items() if one.email_came_back]
    told = ways.of(connection, settings, list(members.values()), back)
    for number, one in emails.items():
        # Without a mail server, the letter of an email that waits is printed.
        if number in told and told[number].by is not Way.EMAIL and settings.mail.host:
            one.notices += [line for line in one.waiting if line.way is Way.EMAIL]
            one.waiting = [line for line in one.waiting if line.way is not Way.EMAIL]


def _hear(heard: Heard, line: Outgoing, now: dict[str, Known], today: date) -> None:
    if line.what is What.REMINDER and line.state is State.WRITTEN:
        return  # the next writing of reminders takes it back, and makes it anew
    old = any(_is_otherwise(told, now.get(told.uid), today, heard.zone) for told in line.told or ())
    may_be_mailed = line.way is Way.LETTER and line.what is What.NOTICE
    if line.state is State.WRITTEN and line.what is What.PACKET:
        if old:
            heard.packets.append(line)
        return
    if line.state is State.WRITTEN and line.told_site and not may_be_mailed:
        heard.sites |= {told.uid for told in line.told or ()}
        return  # a notice of a drop site is made anew by its own command
    if line.state is State.WRITTEN and not old:
        heard.waiting.append(line)
        return
    if line.state is State.WRITTEN and not line.told_site:
        heard.notices.append(line)
    if line.way is Way.EMAIL and line.state not in (State.WRITTEN, State.DUE):
        heard.email_came_back = line.state in CAME_BACK
    if line.state in HEARD or (line.state is State.WRITTEN and may_be_mailed):
        for told in line.told or ():
            # Where there is no mail server, the letter was mailed in place of the email.
            printed = line.state is State.PRINTED and line.way is Way.EMAIL
            by = Way.LETTER if printed else line.way
            if not told.zone and told.uid in heard.told:  # a reminder moves nothing in a calendar
                told = replace(told, zone=heard.told[told.uid][0].zone)
            heard.told[told.uid] = told, by
