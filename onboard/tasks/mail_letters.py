"""Letters that go by mail: put into one PDF, with labels for envelopes, and noted as mailed."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from pathlib import Path
from shlex import quote

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.mail import outbox
from onboard.model import Event, Member, Outgoing, State, Way, What
from onboard.office import Act, Office
from onboard.reports.private import private_file
from onboard.roster import outgoing, search
from onboard.tasks import address_doubts, known_windows, notices, site_notices
from onboard.tasks import meant as who
from onboard.tasks.claims import has_run_out
from onboard.tasks.days_heard import tells_old_days
from onboard.welcome import letters

# An email that came to nothing may go as a letter, where somebody says so.
CAME_TO_NOTHING = (State.REFUSED, State.RETURNED)


@dataclass(slots=True)
class ToMail:
    """The letters that are to be printed and mailed, by number of the member."""

    lines: list[tuple[Outgoing, Member]] = field(default_factory=list)
    left: list[str] = field(default_factory=list)  # whose is left out, and why, a sentence each

    @property
    def names(self) -> list[str]:
        """The sign-in names of those who get one; of a notice, that it is one."""
        return [_name(line, member) for line, member in self.lines]

    @property
    def has_packets(self) -> bool:
        """Whether a welcome packet is among them: a notice holds no secret."""
        return any(line.what is What.PACKET for line, _ in self.lines)


def letters_to_mail(office: Office, only: Collection[str] = ()) -> ToMail:
    """The letters in the outbox of those who get one, packets and notices: no email goes to them.

    Where the settings name no mail server, all do. With `only`, those of these sign-in names,
    also when an email was made, refused or came back. Raises `FileTrouble` if nobody has such a name.
    """
    with office.reading() as connection:
        return _to_mail(connection, office, only)


def write_letters(office: Office, file: Path, only: Collection[str] = ()) -> ToMail:
    """The letters to mail, which `file` (PDF) holds from here on. It holds temporary passwords.

    Raises `FileTrouble` when it cannot be written, or a file in the outbox cannot be read.
    """
    office.see_that_one_may(Act.TELL)
    with office.reading() as connection:
        found = _to_mail(connection, office, only)
        _make_notices_again(connection, office, found)
    by_file: dict[Path, list[str]] = {}
    for line, member in found.lines:
        if line.what is What.PACKET:
            by_file.setdefault(office.settings.outbox / line.letter, []).append(member.handle.text)
        else:
            by_file[office.settings.outbox / _in_print(line)] = []  # all of it
    pdf, missing = letters.picked(by_file)
    gone = [
        one for one in found.lines if one[0].what is What.PACKET and one[1].handle.text in missing
    ]
    found.lines = [one for one in found.lines if one not in gone]
    found.left += [
        f"The letter of {handle} is not in the outbox. Make it again, with a new temporary password: "
        f"onboard packets --again {handle}"
        for handle in (member.handle.text for _, member in gone)
    ]
    if found.lines:
        _write(file, pdf)
    elif gone:
        raise FileTrouble(" ".join(found.left))
    return found


def _make_notices_again(connection: Connection, office: Office, found: ToMail) -> None:
    """Notices that are gone from the outbox, or not in print, are in it; what can't be made again is left out."""
    folder = office.settings.outbox
    for line, member in list(found.lines):
        if line.what is What.PACKET or (folder / _in_print(line)).exists():
            continue
        made = notices.made_again(connection, office, member, replace(line, way=Way.LETTER))
        if made:
            outbox.write_file(folder, _in_print(line), letters.pdf([made], office.settings))
        else:
            found.lines.remove((line, member))
            why = (
                "can't be made as a letter"
                if line.way is Way.EMAIL
                else "is no longer in the outbox, and can't be made again"
            )
            found.left.append(
                f"The notice to {member.handle.text} {why}. Tell the member another way."
            )


def _in_print(line: Outgoing) -> str:
    """The file of a notice as a letter: where there is no mail server, one that was an email is printed."""
    return line.file.removesuffix(".eml") + ".pdf" if line.way is Way.EMAIL else line.file


