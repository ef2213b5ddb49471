"""How all that is told to members stands, and one of the messages to be read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from onboard import passwords
from onboard.errors import FileTrouble
from onboard.model import Member, Outgoing, PacketQuestion, SharedMailbox, State, What
from onboard.office import Act, Office
from onboard.roster import outgoing, search
from onboard.tasks import mail_letters, take_clicks, where_questions
from onboard.tasks.held_packets import HeldPacket, held_packets
from onboard.tasks.shown import see_that_it_is_noted
from onboard.tasks.shown_message import shown

# What a person looks at one by one.
LISTED = (State.WRITTEN, State.UNSURE, State.REFUSED, State.RETURNED)
TOLD_OF = (What.PACKET, What.NOTICE, What.REMINDER)
MOST = 100  # of each that are listed
# A temporary password, as `passwords.make` makes them.
_PHRASE = re.compile(r"[a-z]{3,8}(?:-[a-z]{3,8}){3,}")
HIDDEN = "(temporary password, hidden)"


@dataclass(frozen=True, slots=True)
class MailStands:
    """How packets and notices stand. Nobody is named to whom the settings let look nobody up."""

    counts: Mapping[State, int]  # of the newest packets of open accounts
    notices: int  # of a change, in the outbox, not sent
    letters: int  # to print and mail
    letters_shown: str  # which they are: it changes with each that comes or goes
    listed: Mapping[State, tuple[tuple[Outgoing, Member], ...]]  # at most `MOST` of each
    questions: tuple[PacketQuestion, ...]  # about addresses that packets wait for
    shared: tuple[SharedMailbox, ...]  # mailboxes of several members that packets go to
    held: tuple[HeldPacket, ...] = ()  # packets that wait for a check of whoever called
    stops: int = 0  # requests for no more email that wait at the porch


@dataclass(frozen=True, slots=True)
class ToRead:
    """A message as its reader sees it, but for a temporary password."""

    member: Member
    to: str
    subject: str
    text: str
    page: str  # the same as HTML; "" if there is none


def mail_stands(office: Office) -> MailStands:
    """How all packets and notices stand now. Reads only. Raises `StoreTrouble`."""
    may = office.may(Act.LOOK_UP)
    with office.reading() as connection:
        notices = outgoing.by_state(connection, What.NOTICE, State.WRITTEN)
        found = {
            state: [
                line
                for what in (TOLD_OF if state is State.UNSURE else TOLD_OF[:2])
                for line in outgoing.by_state(connection, what, state, most=MOST)
            ][:MOST]
            for state in LISTED
        }
        numbers = {line.member_id for lines in found.values() for line in lines}
        members = search.members_by_number(connection, numbers) if numbers and may else {}
        counts = where_questions.count_packets(connection, office.settings)
        held = tuple(held_packets(connection)) if may else ()
    listed = {
        state: tuple((line, members[line.member_id]) for line in lines if line.member_id in members)
        for state, lines in found.items()
    }
    letters = [line.id for line, _ in mail_letters.letters_to_mail(office).lines]
    letters_shown = sha256(repr(letters).encode()).hexdigest()
    shows = where_questions.shows(office)
    questions = tuple(where_questions.questions(office)) if shows else ()
    shared = tuple(where_questions.shared_mailboxes(office)) if shows else ()
    stops = take_clicks.count_stops(office.settings)
    return MailStands(counts, len(notices), len(letters), letters_shown, listed, questions, shared, held, stops)  # fmt: skip


def read_message(office: Office, number: int) -> ToRead:
    """The email with this number, as it lies in the outbox; its temporary password is not shown.

    Raises `SettingsTrouble` where the settings let others look members up, `FileTrouble` where there is no
    such email, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    if not where_questions.shows(office):
        office.see_that_one_may(Act.TELL)
    with office.reading() as connection:
        line = outgoing.line(connection, number) if 0 < number < 2**31 else None
        members = search.members_by_number(connection, [line.member_id]) if line else {}
    if not line or not line.file.endswith(".eml") or line.member_id not in members:
        raise FileTrouble("There is no such email in the outbox.")
    try:
        said = (office.settings.outbox / Path(line.file).name).read_bytes()
    except OSError:
        raise FileTrouble("That email is no longer in the outbox.") from None
    see_that_it_is_noted(office, "Mail", [line.member_id])
    read = shown(said)
    return ToRead(
        members[line.member_id],
        read.to,
        read.subject,
        without_password(read.text),
        without_password(read.page),
    )


def without_password(text: str) -> str:
    """The text without any temporary password.

    >>> words = passwords.words()
    >>> without_password(f"Type {'-'.join(words[:5])} there, at-the-well-known-page")
    'Type (temporary password, hidden) there, at-the-well-known-page'
    """
    known = {word for language in passwords.TABLES for word in passwords.words(language)}

    def hide(found: re.Match[str]) -> str:
        return HIDDEN if known.issuperset(found[0].split("-")) else found[0]

    return _PHRASE.sub(hide, text)
