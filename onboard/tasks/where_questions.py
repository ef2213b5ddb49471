"""What is asked about where a member's welcome packet goes: an email address in doubt, or a letter that
nobody could deliver."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence

from sqlalchemy import Connection

from onboard.clean import name as names
from onboard.model import (
    EmailDoubt,
    EmailQuestion,
    Event,
    Member,
    Outgoing,
    PacketQuestion,
    SharedMailbox,
    Signature,
    State,
    Way,
    What,
)
from onboard.model.outgoing import ASKED, IN_DOUBT, NO_ADDRESS
from onboard.office import Act, Office
from onboard.roster import desk, emails, outgoing, search
from onboard.settings import Settings
from onboard.tasks import address_doubts, email_doubts

# Whoever helps a caller to get in has to know where a packet went.
FOR_MAIL = (Act.TELL, Act.REISSUE)


def questions(office: Office) -> list[PacketQuestion]:
    """The members whose packets wait for an answer, those about email addresses first, each by number.

    Raises `StoreTrouble`.
    """
    return [*email_doubts.questions(office), *address_doubts.questions(office)]


def shared_mailboxes(office: Office) -> list[SharedMailbox]:
    """The mailboxes of several members to which a packet goes, or would; without whom a question stands about,
    or of which a person has said that they are right. None without a mail server: everybody gets a
    letter. Raises `StoreTrouble`."""
    with office.reading() as connection:
        return _shared(connection, office.settings)


def _shared(
    connection: Connection, settings: Settings, of: Sequence[int] = ()
) -> list[SharedMailbox]:
    """The same of all packets, or of those of these members."""
    if not settings.mail.host:
        return []
    lines = email_doubts.not_gone(connection, of)
    wanted = search.members_by_number(connection, {line.member_id for line in lines})
    sharing = list(email_doubts.sharing(connection, list(wanted.values())))
    together = {one.id for member, others in sharing for one in (member, *others)}
    if of and together:  # what waits of the others in the mailbox is to be known, too
        lines = email_doubts.not_gone(connection, sorted(together))
    going = search.members_by_number(
        connection, together.intersection(line.member_id for line in lines)
    )
    asked = email_doubts.of(connection, list(going.values()))
    known = emails.known(connection, list(going.values()))
    found: dict[tuple[int, ...], SharedMailbox] = {}
    for member, others in sharing:
        everybody = sorted((member, *others), key=lambda one: one.id)
        if sum(one.id not in asked for one in everybody) < 2:
            continue  # it is the mailbox of one, and the packets of the others wait
        new = tuple(
            one
            for one in everybody[1:]
            if one.id in going and one.id not in asked and not known[one.id].confirmed
        )
        if new:
            numbers = tuple(one.id for one in everybody)
            found[numbers] = SharedMailbox(everybody[0].email, tuple(everybody), new)
    return [found[numbers] for numbers in sorted(found)]


def may_be_answered(found: Sequence[SharedMailbox]) -> list[EmailQuestion]:
    """The same as questions about the new ones in them, though nothing waits for the answers."""
    return [
        EmailQuestion(one, EmailDoubt(one.email, (_together(mailbox, one),)))
        for mailbox in found
        for one in mailbox.new
    ]


def _together(mailbox: SharedMailbox, member: Member) -> str:
    others = [
        f"{names.show(one.name)} ({one.handle.text})"
        for one in mailbox.members
        if one.id != member.id
    ]
    return (
        f"The welcome packet goes to this mailbox, which is also the one of {' and '.join(others)}. Whoever reads it can "
        "sign in as all of them. Answer right if that is fine, or letter to print a letter."
    )


def shows(office: Office) -> bool:
    """Whether whoever is at work sees whose packets wait, and the addresses that are asked about."""
    return office.sees_contacts(*FOR_MAIL)


def still_asked(
    connection: Connection, settings: Settings, member: Member
) -> tuple[PacketQuestion, ...]:
    """What is asked about a packet of this member that has not gone out, as `questions` has it, and what
    `shared_mailboxes` has."""
    return (
        *may_be_answered(_shared(connection, settings, [member.id])),
        *email_doubts.asked_about(connection, email_doubts.not_gone(connection, [member.id])),
        *address_doubts.asked_about(
            connection, address_doubts.not_gone(connection, settings, [member.id])
        ),
    )


def of(connection: Connection, member: Member) -> tuple[PacketQuestion, ...]:
    """What there would be to ask if a packet were made for the member now."""
    if member.packet_goes_by is Way.EMAIL:
        doubt = email_doubts.of(connection, [member]).get(member.id)
        return (EmailQuestion(member, doubt),) if doubt else ()
    return tuple(address_doubts.of(connection, [member]).values())


def about(
    connection: Connection, lines: Sequence[Outgoing], *, in_print: bool = False
) -> list[tuple[Outgoing, PacketQuestion]]:
    """What is asked about where these packets would go, each with its line; if all are `in_print`, as letters."""
    by_email = [line for line in lines if line.way is Way.EMAIL and not in_print]
    by_letter = [line for line in lines if line.way is Way.LETTER or in_print]
    asked: list[PacketQuestion] = [
        *email_doubts.asked_about(connection, by_email),
        *address_doubts.asked_about(connection, by_letter),
    ]
    of = {one.member.id: one for one in asked}
    return [(line, of[line.member_id]) for line in lines if line.member_id in of]


def bar(
    connection: Connection, due: Sequence[Outgoing], signature: Signature
) -> list[PacketQuestion]:
    """Packets that would go where somebody is in doubt: from here on they wait for the answer. What is asked
    about them."""
    asked = about(connection, due)
    for line, one in asked:
        why = IN_DOUBT if line.way is Way.EMAIL else NO_ADDRESS
        outgoing.step(connection, [line.id], Event.BAR, signature, why=why)
        desk.end_first_password(connection, one.member.id)
    return [one for _, one in asked]


def lift(connection: Connection, signature: Signature, of: Collection[int] = ()) -> None:
    """Packets that waited for an answer about where they go, which nobody doubts now, are due: of all or of
    these members."""
    outgoing.step(connection, _answered(connection, of, lock=True), Event.LIFT, signature, why="")


def count_packets(connection: Connection, settings: Settings) -> dict[State, int]:
    """How many open accounts have a packet that stands so. One that waited for an answer which came is due; one that
    is due or made, and can't go before an answer comes, waits."""
    counts = Counter(outgoing.count(connection))
    answered = len(_answered(connection))
    moved = Counter({State.DUE: answered, State.WAITING: -answered})
    for line, _ in stuck(connection, settings):
        moved.update({line.state: -1, State.WAITING: 1})
    counts.update(moved)
    return {state: number for state, number in counts.items() if number > 0}


