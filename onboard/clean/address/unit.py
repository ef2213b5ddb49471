"""Secondary units (Publication 28, 213, appendix C2) and private mailboxes (285)."""

from __future__ import annotations

import re

from onboard.clean.address import highway
from onboard.clean.address.lookups import DIRECTIONS, SUFFIXES, UNITS, UNITS_ALONE

_ORDINAL = re.compile(r"(\d+)(?:ST|ND|RD|TH)")
_FLOORS = {"FIRST": "1", "SECOND": "2", "THIRD": "3", "FOURTH": "4", "FIFTH": "5", "SIXTH": "6",
           "SEVENTH": "7", "EIGHTH": "8", "NINTH": "9", "TENTH": "10", "GROUND": "GROUND"}  # fmt: skip
_TRIGGERS = frozenset(("#", "PMB", "PRIVATE", "NO", "NUMBER", *UNITS))
_NUMBER = frozenset(("#", "NO", "NUMBER", "NUM"))
# words that can stand for a number: "APT UPSTAIRS", "UNIT REAR"
_NO_NAMES = frozenset(("", "#", "&"))
CERTAIN = frozenset(("APT", "STE", "UNIT", "BLDG", "RM", "DEPT"))
WORDS = _TRIGGERS | _FLOORS.keys()  # words that can begin a unit
# designators that hold for whatever number follows
PLAIN = {form: unit for form, unit in UNITS.items() if unit in CERTAIN} | {"#": "#"}


def named(word: str) -> bool:
    """Whether a word can name a unit: it has a digit, or is one letter."""
    return (len(word) == 1 and word != "#" and word != "&") or any(c.isdigit() for c in word)


def begins(words: list[str], i: int = 0) -> bool:
    """Whether a unit stands at word `i`, whatever went before it."""
    word = words[i]
    if word.isalpha() and word not in _TRIGGERS and word not in _FLOORS:
        return False
    return _at(words, i, after=True) is not None


def _at(words: list[str], i: int, after: bool) -> tuple[int, str, str] | None:
    """The unit at word `i`: how many words it takes, how it is written, by which section.

    `after` says that the street was over before it (by a suffix, a comma or another unit).
    """
    word, left = words[i], len(words) - i - 1
    following = words[i + 1] if left else ""
    if word == "#":
        return (2, f"# {following}", "213.2") if following not in _NO_NAMES else None
    if word == "PMB":
        skip = 1 + (following in _NUMBER)
        return (
            (skip + 1, f"PMB {words[i + skip]}", "285")
            if left >= skip and words[i + skip] != "#"
            else None
        )
    if word == "PRIVATE" and following in ("MAILBOX", "MAIL"):
        skip = 2 + (words[i + 1 : i + 3] == ["MAIL", "BOX"])
        skip += i + skip < len(words) and words[i + skip] in _NUMBER
        return (skip + 1, f"PMB {words[i + skip]}", "285") if left >= skip else None
    if (standard := UNITS.get(word)) is not None:
        skip = 1 + (following in _NUMBER and left >= 2)
        name = words[i + skip] if left >= skip else ""
        if skip == 2 or (
            name
            and named(name)
            and not (name in DIRECTIONS and not after and standard not in CERTAIN)
        ):
            return skip + 1, f"{standard} {name}", "213"
        if not after:
            return None
        if (
            standard in CERTAIN
            and name not in _NO_NAMES
            and name not in UNITS
            and name not in SUFFIXES
        ):
            return skip + 1, f"{standard} {name}", "213"
        if standard in UNITS_ALONE and (not name or name in UNITS or name == "#"):
            return 1, standard, "App C2"
        if not left and standard in CERTAIN and i:
            return 1, standard, "213"
        if name and standard in CERTAIN and UNITS.get(name) in UNITS_ALONE and left == 1:
            return 2, f"{standard} {UNITS[name]}", "App C2"
        return None
    if following and UNITS.get(following) == "FL" and (after or i >= 2):
        if match := _ORDINAL.fullmatch(word):
            return 2, f"FL {match[1]}", "App C2"
        if word in _FLOORS:
            return 2, f"FL {_FLOORS[word]}", "App C2"
        if word.isdigit() and after and following != "FL":
            return 2, f"FL {word}", "App C2"
    if after and word in ("NO", "NUMBER") and any(map(str.isdigit, following)):
        return 2, f"# {following}", "213.2"
    return None


def split(words: list[str], start: int = 0) -> tuple[list[str], list[str], list[str], list[str]]:
    """The words before the first unit, the units, the words after them, and the sections used.

    >>> split(["12", "MAIN", "ST", "APT", "#", "4", "REAR"])
    (['12', 'MAIN', 'ST'], ['APT 4', 'REAR'], [], ['213', 'App C2'])
    """
    if _TRIGGERS.isdisjoint(words):
        return words, [], [], []
    units: list[str] = []
    rules: list[str] = []
    i, n = start, len(words)
    first = n
    while i < n:
        word = words[i]
        if not units and word not in _TRIGGERS and (word not in _FLOORS and word.isalpha()):
            i += 1
            continue
        after = (
            bool(units)
            or i == 0
            or (words[i - 1] in SUFFIXES and i >= 3)
            or (i >= 4 and words[i - 1] in DIRECTIONS and words[i - 2] in SUFFIXES)
        )
        if word in ("#", "NO", "NUMBER") and highway.awaits(words[:i]):
            i += 1
            continue
        found = _at(words, i, after)
        if found is None:
            if units:
                break
            i += 1
            continue
        first = min(first, i)
        many, unit, rule = found
        units.append(unit)
        rules.append(rule)
        i += many
    return words[:first], units, words[i:] if units else [], rules
