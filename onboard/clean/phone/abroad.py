"""Numbers of any country, by the metadata of phonenumbers (ITU-T E.164 and the national plans)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import phonenumbers
from phonenumbers import Leniency, NumberParseException, PhoneNumberFormat, PhoneNumberMatcher


@dataclass(frozen=True, slots=True)
class Number:
    """A number in E.164 and its extension."""

    e164: str
    extension: str = ""


# Numbers that changed, and that people still write the old way: Mexico dropped the 1 before
# mobile numbers on 3 August 2019 (notice in the ITU Operational Bulletin, from memory).
_CHANGED = ((re.compile(r"\+521(\d{10})"), r"+52\1"),)


def _number(parsed: phonenumbers.PhoneNumber) -> Number | None:
    e164 = phonenumbers.format_number(parsed, PhoneNumberFormat.E164)
    if len(e164) > 16:
        return None  # 15 digits at most (ITU-T E.164, 6.2.1); the metadata of Germany has more
    if phonenumbers.is_valid_number(parsed):
        return Number(e164, parsed.extension or "")
    for old, new in _CHANGED:
        if old.fullmatch(e164) and (number := whole(old.sub(new, e164))):
            return Number(number.e164, parsed.extension or "")
    return None


def whole(text: str, region: str | None = None) -> Number | None:
    """The number (E.164) that all of `text` is, or None; `region` as for `phone.clean`.

    >>> whole("0171 1234567", "DE").e164, whole("+52 1 55 1234 5678").e164
    ('+491711234567', '+525512345678')
    """
    try:
        return _number(phonenumbers.parse(text, region))
    except NumberParseException:
        return None


def among(text: str, region: str | None = None) -> Iterator[tuple[int, int, Number]]:
    """The numbers (E.164) among the words of `text`, each after the places where it begins and ends."""
    for match in PhoneNumberMatcher(text, region, leniency=Leniency.POSSIBLE):
        if number := _number(match.number):
            yield match.start, match.end, number


def country_code(digits: str) -> bool:
    """Whether the digits are a country code that is in use.

    >>> country_code("44"), country_code("999")
    (True, False)
    """
    return int(digits) in phonenumbers.COUNTRY_CODE_TO_REGION_CODE
