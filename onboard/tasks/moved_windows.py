"""Windows that moved after members were told of them, and members who are in another group since: who heard other days
than theirs, and how they hear of the new ones."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from itertools import chain
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.mail import outbox
from onboard.model import Event, Member, Outgoing, Signature, SiteNews, State, ToldWindow, Way, What
from onboard.office import Act, Office
from onboard.roster import at_sites, desk, outgoing, search
from onboard.settings import Settings
from onboard.tasks import known_windows, ways
from onboard.tasks import meant as who
from onboard.welcome import letters
from onboard.welcome.moved import Move, is_rezoned, moved
from onboard.welcome.notice import Notice
from onboard.welcome.packet import MOST_WINDOWS
from onboard.windows import Known

# What the member may have read. A letter in the outbox may have been mailed, and nobody said so.
HEARD = (State.CLAIMED, State.SENT, State.UNSURE, State.PRINTED, State.TOLD)
CAME_BACK = (State.REFUSED, State.RETURNED)
AS_FAR_AS_TOLD = timedelta(18 * 31)  # for so long windows are told ahead


@dataclass(frozen=True, slots=True)
class ToldOtherwise:
    """A member who heard other days than those of now, and how they will hear of these."""

    member: Member
    moves: tuple[Move, ...]
    heard_by: tuple[Way, ...]  # the ways by which they heard the other days
    by: Way  # how they are told now; by a call if there is no other way
    why: str = ""  # why not by email
    file: str = ""  # in the outbox; "" in a preview


@dataclass(slots=True)
class MovedReport:
    """Who is told of windows that moved."""

    told: list[ToldOtherwise] = field(default_factory=list)
    remade: list[Member] = field(
        default_factory=list
    )  # whose packet had not gone out: it is due again
    overtaken: list[str] = field(default_factory=list)  # notices in the outbox that hold no longer

    def __bool__(self) -> bool:
        return bool(self.told or self.remade or self.overtaken)


def tell_moved_windows(office: Office, *, keep: bool) -> MovedReport:
    """Who was told other days than the settings have now, and by which way.

    With `keep` a notice to each of them is put into the outbox: an email with a calendar file for whoever may be
    emailed, a letter for the others, and for all where the settings name no mail server; and packets that have not gone out are due again, as their days are old.
    Nobody is told the same twice. Raises `StoreTrouble`, `FileTrouble` and `SettingsTrouble`.
    """
    if keep:
        office.see_that_one_may(Act.TELL)
    with office.work(keep=keep) as connection:
        known = known_windows.follow(connection, office.settings, office.now(), keep=keep)
        found = _found(connection, office, known)
        report = _report(connection, office.settings, found)
        if keep:
            _keep(connection, office, report, found)
            known_windows.note_told(connection, office.now())
    return report


def mark_called(office: Office, names: Collection[str], *, keep: bool) -> list[ToldOtherwise]:
    """The members with these sign-in names, who were told other days and were told the days of now on the phone; with
    `keep` they are not told again. A notice to them that waits in the outbox is taken out.

    Raises `FileTrouble` where nobody has such a name, or somebody was told no other days, `SettingsTrouble` where the
    settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.work(keep=keep) as connection:
        known = known_windows.follow(connection, office.settings, office.now(), keep=keep)
        found = _found(connection, office, known)
        told = {one.member.id: one for one in _report(connection, office.settings, found).told}
        meant = who.by_handle(connection, names)
        if news := sorted(name for name, member in meant.items() if member.id not in told):
            raise FileTrouble(
                f"Nothing to tell {', '.join(news)} on the phone: they were told the days of now, or no days at all. "
                "To see who was told other days: onboard windows"
            )
        called = [told[member.id] for member in meant.values()]
        if keep:
            signature = office.signature()
            for one in called:
                _cancel(connection, office.settings, found[one.member.id].notices, signature)
                windows = _told_now(one, office.settings)
                outgoing.add_notice(connection, one.member.id, Way.CALL, "", signature, windows)
    return called


