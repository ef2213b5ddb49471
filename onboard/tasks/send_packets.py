"""Packets and notices in the outbox sent, each recorded as soon as the server has answered for it."""

from __future__ import annotations

import ssl
import time
from collections.abc import Callable, Iterator
from itertools import chain

from onboard.errors import FileTrouble, SendTrouble
from onboard.model import State
from onboard.office import Office
from onboard.roster import desk, record, search
from onboard.welcome import post
from onboard.welcome.message import mailbox


def send_packets(
    office: Office,
    *,
    really: bool,
    tell: Callable[[post.Outcome], None] = lambda outcome: None,
    context: ssl.SSLContext | None = None,
    plain_on_loopback: bool = False,
    wait: Callable[[float], None] = time.sleep,
) -> list[post.Outcome]:
    """What became of each notice and packet that was written and not yet sent, notices first.

    Nothing is sent unless `really`. Nobody who said no to mail is written to, and no packet
    whose first password has run out goes out: make it anew. A packet of which it is not sure
    that it arrived is recorded so, and not sent again. `wait` sleeps before each further try. Raises `SendTrouble` and `StoreTrouble`;
    what was sent before is recorded.
    """
    settings = office.settings
    if really and not settings.mail.host:
        raise SendTrouble(
            f"The settings {settings.file} name no mail server: fill in [mail] host, or print the letters."
        )
    outcomes: list[post.Outcome] = []
    notices = _notices(office, outcomes)
    mails = chain((mail for _, mail in notices.values()), _mails(office, outcomes))
    for outcome in post.send(
        mails,
        settings.mail,
        dry_run=not really,
        context=context,
        plain_on_loopback=plain_on_loopback,
        wait=wait,
    ):
        number = notices[outcome.handle][0] if outcome.handle in notices else 0
        _record(office, outcome, number)
        outcomes.append(outcome)
        tell(outcome)
    return outcomes


def _notices(office: Office, outcomes: list[post.Outcome]) -> dict[str, tuple[int, post.Mail]]:
    """The notices that go by mail, by file, with their numbers."""
    with office.reading() as connection:
        lines = desk.notices(connection, "written")
    found = {}
    for line in lines:
        if not line.file.endswith(".eml"):
            continue
        try:
            message = (office.settings.outbox / line.file).read_bytes()
        except OSError as error:
            why = f"It cannot be read ({error.strerror}): tell the member by another way."
            outcomes.append(post.NotSent(line.file, 0, why, permanent=True))
            continue
        found[line.file] = (line.id, post.Mail(line.file, message))
    return found


def _mails(office: Office, outcomes: list[post.Outcome]) -> Iterator[post.Mail]:
    today = office.today()
    with office.reading() as connection:
        members = search.members(connection, packet=State.WRITTEN)
    for member in members:
        handle = member.handle.text
        if not member.email or member.consent is False:
            continue
        if member.password_expires and member.password_expires < today:
            why = f"The first password has run out. Make it anew: onboard packets --again {handle}"
            outcomes.append(post.NotSent(handle, 0, why, permanent=True))
            continue
        file = office.settings.outbox / f"{handle}.eml"
        try:
            message = file.read_bytes()
        except OSError as error:
            raise FileTrouble(
                f"{file} cannot be read ({error.strerror}). Make the packet anew: "
                f"onboard packets --again {handle}"
            ) from error
        now = mailbox("", member.email)
        if now is None or post.recipient(message) != now.addr_spec:
            why = (
                "It is addressed to another address than is on file now. Make it anew: "
                f"onboard packets --again {handle}"
            )
            outcomes.append(post.NotSent(handle, 0, why, permanent=True))
            continue
        yield post.Mail(handle, message, member.consent)


def _record(office: Office, outcome: post.Outcome, notice: int = 0) -> None:
    """Keep what became of a packet, or of the notice of that number."""
    match outcome:
        case post.Sent():
            stands = State.SENT
        case post.Unsure():
            stands = State.UNSURE
        case _:
            return
    with office.transaction() as connection:
        if notice:
            desk.notice_stands(connection, notice, stands)
            return
        member = search.members_by_handle(connection, [outcome.handle])[outcome.handle]
        record.packets(connection, [member.id], stands, office.signature())
