"""Reminders in the outbox sent, each recorded as soon as the server has answered for it."""

from __future__ import annotations

import ssl
import time
from collections.abc import Callable, Iterator
from datetime import datetime

from sqlalchemy import Connection

from onboard.errors import SendTrouble
from onboard.mail import outbox, post
from onboard.model import Event, Member, Outgoing, Way, What
from onboard.office import Act, Office
from onboard.roster import outgoing, reminded, search
from onboard.tasks import claims, due_reminders
from onboard.tasks.claims import RosterClaims
from onboard.tasks.due_reminders import Agenda
from onboard.tasks.send_packets import Posted, line_to, message_in
from onboard.tasks.take_clicks import heed_porch
from onboard.tasks.write_reminders import take_back_stale

AT_ONCE = 500  # reminders that are read at once

Add = Callable[[str, post.Outcome], None]


def send_reminders(
    office: Office,
    *,
    really: bool,
    tell: Callable[[Posted], None] = lambda posted: None,
    context: ssl.SSLContext | None = None,
    plain_on_loopback: bool = False,
    wait: Callable[[float], None] = time.sleep,
) -> list[Posted]:
    """What became of each reminder in the outbox that goes by email; `name` is the member's sign-in name.

    Nothing is sent unless `really`. What comes too late by now, or is to reach nobody, is taken back and not sent: as
    the clock says just before each one goes. If nobody can know whether a message arrived, that is saved, and it is not
    sent again. Others may send or write at the same time. Raises `SendTrouble` and `StoreTrouble`; what was sent by then
    is saved.
    """
    office.see_that_one_may(Act.TELL)
    settings = office.settings
    if really and not settings.mail.host:
        raise SendTrouble(
            f"No mail server is set in {settings.file}. Fill in host, under [mail]. Until then, reminders are postcards."
        )
    if really:
        heed_porch(office)
        take_back_stale(office)
    with office.reading() as connection:
        plan = due_reminders.agenda(connection, settings, office.now())
    posted: list[Posted] = []
    names: dict[int, tuple[str, str]] = {}  # by number: sign-in name and file

    def add(name: str, outcome: post.Outcome) -> None:
        posted.append(Posted(name, outcome))
        tell(posted[-1])

    for line in claims.lost(office, keep=really):
        if line.what is What.REMINDER:
            add(_handle(office, line), post.Unsure(line.id, claims.LOST))
    ours = RosterClaims(office, may_go=lambda *given: _may_go(plan, *given))
    try:
        for outcome in post.send(
            _mails(office, plan, names, add, really=really),
            line_to(settings.mail, context, plain_on_loopback, wait), claims=ours, dry_run=not really,
            now=office.now,
        ):  # fmt: skip
            ours.record(outcome)
            handle, file = names.pop(outcome.id)
            if isinstance(outcome, post.Sent):
                outbox.take_away(settings.outbox, file)
            add(handle, outcome)
    finally:
        ours.let_go()
    return posted


def _mails(
    office: Office, plan: Agenda, names: dict[int, tuple[str, str]], add: Add, *, really: bool
) -> Iterator[post.Mail]:
    """The reminders that go by email. One that is gone from the outbox goes nowhere, and is due again."""
    after = 0
    while True:
        with office.reading() as connection:
            lines = reminded.written(connection, after=after, most=AT_ONCE, way=Way.EMAIL)
            old = {line.id for line in due_reminders.stale(connection, _now(plan, office), lines)}
            members = search.members_by_number(connection, {line.member_id for line in lines})
        if not lines:
            return
        after = lines[-1].id
        for line in lines:
            if line.id in old or (line.not_before and line.not_before > office.now()):
                continue
            member = members[line.member_id]
            handle = member.handle.text
            message = message_in(office.settings.outbox / line.file)
            why = "" if message else "It is no longer in the outbox."
            if message and claims.goes_elsewhere(member, message):
                why = "Their email address has changed since it was made."
            if why:
                if really:
                    _take_back(office, line)
                why = f"{why} To make it anew: onboard remind --write"
                add(handle, post.NotSent(line.id, 0, why, permanent=True))
                continue
            names[line.id] = handle, line.file
            yield post.Mail(line.id, message, True, _until(plan, line, member))


def _until(plan: Agenda, line: Outgoing, member: Member) -> datetime | None:
    """Until when a reminder is worth another try."""
    for one in plan.by_site.get(member.site, ()):
        if one.kind is line.kind and line.told == (one.known.told,):
            return one.until
    return None


def _now(plan: Agenda, office: Office) -> Agenda:
    """What of the plan may go out at this moment."""
    now = office.now()
    by_site = {
        site: due
        for site, ours in plan.by_site.items()
        if (due := tuple(one for one in ours if one.is_due(now)))
    }
    return Agenda(plan.settings, by_site, plan.dead)


def _may_go(
    plan: Agenda, connection: Connection, line: Outgoing, message: bytes, office: Office
) -> bool:
    """Whether a reminder may go out as its member is, and at this moment."""
    if due_reminders.stale(connection, _now(plan, office), [line]):
        return False
    member = search.members_by_number(connection, [line.member_id])[line.member_id]
    return not claims.goes_elsewhere(member, message)


def _take_back(office: Office, line: Outgoing) -> None:
    def taken(connection: Connection) -> None:
        outgoing.step(connection, [line.id], Event.CANCEL, office.signature())

    claims.patiently(office, taken)


def _handle(office: Office, line: Outgoing) -> str:
    with office.reading() as connection:
        return search.handles_of(connection, [line.member_id])[line.member_id]