def _name(line: Outgoing, member: Member) -> str:
    return member.handle.text if line.what is What.PACKET else f"{member.handle.text} (notice)"


def write_labels(office: Office, file: Path, only: Collection[str] = ()) -> ToMail:
    """The letters to mail, for whose envelopes `file` (PDF) has a label each. Raises `FileTrouble`."""
    office.see_that_one_may(Act.TELL)
    with office.reading() as connection:
        found = _to_mail(connection, office, only)
        # A notice goes to where the member was before the change that it tells of.
        found.lines = [
            (
                line,
                member
                if line.what is What.PACKET
                else notices.as_it_was(connection, office, member, line),
            )
            for line, member in found.lines
        ]
    nowhere = [member.handle.text for _, member in found.lines if not member.address]
    found.lines = [one for one in found.lines if one[1].address]
    found.left += [f"No mailing address is on file for {handle}." for handle in nowhere]
    if found.lines:
        _write(file, letters.labels([member for _, member in found.lines], office.settings))
    return found


def mark_mailed(office: Office, only: Collection[str] = (), *, keep: bool) -> ToMail:
    """The letters that are noted as printed and mailed, if `keep`. Raises `StoreTrouble`."""
    office.see_that_one_may(Act.TELL)
    if not keep:
        return letters_to_mail(office, only)
    with office.transaction() as connection:
        found = _to_mail(connection, office, only)
        numbers = [line.id for line, _ in found.lines]
        moved = set(outgoing.step(connection, numbers, Event.PRINT, office.signature()))
        found.lines = [one for one in found.lines if one[0].id in moved]
        for line, _ in found.lines:
            if line.file.endswith(".eml"):  # the letter went in its place
                outbox.take_away(office.settings.outbox, line.file)
    return found


def _to_mail(connection: Connection, office: Office, only: Collection[str]) -> ToMail:
    meant = who.by_handle(connection, only)
    states = (State.WRITTEN, *(CAME_TO_NOTHING if only else ()))
    numbers = [member.id for member in meant.values()]
    lines = [
        line
        for state in states
        for line in outgoing.by_state(connection, What.PACKET, state, of=numbers)
        if only or line.way is Way.LETTER or not office.settings.mail.host
    ]
    notices = outgoing.by_state(connection, What.NOTICE, State.WRITTEN, of=numbers)
    lines += [line for line in notices if line.way is Way.LETTER or not office.settings.mail.host]
    members = search.members_by_number(connection, {line.member_id for line in lines})
    nowhere = address_doubts.of(connection, list(members.values()))
    known = known_windows.follow(connection, office.settings, office.now(), keep=False)
    found = ToMail()
    for line in sorted(lines, key=lambda line: (line.member_id, line.id)):
        member = members[line.member_id]
        if line.what is What.PACKET and has_run_out(member, office):
            found.left.append(
                f"The password in the letter of {member.handle.text} has run out. Make it again: "
                f"onboard packets --again {member.handle.text}"
            )
        elif line.what is What.PACKET and line.member_id in nowhere:
            handle, question = quote(member.handle.text), nowhere[member.id]
            why = (
                "Nobody can deliver a letter to"
                if address_doubts.why_not(member)
                else "A letter waits for"
            )
            found.left.append(
                f"{why} {member.handle.text}. {' '.join(question.notes)} "
                f"Then: onboard correct {handle} --address ADDRESS --record. To print the letter as it is: "
                f"onboard answer {handle} letter"
            )
        elif stale := site_notices.overtaken(line, member, office.settings):
            found.left.append(f"{member.handle.text}: {stale}")
        elif tells_old_days(line, member, known, office):
            anew = (
                site_notices.ANEW if line.told_site else "To make it anew: onboard windows --record"
            )
            found.left.append(
                f"The ordering days in the letter of {member.handle.text} have changed. {anew}"
            )
        else:
            found.lines.append((line, member))
    there = {member.id for _, member in found.lines}
    found.left += [
        f"{handle} has no letter to mail."
        for handle, member in meant.items()
        if member.id not in there and member.id not in members
    ]
    return found


def _write(file: Path, pdf: bytes) -> None:
    with private_file(file) as out:
        out.buffer.write(pdf)
