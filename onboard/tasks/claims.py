"""A message is claimed, then sent, then recorded: three transactions, and none is open while the
network is. So two programs cannot send one message, and a crash at any moment sends none twice.
"""

from __future__ import annotations

import os
import socket
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TypeVar

from sqlalchemy import Connection

from onboard import passwords, unfinished
from onboard.errors import StoreBusy
from onboard.mail import post
from onboard.mail.envelope import message_id, recipient, return_path
from onboard.mail.tries import next_try
from onboard.model import Deed, Event, Member, Outgoing, Owner, Signature, State, Way, What
from onboard.office import Office
from onboard.roster import journal, outgoing, search
from onboard.roster.journal import Entry, stamp
from onboard.tasks import email_doubts
from onboard.welcome.message import mailbox

# A claim of a program elsewhere, of which nobody can see whether it still runs: longer than the
# connection to a server that answers may take for one message.
LONGEST = timedelta(minutes=30)

TRIES = 60  # of some ten seconds each: longer than any batch keeps others from writing

LOST = (
    "The program that sent it stopped before it could save the server's answer. It may have arrived. Ask "
    "the member before you send it again."
)
TOO_LATE = "Something changed while it went out. A temporary password in it does not work."


@dataclass(slots=True)
class RosterClaims(post.Claims):
    """The claims that the roster holds."""

    office: Office
    at_once: bool = False  # whether what a server put off is sent before the time for it
    # Whether a message may go out as its member is at this moment.
    may_go: Callable[[Connection, Outgoing, bytes, Office], bool] = field(
        default_factory=lambda: _may_go
    )
    held: Outgoing | None = None  # what is being sent at this moment
    path: str = ""  # the address that reports about it come back to
    handed: bool = False  # whether the server may have it
    ending: tuple[Event, str] | None = None  # what became of it, until that is kept

    def claim(self, mail: post.Mail) -> bool:
        """Whether the message is ours to send, which the roster holds from here on. Raises `StoreTrouble`."""
        self.held, self.handed, self.ending = None, False, None
        pattern = self.office.settings.mail.bounces_to
        token = passwords.address_token() if pattern else ""
        self.path = return_path(pattern, token)

        def claimed(connection: Connection) -> Outgoing | None:
            line = outgoing.line(connection, mail.id)
            if line is None or not self.may_go(connection, line, mail.message, self.office):
                return None
            signature = self.office.signature()
            if line.not_before and line.not_before > signature.when and not self.at_once:
                return None
            moved = outgoing.step(
                connection, [line.id], Event.CLAIM, signature,
                claim=ours(), message_id=message_id(mail.message), token=token,
            )  # fmt: skip
            return line if moved else None

        self.held = patiently(self.office, claimed)
        return self.held is not None

    def return_path(self, mail: post.Mail) -> str:
        """Another one for each email, if the settings say how; then a report tells which email it is about."""
        return self.path

    def holds(self, mail: post.Mail) -> bool:
        """Whether it still is; if not, it was overtaken. Raises `StoreTrouble`."""
        with self.office.reading() as connection:
            line = outgoing.line(connection, mail.id)
        self.handed = line is not None and line.state is State.CLAIMED and line.claim == ours()
        if not self.handed:
            self.held = None
        return self.handed

    def put_off(self, mail: post.Mail) -> None:
        """It waits in the outbox again, for another try soon. Raises `StoreTrouble`."""
        if self.held:
            self._end(Event.PUT_OFF, put_off=stamp(self.held.put_off or self.office.now()))

    def record(self, outcome: post.Outcome) -> None:
        """Keep what became of the message that is held. Raises `StoreTrouble`."""
        match outcome:
            case post.Sent():
                self._end(Event.TAKE)
            case post.Unsure():
                self._end(Event.LOSE, outcome.why)
            case post.NotSent() if outcome.permanent and (outcome.code or outcome.too_late):
                self._end(Event.REFUSE, outcome.why)
            case post.NotSent() if outcome.permanent:
                self._end(Event.PUT_OFF, outcome.why)
            case post.NotSent() if self.held:
                now = self.office.now()
                since = self.held.put_off or now
                self._end(
                    Event.PUT_OFF, outcome.why,
                    put_off=stamp(since), not_before=stamp(next_try(since, now)),
                )  # fmt: skip

    def let_go(self) -> None:
        """The sending was broken off: what the server cannot have waits, what it may have is asked, and
        what it answered for is kept."""
        default = (Event.LOSE, LOST) if self.handed else (Event.PUT_OFF, "")
        self._end(*(self.ending or default))

    def _end(self, event: Event, why: str = "", **values: str) -> None:
        line = self.held
        if line is None:
            return
        self.ending = (event, why)  # also if this is broken off

        def ended(connection: Connection) -> None:
            signature = self.office.signature()
            moved = outgoing.step(
                connection, [line.id], event, signature, held_by=ours(), why=why, **values
            )
            if moved or event not in (Event.TAKE, Event.LOSE):
                return
            now = outgoing.line(connection, line.id)
            if now is None or now.state is State.VOID:
                what = f"{line.what} {'sent' if event is Event.TAKE else 'unsure'} too late"
                entry = Entry(what, Owner.of_member(line.member_id), TOO_LATE)
                journal.write(connection, [entry], signature)

        patiently(self.office, ended)
        self.held = None


