"""A person's name, taken apart and put right.

    >>> cleaned = clean("LEE, DR. PAT Q. JR")
    >>> show(cleaned.value)
    'Dr Pat Q Lee Jr'
    >>> [finding.code for finding in cleaned.findings]
    ['name.order', 'name.capitals']

The member's spelling stays: accents, particles, a mixture of capitals. Nobody is merged: a joint
sign-up keeps each person and waits for an answer.
"""

from __future__ import annotations

from onboard.clean.name import plain
from onboard.clean.name.kinds import KINDS, LONGEST, NO_HINTS, Hints
from onboard.clean.name.reading import Reading
from onboard.clean.name.two_last import apart
from onboard.clean.name.written import show, shown_in
from onboard.model import Cleaned, PersonName

SPANISH_SUFFIXES = ("hijo", "padre")

__all__ = [
    "KINDS",
    "LONGEST",
    "NO_HINTS",
    "SPANISH_SUFFIXES",
    "Hints",
    "apart",
    "clean",
    "show",
    "shown_in",
]


def clean(
    said: str = "",
    *,
    given: str = "",
    middle: str = "",
    family: str = "",
    suffix: str = "",
    hints: Hints = NO_HINTS,
) -> Cleaned[PersonName]:
    """A person's name, from one text or from the columns of a form.

    Where `said` is not empty it is the whole name, and the parts are not looked at; otherwise
    `said` of the result is the parts joined. Never raises on text. `value` is None when there is
    nothing that could be a name.

    >>> clean(given="Pat", family="o'brien").value.family
    "O'Brien"
    """
    whole = bool(said.strip() or not (given or middle or family or suffix))
    if whole:
        first, _, last = said.partition(" ")
    else:
        first, last = ("", "") if middle or suffix else (given, family)
        said = " ".join(filter(None, (given, middle, family, suffix)))
    if last and (plainly := plain.read(first, last)):
        return Cleaned(said, plainly)
    reading = Reading(said, hints)
    if whole:
        value = reading.whole()
        if value and not reading.plainly and show(value) != said.strip():
            # A comma behind the last name says more than the name written out.
            again = Reading.columns_again if reading.noted("order") else Reading.whole_again
            value = reading.settle(value, again)
    else:
        value = reading.columns(given, middle, family, suffix)
        if value and not reading.plainly and value != PersonName(given, middle, family, suffix):
            value = reading.settle(value, Reading.columns_again)
    return Cleaned(said, value, tuple(reading.findings))
