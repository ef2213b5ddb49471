"""Packets and notices in the outbox sent, each recorded as soon as the server has answered for it."""

from __future__ import annotations

import ssl
import time
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from shlex import quote

from onboard.errors import SendTrouble
from onboard.mail import post, tries
from onboard.mail.line import Line
from onboard.model import Deed, EmailDoubt, Member, Outgoing, State, Way, What
from onboard.office import Act, Office
from onboard.reports.dates import moment
from onboard.reports.sentences import CHANGES
from onboard.roster import outgoing, search
from onboard.settings import MailServer
from onboard.tasks import claims, email_doubts, known_windows, notices, site_notices
from onboard.tasks import meant as who
from onboard.tasks.claims import RosterClaims
from onboard.tasks.days_heard import tells_old_days
from onboard.windows import Known


@dataclass(frozen=True, slots=True)
class Posted:
    """What became of one message."""

    name: str  # the handle of the member whose packet it is; of a notice, its file
    outcome: post.Outcome


def send_packets(
    office: Office,
    *,
    really: bool,
    only: Collection[str] = (),
    tell: Callable[[Posted], None] = lambda posted: None,
    context: ssl.SSLContext | None = None,
    plain_on_loopback: bool = False,
    wait: Callable[[float], None] = time.sleep,
) -> list[Posted]:
    """What became of each notice and packet that was written and not yet sent, notices first.

    Nothing is sent unless `really`. With `only`, those to the members with these sign-in names; raises
    `FileTrouble` if nobody has such a name. Members who opted out of email get none. No packet goes out whose
    temporary password has run out, or whose email address is in doubt, and none that a mail server put off before
    it is time for the next try, unless it is named by `only`; after five days it is refused. If nobody can know whether a
    message arrived, that is saved, and it is not sent again; so it is if the program that was sending
    it ended. One message that cannot go stops no other. Others may send, write or change at the same
    time. `wait` sleeps before each further try. Raises `SendTrouble` and `StoreTrouble`; what was sent
    by then is saved.
    """
    office.see_that_one_may(Act.TELL)
    settings = office.settings
    if really and not settings.mail.host:
        raise SendTrouble(
            f"No mail server is set in {settings.file}. Fill in host, under [mail], or print the letters."
        )
    with office.reading() as connection:
        numbers = [member.id for member in who.by_handle(connection, only).values()]
    posted: list[Posted] = []
    names: dict[int, str] = {}  # of messages, by number

    def add(name: str, outcome: post.Outcome) -> None:
        posted.append(Posted(name, outcome))
        tell(posted[-1])

    for line in claims.lost(office, keep=really):
        add(_name(office, line), post.Unsure(line.id, claims.LOST))
    ours = RosterClaims(office, at_once=bool(only))
    mails = chain(_notices(office, names, add, numbers), _packets(office, names, add, numbers))
    try:
        for outcome in post.send(
            mails, line_to(settings.mail, context, plain_on_loopback, wait), claims=ours,
            dry_run=not really, now=office.now,
        ):  # fmt: skip
            ours.record(outcome)
            add(names[outcome.id], outcome)
    finally:
        ours.let_go()
    return posted


def line_to(
    server: MailServer,
    context: ssl.SSLContext | None,
    plain_on_loopback: bool,
    wait: Callable[[float], None],
) -> Line:
    """The way to the mail server that the settings name."""
    line = Line(server, plain_on_loopback=plain_on_loopback, wait=wait)
    return replace(line, context=context) if context else line


Add = Callable[[str, post.Outcome], None]
ANEW = "To make it anew: onboard windows --record"


def _anew(line: Outgoing) -> str:
    return site_notices.ANEW if line.told_site else ANEW


def _known(office: Office) -> tuple[Known, ...]:
    """The ordering windows as the settings have them now."""
    with office.reading() as connection:
        return known_windows.follow(connection, office.settings, office.now(), keep=False)


