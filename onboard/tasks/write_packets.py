"""Packets that are due: a first password for each member, then the packet that tells it.

A first password exists in the clear only here, between the moment it is made and the moment its
packet is on disk. A packet that was never written has no password to repeat, so it is issued
anew: one way for the first time and for the time after a crash.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from sqlalchemy import Connection, Engine

from onboard import handles, passwords, welcome
from onboard.errors import FileTrouble
from onboard.model import FirstPassword, Member, Signature
from onboard.roster import record, search, store
from onboard.roster.record import Issued
from onboard.settings import Settings
from onboard.welcome import Packet, letters, outbox

AT_ONCE = 100  # packets a transaction: what a crash throws away, and the letters of one PDF


@dataclass(slots=True)
class PacketsReport:
    """What was written, and where."""

    folder: Path
    written: list[str] = field(default_factory=list)  # handles
    by_letter_only: list[str] = field(default_factory=list)  # handles: no email, or said no to it
    letters: list[Path] = field(default_factory=list)


def write_packets(
    engine: Engine,
    settings: Settings,
    *,
    signature: Signature,
    today: date,
    again: Collection[str] = (),
    progress: Callable[[int], None] = lambda done: None,
) -> PacketsReport:
    """Write every packet that is due into the outbox.

    `again` are handles whose packets are to be made anew, with another first password; the old
    one is dead from then on. Raises `StoreTrouble` and `FileTrouble`; what was written up to
    then stays written and recorded.
    """
    report = PacketsReport(settings.outbox)
    with store.transaction(engine) as connection:
        if again:
            record.packets(connection, _numbers(connection, again), "due", signature)
        # Letters that no packet was recorded in are left from a crash: their passwords are dead.
        outbox.sweep(settings.outbox, keep=search.letters(connection))
    with ThreadPoolExecutor(max_workers=1) as beside:
        while True:
            # One transaction holds the hashes and the note that the packets are written: if it
            # is not kept, neither is, and the packets are made again under the same names.
            with store.transaction(engine) as connection:
                members = search.members(connection, packet="due", most=AT_ONCE)
                if not members:
                    return report
                firsts = [passwords.make(settings.password, today) for _ in members]
                # Hashing and typesetting let other threads run: each core has its share.
                hashing = beside.submit(passwords.hash_all, firsts)
                packets = [
                    _packet(member, first, settings, today)
                    for member, first in zip(members, firsts, strict=True)
                ]
                outbox.write(settings.outbox, packets)
                name = f"letters-{members[0].id}-{members[-1].id}.pdf"
                pdf = letters.pdf(packets, settings)
                report.letters.append(outbox.write_letters(settings.outbox, name, pdf))
                issued = [
                    Issued(member.id, hashed, first.expires)
                    for member, first, hashed in zip(members, firsts, hashing.result(), strict=True)
                ]
                record.issued(connection, issued, name, signature)
                record.packets(connection, [m.id for m in members], "written", signature)
            report.written += [member.handle.text for member in members]
            report.by_letter_only += [p.member.handle.text for p in packets if not p.message]
            progress(len(members))


def _packet(member: Member, first: FirstPassword, settings: Settings, today: date) -> Packet:
    steps = handles.tell(member.handle, welcome.language_of(member, settings))
    return welcome.packet(member, first, settings, today, steps)


def _numbers(connection: Connection, wanted: Collection[str]) -> list[int]:
    found = search.members_by_handle(connection, wanted)
    if unknown := [handle for handle in wanted if handle not in found]:
        raise FileTrouble(
            f"No member has the handle {', '.join(unknown)}: look at the spelling. "
            "Nothing was written."
        )
    return [member.id for member in found.values()]
