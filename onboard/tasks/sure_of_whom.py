"""Whether the account that was found is safe to open for what was said: a second look at the one that is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from onboard.lookup import two_names
from onboard.lookup.clue import Clue
from onboard.lookup.judge import Ranking
from onboard.lookup.said import Said
from onboard.lookup.words import WHOSE
from onboard.match import folds
from onboard.model import Owner
from onboard.roster import contacts_on_file, desk, index, search

if TYPE_CHECKING:
    from onboard.tasks.look_up import Finds, Found


def with_other_names(connection: Connection, finds: Finds) -> Finds:
    """With whom else each account is known by, where it is one of several people."""

    people = index.people(connection, [one.owner for one in finds.found])

    def others(one: Found) -> tuple[str, ...]:
        besides = two_names.others(one.name, people.get(one.owner, ()))
        merged = desk.merged_into(connection, one.owner) if besides else []
        own = {f"{each.name.given} {each.name.family}" for each in merged}
        return tuple(name for name in besides if name not in own)

    found = tuple(replace(one, others=others(one)) for one in finds.found)
    return replace(finds, found=found)


def settled(
    connection: Connection,
    finds: Finds,
    readings: Sequence[Said],
    judged: Callable[[Sequence[Said]], Ranking],
) -> Finds:
    """The same, safe to open only if what makes it so is on file, and says which of several people is meant.

    What a later form says, and nobody has approved, finds its member; it makes nobody safe, as anybody
    may fill out a form in a member's name.
    """
    if not finds.safe_to_open:
        return finds
    first = finds.found[0]
    if first.others and not two_names.says_which(first.clues, first.name, first.others):
        named = two_names.says_other(first.clues, first.others)
        return replace(finds, safe_to_open=False, ask=WHOSE if named else "first name")
    unapproved = _unapproved(connection, first.owner, first.clues)
    if not unapproved:
        return finds
    again = judged(tuple(_without(readings, unapproved)))
    stays = again.certain and again.ranked[0].facts == first.facts
    ask = again.ask if again.ask in ("family name", "site") else "first name"
    return finds if stays else replace(finds, safe_to_open=False, ask=ask)


def _unapproved(connection: Connection, owner: Owner, clues: Iterable[Clue]) -> frozenset[str]:
    """What was said that fits by an email address or a phone alone which never was on file."""
    said = [clue for clue in clues if clue.agrees and clue.kind in ("email", "phone", "phone end")]
    if not said or owner.member_id is None:
        return frozenset()
    emails, phones = contacts_on_file.ever(connection, owner)
    boxes, numbers = set(map(folds.mailbox, emails)), set(map(folds.telephone, phones))
    return frozenset(
        clue.said
        for clue in said
        if clue.known
        and not (
            folds.mailbox(clue.known) in boxes if clue.kind == "email" else clue.known in numbers
        )
    )


def _without(readings: Iterable[Said], said: frozenset[str]) -> Iterator[Said]:
    for one in readings:
        yield replace(
            one,
            emails=tuple(email for email in one.emails if "@".join(email) not in said),
            phones=tuple(digits for digits in one.phones if digits not in said),
            tails=tuple(digits for digits in one.tails if digits not in said),
        )


def asked_well(connection: Connection, finds: Finds) -> Finds:
    """With another question where the email address on file, which the answer would be held against, is in
    doubt itself."""
    if finds.ask != "email":
        return finds
    from onboard.tasks import email_doubts  # all rules of email; few look-ups ask for one

    numbers = [one.owner.member_id for one in finds.found if one.owner.member_id is not None]
    members = list(search.members_by_number(connection, numbers).values())
    doubted = email_doubts.of(connection, members)
    if not doubted and not any(member.bounced for member in members):
        return finds
    return replace(finds, ask="phone end" if any(one.phone for one in members) else "spelling")
