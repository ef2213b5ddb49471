"""What the desk knows of a member who can't sign in, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from zoneinfo import ZoneInfo

from onboard.model import Handle, PersonName, Standing, State
from onboard.settings import Group

# How a packet stands that the member can't have got, and the cause that it is.
UNWRITTEN = {State.DUE: "packet.due", State.WAITING: "packet.barred"}
# How one stands that may not have reached them, and the cause that it is.
UNSENT = {
    State.WRITTEN: "packet.written", State.CLAIMED: "packet.written", State.UNSURE: "packet.unsure",
    State.REFUSED: "packet.returned", State.RETURNED: "packet.returned",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PasswordState:
    """What is known of a first password; never the password."""

    expires: date  # the last day on which it works
    used: bool = False  # the member signed in with it, and chose another
    replaced: bool = False  # a newer packet has a newer one; the older packet's is dead


class At(StrEnum):
    """How the drop site of a member stands."""

    OPEN = "open"
    NONE = "none"  # they have none
    CLOSED = "closed"  # for good
    UNKNOWN = "unknown"  # the settings do not have it


@dataclass(frozen=True, slots=True)
class Account:
    """All that the desk knows of one member's way in."""

    handle: Handle | None  # None: nobody has given one yet
    names: tuple[PersonName, ...] = ()  # every name ever known, the present one first
    emails: tuple[str, ...] = ()  # every address ever known
    standing: Standing = Standing.OPEN
    packet: State | None = None  # how the newest stands; None: none was ever due
    password: PasswordState | None = None  # None: no first password was made here
    group: Group | None = None  # whose windows the member's site follows
    zone: ZoneInfo | None = None  # of that site
    site: str = ""  # what it is called
    at: At = At.OPEN  # how it stands
    former_handles: tuple[str, ...] = ()  # they had, under another name or in a merged account
    in_doubt: bool = False  # the packet waits, because where it would go may be wrong
    set_by_member: bool = False  # the co-op's rule: members set their password on the ordering page


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause why the sign-in failed, in words for the desk.

    `confidence` is this cause's part in the failure: of two certain causes each has about a half,
    and all of one answer come to 1 at most. What is asked and done is the desk's; the words for
    the member are made by `script`.
    """

    code: str  # stable, "where.what": docs/sign-in.md has a line for each
    confidence: float
    seen: str
    ask: str
    do: str
    when: date | None = None  # the day that matters: when a window opens, a password ran out