def stuck(connection: Connection, settings: Settings) -> list[tuple[Outgoing, PacketQuestion]]:
    """The packets that are due, or in the outbox, and that go nowhere before an answer comes, each with the question.
    Where the settings name no mail server, whatever is in the outbox goes by letter."""
    due = outgoing.by_state(connection, What.PACKET, State.DUE)
    made = outgoing.by_state(connection, What.PACKET, State.WRITTEN)
    in_print = not settings.mail.host
    return [*about(connection, due), *about(connection, made, in_print=in_print)]


def _answered(connection: Connection, of: Collection[int] = (), *, lock: bool = False) -> list[int]:
    """The packets that waited for an answer about where they go, which nobody doubts now."""
    waiting = [
        line
        for line in outgoing.by_state(connection, What.PACKET, State.WAITING, of=of, lock=lock)
        if line.why in ASKED
    ]
    asked = {one.member.id for _, one in about(connection, waiting)}
    return [line.id for line in waiting if line.member_id not in asked]


def answered_by(connection: Connection, settings: Settings, member: Member) -> frozenset[str]:
    """The contacts by which the question about a new member is answered whose packet waits, while nothing
    has ever gone out to them: then another one is the answer, and takes nothing over. None if there is
    no such question."""
    if email_doubts.is_unused(connection, member):
        return frozenset(("email",))
    if not member.handle.steps or not address_doubts.not_gone(connection, settings, [member.id]):
        return frozenset()
    if emails.known(connection, [member])[member.id].told:
        return frozenset()
    # A form that anybody could fill out makes no other address the answer.
    nowhere = address_doubts.undeliverable(connection, [member])
    return frozenset(("address", "email")) if nowhere else frozenset()
