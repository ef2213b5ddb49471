"""Packets that are due: a first password for each member, then the packet that tells it.

A first password exists in the clear only here, between the moment it is made and the moment its
packet is on disk. A packet that was never written has no password to repeat, so it gets a new one:
the first time and after a crash go one way.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Connection

from onboard import handles, passwords, welcome
from onboard.errors import FileTrouble
from onboard.mail import outbox
from onboard.model import (
    Deed,
    Event,
    FirstPassword,
    Member,
    Outgoing,
    PacketQuestion,
    Signature,
    State,
    Way,
    What,
)
from onboard.model.outgoing import IN_DOUBT, NO_ADDRESS
from onboard.office import Act, Office
from onboard.roster import desk, outgoing, packet_words, record, search
from onboard.roster.packet_words import PacketWords
from onboard.roster.record import Issued
from onboard.settings import Settings
from onboard.tasks import (
    email_doubts,
    known_windows,
    old_letters,
    said_dead,
    settings_doubts,
    where_questions,
)
from onboard.tasks.proof import changed_recently
from onboard.welcome import letters, words
from onboard.welcome.packet import ends_early, first_window
from onboard.windows import Known

AT_ONCE = 100  # packets a transaction: what a crash throws away, and the letters of one PDF


@dataclass(slots=True)
class PacketsReport:
    """What was written, and where."""

    folder: Path
    written: list[str] = field(default_factory=list)  # handles
    by_letter_only: list[str] = field(default_factory=list)  # handles: no email, or opted out of it
    letters: list[Path] = field(default_factory=list)
    ends_early: list[str] = field(default_factory=list)  # handles: before their window has closed
    asked: list[PacketQuestion] = field(default_factory=list)  # whose packets wait for an answer


def write_packets(
    office: Office,
    *,
    again: Collection[str] = (),
    only: Collection[int] = (),
    progress: Callable[[int], None] = lambda done: None,
) -> PacketsReport:
    """Write every packet that is due into the outbox; with `only`, those of these members.

    `again` are sign-in names whose packets are to be made again, with a new first password; the old one
    stops working. If the settings name who may reissue, only they may do this; it is refused where the
    contact was changed a short time ago: see `reissue`. A packet that would go to an email address in
    doubt, or as a letter to where nobody can deliver it, waits, and is in `asked`. Raises `SettingsTrouble` where the settings still have
    samples, `StoreTrouble` and `FileTrouble`; what was written by then stays written and saved.
    """
    if not only:  # those are of a new temporary password for a caller, which asked for itself
        office.see_that_one_may(Act.TELL)
    settings, signature = office.settings, office.signature()
    settings_doubts.see_that_they_are_your_own(settings)
    if again and settings.desk.may_reissue:
        office.see_that_one_may(Act.REISSUE)
    report = PacketsReport(settings.outbox)
    with office.transaction() as connection:
        if again:
            meant = _meant(connection, again)
            _see_that_they_can_be(connection, settings, meant, signature.when)
            ways = {member.id: member.packet_goes_by for member in meant}
            outgoing.again(connection, ways, signature)
        where_questions.lift(connection, signature)
        # Letters that no packet was recorded in are left from a crash: their passwords are dead.
        kept, gone = outgoing.kept(connection), outgoing.overtaken(connection)
        outbox.sweep(settings.outbox, keep=kept, gone=gone)
        old_letters.take_out_of(connection, office, outgoing.remade(connection))
    with ThreadPoolExecutor(max_workers=2) as beside:
        while True:
            # One transaction holds the hashes and the note that the packets are written: if it
            # is not kept, neither is, and the packets are made again under the same names.
            with office.transaction() as connection:
                due = outgoing.by_state(
                    connection, What.PACKET, State.DUE, most=AT_ONCE, of=only, lock=True
                )
                if not due:
                    return report
                asked = _bar(connection, due, signature)
                barred = {one.member.id for one in asked}
                due = [line for line in due if line.member_id not in barred]
                report.asked += asked
                if not due:
                    continue
                known = known_windows.follow(connection, settings, signature.when, keep=True)
                wrote = _write(connection, settings, due, known, signature, beside)
            report.written += wrote.written
            report.by_letter_only += wrote.by_letter_only
            report.letters += wrote.letters
            report.ends_early += wrote.ends_early
            progress(len(wrote.written))


def _bar(
    connection: Connection, due: Sequence[Outgoing], signature: Signature
) -> list[PacketQuestion]:
    """Those whose packet would go to an address that is in doubt: from here on it waits."""
    asked = where_questions.about(connection, due)
    for line, one in asked:
        why = IN_DOUBT if line.way is Way.EMAIL else NO_ADDRESS
        outgoing.step(connection, [line.id], Event.BAR, signature, why=why)
        desk.end_first_password(connection, one.member.id)
    return [one for _, one in asked]


def _write(
    connection: Connection,
    settings: Settings,
    due: Sequence[Outgoing],
    known: tuple[Known, ...],
    signature: Signature,
    beside: ThreadPoolExecutor,
) -> PacketsReport:
    """The packets of these lines: made, in the outbox, and noted as written."""
    today = signature.when.astimezone(settings.zone()).date()
    by_letter = {line.member_id for line in due if line.way is Way.LETTER}
    members = [
        replace(member, email="") if member.id in by_letter else member
        for member in search.members(connection, among=[line.member_id for line in due])
    ]
    made = welcome.Packets(settings, today, known)
    firsts = [_first(member, settings, today, made.language_of(member)) for member in members]
    # Hashing, typesetting and waiting for the disk let other threads run: no core is idle.
    hashing = beside.submit(passwords.hash_all, [first for first in firsts if first])
    by_email = [member for member in members if member.email and member.consent is not False]
    shared = {member.id for member, _ in email_doubts.sharing(connection, by_email)}
    packets = [
        made.packet(
            member,
            first,
            handles.tell(member.handle, made.language_of(member)),
            shared=member.id in shared,
        )
        for member, first in zip(members, firsts, strict=True)
    ]
    emails = [
        outbox.email_name(packet.member.handle.text) if packet.message else "" for packet in packets
    ]
    printing = beside.submit(letters.pdf, packets, settings)
    told = zip(emails, packets, strict=True)
    outbox.write_many(settings.outbox, {name: p.message for name, p in told if name})
    # Made anew, the first and the last of a file must not take the place of it.
    others = outgoing.kept(connection, besides=[member.id for member in members])
    others.update(outbox.others_letters(settings.outbox))
    name = outbox.letters_name(members[0].id, members[-1].id, taken=others)
    letter = outbox.write_letters(settings.outbox, name, printing.result())
    _issue(connection, settings, members, firsts, hashing.result(), signature)
    files = {line.id: email for line, email in zip(due, emails, strict=True)}
    windows = {line.id: packet.told for line, packet in zip(due, packets, strict=True)}
    kept = _keep_words(connection, settings, made, members, signature)
    versions = {line.id: kept[line.member_id] for line in due}
    outgoing.written(connection, files, name, signature, told=windows, words=versions)
    return PacketsReport(
        settings.outbox,
        written=[member.handle.text for member in members],
        by_letter_only=[p.member.handle.text for p in packets if not p.message],
        letters=[letter],
        ends_early=[
            member.handle.text
            for member, first in zip(members, firsts, strict=True)
            if ends_early(member, first, settings, today)
        ],
    )


def _issue(
    connection: Connection,
    settings: Settings,
    members: Sequence[Member],
    firsts: Sequence[FirstPassword | None],
    hashes: Iterable[str],
    signature: Signature,
) -> None:
    """The members' new passwords are on file; where members set their own, an older packet may have told one."""
    if settings.password.set_by_member:
        for member in members:
            desk.end_first_password(connection, member.id)
        return
    issued = [
        Issued(member.id, hashed, first.expires)
        for member, first, hashed in zip(members, firsts, hashes, strict=True)
        if first
    ]
    record.issued(connection, issued, signature)


