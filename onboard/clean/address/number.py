"""House numbers (Publication 28, appendices D and E): hyphens, letters, grids, fractions."""

from __future__ import annotations

import re

_ORDINAL = re.compile(r"\d+(?:ST|ND|RD|TH)")
_NUMBER = re.compile(
    r"\d+(?:-\d+)*(?:-?[A-Z]{1,2})?"  # 158A (E12.1), 112-10 (D1), 12-B
    r"|\d+[NSEW]\d+"  # 6W220 (E12.5)
    r"|[A-HJ-Z]\d+(?:[NSEW]\d+)?|[A-Z]\d+-\d+|[A-Z]{2}\d+"  # N6W23001 (D3), B7; but I10 is a highway
    r"|\d+\.\d+"  # the point of 39.2 stays (354)
    r"|\d+-?[A-Z]\d+"
)
_FRACTION = re.compile(r"[1-9]/[1-9]\d?")
_GRID = re.compile(r"[NSEW]\d+")
COUNTED = {
    "ONE": "1", "TWO": "2", "THREE": "3", "FOUR": "4", "FIVE": "5", "SIX": "6", "SEVEN": "7",
    "EIGHT": "8", "NINE": "9", "TEN": "10", "ELEVEN": "11", "TWELVE": "12",
}  # fmt: skip


def ordinal(word: str) -> bool:
    """Whether a word is a number that counts places, as in 5TH AVE."""
    return not word.isalpha() and _ORDINAL.fullmatch(word) is not None


def take(words: list[str]) -> tuple[str, int]:
    """The house number at the start of `words`, and how many words it takes; ("", 0) if none.

    >>> take(["123", "1/2", "MAIN"]), take(["N6", "W23001", "BLUEMOUND", "RD"]), take(["5TH", "AVE"])
    (('123 1/2', 2), ('N6W23001', 2), ('', 0))
    """
    first = words[0]
    used = 1
    if not first.isdigit():
        if first.isalpha() or _ORDINAL.fullmatch(first) or not _NUMBER.fullmatch(first):
            return "", 0
        if len(words) > 2 and _GRID.fullmatch(first) and _GRID.fullmatch(words[1]):
            first += words[1]  # D3
            used = 2
    if len(words) > used and "/" in words[used] and _FRACTION.fullmatch(words[used]):
        return f"{first} {words[used]}", used + 1  # D4, E13
    return first, used


def rule(number: str) -> str:
    """The section that a house number's form comes under.

    >>> rule("101"), rule("112-10"), rule("6W220"), rule("57 3/4")
    ('231', 'D1', 'D3', 'D4')
    """
    if number.isdigit():
        return "231"
    return "D4" if "/" in number else "D1" if "-" in number else "D3"
