"""Postal addresses: the standard written form of USPS Publication 28 (October 2023).

Policy: nothing is claimed about delivery, which only a certified service knows; nothing that was
said is lost (`Address.aside`), and where the text allows another reading, that is said.
"""

from __future__ import annotations

from functools import lru_cache

from onboard.clean.address import abroad, delivery, lastline, puerto_rico, words
from onboard.clean.address.lookups import MILITARY_STATES
from onboard.clean.address.part import Part
from onboard.model import Address, Cleaned, Finding, Kind, Weight

__all__ = ["KINDS", "clean", "show"]

_RIGHT = "12 N Main St Apt 4\nLima, OH 45801"


def _kind(what: str, about: str, wrong: str, weight: Weight = Weight.DOUBTFUL) -> Kind:
    return Kind(f"address.{what}", weight, about, wrong, _RIGHT)


MISSING = _kind("missing", "There is no address.", "n/a")
NO_STREET = _kind("no_street", "There is no street, box or route.", "Lima, OH 45801")
NO_NUMBER = _kind("no_number", "The street has no house number.", "Main St\nLima, OH 45801")
NO_CITY = _kind("no_city", "The city is missing.", "12 N Main St\nOH 45801")
NO_STATE = _kind("no_state", "The state is missing.", "12 N Main St\nLima 45801")
NO_ZIP = _kind("no_zip", "The ZIP code is missing.", "12 N Main St\nLima, OH")
NO_BOX = _kind("no_box", "The box number of the route is missing.", "RR 2\nLima, OH 45801")
OTHER_READING = _kind("other_reading", "It can be read in another way as well.",
                      "12 First St\nLima, OH 45801")  # fmt: skip
UNIT_NUMBER = _kind("unit_number", "The number of the apartment or unit is missing.",
                    "12 N Main St Apt\nLima, OH 45801")  # fmt: skip
CORNER = _kind(
    "corner", "Two streets cross there; it is no postal address.", "5th and High St\nLima, OH 45801"
)
UNSURE = _kind("unsure", "It is not clear where the street ends and the city begins.",
               "12 Lost Creek Bend Grove Lima OH 45899")  # fmt: skip
ABROAD = _kind("abroad", "It seems to be outside the United States; it is kept as written.",
               "12 Oak St\nToronto ON M5V 2T6")  # fmt: skip
KEPT_ASIDE = _kind("kept_aside", "Something that is no part of the delivery line is kept apart.",
                   "Attn: Office\n12 N Main St\nLima, OH 45801", Weight.MENDED)  # fmt: skip
OLD_NAME = _kind("old_name", "An old name of a route or a mail room was brought up to date.",
                 "Star Route 3 Box 19\nLima, OH 45801", Weight.MENDED)  # fmt: skip
BAD_ZIP = _kind(
    "bad_zip", "What stands for a ZIP code cannot be one.", "12 N Main St\nLima, OH 458011"
)
LOST_ZERO = _kind("lost_zero", "A spreadsheet took the ZIP code's leading zero; it is back.",
                  "12 N Main St\nSpringfield, MA 1103", Weight.MENDED)  # fmt: skip
UNIT_GUESSED = _kind("unit_guessed", "A number behind the street was taken for an apartment.",
                     "12 N Main St 4B\nLima, OH 45801")  # fmt: skip
LONG = _kind("long", "The text is far too long for an address; only its beginning was read.",
             _RIGHT + " " * 1000 + "x")  # fmt: skip

KINDS = (
    MISSING, NO_STREET, NO_NUMBER, NO_CITY, NO_STATE, NO_ZIP, NO_BOX, OTHER_READING, KEPT_ASIDE,
    OLD_NAME, BAD_ZIP, LOST_ZERO, UNIT_GUESSED, UNIT_NUMBER, CORNER, UNSURE, ABROAD, LONG,
)  # fmt: skip

LONGEST = 500  # characters read


def clean(said: str) -> Cleaned[Address]:
    """The address meant by `said` as Publication 28 writes it, and what is odd about it.

    `said` is one text; line breaks, " | " and commas may divide it. Never raises; `value` is None
    where nothing could be understood.

    >>> cleaned = clean("12 n. main street apt 4\\nLima, ohio 45801")
    >>> cleaned.value.lines, cleaned.value.city, cleaned.value.state
    (('12 N MAIN ST APT 4',), 'LIMA', 'OH')
    >>> cleaned.value.rules
    ('Pub 28 224', 'Pub 28 App B', 'Pub 28 223', 'Pub 28 213', 'Pub 28 231', 'Pub 28 234', 'Pub 28 233.21')
    """
    read = said[:LONGEST]
    lines = words.cut(read)
    if not lines or (len(lines) == 1 and " ".join(lines[0][0]) in _NOTHING):
        return Cleaned(said, None, (MISSING.found(read, "There is no address; ask for one."),))
    findings: list[Finding] = []
    if len(said) > LONGEST:
        note = f"Only the first {LONGEST} characters were read; ask for the address."
        findings.append(LONG.found(read, note))
    if abroad.here(lines):
        note = "This seems to be outside the United States and is kept as written; check it."
        findings.append(ABROAD.found(read, note))
        return Cleaned(said, Address("other", abroad.as_written(read)), tuple(findings))
    last = lastline.take(lines)
    if puerto_rico.here(last.state, last.zip5, lines):
        found = puerto_rico.read(lines)
    else:
        found = delivery.read(lines, abroad=last.state in MILITARY_STATES)
    part = found.main()
    value = _address(part, found, last)
    findings += _findings(read, value, part, last)
    return Cleaned(said, value, tuple(findings))


