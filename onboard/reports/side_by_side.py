"""Two records beside one another, field by field, each with a word on whether they agree.

For whoever decides if they are one person: in the lists of pairs, and beside the merges that an audit
proposes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from onboard.clean import name as names
from onboard.clean import phone as phones
from onboard.model import Member, Phone
from onboard.reports import cells

if TYPE_CHECKING:
    from onboard.audit.record import Brief

SAME, OTHER, ONE = "same", "≠ not the same", "only one has it"
NOT_KNOWN = "not known"  # which says nothing for or against
_WIDTHS = {"What": 18, "Compared": 18}
MOST = 2_000  # pairs that are shown side by side


class Both(NamedTuple):
    """One field of two records."""

    what: str
    one: str
    other: str

    @property
    def compared(self) -> str:
        """Whether they agree, in words; what neither has is not compared.

        >>> Both("City", "LIMA", "Lima").compared, Both("City", "Lima", "").compared
        ('same', 'only one has it')
        """
        one, other = (" ".join(text.casefold().split()) for text in (self.one, self.other))
        if NOT_KNOWN in (one, other) or not (one or other):
            return ""
        if not one or not other:
            return ONE
        return SAME if one == other else OTHER


def page(
    name: str,
    headings: tuple[str, str, str],
    pairs: Iterable[tuple[str | int, Sequence[Both]]],
) -> cells.Page:
    """A sheet with a row a field, pair after pair. The headings are of what a pair is called by, of the
    first and of the second record."""
    called, one, other = headings
    widths = _WIDTHS | {called: 12, one: 36, other: 36}
    return cells.Page(name, (called, "What", one, other, "Compared"), _lines(pairs), widths)


def _lines(pairs: Iterable[tuple[str | int, Sequence[Both]]]) -> Iterator[list[object]]:
    for called, fields in pairs:
        for both in fields:
            if both.one or both.other:
                yield [called, both.what, both.one, both.other, both.compared]
        yield []


def of_accounts(one: Brief, other: Brief) -> list[Both]:
    """The fields of two accounts, and when each was last used."""
    return [
        Both(
            "Account", *(b.owner.replace("line:", "row ").replace(":", " ") for b in (one, other))
        ),
        Both("Name", one.name, other.name),
        Both("Sign-in name", one.handle, other.handle),
        Both("Email", one.email, other.email),
        Both(
            "Phone", *(phones.read_aloud(Phone(b.phone)) if b.phone else "" for b in (one, other))
        ),
        Both("Address", *(", ".join(filter(None, b.home.split("|"))) for b in (one, other))),
        Both("Drop site", one.site, other.site),
        Both("Last sign-in", *map(_signed_in, (one, other))),
        Both(
            "Last order",
            *(b.ordered.isoformat() if b.ordered else NOT_KNOWN for b in (one, other)),
        ),
        Both("Joined", *(b.joined.isoformat() if b.joined else NOT_KNOWN for b in (one, other))),
    ]


# What both accounts of a merge are shown by: the words, and the column whose value a person may choose.
CHOSEN = {
    "Name": "name", "Email": "email", "Phone": "phone", "Address": "address", "Drop site": "site",
    "Language": "language", "OK to email": "consent",
}  # fmt: skip


def of_members(one: Member, other: Member) -> list[Both]:
    """The fields of two members in full, and when each was last used; not what they are called by."""
    said = [_of_member(member) for member in (one, other)]
    return [Both(what, said[0][what], said[1][what]) for what in said[0]]


def _of_member(member: Member) -> dict[str, str]:
    def days(*values: date | None) -> list[str]:
        return [value.isoformat() if value else NOT_KNOWN for value in values]

    last_sign_in, last_order, born = days(member.last_sign_in, member.last_order, member.born)
    if not member.last_sign_in and member.page_seen:
        last_sign_in = "never"
    return {
        "Name": names.show(member.name),
        "Email": member.email,
        "Phone": phones.stored_aloud(member.phone) if member.phone else "",
        "Address": ", ".join(member.address),
        "Drop site": member.site,
        "Language": member.language,
        "OK to email": {True: "yes", False: "no", None: NOT_KNOWN}[member.consent],
        "Date of birth": born,
        "Last sign-in": last_sign_in,
        "Last order": last_order,
        "Joined": member.joined.date().isoformat() if member.joined else NOT_KNOWN,
    }


def _signed_in(brief: Brief) -> str:
    if brief.signed_in:
        return brief.signed_in.isoformat()
    return "never" if brief.on_page else NOT_KNOWN
