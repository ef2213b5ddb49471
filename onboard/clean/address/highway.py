"""Highways, county, state and township roads (Publication 28, 237 and appendix F).

The words are the street's name and are spelled out: COUNTY ROAD 441, US HIGHWAY 41.
"""

from __future__ import annotations

import re

from onboard.clean.address.lookups import DIRECTIONS, STATE_BEGINS, STATES, SUFFIXES, lengths
from onboard.tables import rows

# the words before the number, in any written form -> as written; appendix F
_NAMES: dict[tuple[str, ...], str] = {
    tuple(form.split()): written for written, *forms in rows("address_highways")
    for form in ",".join(forms).split(",")
}  # fmt: skip
NOT_LISTED = {form for _, _, *forms in rows("address_highways") for form in ",".join(forms).split(",")}  # fmt: skip
_FIRST = lengths(_NAMES, 0)
WORDS = _FIRST.keys() | STATE_BEGINS.keys()  # words that can begin a highway's name
_NUMBER = re.compile(r"\d+[A-Z]{0,2}|\d+-[A-Z0-9]+|[A-Z]{1,2}-\d+[A-Z]?")
_BARE = re.compile(r"\d+[A-Z]?")
_LETTERS = re.compile(r"[A-Z]{1,3}")
_LETTERED = frozenset(("COUNTY HIGHWAY", "COUNTY ROAD", "STATE HIGHWAY", "STATE ROAD", "STATE ROUTE", "ROUTE",
                       "HIGHWAY", "COUNTY TRUNK HIGHWAY", "STATE SPUR"))  # fmt: skip
# names that another word may stand before: OLD HIGHWAY 66, ANDERSON COUNTY ROAD 312
_INSIDE = frozenset(("COUNTY HIGHWAY", "COUNTY ROAD", "HIGHWAY", "ROUTE", "STATE HIGHWAY", "STATE ROAD",
                     "STATE ROUTE", "US HIGHWAY", "FM"))  # fmt: skip
# words that a letter may follow as the road's own: COUNTY ROAD E
_BEFORE_LETTERS = frozenset(words[-1] for words, written in _NAMES.items() if written in _LETTERED)
_INTERSTATE = re.compile(r"I-?(\d{1,3}[A-Z]?)")


def possible(words: list[str]) -> bool:
    """Whether a line has what every highway has: a digit, or a kind of road before its letter.

    >>> possible(["N", "MAIN", "ST"]), possible(["OLD", "HWY", "66"]), possible(["CO", "RD", "E"])
    (False, True, True)
    """
    return not "".join(words).isalpha() or not _BEFORE_LETTERS.isdisjoint(words[:-1])


def read(words: list[str]) -> tuple[list[str], int] | None:
    """The name at the start of `words` spelled out, and how many words it took; or None.

    >>> read(["CO", "RD", "441", "E"]), read(["OLD", "HWY", "66"])
    ((['COUNTY', 'ROAD', '441'], 3), (['OLD', 'HIGHWAY', '66'], 3))
    >>> read(["COUNTY", "LINE", "RD"])
    """
    first = words[0]
    if match := _INTERSTATE.fullmatch(first):
        return ["INTERSTATE", match[1]], 1
    if first in _FIRST and (found := _plain(words)):
        return found
    if first in STATE_BEGINS and (found := _of_state(words)):
        return found
    if len(words) < 3 or "".join(words).isalpha():
        return None
    for i in range(1, min(4, len(words) - 1)):
        if words[i] in _FIRST and words[i - 1].isalpha() and (found := _plain(words[i:])):
            name, used = found
            if name[-1][0].isdigit() and " ".join(name[:-1]) in _INSIDE:
                return [*words[:i], *name], used + i
    return None


def _plain(words: list[str]) -> tuple[list[str], int] | None:
    """A road's kind and its number, or the letter of some kinds."""
    for many in _FIRST.get(words[0], ()):
        written = _NAMES.get(tuple(words[:many])) if many < len(words) else None
        if written is None:
            continue
        number, used = words[many], many + 1
        if number in ("#", "NO") and used < len(words):
            number, used = words[used], used + 1
        if _NUMBER.fullmatch(number):
            return [*written.split(), number], used
        if (
            _LETTERS.fullmatch(number)
            and written in _LETTERED
            and (used == len(words) or (words[used:] == [words[-1]] and words[-1] in DIRECTIONS))
        ):
            if number in SUFFIXES and len(number) > 2:
                return None  # COUNTY HIGHWAY WAY
            if many > 1 or words[0] == "SR":  # SR MM is a STATE ROUTE, SR 220 a STATE ROAD
                written = "STATE ROUTE" if words[0] == "SR" else written
                return [*written.split(), number], used
    return None


def _of_state(words: list[str]) -> tuple[list[str], int] | None:
    """KENTUCKY 440 is KY HIGHWAY 440; CALIFORNIA COUNTY ROAD 555 is CA COUNTY ROAD 555."""
    for many in STATE_BEGINS[words[0]]:
        if many < len(words) and (code := STATES.get(" ".join(words[:many]))):
            if words[many] != "I" and (found := _plain(words[many:])):
                return [code, *found[0]], many + found[1]
            if _BARE.fullmatch(words[many]):
                return [code, "HIGHWAY", words[many]], many + 1
    return None


def awaits(words: list[str]) -> bool:
    """Whether a road's own number is still to come after these words of a line.

    >>> awaits(["12", "STATE", "HWY"]), awaits(["12", "MILL", "RD"])
    (True, False)
    """
    start = 1 if len(words) > 1 and words[0].isdigit() else 0
    if len(words) > start + 1 and words[start] in DIRECTIONS:
        start += 1
    return tuple(words[start:]) in _NAMES
