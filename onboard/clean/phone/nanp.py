"""The North American Numbering Plan: NXX-NXX-XXXX (ATIS-0300051; 47 CFR 52)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import phonenumbers
from phonenumbers import PhoneMetadata

from onboard.clean.phone import digits, kinds
from onboard.model import Kind

_PLAIN = re.compile(
    r"(?:\+?1[ .-]?)?\(?([2-9][0-9]{2})\)?[ .-]?([2-9][0-9]{2})[ .-]?([0-9]{4})", re.ASCII
)
_N11 = re.compile(r"[2-9]11")
TOLL_FREE = frozenset(("800", "833", "844", "855", "866", "877", "888"))
_KEPT_FOR_LATER = frozenset(("822", "880", "881", "882", "887", "889"))

# Codes of services, not of places (NANPA, "Non-Geographic Area Codes"; list from memory, held
# against the metadata of phonenumbers in the tests)
_SERVICES = {
    **dict.fromkeys(
        (
            "500", "521", "522", "523", "524", "525", "526", "527", "528", "529", "532", "533",
            "535", "538", "542", "543", "544", "545", "546", "547", "549", "550", "552", "553",
            "554", "556", "558", "566", "569", "577", "578", "588", "589",
        ),
        "personal services",
    ),
    **dict.fromkeys(("600", "622", "633", "644", "655", "677", "688"), "services in Canada"),
    "700": "long-distance carriers",
    "710": "the US government",
}  # fmt: skip


@cache
def covers(region: str) -> bool:
    """Whether numbers of that region (ISO 3166) are of this plan.

    >>> covers("US"), covers("PR"), covers("DE")
    (True, True, False)
    """
    return phonenumbers.country_code_for_region(region) == 1


@cache
def _places() -> re.Pattern[str]:
    """The pattern of ordinary numbers of the United States and Canada in the metadata."""
    patterns = []
    for region in ("US", "CA"):
        metadata = PhoneMetadata.metadata_for_region(region)
        if metadata is not None and metadata.fixed_line is not None:
            patterns.append(f"(?:{metadata.fixed_line.national_number_pattern})")
    return re.compile("|".join(patterns))


def plain(said: str) -> str:
    """The ten digits of an ordinary number written in a usual way, or "".

    A short cut for most of what is typed: what it accepts, phonenumbers reads the same way and
    holds for valid.

    >>> plain("(419) 234-5678"), plain("419-911-5678")
    ('4192345678', '')
    """
    if len(said) > 20 or (match := _PLAIN.fullmatch(said)) is None:
        return ""
    area, exchange, line = match.groups()
    national = area + exchange + line
    fits = exchange[1:] != "11" and _places().fullmatch(national)
    return national if fits and not digits.placeholder(national) else ""


def impossible(national: str) -> str:
    """Why digits cannot be a number of the plan, or "" if they can.

    >>> impossible("4192345678"), impossible("4111234567")
    ('', 'No number after the area code starts with 1, as in 123')
    """
    area, exchange = national[:3], national[3:6]
    if len(national) != 10:
        return f"{national} has {len(national)} digits. There should be ten"
    if area[0] in "01":
        return f"No area code starts with {area[0]}, as in {area}"
    if exchange[0] in "01":
        return f"No number after the area code starts with {exchange[0]}, as in {exchange}"
    if _N11.fullmatch(area):
        return f"{area} is not an area code"
    if area[1] == "9" or area[:2] in ("37", "96"):
        # set aside for the day when numbers grow longer
        return f"Area codes such as {area} are not in use"
    if area in _KEPT_FOR_LATER:
        return f"{area} is not in use yet"
    if _N11.fullmatch(exchange) and area not in TOLL_FREE and area not in _SERVICES:
        return f"No number after the area code starts with {exchange}"
    return ""


def assigned(national: str) -> bool:
    """Whether the area code is known to be in use, by the metadata or the list of services."""
    if national[:3] in _SERVICES or _places().fullmatch(national):
        return True
    return phonenumbers.is_valid_number(phonenumbers.parse("+1" + national))


def is_ordinary(national: str) -> bool:
    """Whether there is nothing odd about ten digits of an area code in use: no `oddities`."""
    area = national[:3]
    return national[3:6] != "555" and area != "900" and area not in _SERVICES


def oddities(national: str) -> Iterator[tuple[Kind, str]]:
    """The kinds of finding about ten digits of an area code in use, each with its note."""
    area, exchange, line = national[:3], national[3:6], national[6:]
    if exchange == "555":
        # ATIS-0300115: 555-0100 to 0199 are kept for works of fiction; with 800 only 0199
        fiction = line == "0199" if area in TOLL_FREE else line[:2] == "01"
        if line == "1212":
            yield kinds.DIRECTORY, "This is directory assistance. Ask for the member's own number."
        elif fiction:
            yield kinds.FICTIONAL, "555-01XX numbers are for movies and tests. Nobody answers."
        else:
            yield kinds.NOT_IN_SERVICE, "Numbers with 555 are rarely in service. Ask again."
    if area == "900":
        yield kinds.PREMIUM, "Calls to 900 numbers cost extra. Ask for a regular number."
    if service := _SERVICES.get(area):
        yield (
            kinds.SPECIAL,
            f"{area} is the code for {service}, not for a place. Ask for a regular number.",
        )