def show(value: Address) -> str:
    """The address in lines: delivery lines, then the last line (Publication 28, 211 and 212).

    >>> print(show(clean("12 n. main street apt 4\\nLima, ohio 45801").value))
    12 N MAIN ST APT 4
    LIMA OH 45801
    """
    zip9 = f"{value.zip5}-{value.zip4}" if value.zip4 else value.zip5
    last = " ".join(part for part in (value.city, value.state, zip9) if part)
    return "\n".join(line for line in (*value.lines, last) if line)


_NOTHING = frozenset(
    "NA|N A|NONE|NO|UNKNOWN|NULL|NIL|SAME|SAME AS ABOVE|TBD|X|XX|XXX|ASDF|HOMELESS|NO ADDRESS|NOT APPLICABLE|NINGUNA|NINGUNO|N/A".split(
        "|"
    )
)


def _address(part: Part, found: delivery.Delivery, last: lastline.LastLine) -> Address:
    line = part.line
    readings = [" ".join((text, *part.units)) for text in part.readings]
    readings += [f"{city} {last.state}".rstrip() for city in last.readings]
    return Address(
        part.kind,
        (*found.above, line) if line else tuple(found.above),
        last.city,
        last.state,
        last.zip5,
        last.zip4,
        part.number,
        part.predirectional,
        part.street,
        part.suffix,
        part.postdirectional,
        " ".join(part.units),
        " ".join(found.above),
        (*found.aside, last.bad_zip) if last.bad_zip else tuple(found.aside),
        _cited((*last.rules, *found.rules, *part.rules)),
        tuple(readings),
        0.5 if last.unsure else 0.8 if readings else 1.0,
    )


@lru_cache(maxsize=4096)
def _cited(rules: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"Pub 28 {rule}" for rule in dict.fromkeys(rules))


def _findings(said: str, value: Address, part: Part, last: lastline.LastLine) -> list[Finding]:
    """What a coordinator would want to know of this address."""
    found: list[Finding] = []
    if part.kind == "none":
        found.append(NO_STREET.found(said, "There is no street, box or route; ask for it."))
    elif part.kind == "corner":
        note = f"{part.text} is a corner; no mail can be sent there. Ask for the house number."
        found.append(CORNER.found(said, note))
    elif part.kind == "street" and not part.number:
        found.append(NO_NUMBER.found(said, f"{part.text} has no house number; ask for it."))
    for mark, text in part.marks:
        kind, note = _MARKS[mark]
        found.append(kind.found(said, note.format(text, line=part.text)))
    if last.lost_zero:
        note = f"ZIP code {last.lost_zero} had lost its leading zero: it is {last.zip5}."
        found.append(LOST_ZERO.found(said, note))
    if last.bad_zip:
        found.append(
            BAD_ZIP.found(
                said, f"{last.bad_zip} is no ZIP code, which has five digits; ask for it."
            )
        )
    if last.unsure:
        note = f"It is not clear where the street ends and the city begins; {last.city or 'none'} is taken for the city. Ask."
        found.append(UNSURE.found(said, note))
    if not (last.city and last.state and last.zip5):
        for kind, what, there in (
            (NO_CITY, "city", last.city),
            (NO_STATE, "state", last.state),
            (NO_ZIP, "ZIP code", last.zip5 or last.bad_zip),
        ):
            if not there:
                found.append(kind.found(said, f"The {what} is missing; ask for it."))
    if value.readings:
        why = [*part.why, *("the post office's own file says which" for _ in last.readings)]
        others = "; or ".join(
            f"{text} ({reason})" for text, reason in zip(value.readings, why, strict=True)
        )
        found.append(
            OTHER_READING.found(said, f"It could also be {others}. Ask if mail comes back.")
        )
    if value.aside:
        kept = "; ".join(value.aside)
        found.append(KEPT_ASIDE.found(said, f"Kept apart from the delivery line: {kept}."))
    return found


# what a part's mark says; {} is what was there, {line} the line as it is now
_MARKS = {
    "box": (NO_BOX, "{} has no box number; ask for it."),
    "old": (OLD_NAME, "{} is an old name; the line is now written {line}."),
    "number": (UNIT_NUMBER, "{} has no number; ask which it is."),
    "unit": (UNIT_GUESSED, "{} is taken for an apartment or unit; ask what it is."),
}
