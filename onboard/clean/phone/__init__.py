"""Telephone numbers: ITU-T E.164, the North American plan's own rules, RFC 3966 for writing.

Policy: a number that can be one is kept, with a word about what is odd; nothing is ever made up,
such as an area code that was not given. No finding about a phone is more than doubtful: a member
without a good number is still a member. docs/contacts.md says the same for coordinators.
"""

from __future__ import annotations

import phonenumbers
from phonenumbers import PhoneNumberFormat

from onboard.clean.phone import nanp
from onboard.clean.phone.cell import PhoneCell
from onboard.clean.phone.kinds import KINDS
from onboard.model import Cleaned, Phone

__all__ = ["KINDS", "clean", "read_aloud", "show", "stored_aloud"]


def clean(said: str, *, region: str = "US", area_codes: tuple[str, ...] = ()) -> Cleaned[Phone]:
    """The number meant by `said` in E.164, its extension, and what is odd about it.

    `region`: ISO 3166 letters of where a number without a country code is. `area_codes`: those
    of the member's ZIP code, offered as a suggestion where none was given. Never raises;
    `value` is None where no whole number was given.

    >>> cleaned = clean("h: (419) 234-5678 x12")
    >>> cleaned.value.e164, cleaned.value.extension
    ('+14192345678', '12')
    >>> clean("234-5678", area_codes=("419", "567")).findings[0].note
    'The area code is missing. Ask if it is (419) 234-5678 or (567) 234-5678.'
    """
    region = region.upper()
    if nanp.covers(region) and (national := nanp.plain(said)):
        phone = Phone("+1" + national)
        if nanp.is_ordinary(national):
            return Cleaned(said, phone)
        findings = tuple(kind.found(said, note) for kind, note in nanp.oddities(national))
        return Cleaned(said, phone, findings)
    return PhoneCell(said, region, area_codes).result()


def show(value: Phone) -> str:
    """The number as an RFC 3966 URI, and any others of the same cell, one a line.

    >>> show(clean("(419) 234-5678 x12").value)
    'tel:+14192345678;ext=12'
    """
    first = f"tel:{value.e164}" + (f";ext={value.extension}" if value.extension else "")
    return "\n".join((first, *(f"tel:{other}" for other in value.others)))


def read_aloud(value: Phone) -> str:
    """The number as people write and say it: with area code, and "+" if from abroad.

    >>> read_aloud(clean("419.234.5678x12").value), read_aloud(clean("+442079460018").value)
    ('(419) 234-5678 ext. 12', '+44 20 7946 0018')
    """
    if value.e164.startswith("+1"):
        national = value.e164[2:]
        text = f"({national[:3]}) {national[3:6]}-{national[6:]}"
    else:
        parsed = phonenumbers.parse(value.e164)
        text = phonenumbers.format_number(parsed, PhoneNumberFormat.INTERNATIONAL)
    return f"{text} ext. {value.extension}" if value.extension else text


def said_aloud(said: str, *, region: str = "US") -> str:
    """A number as somebody wrote it in the settings, as people write and say it; as it stands if it is none.

    >>> said_aloud("+14195550143"), said_aloud("419.555.0143"), said_aloud("ask at the shop")
    ('(419) 555-0143', '(419) 555-0143', 'ask at the shop')
    """
    value = clean(said, region=region).value
    return read_aloud(value) if value else said


def stored_aloud(numbers: str) -> str:
    """A member's phone as people write and say it, several parted by commas; as it stands where a roster that was
    taken over holds it in no standard form.

    >>> stored_aloud("tel:+14195550143;ext=12\\ntel:+442079460018"), stored_aloud("tel:419-555-0143")
    ('(419) 555-0143 ext. 12, +44 20 7946 0018', '419-555-0143')
    """
    said = []
    for line in numbers.splitlines():
        number, _, extension = line.removeprefix("tel:").partition(";ext=")
        # E.164: a plus and digits.
        is_standard = number.startswith("+") and number[1:].isdecimal()
        known = is_standard and phonenumbers.is_possible_number_string(number, "ZZ")
        said.append(read_aloud(Phone(number, extension)) if known else line.removeprefix("tel:"))
    return ", ".join(said)