T = TypeVar("T")


def patiently(office: Office, work: Callable[[Connection], T]) -> T:
    """What the work gives, within one transaction; begun again while somebody else writes to the roster,
    as a large batch may for minutes. Raises `StoreTrouble`."""
    for _ in range(TRIES - 1):
        try:
            with office.transaction() as connection:
                return work(connection)
        except StoreBusy:
            time.sleep(0.1)  # each try has waited for its turn already
    with office.transaction() as connection:
        return work(connection)


def has_run_out(member: Member, office: Office) -> bool:
    """Whether the member's first password works no more; one that members set themselves never ends."""
    if member.password_expires is None:
        return not office.settings.password.set_by_member
    return member.password_expires < office.today()


def goes_elsewhere(member: Member, message: bytes) -> bool:
    """Whether a message is addressed to another address than is on file now."""
    now = mailbox("", member.email)
    return now is None or recipient(message) != now.addr_spec


def _may_go(connection: Connection, line: Outgoing, message: bytes, office: Office) -> bool:
    """Whether the message may go out as its member is at this moment."""
    member = search.members_by_number(connection, [line.member_id])[line.member_id]
    if line.is_news:
        return bool(member.consent) and not goes_elsewhere(member, message)
    if line.what is not What.PACKET:
        return member.consent is not False
    if member.standing.forbids(Deed.PACKET) or member.packet_goes_by is not Way.EMAIL:
        return False
    if line.way is not Way.EMAIL or email_doubts.of(connection, [member]):
        return False
    return not has_run_out(member, office) and not goes_elsewhere(member, message)


def lost(office: Office, *, keep: bool) -> list[Outgoing]:
    """What a program was sending that is gone; nobody knows whether it went out. With `keep` it is
    not sure from here on, and is never sent again by itself."""
    with office.reading() as connection:
        stale = [
            line
            for what in What
            for line in outgoing.by_state(connection, what, State.CLAIMED)
            if _is_stale(line, office.now())
        ]
    if not keep or not stale:
        return stale

    def lose(connection: Connection) -> list[Outgoing]:
        return [line for line in stale if _lose(connection, line, office.signature())]

    return patiently(office, lose)


def _lose(connection: Connection, line: Outgoing, signature: Signature) -> bool:
    moved = outgoing.step(
        connection, [line.id], Event.LOSE, signature, held_by=line.claim, why=LOST
    )
    return bool(moved)


def ours() -> str:
    """This program, as a claim names it: host and process."""
    return f"{socket.gethostname()}:{os.getpid()}"


def _is_stale(line: Outgoing, now: datetime) -> bool:
    host, _, process = line.claim.rpartition(":")
    if now - line.at > LONGEST:
        return True
    return (
        host == socket.gethostname() and process.isdecimal() and not unfinished.runs(int(process))
    )
