"""Members who leave, and those who come back: their accounts closed, or opened again.

Nothing is deleted: a closed account keeps all that is known of the member, and nobody signs in with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.model import Change, Deed, Member, Owner, Standing
from onboard.model.outgoing import ASKED
from onboard.office import Act, Office
from onboard.roster import change, member_lines, outgoing, search, taking_back
from onboard.roster.change import Occasion
from onboard.tasks import changed_contact, old_letters
from onboard.tasks import meant as who

# By the standing that is asked for: what it is to get there, and what the change log calls it.
DEEDS = {
    Standing.CLOSED: (Deed.CLOSE, "closed"),
    Standing.OPEN: (Deed.REOPEN, "reopened"),
}


@dataclass(frozen=True, slots=True)
class Refused:
    """A member whose account is not closed or opened, and what stands in the way."""

    member: Member
    into: Member | None = None  # into whose account it was merged
    merge: int = 0  # the number by which that merge is taken back


@dataclass(slots=True)
class Moved:
    """Accounts that were closed, or opened again."""

    to: Standing
    members: list[Member] = field(default_factory=list)  # as they were before; row 1 is the first
    refused: list[Refused] = field(default_factory=list)
    packets: dict[int, str] = field(default_factory=dict)  # by member, how the packet stands now
    in_doubt: set[int] = field(
        default_factory=set
    )  # whose packet waits: is the email address right?
    letters: list[str] = field(
        default_factory=list
    )  # in the outbox, that hold theirs until it is done
    number: int = 0  # by which it is taken back; 0: nothing was changed


def close_members(office: Office, meant: Sequence[str], *, why: str = "", keep: bool) -> Moved:
    """What comes of closing the accounts of these members; done if `keep`, all together.

    They are told by sign-in name or number. A welcome packet that had not gone out is canceled. An
    account that is closed or merged already is left as it is, and told. Raises `SettingsTrouble`
    where the settings let others look members up, `FileTrouble` for a member who is unknown or an
    outbox that cannot be written, and `StoreTrouble`; then nothing has changed.
    """
    return _move(office, meant, Standing.CLOSED, why, keep)


def reopen_members(office: Office, meant: Sequence[str], *, why: str = "", keep: bool) -> Moved:
    """What comes of opening closed accounts again; done if `keep`, all together.

    A welcome packet that was canceled when the account was closed is due again. Told and raised as
    for `close_members`.
    """
    return _move(office, meant, Standing.OPEN, why, keep)


def _move(office: Office, meant: Sequence[str], to: Standing, why: str, keep: bool) -> Moved:
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    signature = office.signature()
    deed, what = DEEDS[to]
    moved = Moved(to)
    with office.work(keep=keep) as connection:
        for member in _meant(connection, meant):
            if member.standing.forbids(deed):
                moved.refused.append(_refused(connection, member))
            else:
                moved.members.append(member)
        lines = [
            (row, Change(one.id, "standing", str(one.standing), str(one.standing.to(to)), why))
            for row, one in enumerate(moved.members, 1)
        ]
        was = outgoing.voided(connection, [one.id for one in moved.members])
        done = (
            change.make(connection, lines, Occasion(signature, what))
            if keep
            else change.would_make(connection, lines, signature)
        )
        assert not done.left_out, "they were read in this very transaction"
        moved.number = done.number
        moved.packets = {
            c.member_id: c.after for _, c in done.made if c.field == member_lines.PACKET
        }
        moved.in_doubt = {n for n in moved.packets if n in was and was[n].why in ASKED}
        if to is Standing.OPEN and keep:
            changed_contact.settle_reopened(
                connection, office.settings, moved.packets.keys(), signature
            )
            now = outgoing.current_packets(connection, moved.packets)
            moved.packets = {number: str(state) for number, state in now.items()}
        if to is Standing.CLOSED:
            settings = office.settings
            for one in moved.members:
                after = {"standing": str(to)}
                changed_contact.follow(connection, settings, one, after, signature, keep)
            canceled = [one for one in moved.members if one.id in moved.packets]
            moved.letters = old_letters.files_with(office, canceled)
    if keep and moved.letters:
        old_letters.take_out(office, list(moved.packets))
    return moved


def _meant(connection: Connection, said: Sequence[str]) -> list[Member]:
    """The members, each once. Raises `FileTrouble` for what is nobody's, and for a join form."""
    found: dict[int, Member] = {}
    for text in said:
        if (key := Owner(text).row_key) is not None:
            raise FileTrouble(
                f"{text[:60]} is on hold, and has no account yet. If nobody is to be enrolled from "
                f"it: onboard answer {key[:8]} drop"
            )
        member = who.member(connection, text)
        found.setdefault(member.id, member)
    return list(found.values())


def _refused(connection: Connection, member: Member) -> Refused:
    if member.merged_into is None:
        return Refused(member)
    into = search.members_by_number(connection, [member.merged_into]).get(member.merged_into)
    return Refused(member, into, taking_back.newest(connection, member.id, "merged_into"))
