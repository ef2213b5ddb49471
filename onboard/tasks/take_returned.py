"""Mail that came to the co-op, taken in: whose address is wrong, who wants no more, what to read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from email.message import Message
from email.parser import BytesHeaderParser
from email.utils import parsedate_to_datetime
from hashlib import sha256
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard import returned
from onboard.clean import email
from onboard.mail import outbox
from onboard.mail.envelope import token_in
from onboard.model import (
    Change,
    Event,
    Member,
    Outgoing,
    Signature,
    Standing,
    State,
    Way,
    What,
)
from onboard.office import Act, Office
from onboard.returned import Action, Kind, Returned
from onboard.roster import came_back, change, desk, outgoing, search
from onboard.roster.change import Occasion
from onboard.tasks import changed_contact, old_letters, where_questions

# What speaks against the address itself; a full mailbox, or a filter, does not.
BAD = frozenset({
    Action.CHECK_ADDRESS, Action.CHECK_DOMAIN, Action.ASK_NEW_ADDRESS, Action.ASK_ASCII_ADDRESS,
    Action.STOP_AND_CALL,
})  # fmt: skip
REPORTS = (Kind.REPORT, Kind.PLAIN_REPORT)
SOFT = frozenset({Action.RETRY, Action.RETRY_THEN_CALL})
LATELY = timedelta(days=60)  # how long mail that did not get through yet is counted
ENOUGH = 3  # so many, and somebody calls (common practice)


@dataclass(slots=True)
class CameBack:
    """One message, and what comes of it."""

    file: str
    found: Returned
    on: date
    digest: str
    members: tuple[
        Member, ...
    ] = ()  # whom it is about; none: nobody on the roster, or nobody knows
    line: Outgoing | None = None  # the message of ours that it is about
    changes: tuple[Change, ...] = ()
    before: bool = False  # it was taken in before
    times: int = 0  # with this one, how often mail did not get through lately
    old_address: bool = False  # the member has another one now

    @property
    def needs_a_person(self) -> bool:
        """Whether somebody has to do something."""
        if self.before or self.found.action in (Action.NONE, Action.STOP_MAIL):
            return self.found.action is Action.STOP_MAIL and not (self.before or self.members)
        return self.found.action is not Action.RETRY or self.times >= ENOUGH


@dataclass(slots=True)
class ReturnedReport:
    """What a folder of mail came to."""

    mails: list[CameBack] = field(default_factory=list)
    number: int = 0  # by which the changes are taken back; 0: nothing was changed


def take_returned(
    office: Office,
    messages: Iterable[tuple[str, bytes]],
    *,
    source: str,
    keep: bool,
    remember: Callable[[Connection], None] = lambda connection: None,
) -> ReturnedReport:
    """What each message says of which member, noted if `keep`; `messages` are named, in bytes.

    A member is known by the address that reports about the message come back to, or else by the Message-ID of ours,
    or else by the address. An address that takes no mail
    for good is marked, and no packet goes there until somebody answers; whoever wants no more email
    is noted as saying no. A message that was taken in before changes nothing. `remember` keeps where they are
    from, within the same transaction. Raises `SettingsTrouble`
    where the settings let others look members up, `FileTrouble` for an outbox that cannot be written,
    and `StoreTrouble`; then nothing has changed.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.TELL)
    report = ReturnedReport([_read(office, name, raw) for name, raw in messages])
    with office.work(keep=keep) as connection:
        bind(
            connection,
            report.mails,
            _lines(connection, report.mails, office.settings.mail.bounces_to),
        )
        take(connection, office, report, source, keep=keep)
        if keep:
            remember(connection)
    return report


def take(
    connection: Connection, office: Office, report: ReturnedReport, source: str, *, keep: bool
) -> None:
    """Judge what each message says of the members whom it is bound to, and note it if `keep`."""
    _count(connection, report.mails)
    _judge(report.mails)
    if keep:
        _keep(connection, office, report, source)


def _read(office: Office, name: str, raw: bytes) -> CameBack:
    found = returned.read(raw)
    today = office.today()
    on = _day(BytesHeaderParser().parsebytes(raw[:100_000]), ZoneInfo(office.settings.timezone))
    return CameBack(name, found, min(on or today, today), sha256(raw).hexdigest())


def _day(mail: Message, zone: ZoneInfo) -> date | None:
    try:
        return parsedate_to_datetime(str(mail["Date"])).astimezone(zone).date()
    except (TypeError, ValueError, OverflowError):
        return None


def bind(connection: Connection, mails: Sequence[CameBack], ours: Mapping[int, Outgoing]) -> None:
    """Find whom each message is about, and whether it was taken in before; `ours` has, by its `id`, the message of ours that
    each is about."""
    known = came_back.known(connection, {mail.digest for mail in mails})
    sent_to = search.members_by_number(connection, {line.member_id for line in ours.values()})
    twice: set[str] = set()
    for mail in mails:
        mail.before = mail.digest in known or mail.digest in twice
        twice.add(mail.digest)
        mail.line = ours.get(id(mail))
        addresses = _addresses(mail.found)
        if mail.line is not None:
            member = sent_to[mail.line.member_id]
            mail.members = (member,)
            # Who answers from another address is still the member: a no is a no.
            is_report = mail.found.kind in REPORTS
            reached = (*addresses, *mail.found.sent_to)  # it may have been forwarded
            mail.old_address = (
                is_report and bool(addresses) and not _is_one_of(member.email, reached)
            )
        else:
            people = [
                one for text in addresses for one in desk.members_with_email(connection, text)
            ]
            mail.members = tuple({one.id: one for one in people}.values())
        mail.members = tuple(m for m in mail.members if m.standing is not Standing.MERGED)


