"""What the values of a column say about its field: some fields can be known by their looks."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from onboard.tables import rows

# Too rare to be a witness: the lesser territories, and forces outside Europe.
_RARE_STATES = frozenset(("AA", "AP", "AS", "FM", "MH", "MP", "PW"))
STATES = frozenset(
    cell
    for code, name, _ in rows("address_states")
    if code not in _RARE_STATES
    for cell in (code, name)
) | {"US VIRGIN ISLANDS"}

_EMAIL = re.compile(r"[^\s@]{1,64}@[^\s@]{1,250}\.[^\s@.]{2,24}[.,;]?")
_NUMBER = re.compile(r"\+?[\d\s().\-/]{7,25}(?:(?:x|ext)[\s.]*\d{1,6})?", re.IGNORECASE)
_NANP = re.compile(r"1?[2-9]\d{2}[2-9]\d{6}")  # North American Numbering Plan: NXX-NXX-XXXX
_SCIENTIFIC = re.compile(r"\d(?:\.\d+)?E\+?\d{1,2}", re.IGNORECASE)
_ZIP = re.compile(r"\d{5}(?:-?\d{4})?(?:\.0)?")
_LAST_LINE = re.compile(r"[^\d,]{2,40}[, ]\s*[A-Za-z.]{2,20},?\s+\d{5}(?:-\d{4})?")


def _is_phone(text: str) -> bool:
    if _SCIENTIFIC.fullmatch(text):
        return True
    text = text.removesuffix(".0")
    if not _NUMBER.fullmatch(text):
        return False
    digits = re.sub(r"\D", "", re.split(r"[xe]", text, maxsplit=1, flags=re.IGNORECASE)[0])
    return _NANP.fullmatch(digits) is not None


_DAY = re.compile(
    r"\d{1,4}([/.-])\d{1,2}\1\d{1,4}(?: \d{1,2}:\d{2}.*)?|[A-Za-z]{3,10}\.? \d{1,2},? \d{4}"
)


def are_days(cells: Sequence[str]) -> bool:
    """Whether most of at least three cells are days.

    >>> are_days(["3/14/2019", "2/1/2020", "spring"]), are_days(["3/14/2019"])
    (True, False)
    """
    days = sum(_DAY.fullmatch(cell) is not None for cell in cells)
    return len(cells) > 2 and days * 2 >= len(cells)


WITNESSES: Mapping[str, Callable[[str], bool]] = {
    "email": lambda text: _EMAIL.fullmatch(text) is not None,
    "phone": _is_phone,
    "zip": lambda text: _ZIP.fullmatch(text) is not None,
    "state": lambda text: text.upper() in STATES,
    "last_line": lambda text: _LAST_LINE.fullmatch(text) is not None,
}


def shares(cells: Sequence[str]) -> dict[str, float]:
    """How many of the filled `cells` look like each field that has a look of its own."""
    if not cells:
        return dict.fromkeys(WITNESSES, 0.0)
    return {field: sum(test(c) for c in cells) / len(cells) for field, test in WITNESSES.items()}
