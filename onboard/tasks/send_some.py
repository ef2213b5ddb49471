"""Emails sent a few at a time, for whoever waits for a page meanwhile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from onboard.errors import Trouble
from onboard.model import Member, Outgoing
from onboard.office import Office
from onboard.roster import outgoing, search
from onboard.tasks.send_packets import Posted, send_packets


@dataclass(slots=True)
class SentSome:
    """What became of the first emails."""

    posted: list[Posted] = field(default_factory=list)
    more: bool = False  # others wait
    busy: bool = False  # the mail server asks to wait
    whose: Mapping[int, tuple[Outgoing, Member]] = field(default_factory=dict)  # by its number


class _Enough(Exception):
    """So many for now."""


def send_some(office: Office, *, really: bool, most: int) -> SentSome:
    """What became of the first emails in the outbox, at most `most`; where the mail server asks to wait, of
    those before. Nothing is sent unless `really`. Raises what `send_packets` does."""
    done = SentSome()

    def tell(posted: Posted) -> None:
        done.posted.append(posted)
        if len(done.posted) >= most:
            done.more = True
            raise _Enough

    def wait(_: float) -> None:
        done.busy = True
        raise _Enough

    try:
        send_packets(office, really=really, tell=tell, wait=wait)
    except _Enough:
        pass
    except Trouble:
        if not done.posted:
            raise
        done.busy = True  # what was sent by then is told
    with office.reading() as connection:
        lines = outgoing.lines(connection, {one.outcome.id for one in done.posted})
        members = search.members_by_number(connection, {one.member_id for one in lines.values()})
    done.whose = {number: (one, members[one.member_id]) for number, one in lines.items()}
    return done
