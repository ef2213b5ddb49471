"""The North American Numbering Plan: NXX-NXX-XXXX (ATIS-0300051; 47 CFR 52)."""

from __future__ import annotations

import re
from functools import cache

import phonenumbers
from phonenumbers import PhoneMetadata

_PLAIN = re.compile(r"(?:\+?1[ .-]?)?\(?([2-9]\d\d)\)?[ .-]?([2-9]\d\d)[ .-]?(\d{4})", re.ASCII)
_N11 = re.compile(r"[2-9]11")


@cache
def covers(region: str) -> bool:
    """Whether numbers of that region (ISO 3166) are of this plan."""
    return phonenumbers.country_code_for_region(region) == 1


@cache
def _places() -> re.Pattern[str]:
    """The pattern of ordinary numbers of the United States and Canada in the metadata."""
    patterns = []
    for region in ("US", "CA"):
        metadata = PhoneMetadata.metadata_for_region(region)
        assert metadata is not None
        patterns.append(metadata.fixed_line.national_number_pattern)
    return re.compile("|".join(f"(?:{pattern})" for pattern in patterns))


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
    if _N11.fullmatch(exchange) or not _places().fullmatch(national) or len(set(national)) == 1:
        return ""
    return national


def toll_free(area: str) -> bool:
    """Whether the area code is one of the toll-free ones in use, or 822, kept for later use."""
    return area in ("800", "833", "844", "855", "866", "877", "888")


# Codes of services, not of places (NANPA, "Non-geographic NPAs"; the wording is ours)
_SERVICES = {
    "700": "long-distance carriers", "710": "the US government", "600": "services in Canada",
    "622": "services in Canada", "633": "services in Canada", "644": "services in Canada",
    "655": "services in Canada", "677": "services in Canada", "688": "services in Canada",
    **dict.fromkeys(
        "500 521 522 523 524 525 526 527 528 529 532 533 535 538 542 543 544 545 546 547 549 550"
        " 552 553 554 556 566 558 569 577 578 588 589".split(),
        "personal services",
    ),
}  # fmt: skip


def service(area: str) -> str:
    """What an area code that is not of a place is for, or ""."""
    return _SERVICES.get(area, "")


def impossible(national: str) -> str:
    """Why ten digits cannot be a number of the plan, or "" if they can.

    >>> impossible("4192345678"), impossible("4111234567")
    ('', '411 is not an area code')
    """
    if len(national) != 10:
        return f"{national} has {len(national)} digits where ten belong"
    area, exchange = national[:3], national[3:6]
    if area[0] in "01":
        return f"No area code begins with {area[0]}, as in {area}"
    if exchange[0] in "01":
        return f"No number after the area code begins with {exchange[0]}, as in {exchange}"
    if _N11.fullmatch(area):
        return f"{area} is not an area code"
    if area[1] == "9" or area[:2] in ("37", "96"):
        # set aside for the day when numbers grow longer
        return f"Area codes such as {area} are set aside and not in use"
    if area in ("822", "880", "881", "882", "887", "889"):
        return f"{area} is kept for later use"
    if _N11.fullmatch(exchange) and not toll_free(area) and not service(area):
        return f"No number after the area code begins with {exchange}"
    return ""


def assigned(national: str) -> bool:
    """Whether the area code is known to be in use, by the metadata or the list of services."""
    if service(national[:3]) or _places().fullmatch(national):
        return True
    return phonenumbers.is_valid_number(phonenumbers.parse("+1" + national))
