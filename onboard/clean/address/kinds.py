"""What may be said of an address: every kind of finding, and which of them an address has."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lastline import LastLine
from onboard.model import Finding, Kind, Weight

_RIGHT = "12 N Main St Apt 4\nLima, OH 45801"
_LAST = "\nLima, OH 45801"


def _kind(what: str, about: str, wrong: str, weight: Weight = Weight.DOUBTFUL) -> Kind:
    return Kind(f"address.{what}", weight, about, wrong, _RIGHT)


MISSING = _kind("missing", "There is no address.", "n/a")
NO_STREET = _kind("no_street", "There is no street, box or route.", _LAST.strip())
NO_NUMBER = _kind("no_number", "The street has no house number.", "Main St" + _LAST)
NO_CITY = _kind("no_city", "The city is missing.", "12 N Main St\nOH 45801")
NO_STATE = _kind("no_state", "The state is missing.", "12 N Main St\nLima 45801")
NO_ZIP = _kind("no_zip", "The ZIP code is missing.", "12 N Main St\nLima, OH")
BAD_ZIP = _kind(
    "bad_zip", "What is written as the ZIP code can't be one.", "12 N Main St\nLima, OH 458011"
)
NO_BOX = _kind("no_box", "The box number of a route is missing.", "RR 2" + _LAST)
UNIT_NUMBER = _kind(
    "unit_number", "The number of the apartment or unit is missing.", "12 N Main St Apt" + _LAST
)
UNIT_GUESSED = _kind(
    "unit_guessed",
    "A number after the street was read as an apartment.",
    "12 N Main St 4B" + _LAST,
)
MAILBOX = _kind(
    "mailbox",
    "A # after a unit may be a private mailbox.",
    "12 N Main St Ste 11 # 234" + _LAST,
)
OTHER_READING = _kind(
    "other_reading", "The address can be read another way, too.", "12 First St" + _LAST
)
OTHER_FORM = _kind(
    "other_form",
    "The postal standard allows more than one way to write this, and we picked one. You don't need to ask.",
    "12 N Main St # 4567" + _LAST,
    Weight.MENDED,
)
UNSURE = _kind(
    "unsure",
    "It is not clear where the street ends and the city begins.",
    "12 Lost Creek Bend Grove Lima OH 45899",
)
CORNER = _kind("corner", "This is a street corner, not a mailing address.",
               "5th and High St" + _LAST)  # fmt: skip
ABROAD = _kind(
    "abroad",
    "The address seems to be outside the United States. It is kept as written.",
    "12 Oak St\nToronto ON M5V 2T6",
)
LONG = _kind(
    "long",
    "The text is far too long for an address. Only the beginning was read.",
    _RIGHT + " " * 1000 + "x",
)
KEPT_ASIDE = _kind(
    "kept_aside",
    "Something that is not part of the street line is kept separately.",
    "Attn: Office\n12 N Main St" + _LAST,
    Weight.MENDED,
)
OLD_NAME = _kind(
    "old_name",
    "An old name of a route or mail room was brought up to date.",
    "Star Route 3 Box 19" + _LAST,
    Weight.MENDED,
)
LOST_ZERO = _kind(
    "lost_zero",
    "A spreadsheet dropped the first zero of the ZIP code. It is back.",
    "12 N Main St\nSpringfield, MA 1103",
    Weight.MENDED,
)

KINDS = (
    MISSING, NO_STREET, NO_NUMBER, NO_CITY, NO_STATE, NO_ZIP, BAD_ZIP, NO_BOX, UNIT_NUMBER,
    UNIT_GUESSED, MAILBOX, OTHER_READING, OTHER_FORM, UNSURE, CORNER, ABROAD, LONG, KEPT_ASIDE, OLD_NAME,
    LOST_ZERO,
)  # fmt: skip

# so often found that they are made without `Kind.found`
_NO_ZIP, _NO_CITY, _NO_STATE = (
    (kind.code, kind.field, kind.weight) for kind in (NO_ZIP, NO_CITY, NO_STATE)
)
# what a part's mark says: {0} is what was there, {line} the line as it is now
_MARKS = {
    "box": (NO_BOX, "{0} has no box number. Ask for it."),
    "old": (OLD_NAME, "{0} is an old name. The line now says {line}."),
    "unit": (UNIT_GUESSED, "{0} was read as an apartment or unit. Ask what it is."),
    "number": (UNIT_NUMBER, "{0} has no number. Ask which one it is."),
    "two boxes": (
        MAILBOX,
        "{0} can't be on one line with a PO box. Ask which of the two gets the mail.",
    ),
    "mailbox": (
        MAILBOX,
        "# {0} may be a private mailbox. Ask. If it is, write PMB {0}.",
    ),
}


def found(said: str, part: DeliveryLine, last: LastLine, aside: list[str]) -> Iterator[Finding]:
    """What a coordinator would want to know of an address."""
    if part.kind == "none":
        yield NO_STREET.found(said, "There is no street, box or route. Ask for it.")
    elif part.kind == "corner":
        note = f"{part.text} is a corner. Mail can't go there. Ask for the house number."
        yield CORNER.found(said, note)
    elif part.kind == "street" and not part.number:
        yield NO_NUMBER.found(said, f"{part.text} has no house number. Ask for it.")
    for mark, text in part.marks:
        kind, note = _MARKS[mark]
        yield kind.found(said, note.format(text, line=part.line))
    if part.readings or last.readings:
        yield from _others(said, part, last)
    if aside:
        yield KEPT_ASIDE.found(said, f"Kept separately from the street line: {'; '.join(aside)}.")
    if last.unsure:
        city = last.city or "nothing"
        note = f"It is not clear where the street ends. We took {city} as the city. Ask."
        yield UNSURE.found(said, note)
    if last.lost_zero:
        note = f"ZIP code {last.lost_zero} had lost its first zero. It is {last.zip5}."
        yield LOST_ZERO.found(said, note)
    if last.bad_zip:
        note = f"{last.bad_zip} is not a ZIP code. A ZIP code has five digits. Ask for it."
        yield BAD_ZIP.found(said, note)
    elif not last.zip5:
        yield Finding(*_NO_ZIP, said, "The ZIP code is missing. Ask for it.")
    if not last.city:
        yield Finding(*_NO_CITY, said, "The city is missing. Ask for it.")
    if not last.state:
        yield Finding(*_NO_STATE, said, "The state is missing. Ask for it.")


def _others(said: str, part: DeliveryLine, last: LastLine) -> Iterator[Finding]:
    """What else an address could be, and how else the same address may be written."""
    others: list[str] = []
    forms: list[str] = []
    for text, why, form in part.readings + last.readings:
        (forms if form else others).append(f"{text} ({why})")
    if others:
        yield OTHER_READING.found(said, f"It could also be {', or '.join(others)}. Ask if unsure.")
    if forms:
        written = part.line if any(reading.form for reading in part.readings) else last.line
        note = f"Written as {written}. It could also be {', or '.join(forms)}. Nothing to do."
        yield OTHER_FORM.found(said, note)
