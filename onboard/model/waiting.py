"""What waits for a person at the co-op, and what of it is most pressing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class Need(StrEnum):
    """What it is that waits, in the order in which a person does it when all came at once."""

    CLOSES = "window closes"  # soon, of a group
    OPENS = "window opens"
    MOVED = "moved windows"  # members were told other days
    REGROUPED = "members with other ordering days"  # they, or their drop site, are in another group
    STOPS = "requests for no more email"  # by one click, at the porch; before anything goes out
    REMIND = "reminders to make"  # due, and worth nothing once the day is over
    REMINDERS = "reminders"  # made, and not sent
    PORCH = "sign-ups at the porch"  # nobody has looked at them yet
    FORMS = "forms on hold"
    EMAIL_DOUBTS = "email addresses in doubt"  # a packet waits for the answer
    ADDRESS_DOUBTS = "mailing addresses in doubt"  # a letter that nobody could deliver
    CALLER_CHECKS = "callers to check"  # a packet waits until somebody has called back
    CALLS = "open calls"
    CAME_BACK = "email that came back"  # the address takes no mail: somebody calls or writes
    UNSURE_REMINDERS = "reminders that may not have arrived"
    UNSURE = "messages that may not have arrived"
    REFUSED = "messages that did not arrive"
    TELL_PAGE = "accounts to tell the ordering page"  # before their packets go out
    MAKE = "packets to make"
    SEND = "emails to send"
    PRINT = "letters to print"
    AUDIT = "audit"
    TO_ASK = "new members to ask"  # what their forms left in doubt; they have their accounts


_ORDER = {need: number for number, need in enumerate(Need)}
# A window that opens or closes on a later day is worth knowing, and nothing to do now.
_LATER = _ORDER[Need.AUDIT] - 0.5


@dataclass(frozen=True, slots=True)
class Waiting:
    """One thing that waits for a person, and the command that does it.

    Nobody is named but in `members`: sign-in names of the first few, where the command is about one of them.
    """

    need: Need
    count: int  # how many forms, messages, calls, accounts, members; 1 of a window and an audit
    command: str  # without "onboard" in front
    since: date | None = None  # the day at the co-op from which the oldest has waited
    when: datetime | None = (
        None  # the moment at which a window opens or closes, where its sites are
    )
    group: str = ""  # whose window it is
    members: tuple[str, ...] = ()
    rows: int = 0  # how many of the forms on hold are none, but rows of an old list
    newest: str = ""  # when the newest began to wait, as the tables write it; "" where nobody knows

    @property
    def needs_a_person(self) -> bool:
        """Whether somebody has to do something; a window comes and goes by itself, and who has an account is
        asked when they call."""
        return self.need not in (Need.OPENS, Need.CLOSES, Need.TO_ASK)


def in_order(waiting: Iterable[Waiting], today: date) -> tuple[Waiting, ...]:
    """What waits, the most pressing first.

    A window that opens or closes today stands before everything: it sets what must be done before. What nobody is
    harmed by for days comes last. Of the same kind, the one that has waited longest is first.
    """
    return tuple(sorted(waiting, key=lambda one: (_rank(one, today), *_age(one))))


def _rank(one: Waiting, today: date) -> float:
    if one.need in (Need.OPENS, Need.CLOSES) and one.when and one.when.date() > today:
        return _LATER
    return _ORDER[one.need]


def _age(one: Waiting) -> tuple[str, str, str]:
    return (
        one.when.isoformat() if one.when else "",
        one.since.isoformat() if one.since else "",
        one.group,
    )
