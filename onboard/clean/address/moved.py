"""Whether two addresses are two places, or one that is only written otherwise."""

from __future__ import annotations

import re

from rapidfuzz.distance import OSA

from onboard.model import Address

_DIGITS = re.compile(r"[0-9]+")


def is_elsewhere(on_file: Address, said: Address) -> bool:
    """Whether what was said is another place than the one on file: another number, box, street, ZIP code or
    apartment. One without the apartment that is on file is not, nor one in which a letter or two differ.

    >>> from onboard.clean import address
    >>> home, box, flat = (address.clean(f"{one}, Lima OH 45801").value for one in ("12 N Main St", "PO Box 12", "12 N Main St Apt 4"))
    >>> is_elsewhere(home, box), is_elsewhere(flat, home), is_elsewhere(home, flat)
    (True, False, True)
    """
    if said.unit and said.unit != on_file.unit:
        return True
    if on_file.zip5 and said.zip5 and on_file.zip5 != said.zip5:
        return True
    one, other = (_door(address) for address in (on_file, said))
    if _DIGITS.findall(one) != _DIGITS.findall(other):
        return True
    here, there = (re.sub(r"[^A-Z]", "", door) for door in (one, other))
    return here not in there and there not in here and OSA.distance(here, there) > 2


def _door(address: Address) -> str:
    """Its lines without the apartment."""
    lines = " ".join(address.lines)
    return lines.replace(address.unit, " ") if address.unit else lines
