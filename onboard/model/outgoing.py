"""What goes out to a member: one message by one way, from the day it is due to its end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from enum import StrEnum

from onboard.model.standing import NoSuchStep


class What(StrEnum):
    """What is told."""

    PACKET = "packet"  # how to sign in, with a first password
    NOTICE = "notice"  # that what is on file was changed
    REMINDER = "reminder"  # of an ordering window
    REPLY = "reply"  # to something that the member asked


class ReminderKind(StrEnum):
    """What a reminder says of an ordering window."""

    OPENS_SOON = "opens soon"
    OPEN_NOW = "open now"
    CLOSES_SOON = "closes soon"
    NO_ORDER = "no order"  # it closed, and the ordering page has no order of theirs


class Way(StrEnum):
    """How it reaches the member."""

    EMAIL = "email"
    LETTER = "letter"
    TEXT = "text"
    CALL = "call"


class State(StrEnum):
    """How far a message has come."""

    DUE = "due"  # to be written
    WAITING = "waiting"  # for an answer: a doubt about where it would go
    WRITTEN = "written"  # in the outbox
    CLAIMED = "claimed"  # a program is sending it at this moment
    SENT = "sent"  # the mail server took it
    UNSURE = "unsure"  # nobody can know whether the mail server took it
    REFUSED = "refused"  # the mail server said no, for good
    RETURNED = "returned"  # it was sent, and came back
    PRINTED = "printed"  # a letter that was put in the post
    TOLD = "told"  # by a person, on the phone
    VOID = "void"  # overtaken, before it was known to have gone out


class Event(StrEnum):
    """What happens to a message."""

    BAR = "bar"  # it must wait for an answer
    LIFT = "lift"  # the answer came
    WRITE = "write"
    CLAIM = "claim"
    TAKE = "take"  # the mail server took it
    PUT_OFF = "put off"  # it was certainly not taken, and may be tried again
    REFUSE = "refuse"
    LOSE = "lose"  # the connection or the program, after the message and before the answer
    RETURN = "return"  # it came back
    PRINT = "print"
    TELL = "tell"  # a person told the member on the phone
    CANCEL = "cancel"  # something newer takes its place, or it is to reach nobody


# Anything that is not here cannot happen. What comes twice, or late, changes nothing more.
NEXT: Mapping[tuple[State, Event], State] = {
    (State.DUE, Event.BAR): State.WAITING,
    (State.DUE, Event.WRITE): State.WRITTEN,
    (State.DUE, Event.TELL): State.TOLD,
    (State.DUE, Event.CANCEL): State.VOID,
    (State.WAITING, Event.BAR): State.WAITING,
    (State.WAITING, Event.LIFT): State.DUE,
    (State.WAITING, Event.CANCEL): State.VOID,
    (State.WRITTEN, Event.CLAIM): State.CLAIMED,
    (State.WRITTEN, Event.PRINT): State.PRINTED,
    (State.WRITTEN, Event.CANCEL): State.VOID,
    (State.CLAIMED, Event.TAKE): State.SENT,
    (State.CLAIMED, Event.PUT_OFF): State.WRITTEN,
    (State.CLAIMED, Event.REFUSE): State.REFUSED,
    (State.CLAIMED, Event.LOSE): State.UNSURE,
    (State.CLAIMED, Event.CANCEL): State.VOID,
    (State.SENT, Event.RETURN): State.RETURNED,
    (State.UNSURE, Event.TAKE): State.SENT,  # a person asked, and it had arrived
    (State.UNSURE, Event.RETURN): State.RETURNED,
    (State.UNSURE, Event.CANCEL): State.VOID,
    (State.REFUSED, Event.RETURN): State.REFUSED,  # a server may refuse, and report it too
    (State.REFUSED, Event.CANCEL): State.VOID,
    (State.REFUSED, Event.PRINT): State.PRINTED,  # in place of the email that came to nothing
    (State.RETURNED, Event.RETURN): State.RETURNED,
    (State.RETURNED, Event.PRINT): State.PRINTED,
    (State.RETURNED, Event.CANCEL): State.VOID,
    (State.PRINTED, Event.PRINT): State.PRINTED,
    (State.PRINTED, Event.RETURN): State.RETURNED,
    (State.TOLD, Event.TELL): State.TOLD,
    # It was overtaken while it was being sent: what the server says of it comes late.
    (State.VOID, Event.TAKE): State.VOID,
    (State.VOID, Event.PUT_OFF): State.VOID,
    (State.VOID, Event.REFUSE): State.VOID,
    (State.VOID, Event.LOSE): State.VOID,
    (State.VOID, Event.RETURN): State.VOID,
    (State.VOID, Event.CANCEL): State.VOID,
}

# Why a packet waits: for an answer about the email address that it would go to, and not for a check of
# whoever changed the contact that it would go to.
IN_DOUBT = "email address in doubt"
# The same about the mailing address of a letter.
NO_ADDRESS = "mailing address in doubt"
ASKED = frozenset({IN_DOUBT, NO_ADDRESS})

# The member cannot have it yet.
NOT_OUT = frozenset({State.DUE, State.WAITING, State.WRITTEN, State.CLAIMED})


def after(state: State, event: Event) -> State:
    """The state that follows. Raises `NoSuchStep` if the event cannot happen then.

    >>> after(State.WRITTEN, Event.CLAIM)
    <State.CLAIMED: 'claimed'>
    """
    if (state, event) not in NEXT:
        raise NoSuchStep(f"a message that is {state} has no “{event}”")
    return NEXT[state, event]


@dataclass(frozen=True, slots=True)
class ToldWindow:
    """An ordering window as a message told it; both days belong to it."""

    uid: str  # under which calendars know it
    group: str
    opens: date
    closes: date
    opens_at: time | None = None
    closes_at: time | None = None
    canceled: bool = False  # it tells that the window is no more
    # The time zone by whose clock a calendar has it (IANA); "" if nobody knows. The window is the same in another one.
    zone: str = field(default="", compare=False)


class SiteNews(StrEnum):
    """What a message tells of a drop site."""

    CLOSES = "closes"  # it will close; the member can go to another
    MOVED = "moved"  # it has another address
    OPENS = "opens"  # it is new and near, and the member is asked
    NOW = "now"  # it is the member's from now on


@dataclass(frozen=True, slots=True)
class ToldSite:
    """A drop site as a message told of it."""

    news: SiteNews
    site: str
    on: date | None = None  # the last day, or the first
    instead: str = ""  # the site that the member can go to; "" if none was found
    address: str = ""  # the new one, on one line


@dataclass(frozen=True, slots=True)
class Outgoing:
    """One message to one member by one way."""

    id: int
    member_id: int
    what: What
    way: Way
    state: State
    made: datetime  # UTC, when it became due
    at: datetime  # UTC, of its last event
    file: str = ""  # in the outbox: the email, or of a letter alone the PDF; "" until it is written
    letter: str = ""  # in the outbox: the PDF that holds it in print too
    claim: str = ""  # the program that sends it
    why: str = ""  # of its last event
    told: tuple[ToldWindow, ...] | None = None  # the ordering windows in it; None: nobody kept them
    put_off: datetime | None = None  # UTC, since when a mail server has asked for another try
    not_before: datetime | None = None  # UTC, of that try
    words: str = (
        ""  # of a packet: the version of the words that it is made with; "": nobody kept it
    )
    kind: ReminderKind | None = None  # of a reminder
    told_site: ToldSite | None = None  # what it tells of a drop site, if that is what it is about

    @property
    def is_news(self) -> bool:
        """Whether it tells of ordering windows or a drop site: it goes by email only after a yes to email."""
        return self.what is not What.PACKET and (
            self.told is not None or self.told_site is not None
        )