def _notices(
    office: Office, names: dict[int, str], add: Add, of: Collection[int]
) -> Iterator[post.Mail]:
    """The notices that go by mail. One that is gone from the outbox is made again."""
    known = _known(office)
    for line, member in _written(office, What.NOTICE, of):
        why = ""
        if member.consent is False:
            why = "The member opted out of email since it was written. Tell them another way."
        elif line.is_news and member.standing.forbids(Deed.PACKET):
            why = "The account was closed or merged since it was written. Nobody needs it now."
        elif line.is_news and not (member.consent and member.email):
            why = f"The member gets no email now. {_anew(line)}"
        elif stale := site_notices.overtaken(line, member, office.settings):
            why = stale
        elif tells_old_days(line, member, known, office):
            why = f"The ordering days in it have changed again. {_anew(line)}"
        else:
            message = message_in(office.settings.outbox / line.file)
            if not message or (line.is_news and claims.goes_elsewhere(member, message)):
                message = _again(office, member, line)  # to the address on file now
            if not message:
                why = "It is no longer in the outbox, and can't be made again. Tell the member another way."
        if why:
            add(line.file, post.NotSent(line.id, 0, why, permanent=True))
            continue
        if (later := _later(office, line, of)) is not None:
            add(line.file, later)
            continue
        names[line.id] = line.file
        yield _mail(line, message, member)


def _again(office: Office, member: Member, line: Outgoing) -> bytes:
    """A notice made again; b"" where that can't be."""
    with office.reading() as connection:
        made = notices.made_again(connection, office, member, line)
    return made.message if made else b""


def _packets(
    office: Office, names: dict[int, str], add: Add, of: Collection[int]
) -> Iterator[post.Mail]:
    """The packets that go by mail."""
    written = [
        (line, member)
        for line, member in _written(office, What.PACKET, of)
        if member.packet_goes_by is Way.EMAIL
    ]
    with office.reading() as connection:
        doubted = email_doubts.of(connection, [member for _, member in written])
    known = _known(office)
    for line, member in written:
        handle = member.handle.text
        message = message_in(office.settings.outbox / line.file)
        why = _why_not(office, member, doubted.get(member.id), message)
        if not why and tells_old_days(line, member, known, office):
            why = f"The ordering days in it have changed since it was made. {ANEW}"
        if why:
            add(handle, post.NotSent(line.id, 0, why, permanent=True))
            continue
        if (later := _later(office, line, of)) is not None:
            add(handle, later)
            continue
        names[line.id] = handle
        yield _mail(line, message, member)


def _mail(line: Outgoing, message: bytes, member: Member) -> post.Mail:
    until = line.put_off + tries.END if line.put_off else None
    return post.Mail(line.id, message, member.consent, until)


def _later(office: Office, line: Outgoing, of: Collection[int]) -> post.Later | None:
    """That it is not time yet for the next try of what a server put off; None if it is, or somebody asks for it."""
    if of or line.not_before is None or line.not_before <= office.now():
        return None
    at = moment(line.not_before, office.settings.zone())
    why = f"The mail server asked us to try again later ({line.why}). The next try is after {at}."
    return post.Later(line.id, line.not_before, why)


def _why_not(office: Office, member: Member, doubt: EmailDoubt | None, message: bytes) -> str:
    """Why a packet that is in the outbox may not go out, and what to do; "" if it may."""
    handle = member.handle.text
    again = f"To make a new packet: onboard packets --again {quote(handle)}"
    if claims.has_run_out(member, office):
        return f"The temporary password has run out. {again}"
    if message and claims.goes_elsewhere(member, message):
        return f"It is addressed to another email address than is on file now. {again}"
    if doubt:
        return f"{doubt.address}: {' '.join(doubt.notes)} To answer: onboard answer {quote(handle)}"
    if not message:
        return (
            "The email is no longer in the outbox. If you mailed the letter, type: "
            f"onboard answer {quote(handle)} letter. If the member got nothing: "
            f"onboard packets --again {quote(handle)}. That makes a new temporary password, as nobody can read "
            f"the old one any more. Then tell the ordering page, before you send: onboard {CHANGES}"
        )
    return ""


def _written(office: Office, what: What, of: Collection[int]) -> list[tuple[Outgoing, Member]]:
    """What waits in the outbox to go by mail, each with the line of its member."""
    with office.reading() as connection:
        lines = outgoing.by_state(connection, what, State.WRITTEN, of=of)
        members = search.members_by_number(connection, {line.member_id for line in lines})
    return [(line, members[line.member_id]) for line in lines if line.way is Way.EMAIL]


def message_in(file: Path) -> bytes:
    """The email in a file of the outbox; b"" if it is not there any more, or cannot be read."""
    try:
        return file.read_bytes()
    except OSError:
        return b""


def _name(office: Office, line: Outgoing) -> str:
    if line.what is not What.PACKET:
        return line.file
    with office.reading() as connection:
        return search.members_by_number(connection, [line.member_id])[line.member_id].handle.text