def tells_old_days(line: Outgoing, member: Member, known: Iterable[Known], office: Office) -> bool:
    """Whether a message to a member tells of a window that is otherwise for them now, and matters still."""
    site = office.settings.site(member.site)
    # What tells of another drop site tells the days that the member has there.
    group = site.group if site and not line.told_site else ""
    now, today = _theirs(known, group, office.now()), office.today()
    zone = office.settings.zone(site) if group else None
    return any(_is_otherwise(told, now.get(told.uid), today, zone) for told in line.told or ())


def _theirs(known: Iterable[Known], group: str, now: datetime) -> dict[str, Known]:
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


def made_again(
    connection: Connection, office: Office, member: Member, line: Outgoing
) -> Notice | None:
    """A notice that is gone from the outbox, as it was written; None where its windows are not known any more."""
    known = known_windows.follow(connection, office.settings, office.now(), keep=False)
    site = office.settings.site(member.site)
    now = _theirs(known, site.group if site else "", office.now())
    before: dict[str, ToldWindow] = {}
    for earlier in outgoing.telling(connection, line.made, of=[member.id]):
        if earlier.id < line.id and earlier.state in HEARD:
            before |= {told.uid: told for told in earlier.told or ()}
    moves = [
        Move(before.get(told.uid), now[told.uid], bool(site and now[told.uid].group != site.group))
        for told in line.told or ()
        if told.uid in now
    ]
    if not moves or not before:
        return None
    return moved(member, moves, office.settings, office.now(), by_email=line.way is Way.EMAIL)


# ---------------------------------------------------------------- who heard what


@dataclass(slots=True)
class _Heard:
    """What one member heard, and what waits in the outbox for them."""

    told: dict[str, tuple[ToldWindow, Way]] = field(default_factory=dict)  # by UID, the latest
    packets: list[Outgoing] = field(default_factory=list)  # not gone out, with old days
    notices: list[Outgoing] = field(default_factory=list)  # not gone out, and to be made anew
    waiting: list[Outgoing] = field(default_factory=list)  # not gone out, with the days of now
    email_came_back: bool = False
    sites: set[str] = field(default_factory=set)  # UIDs that a waiting notice of a drop site tells
    moves: list[tuple[Move, Way | None]] = field(default_factory=list)
    zone: ZoneInfo | None = None  # of the member's drop site; None where it has no group


def count_regrouped(connection: Connection, office: Office) -> int:
    """How many members have another group or clock than before, and have not heard its days yet; 0 where nobody knows the
    groups of before."""
    known = known_windows.follow(connection, office.settings, office.now(), keep=False)
    others = _regrouped(connection, office)
    found = _found(connection, office, known, of=others) if others else {}
    return len(_report(connection, office.settings, found).told)


def _regrouped(connection: Connection, office: Office) -> set[int] | None:
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
    others = _regrouped(connection, office)
    if others is None:
        return outgoing.telling(connection, None)
    # What was made since the last change tells the days of now.
    since = outgoing.telling(connection, max(one.changed for one in known))
    mine = (line for line in since if line.member_id not in others)
    return chain(mine, outgoing.telling(connection, None, of=others) if others else ())


def _found(
    connection: Connection,
    office: Office,
    known: Sequence[Known],
    *,
    of: Collection[int] | None = None,
) -> dict[int, _Heard]:
    today = office.today()
    if not known:
        return {}
    heard: dict[int, _Heard] = {}
    groups = _groups(connection, office.settings, of)
    by_group = {group: _theirs(known, group, office.now()) for group in {"", *groups.values()}}
    sites = at_sites.by_member(connection, of)
    by_site = {site.name: office.settings.zone(site) for site in office.settings.sites}
    zones = {n: by_site[site] for n, site in sites.items() if n in groups}
    for line in _telling(connection, office, known, of):
        now = by_group[groups.get(line.member_id, "")]
        one = heard.setdefault(line.member_id, _Heard(zone=zones.get(line.member_id)))
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
    heard: _Heard, group: str, now: Mapping[str, Known], today: date
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
    connection: Connection, settings: Settings, heard: dict[int, _Heard]
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


