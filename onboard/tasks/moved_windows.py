"""Windows that moved after members were told of them, and members who are in another group since: who heard other days
than theirs, and how they hear of the new ones."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.mail import outbox
from onboard.model import Event, Member, Outgoing, Signature, ToldWindow, Way
from onboard.office import Act, Office
from onboard.roster import desk, outgoing, search
from onboard.settings import Settings
from onboard.tasks import days_heard, known_windows, ways
from onboard.tasks import meant as who
from onboard.tasks.days_heard import HEARD, Heard
from onboard.welcome import letters
from onboard.welcome.moved import Move, moved
from onboard.welcome.notice import Notice


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
        found = days_heard.by_member(connection, office, known)
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
        found = days_heard.by_member(connection, office, known)
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


def count_regrouped(connection: Connection, office: Office) -> int:
    """How many members have another group or clock than before, and have not heard its days yet; 0 where nobody knows the
    groups of before."""
    known = known_windows.follow(connection, office.settings, office.now(), keep=False)
    others = days_heard.regrouped(connection, office)
    found = days_heard.by_member(connection, office, known, of=others) if others else {}
    return len(_report(connection, office.settings, found).told)


def made_again(
    connection: Connection, office: Office, member: Member, line: Outgoing
) -> Notice | None:
    """A notice that is gone from the outbox, as it was written; None where its windows are not known any more."""
    known = known_windows.follow(connection, office.settings, office.now(), keep=False)
    site = office.settings.site(member.site)
    now = days_heard.theirs(known, site.group if site else "", office.now())
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


def _report(connection: Connection, settings: Settings, found: dict[int, Heard]) -> MovedReport:
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


def _keep(
    connection: Connection, office: Office, report: MovedReport, found: dict[int, Heard]
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