def _lines(connection: Connection, mails: Sequence[CameBack], pattern: str) -> dict[int, Outgoing]:
    """The message of ours that each is about, by its `id`: as the address says that it came to, or else as the
    Message-ID in it does. The address can't be guessed; a Message-ID is seen by whoever reads the message."""
    tokens = {
        id(mail): token
        for mail in mails
        for path in mail.found.paths
        if (token := token_in(pattern, path))
    }
    by_token = outgoing.by_token(connection, set(tokens.values()))
    by_id = outgoing.by_message_id(connection, {m.found.about for m in mails if m.found.about})
    found = {id(mail): by_id.get(mail.found.about) for mail in mails}
    found |= {key: by_token[token] for key, token in tokens.items() if token in by_token}
    return {key: line for key, line in found.items() if line is not None}


def _addresses(found: Returned) -> tuple[str, ...]:
    """The addresses that a message speaks of: those of a report, or of whoever wrote it."""
    if found.kind in REPORTS:
        return found.permanent + found.temporary
    if found.kind is Kind.COMPLAINT:
        return found.readers
    return (found.sender,) if found.sender else ()


def _is_one_of(address: str, others: Sequence[str]) -> bool:
    mine = email.clean(address).value
    theirs = {value.identity for text in others if (value := email.clean(text).value)}
    return mine is not None and mine.identity in theirs


def _count(connection: Connection, mails: Sequence[CameBack]) -> None:
    """How often mail has not got through to each member lately, these messages among it."""
    soft = [mail for mail in mails if mail.found.action in SOFT and not mail.before]
    if not soft:
        return
    numbers = {member.id for mail in soft for member in mail.members}
    since = min(mail.on for mail in soft) - LATELY
    so_far = came_back.times(connection, numbers, SOFT, since)
    for mail in soft:
        for member in mail.members:
            so_far[member.id] = so_far.get(member.id, 0) + 1
            mail.times = max(mail.times, so_far[member.id])


def _judge(mails: Sequence[CameBack]) -> None:
    """The changes that each message asks for; what an earlier one asked for is not asked again."""
    asked: dict[tuple[int, str], object] = {}
    for mail in mails:
        if mail.before or mail.old_address:
            continue
        changes: list[Change] = []
        for member in mail.members:
            if (wanted := _wanted(mail, member)) is None:
                continue
            field, now, after = wanted
            now = asked.get((member.id, field), now)
            if now != after:
                asked[member.id, field] = after
                changes.append(Change(member.id, field, now, after, _why(mail)))
        mail.changes = tuple(changes)


def _wanted(mail: CameBack, member: Member) -> tuple[str, object, object] | None:
    """The column that a message would change, its value now and then; None if it changes none."""
    if mail.found.action is Action.STOP_MAIL:
        return "consent", member.consent, False
    failed = mail.found.permanent
    if failed and mail.line is not None:
        failed += mail.found.sent_to  # an address that forwards to one that fails fails too
    if mail.found.action not in BAD or not _is_one_of(member.email, failed):
        return None
    now = member.bounced.isoformat() if member.bounced else None
    return "bounced", now, max(now or "", mail.on.isoformat())


def _why(mail: CameBack) -> str:
    told = f" ({mail.found.status})" if mail.found.status else ""
    return f"{mail.found.kind}{told} of {mail.on}"


def _keep(connection: Connection, office: Office, report: ReturnedReport, source: str) -> None:
    signature = office.signature()
    new = [mail for mail in report.mails if not mail.before]
    members = {member.id: member for mail in new for member in mail.members}
    lines = [(n, one) for n, mail in enumerate(new, 1) for one in mail.changes]
    done = change.make(connection, lines, Occasion(signature, "mail that came back", source))
    assert not done.left_out, "they were read in this very transaction"
    report.number = done.number
    for _, one in done.made:
        if one.field == "consent":
            changed_contact.follow(
                connection,
                office.settings,
                members[one.member_id],
                {"consent": False},
                signature,
                True,
            )
    dead = [members[one.member_id] for _, one in done.made if one.field == "bounced"]
    _call_off(connection, office, dead, signature)
    for mail in new:
        if mail.line is not None and (mail.found.permanent or mail.found.action in BAD):
            why = mail.found.said or _why(mail)
            outgoing.step(connection, [mail.line.id], Event.RETURN, signature, why=why)
    came_back.add(connection, [
        {"digest": mail.digest, "member_id": member.id, "day": mail.on.isoformat(),
         "kind": mail.found.kind, "action": mail.found.action, "status": mail.found.status}
        for mail in new for member in mail.members
    ])  # fmt: skip


def _call_off(
    connection: Connection, office: Office, dead: Sequence[Member], signature: Signature
) -> None:
    """Packets in the outbox to addresses that take no mail go nowhere, not by hand either: their temporary
    passwords end. They are made anew once somebody knows where to, as are those that were still to be made."""
    if not (numbers := [member.id for member in dead]):
        return
    written = outgoing.by_state(connection, What.PACKET, State.WRITTEN, of=numbers)
    called_off = [line.member_id for line in written if line.way is Way.EMAIL]
    outgoing.again(connection, dict.fromkeys(called_off, Way.EMAIL), signature)
    due = outgoing.by_state(connection, What.PACKET, State.DUE, of=numbers)
    where_questions.bar(connection, due, signature)
    for member in dead:
        if member.id in called_off:
            desk.end_first_password(connection, member.id)
            outbox.take_away(office.settings.outbox, outbox.email_name(member.handle.text))
    old_letters.take_out_of(connection, office, called_off)
