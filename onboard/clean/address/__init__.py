"""Postal addresses: the standard written form of USPS Publication 28 (October 2023).

Policy: nothing is claimed about delivery, which only a certified service knows; nothing that was
said is lost (`Address.aside`), and where the text allows another reading, that is said.
docs/addresses.md says the same for coordinators.
"""

from __future__ import annotations

from functools import lru_cache

from onboard.clean.address import (
    abroad,
    delivery,
    kinds,
    lastline,
    puerto_rico,
    street,
    typed,
    unit,
    words,
)
from onboard.clean.address.delivery import Delivery
from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.kinds import KINDS
from onboard.clean.address.lastline import LastLine
from onboard.clean.address.lookups import MILITARY_STATES, NOTHING
from onboard.clean.address.words import Line
from onboard.model import Address, Cleaned, Finding

__all__ = ["KINDS", "clean", "show"]

LONGEST = 500  # characters read


def clean(said: str) -> Cleaned[Address]:
    """The address meant by `said` as Publication 28 writes it, and what is odd about it.

    `said` is one text; line breaks, " | " and commas may divide it. Never raises; `value` is None
    where nothing could be understood.

    >>> cleaned = clean("12 n. main street apt 4\\nLima, ohio 45801")
    >>> cleaned.value.lines, cleaned.value.city, cleaned.value.state
    (('12 N MAIN ST APT 4',), 'LIMA', 'OH')
    >>> cleaned.value.rules[-3:]
    ('Pub 28 231', 'Pub 28 234.1', 'Pub 28 233.21')
    """
    text = said[:LONGEST]
    lines = words.cut(text)
    if not lines and abroad.other_letters(text):
        lines = [([text], True)]
    if len(lines) > 1:
        lines = [line for line in lines if len(line[0]) > 1 or line[0][0] not in NOTHING] or lines
    if not lines or (len(lines) == 1 and " ".join(lines[0][0]) in NOTHING):
        note = "There is no address. Ask for one."
        return Cleaned(said, None, (kinds.MISSING.found(text, note),))
    findings: list[Finding] = []
    if len(said) > LONGEST:
        note = f"Only the first {LONGEST} characters were read. Ask for the address."
        findings.append(kinds.LONG.found(text, note))
    if abroad.here(lines) or abroad.other_letters(text):
        note = "This seems to be outside the United States. It is kept as written. Check it."
        findings.append(kinds.ABROAD.found(text, note))
        return Cleaned(said, Address("other", abroad.as_written(text)), tuple(findings))
    part, found, last = _understood(lines)
    typed.note(text, part, last)
    value = _address(part, found, last)
    if _unusual(part, found, last):
        value = _settled(value)
    findings += kinds.found(text, part, last, found.aside)
    if value.readings and text == show(
        value
    ):  # as the standard writes it, so it was settled before
        findings = [one for one in findings if one.code != kinds.OTHER_FORM.code]
    if len(text) > LONGEST // 6 and len(show(value)) > LONGEST:  # no word comes out so much longer
        note = "The text is far too long to be an address. Ask for it."
        return Cleaned(said, None, (kinds.LONG.found(text, note),))
    return Cleaned(said, value, tuple(findings))


def show(value: Address) -> str:
    """The address in lines: delivery lines, then the last line (Publication 28, 211 and 212).

    >>> print(show(clean("12 n. main street apt 4\\nLima, ohio 45801").value))
    12 N MAIN ST APT 4
    LIMA OH 45801
    """
    zip9 = f"{value.zip5}-{value.zip4}" if value.zip4 else value.zip5
    last = " ".join([part for part in (value.city, value.state, zip9) if part])
    return "\n".join([line for line in (*value.lines, last) if line])


def _understood(lines: list[Line]) -> tuple[DeliveryLine, Delivery, LastLine]:
    if (
        len(lines) == 1
        and (part := street.tidy(lines[0][0]))
        and not puerto_rico.here("", "", lines)
    ):
        if part.units:
            unit.doubts(part, lines)
        return part, Delivery(tidy=True), LastLine()
    last = lastline.take(lines)
    if puerto_rico.here(last.state, last.zip5, lines):
        found = puerto_rico.read(lines)
    else:
        found = delivery.read(lines, abroad=last.state in MILITARY_STATES)
    part = found.main()
    if part.units:
        unit.doubts(part, lines)
    island = last.state == "PR" or bool(found.above)
    if island or not (part.number or part.suffix):
        puerto_rico.forms(part, found.above, island)
    return part, found, last


def _address(part: DeliveryLine, found: Delivery, last: LastLine) -> Address:
    line = part.line
    readings: tuple[str, ...] = ()
    confidence = 1.0
    if part.readings or last.readings:
        others = part.readings + last.readings
        readings = tuple([reading.text for reading in others])
        confidence = 0.9 if all(reading.form for reading in others) else 0.8
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
        readings,
        0.5 if last.unsure else confidence,
    )


def _unusual(part: DeliveryLine, found: Delivery, last: LastLine) -> bool:
    """Whether the written form might be understood otherwise than what was said."""
    if part.marks or found.aside or last.unsure or part.number.isalpha():
        return True
    if found.tidy:
        return False
    if not last.zip5 and (last.city or part.units):
        return True
    if part.kind == "street":
        return not part.number or not (part.suffix or "App F" in part.rules)
    return part.kind in ("corner", "none")


def _settled(value: Address) -> Address:
    """The address as its own written form is understood, so that it never changes again.

    What stood between the lines, such as a comma, may have told more than the written form does.
    """
    for _ in range(4):
        lines = words.cut(show(value))
        if not lines or abroad.here(lines):
            break
        again = _address(*_understood(lines))
        if again == value:
            break
        aside = (*value.aside, *(text for text in again.aside if text not in value.aside))
        value = again._replace(
            aside=aside,
            rules=tuple(dict.fromkeys((*value.rules, *again.rules))),
            readings=tuple(dict.fromkeys((*value.readings, *again.readings))),
            confidence=0.5,
        )
    return value


@lru_cache(maxsize=4096)
def _cited(rules: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"Pub 28 {rule}" for rule in dict.fromkeys(rules))
