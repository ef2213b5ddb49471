"""A member as the roster holds them, and what is changed of one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from onboard.model.decision import Handle
from onboard.model.outgoing import State, Way
from onboard.model.owner import Owner
from onboard.model.person import PersonName
from onboard.model.standing import Standing


@dataclass(frozen=True, slots=True)
class Signature:
    """Who made a change, and when (UTC)."""

    who: str
    when: datetime


@dataclass(frozen=True, slots=True)
class Member:
    """Everything that the roster holds of a member. A day that is None is not known."""

    id: int
    handle: Handle
    name: PersonName
    email: str  # "" if none
    phone: str  # RFC 3966 form, or ""
    address: tuple[str, ...]  # lines
    site: str
    language: str
    # May we write by email? None: nobody asked. A form that asks, and is not answered yes, makes it False.
    consent: bool | None
    joined: datetime | None  # UTC
    standing: Standing = Standing.OPEN
    extras: Mapping[str, str] = field(default_factory=dict)  # answers to the co-op's questions
    born: date | None = None
    notes: str = ""  # what the co-op wrote down about them
    password_hash: str = field(default="", repr=False)  # of a first password of ours; "" if none
    password_expires: date | None = None
    must_change: bool = False
    page_seen: date | None = None  # of the newest list of the ordering page that has the member
    last_sign_in: date | None = None  # as that list says; None with `page_seen`: never
    last_order: date | None = None
    bounced: date | None = None  # when mail to the address on file last came back for good
    confirmed: date | None = None  # when the member last said that all is right
    closed: date | None = None  # when the account was closed or merged
    merged_into: int | None = None  # number of the member whose account stays
    packet: State | None = None  # how their newest packet stands; None: none was ever due

    @property
    def owner(self) -> Owner:
        """Whose what is kept of them is."""
        return Owner.of_member(self.id)

    @property
    def packet_goes_by(self) -> Way:
        """The way by which a packet reaches them: whoever said no to email, or was asked and did not say
        yes, gets a letter. Whom nobody asked gets an email: the account needs it."""
        return Way.EMAIL if self.email and self.consent is not False else Way.LETTER


@dataclass(frozen=True, slots=True)
class Change:
    """One field of one member, before and after. The values are as JSON has them."""

    member_id: int
    field: str  # a column of the member table
    before: Any
    after: Any
    why: str = ""

    @property
    def says_something(self) -> bool:
        """Whether it is worth a line."""
        return bool(self.before != self.after)


class Asked(Change):
    """What a member said when they were asked, which is worth a line also where the value stays."""

    __slots__ = ()

    @property
    def says_something(self) -> bool:
        """Always."""
        return True


@dataclass(frozen=True, slots=True)
class Proposal:
    """A change for a person to approve, and whose it is."""

    change: Change
    handle: str = ""
    name: str = ""  # as people write it
    code: str = ""  # of the finding that it would settle


@dataclass(frozen=True, slots=True)
class News:
    """What a form says that comes from a member, and is not on file."""

    member: Member
    recorded: tuple[Change, ...] = ()  # counts already: a no to email
    proposed: tuple[Change, ...] = ()  # for a person to approve
    remark: str = (
        ""  # what a person must know before they do anything: that the member may have died
    )

    def __bool__(self) -> bool:
        return bool(self.recorded or self.proposed or self.remark)


@dataclass(frozen=True, slots=True)
class FirstPassword:
    """A first password in the clear. Its repr does not show it; only a packet may."""

    phrase: str = field(repr=False)
    expires: date  # the last day on which it works

    def __str__(self) -> str:
        return "FirstPassword(hidden)"