def _hear(heard: _Heard, line: Outgoing, now: dict[str, Known], today: date) -> None:
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


# ---------------------------------------------------------------- how they are told


def _report(connection: Connection, settings: Settings, found: dict[int, _Heard]) -> MovedReport:
    members = search.members_by_number(connection, found)
    back = [number for number, heard in found.items() if heard.email_came_back]
    told = ways.of(connection, settings, list(members.values()), back)
    report = MovedReport()
    for number, heard in sorted(found.items()):
        member = members[number]
        report.overtaken += [line.file for line in heard.notices]
        if heard.packets:
            report.remade.append(member)
        site = settings.site(member.site)
        moves = sorted(
            (
                move
                for move, _ in heard.moves
                if site and (move.regrouped or move.now.group == site.group)
            ),
            key=lambda move: (move.regrouped, (move.told or move.now.told).opens),
        )
        # A new packet tells all of it.
        if not moves or heard.packets or number not in told:
            continue
        heard_by = tuple(dict.fromkeys(way for _, way in heard.moves if way))
        how = told[number]
        report.told.append(ToldOtherwise(member, tuple(moves), heard_by, how.by, how.why))
    return report


# ---------------------------------------------------------------- written


def _keep(
    connection: Connection, office: Office, report: MovedReport, found: dict[int, _Heard]
) -> None:
    settings, signature = office.settings, office.signature()
    _cancel(
        connection,
        settings,
        [line for heard in found.values() for line in heard.notices],
        signature,
    )
    _make_due(connection, settings, report.remade, signature)
    report.told = [_write(connection, office, one, signature) for one in report.told]
    _number(connection, report.told)


def _number(connection: Connection, told: Iterable[ToldOtherwise]) -> None:
    """A window that was taken out of some calendars, or put back, has a higher number from here on."""
    sent: dict[str, int] = {}
    for move in (move for one in told for move in one.moves):
        sent[move.now.uid] = max(sent.get(move.now.uid, 0), move.now.sequence)
    known_windows.save_numbers(connection, sent)


def _cancel(
    connection: Connection, settings: Settings, lines: Sequence[Outgoing], signature: Signature
) -> None:
    outgoing.step(connection, [line.id for line in lines], Event.CANCEL, signature)
    for line in lines:
        outbox.take_away(settings.outbox, line.file)


def _make_due(
    connection: Connection, settings: Settings, members: Collection[Member], signature: Signature
) -> None:
    """The packets of these members, which have not gone out, are to be made anew; their passwords work no more."""
    for member in members:
        desk.end_first_password(connection, member.id)
    ways = {member.id: member.packet_goes_by for member in members}
    outgoing.again(connection, ways, signature)
    for member in members:
        outbox.take_away(settings.outbox, outbox.email_name(member.handle.text))


def _told_now(one: ToldOtherwise, settings: Settings) -> list[ToldWindow]:
    zone = settings.zone(settings.site(one.member.site))
    return [move.now.told_in(zone) for move in one.moves]


def _write(
    connection: Connection, office: Office, one: ToldOtherwise, signature: Signature
) -> ToldOtherwise:
    if one.by is Way.CALL:
        return one
    settings, number = office.settings, one.member.id
    by_email = one.by is Way.EMAIL
    told = moved(one.member, one.moves, settings, office.now(), by_email=by_email)
    ending = ".eml" if by_email else ".pdf"
    name = outbox.notice_name(settings.outbox, number, signature.when, ending)
    content = told.message or letters.pdf([told], settings)
    outbox.write_file(settings.outbox, name, content)
    windows = _told_now(one, settings)
    outgoing.add_notice(connection, number, one.by, name, signature, told=windows)
    return ToldOtherwise(one.member, one.moves, one.heard_by, one.by, one.why, name)
