"""Postal addresses: the standard written form of USPS Publication 28 (October 2023).

Policy: nothing is claimed about delivery, which only a certified service knows; nothing that was
said is lost (`Address.aside`), and where the text allows another reading, that is said.
"""

from __future__ import annotations

from onboard.clean.address import delivery, lastline, puerto_rico, words
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
KEPT_ASIDE = _kind("kept_aside", "Something that is no part of the delivery line is kept apart.",
                   "Attn: Office\n12 N Main St\nLima, OH 45801", Weight.MENDED)  # fmt: skip
OLD_NAME = _kind("old_name", "An old name of a route or a mail room was brought up to date.",
                 "Star Route 3 Box 19\nLima, OH 45801", Weight.MENDED)  # fmt: skip
LOST_ZERO = _kind("lost_zero", "A spreadsheet took the ZIP code's leading zero; it is back.",
                  "12 N Main St\nSpringfield, MA 1103", Weight.MENDED)  # fmt: skip
UNIT_GUESSED = _kind("unit_guessed", "A number behind the street was taken for an apartment.",
                     "12 N Main St 4B\nLima, OH 45801")  # fmt: skip
LONG = _kind("long", "The text is far too long for an address; only its beginning was read.",
             _RIGHT + " " * 1000 + "x")  # fmt: skip

KINDS = (
    MISSING, NO_STREET, NO_NUMBER, NO_CITY, NO_STATE, NO_ZIP, NO_BOX, OTHER_READING, KEPT_ASIDE,
    OLD_NAME, LOST_ZERO, UNIT_GUESSED, LONG,
)  # fmt: skip

LONGEST = 500  # characters read


def clean(said: str) -> Cleaned[Address]:
    """The address meant by `said` as Publication 28 writes it, and what is odd about it.

    `said` is one text; line breaks, " | " and commas may divide it. Never raises; `value` is None
    where nothing could be understood.

    >>> cleaned = clean("12 n. main street apt 4\\nLima, ohio 45801")
    >>> cleaned.value.lines, cleaned.value.city, cleaned.value.rules
    (('12 N MAIN ST APT 4',), 'LIMA', ('Pub 28 224', 'Pub 28 App B', 'Pub 28 223', 'Pub 28 213', 'Pub 28 231', 'Pub 28 234', 'Pub 28 233.21'))
    """
    lines = words.cut(said[:LONGEST])
    if not lines or " ".join(lines[0][0]) in _NOTHING:
        note = "There is no address; ask for one."
        return Cleaned(said, None, (MISSING.found(said, note),))
    findings: list[Finding] = []
    last = lastline.take(lines)
    if puerto_rico.here(last.state, last.zip5, lines):
        found = puerto_rico.read(lines)
    else:
        found = delivery.read(lines, abroad=last.state in MILITARY_STATES)
    part = found.main()
    rules = [*last.rules, *found.rules, *(part.rules if part else ())]
    readings: list[str] = []
    if part is not None:
        _of_part(part, said, findings)
        readings += [" ".join((text, *part.units)) for text in part.readings]
    else:
        findings.append(NO_STREET.found(said, "There is no street, box or route; ask for it."))
    if len(said) > LONGEST:
        findings.append(
            LONG.found(
                said[:LONGEST],
                f"Only the first {LONGEST} characters were read; ask for the address.",
            )
        )
    _of_last(last, said, findings)
    readings += [f"{city} {last.state}".strip() for city in last.readings]
    if readings:
        why = (
            *(part.why if part else ()),
            *("the city has another spelling" for _ in last.readings),
        )
        note = "; ".join(
            f"could also be {text} ({reason})" for text, reason in zip(readings, why, strict=False)
        )
        findings.append(OTHER_READING.found(said, f"It {note}. Ask if mail comes back."))
    if found.aside:
        kept = "; ".join(found.aside)
        findings.append(KEPT_ASIDE.found(said, f"Kept apart from the delivery line: {kept}."))
    value = Address(
        kind=part.kind if part else "none",
        lines=(*found.above, part.line) if part else tuple(found.above),
        city=last.city,
        state=last.state,
        zip5=last.zip5,
        zip4=last.zip4,
        number=part.number if part else "",
        predirectional=part.predirectional if part else "",
        street=part.street if part else "",
        suffix=part.suffix if part else "",
        postdirectional=part.postdirectional if part else "",
        unit=" ".join(part.units) if part else "",
        urbanization=" ".join(found.above),
        aside=tuple(found.aside),
        rules=tuple(f"Pub 28 {rule}" for rule in dict.fromkeys(rules)),
        readings=tuple(readings),
        confidence=0.8 if readings or last.unsure else 1.0,
    )
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


def _of_part(part: Part, said: str, findings: list[Finding]) -> None:
    if part.kind == "street" and not part.number:
        findings.append(NO_NUMBER.found(said, f"{part.text} has no house number; ask for it."))
    for mark, text in part.marks:
        if mark == "box":
            findings.append(NO_BOX.found(said, f"{text} has no box number; ask for it."))
        elif mark == "old":
            findings.append(OLD_NAME.found(said, f"{text} is now written {part.text}."))
        elif mark == "unit":
            findings.append(
                UNIT_GUESSED.found(
                    said, f"{text} is taken for an apartment or unit; ask what it is."
                )
            )


def _of_last(last: lastline.LastLine, said: str, findings: list[Finding]) -> None:
    if last.lost_zero:
        findings.append(
            LOST_ZERO.found(
                said, f"ZIP code {last.lost_zero} had lost its leading zero: {last.zip5}."
            )
        )
    if not last.city:
        findings.append(NO_CITY.found(said, "The city is missing; ask for it."))
    if not last.state:
        findings.append(NO_STATE.found(said, "The state is missing; ask for it."))
    if not last.zip5:
        findings.append(NO_ZIP.found(said, "The ZIP code is missing; ask for it."))