def _keep_words(
    connection: Connection,
    settings: Settings,
    made: welcome.Packets,
    members: Sequence[Member],
    signature: Signature,
) -> dict[int, str]:
    """The version of the words that each member's packet is made with, which are kept from here on."""
    languages = {member.id: made.language_of(member) for member in members}
    versions = {}
    for language in set(languages.values()):
        versions[language], said = words.version(language, settings)
        packet_words.keep(
            connection, PacketWords(versions[language], language, signature.when, said)
        )
    return {number: versions[language] for number, language in languages.items()}


def _first(member: Member, settings: Settings, today: date, language: str) -> FirstPassword | None:
    """A first password in the member's language, which lasts until they could use it; None where
    members set theirs on the ordering page."""
    if settings.password.set_by_member:
        return None
    window = first_window(member, settings, today)
    return passwords.make(
        settings.password,
        today,
        language=language,
        through=window.closes if window else None,
    )


def goes_to(member: Member) -> str:
    """The contact that a member's packet goes to: "email", or "address" as a letter."""
    return "email" if member.packet_goes_by is Way.EMAIL else "address"


def _see_that_they_can_be(
    connection: Connection, settings: Settings, members: Sequence[Member], when: datetime
) -> None:
    if refused := said_dead.refusal(connection, members):
        raise FileTrouble(f"{refused}. Nothing was written.")
    for member in members:
        handle = member.handle.text
        if member.standing.forbids(Deed.PACKET):
            raise FileTrouble(
                f"The account of {handle} was closed or merged, so nobody can sign in with it. "
                "Nothing was made."
            )
        to = goes_to(member)
        if changed := changed_recently(connection, settings, member, when).get(to):
            raise FileTrouble(
                f"The {to} on file of {handle} was changed on {changed.on}, so whoever asks "
                f"must be checked first: onboard reissue {handle}. Nothing was made."
            )


def _meant(connection: Connection, wanted: Collection[str]) -> list[Member]:
    found = search.members_by_handle(connection, wanted)
    if unknown := sorted(set(wanted) - found.keys()):
        raise FileTrouble(
            f"Nobody has the sign-in name {', '.join(unknown)}. Check the spelling. Nothing was made."
        )
    return list(found.values())
