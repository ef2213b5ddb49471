"""Packets in the outbox sent by mail, each recorded as soon as the server has answered for it."""

from __future__ import annotations

import ssl
from collections.abc import Callable, Iterator
from datetime import date

from sqlalchemy import Engine

from onboard.errors import FileTrouble, SendTrouble
from onboard.model import Signature
from onboard.roster import record, search, store
from onboard.settings import Settings
from onboard.welcome import post


def send_packets(
    engine: Engine,
    settings: Settings,
    *,
    signature: Signature,
    today: date,
    really: bool,
    tell: Callable[[post.Outcome], None] = lambda outcome: None,
    context: ssl.SSLContext | None = None,
    plain_on_loopback: bool = False,
) -> list[post.Outcome]:
    """What became of each packet that was written and not yet sent.

    Nothing is sent unless `really`. Nobody who said no to mail is written to, and no packet
    whose first password has run out goes out: make it anew. A packet of which it is not sure
    that it arrived is recorded so, and not sent again. Raises `SendTrouble` and `StoreTrouble`;
    what was sent before is recorded.
    """
    if really and not settings.mail.host:
        raise SendTrouble(
            f"The settings {settings.file} name no mail server: fill in [mail] host, or print the letters."
        )
    outcomes: list[post.Outcome] = []
    mails = _mails(engine, settings, today, outcomes)
    for outcome in post.send(
        mails,
        settings.mail,
        dry_run=not really,
        context=context,
        plain_on_loopback=plain_on_loopback,
    ):
        _record(engine, outcome, signature)
        outcomes.append(outcome)
        tell(outcome)
    return outcomes


def _mails(
    engine: Engine, settings: Settings, today: date, outcomes: list[post.Outcome]
) -> Iterator[post.Mail]:
    with store.transaction(engine, keep=False) as connection:
        lines = search.member_lines(connection, packet="written")
    for line in lines:
        member = search.member_of(line)
        handle = member.handle.text
        if not member.email or member.consent is False:
            continue
        if line.password_expires < today.isoformat():
            why = f"The first password has run out. Make it anew: onboard packets --again {handle}"
            outcomes.append(post.NotSent(handle, 0, why, permanent=True))
            continue
        file = settings.outbox / f"{handle}.eml"
        try:
            message = file.read_bytes()
        except OSError as error:
            raise FileTrouble(
                f"{file} cannot be read ({error.strerror}). Make the packet anew: "
                f"onboard packets --again {handle}"
            ) from error
        yield post.Mail(handle, message, member.consent)


def _record(engine: Engine, outcome: post.Outcome, signature: Signature) -> None:
    match outcome:
        case post.Sent():
            stands = "sent"
        case post.Unsure():
            stands = "unsure"
        case _:
            return
    with store.transaction(engine) as connection:
        member = search.members_by_handle(connection, [outcome.handle])[outcome.handle]
        record.packets(connection, [member.id], stands, signature)
