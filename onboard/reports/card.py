"""What is at hand for whoever helps a member: the notes about them, and where to call them back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.clean import phone as phones
from onboard.reports.dates import day
from onboard.reports.table import Words

if TYPE_CHECKING:
    from onboard.tasks.card import Card, Reach, Shared

CALLED = {"call-back": "Call back", "mail": "Email on file"}
NAMED = 3  # others who have the same phone or email


def first(card: Card | None) -> Iterator[Words]:
    """What is to be read before all else: that the member may have died."""
    if card and card.died:
        yield Words(card.died, is_strong=True)


def pieces(card: Card | None) -> Iterator[Words]:
    """The notes and the contact info, a line each; nothing where there is neither."""
    if card is None:
        return
    if card.notes.strip():
        yield Words(f"Notes: {' '.join(card.notes.split())}")
    if card.trouble:
        yield Words(card.trouble)
    elif card.may:
        yield Words(f"The phone and email on file are shown to: {', '.join(card.may)}.")
    elif card.contacts is not None:
        yield from (Words(reach(one), is_strong=True) for one in card.contacts)
        if card.no_check:
            yield Words(card.no_check)
        if not card.contacts:
            yield Words("No phone or email is on file to check the caller by. Ask a coordinator.")


def reach(one: Reach) -> str:
    """One way to check a caller by, and what is to be known of it."""
    shown = phones.stored_aloud(one.contact) if one.check == "call-back" else one.contact
    said = f"{CALLED[one.check]}: {shown}."
    if one.shared:
        what = "phone" if one.check == "call-back" else "email address"
        who = [_whose(other) for other in one.shared[:NAMED]]
        more = len(one.shared) - NAMED
        if more > 0:
            who.append(f"{more:,} more members'")
        answers = "answer" if what == "phone" else "read it"
        said += f" This {what} is also {_listed(who)}, so somebody else may {answers}."
    if one.changed and one.until:
        said += f" It changed on {day(one.changed)}, so it proves nothing before {day(one.until)}."
    if one.asked_for_none:
        said += " This member asked for no email. Call them back instead."
    return said


def _whose(other: Shared) -> str:
    if other.member:
        return f"{names.show(other.member.name)}'s"
    return f"the site host's ({other.host_of})" if other.host_of else "the co-op's own"


def _listed(who: list[str]) -> str:
    return who[0] if len(who) == 1 else f"{', '.join(who[:-1])} and {who[-1]}"


def as_json(card: Card | None) -> dict[str, Any]:
    """The same for a program: no contact info where it is not for whoever asks."""
    if card is None:
        return {}
    said: dict[str, Any] = {"member_notes": card.notes} if card.notes else {}
    if card.died:
        said["may_have_died"] = card.died
    if card.contacts is not None:
        said["call_back"] = [
            {
                "check": one.check,
                "contact": one.contact,
                "shared_with": [
                    other.member.owner if other.member else
                    {"host_of": other.host_of} if other.host_of else "co-op"
                    for other in one.shared
                ],
                "proves_nothing_before": str(one.until) if one.until else None,
            }
            for one in card.contacts
        ]  # fmt: skip
    return said
