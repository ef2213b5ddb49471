"""A doubt about where a packet goes, which a person must settle before a secret goes there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from onboard.model.member import Member


@dataclass(frozen=True, slots=True)
class EmailDoubt:
    """What leaves open where an email to this address would go."""

    address: str  # as on file
    notes: tuple[str, ...]  # what is odd about it, then what to do
    suggestions: tuple[
        str, ...
    ] = ()  # the addresses that may be meant instead, the likeliest first
    said: tuple[str, ...] = ()  # as their forms say it, where that is written otherwise
    forms: tuple[str, ...] = ()  # the keys of forms on hold, if these alone leave it open


@dataclass(frozen=True, slots=True)
class EmailQuestion:
    """A member whose packet waits, and what must be known of their email address."""

    member: Member
    doubt: EmailDoubt

    @property
    def row(self) -> str:
        """Under which an answer to it is known: whose it is, and about which address."""
        return f"{self.member.owner} {self.doubt.address}"


@dataclass(frozen=True, slots=True)
class AddressQuestion:
    """A member whose packet goes by letter and waits, and what must be known of their mailing address."""

    member: Member
    notes: tuple[
        str, ...
    ]  # why nobody can deliver a letter to the address on file, or that a later form has another
    later: tuple[str, ...] = ()  # the address of that form

    @property
    def row(self) -> str:
        """Under which an answer to it is known: whose it is, and about which address."""
        return f"{self.member.owner} letter:{' | '.join(self.member.address)}"


@dataclass(frozen=True, slots=True)
class SharedMailbox:
    """Several members who get email in one mailbox, where it is for some of them that a packet goes out now.

    Nothing waits for it: families share one. Whoever reads it can sign in as all of them.
    """

    address: str  # of the first of them
    members: tuple[Member, ...]  # by number
    new: tuple[Member, ...]  # of these, whose packets go there, but for the first who had it


PacketQuestion: TypeAlias = EmailQuestion | AddressQuestion
