"""Packets that are due: a first password for each member, then the packet that tells it.

A first password exists in the clear only here, between the moment it is made and the moment its
packet is on disk. A packet that was never written has no password to repeat, so it gets a new one:
the first time and after a crash go one way.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Connection

from onboard import handles, welcome
from onboard.errors import FileTrouble
from onboard.mail import outbox
from onboard.model import (
    Deed,
    FirstPassword,
    Member,
    Outgoing,
    PacketQuestion,
    Signature,
    State,
    Way,
    What,
)
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
from onboard.tasks.first_passwords import FirstPasswords, Made, Wanted
from onboard.tasks.proof import changed_recently
from onboard.welcome import Packet, letters, words
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
    wait: float = 0.0,
) -> PacketsReport:
    """Write every packet that is due into the outbox; with `only`, those of these members.

    `wait` is how many seconds longer than others to wait for one's turn, as in `store.transaction`.
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
    with office.transaction(wait=wait) as connection:
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
    today = signature.when.astimezone(settings.zone()).date()
    with FirstPasswords(settings.password, today) as firsts, ThreadPoolExecutor(1) as beside:
        run = _Run(settings, signature, today, firsts, beside)
        while True:
            # One transaction holds the hashes and the note that the packets are written: if it
            # is not kept, neither is, and the packets are made again under the same names.
            with office.transaction(wait=wait) as connection:
                due = outgoing.by_state(
                    connection, What.PACKET, State.DUE, most=2 * AT_ONCE, of=only, lock=True
                )
                due, later = due[:AT_ONCE], due[AT_ONCE:]
                if not due:
                    return report
                asked = where_questions.bar(connection, due, signature)
                barred = {one.member.id for one in asked}
                due = [line for line in due if line.member_id not in barred]
                report.asked += asked
                if not due:
                    continue
                known = known_windows.follow(connection, settings, signature.when, keep=True)
                wrote = run.write(connection, due, later, known)
            report.written += wrote.written
            report.by_letter_only += wrote.by_letter_only
            report.letters += wrote.letters
            report.ends_early += wrote.ends_early
            progress(len(wrote.written))


class _Run:
    """The packets of one run, a hundred after the other: what they share is made once, and the first passwords
    of the next hundred are hashed while one is written."""

    def __init__(
        self,
        settings: Settings,
        signature: Signature,
        today: date,
        firsts: FirstPasswords,
        beside: ThreadPoolExecutor,
    ) -> None:
        self._settings, self._signature, self._today = settings, signature, today
        self._firsts, self._beside = firsts, beside
        self._known: tuple[Known, ...] | None = None
        self._packets = welcome.Packets(settings, today)

    def write(
        self,
        connection: Connection,
        due: Sequence[Outgoing],
        later: Sequence[Outgoing],
        known: tuple[Known, ...],
    ) -> PacketsReport:
        """The packets of the lines that are `due`: made, in the outbox, and noted as written."""
        settings, signature = self._settings, self._signature
        if known != self._known:
            self._known, self._packets = known, welcome.Packets(settings, self._today, known)
        members = _members(connection, due)
        made = [self._first(member) for member in members]
        firsts = [one.first if one else None for one in made]
        wanted = map(self._wanted, _members(connection, later))
        self._firsts.expect(one for one in wanted if one)
        packets = self._made(connection, members, firsts)
        # Typesetting and waiting for the disk let other threads run: no core is idle.
        printing = self._beside.submit(letters.pdf, packets, settings)
        emails = [
            outbox.email_name(packet.member.handle.text) if packet.message else ""
            for packet in packets
        ]
        told = zip(emails, packets, strict=True)
        outbox.write_many(settings.outbox, {name: p.message for name, p in told if name})
        # Made anew, the first and the last of a file must not take the place of it.
        others = outgoing.kept(connection, besides=[member.id for member in members])
        others.update(outbox.others_letters(settings.outbox))
        name = outbox.letters_name(members[0].id, members[-1].id, taken=others)
        letter = outbox.write_letters(settings.outbox, name, printing.result())
        _issue(connection, settings, members, made, signature)
        files = {line.id: email for line, email in zip(due, emails, strict=True)}
        windows = {line.id: packet.told for line, packet in zip(due, packets, strict=True)}
        kept = self._keep_words(connection, members)
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
                if ends_early(member, first, settings, self._today)
            ],
        )

    def _made(
        self,
        connection: Connection,
        members: Sequence[Member],
        firsts: Sequence[FirstPassword | None],
    ) -> list[Packet]:
        by_email = [member for member in members if member.email and member.consent is not False]
        shared = {member.id for member, _ in email_doubts.sharing(connection, by_email)}
        return [
            self._packets.packet(
                member,
                first,
                handles.tell(member.handle, self._packets.language_of(member)),
                shared=member.id in shared,
            )
            for member, first in zip(members, firsts, strict=True)
        ]

    def _first(self, member: Member) -> Made | None:
        wanted = self._wanted(member)
        return self._firsts.take(wanted) if wanted else None

    def _wanted(self, member: Member) -> Wanted | None:
        """A first password in the member's language, which lasts until they could use it; None where
        members set theirs on the ordering page."""
        if self._settings.password.set_by_member:
            return None
        window = first_window(member, self._settings, self._today)
        return Wanted(self._packets.language_of(member), window.closes if window else None)

    def _keep_words(self, connection: Connection, members: Sequence[Member]) -> dict[int, str]:
        """The version of the words that each member's packet is made with, which are kept from here on."""
        languages = {member.id: self._packets.language_of(member) for member in members}
        versions = {}
        for language in set(languages.values()):
            versions[language], said = words.version(language, self._settings)
            packet_words.keep(
                connection, PacketWords(versions[language], language, self._signature.when, said)
            )
        return {number: versions[language] for number, language in languages.items()}


def _members(connection: Connection, lines: Sequence[Outgoing]) -> list[Member]:
    """The members of these lines; whose packet goes as a letter, without email."""
    found = search.members_by_number(connection, {line.member_id for line in lines})
    return [
        replace(found[line.member_id], email="")
        if line.way is Way.LETTER
        else found[line.member_id]
        for line in lines
    ]


def _issue(
    connection: Connection,
    settings: Settings,
    members: Sequence[Member],
    made: Sequence[Made | None],
    signature: Signature,
) -> None:
    """The members' new passwords are on file; where members set their own, an older packet may have told one."""
    if settings.password.set_by_member:
        for member in members:
            desk.end_first_password(connection, member.id)
        return
    issued = [
        Issued(member.id, one.hashed.result(), one.first.expires)
        for member, one in zip(members, made, strict=True)
        if one
    ]
    record.issued(connection, issued, signature)


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
