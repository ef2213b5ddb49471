"""Highways, county, state and township roads (Publication 28, 237 and appendix F).

The words are the street's name and are spelled out: COUNTY ROAD 441, US HIGHWAY 41.
"""

from __future__ import annotations

import re

from onboard.clean.address.lookups import STATES
from onboard.tables import rows

# the words before the number, in any written form -> as written; appendix F
_NAMES: dict[tuple[str, ...], str] = {
    tuple(form.split()): written for written, *forms in rows("address_highways") for form in forms[0].split(",")
}  # fmt: skip
_LONGEST = max(map(len, _NAMES))
_FIRST = frozenset(words[0] for words in _NAMES)
_NUMBER = re.compile(r"\d+[A-Z]{0,2}|\d+-[A-Z0-9]+|[A-Z]{1,2}-\d+[A-Z]?")
_LETTERS = re.compile(r"[A-Z]{1,2}")
_LETTERED = frozenset(("COUNTY HIGHWAY", "COUNTY ROAD", "STATE HIGHWAY", "STATE ROAD", "STATE ROUTE", "ROUTE",
                       "HIGHWAY", "COUNTY TRUNK HIGHWAY", "STATE SPUR"))  # fmt: skip
_INTERSTATE = re.compile(r"I-?(\d{1,3}[A-Z]?)")


def read(words: list[str]) -> tuple[list[str], int, str] | None:
    """The name at the start of `words` spelled out, how many words it took, another reading.

    >>> read(["CO", "RD", "441", "E"])
    (['COUNTY', 'ROAD', '441'], 3, '')
    >>> read(["COUNTY", "LINE", "RD"])
    """
    if found := _read(words):
        return found
    for i in range(1, min(4, len(words) - 1)):  # "OLD HIGHWAY 66", "ANDERSON COUNTY ROAD 312"
        if words[i] in _FIRST and words[i - 1].isalpha() and (found := _plain(words[i:])):
            return [*words[:i], *found[0]], found[1] + i, found[2]
    return None


def _read(words: list[str]) -> tuple[list[str], int, str] | None:
    first = words[0]
    if match := _INTERSTATE.fullmatch(first):
        return ["INTERSTATE", match[1]], 1, ""
    if first in _FIRST:
        found = _plain(words)
        if found:
            return found
    return _of_state(words) if first in STATES or first in _STATE_FIRST else None


def _plain(words: list[str]) -> tuple[list[str], int, str] | None:
    for many in range(min(_LONGEST, len(words) - 1), 0, -1):
        written = _NAMES.get(tuple(words[:many]))
        if written is None:
            continue
        number = words[many]
        if number in ("#", "NO") and many + 1 < len(words):
            many += 1
            number = words[many]
        if _NUMBER.fullmatch(number):
            if words[0] == "SR":  # appendix F prints ROAD; many states say ROUTE
                return ["STATE", "ROAD", number], many + 1, f"STATE ROUTE {number}"
            return [*written.split(), number], many + 1, ""
        if (
            _LETTERS.fullmatch(number)
            and written in _LETTERED
            and (many > 1 or words[0] == "SR")
            and (len(words) == many + 1)
        ):
            if words[0] == "SR":
                return ["STATE", "ROUTE", number], many + 1, f"STATE ROAD {number}"
            return [*written.split(), number], many + 1, ""
    return None


_STATE_FIRST = frozenset(name.split()[0] for name in STATES)


def _of_state(words: list[str]) -> tuple[list[str], int, str] | None:
    """KENTUCKY 440 is KY HIGHWAY 440; CALIFORNIA COUNTY ROAD 555 is CA COUNTY ROAD 555."""
    for many in range(min(3, len(words) - 1), 0, -1):
        code = STATES.get(" ".join(words[:many]))
        if code is None:
            continue
        if (found := _plain(words[many:])) and words[many] != "I":
            written, used, _ = found
            return [code, *written], many + used, ""
        if re.fullmatch(r"\d+[A-Z]?", words[many]):
            return [code, "HIGHWAY", words[many]], many + 1, ""
    return None


def awaits(words: list[str]) -> bool:
    """Whether a road's own number is still to come after these words of a line.

    >>> awaits(["12", "STATE", "HWY"]), awaits(["12", "MILL", "RD"])
    (True, False)
    """
    return any(tuple(words[i:]) in _NAMES for i in (0, 1, 2) if i < len(words))
