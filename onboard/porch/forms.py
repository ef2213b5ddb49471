"""A join form as it comes in: its fields, and the row that a batch would read of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from onboard.model import RawRow
from onboard.model.form import EXTRA
from onboard.spool import Answer

LONGEST = 300  # letters of a field
LONGEST_REMARK = 2_000  # of an answer in one's own words

# Each field of a sign-up, and what the spool says was asked where the page itself has no words for it.
FIELDS: Mapping[str, str] = {
    "full_name": "Name", "given": "First name", "middle": "Middle name", "family": "Last name",
    "second_family": "Second last name", "suffix": "Suffix", "email": "Email", "phone": "Phone",
    "address": "Address", "street": "Street address", "unit": "Apartment or unit", "city": "City", "state": "State",
    "zip": "ZIP code", "site": "Drop site", "language": "Language", "consent": "May we email you?",
    "notes": "Notes",
}  # fmt: skip

# Fields that are about one thing.
WHOLE_NAME = ("full_name", "given", "family")  # of a name, what can be judged without the rest
NAME = (*WHOLE_NAME, "middle", "second_family", "suffix")
ADDRESS = ("address", "street", "unit", "city", "state", "zip")


def answers(
    said: Mapping[str, str], own: Mapping[str, str], asked: Mapping[str, str] | None = None
) -> tuple[Answer, ...]:
    """The answers as the spool keeps them; `own` are those to the co-op's own questions, `asked` the words with which a
    field was asked where they are not ours."""
    words = {**FIELDS, **(asked or {})}
    found = [Answer(field, words[field], said[field].strip()) for field in FIELDS if field in said]
    return (
        *found,
        *(Answer(EXTRA + question, question, text.strip()) for question, text in own.items()),
    )


def filled(given: Sequence[Answer]) -> tuple[Answer, ...]:
    """The answers that say something, and that about email: it was asked, and left open."""
    return tuple(one for one in given if one.said or one.field == "consent")


def row(given: Sequence[Answer]) -> RawRow:
    """The answers as a row of a file."""
    cells = tuple((one.asked, one.said) for one in given)
    return RawRow("porch", 1, cells, {one.field: one.said for one in given})
