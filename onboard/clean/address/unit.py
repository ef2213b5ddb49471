"""Secondary units (Publication 28, 213, appendix C2) and private mailboxes (285)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from onboard.clean.address import highway
from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lookups import DIRECTIONS, SUFFIXES, UNITS, UNITS_ALONE, bag
from onboard.clean.address.words import Line

_ORDINAL = re.compile(r"(\d+)(?:ST|ND|RD|TH)")
_FLOORS = {"FIRST": "1", "SECOND": "2", "THIRD": "3", "FOURTH": "4", "FIFTH": "5", "SIXTH": "6",
           "SEVENTH": "7", "EIGHTH": "8", "NINTH": "9", "TENTH": "10", "GROUND": "GROUND"}  # fmt: skip
_ROMAN = {"I": "1", "II": "2", "III": "3", "IV": "4", "V": "5", "VI": "6", "VII": "7", "VIII": "8"}
_TRIGGERS = frozenset(("#", "PMB", "PRIVATE", "NO", "NUMBER", *UNITS))
_NUMBER = frozenset(("#", "NO", "NUMBER", "NUM"))
# words that can stand for a number: "APT UPSTAIRS", "UNIT REAR"
_NO_NAMES = frozenset(("", "#", "&"))
CERTAIN = frozenset(("APT", "STE", "UNIT", "BLDG", "RM", "DEPT"))
# designators in use whose meaning or spelling appendix C2 leaves open
_NOT_LISTED = bag("HANGAR UPSTAIRS DOWNSTAIRS SP OFF")
_OPEN = {"#", "FL"} | {UNITS[form] for form in _NOT_LISTED}
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


def mailbox(unit: str) -> bool:
    """A private mailbox, which comes after all other units (285)."""
    return unit.startswith("PMB ")


def doubts(part: DeliveryLine, lines: list[Line]) -> None:
    """Notes what else the units of a line could be, or how else they may be written."""
    last = part.units[-1]
    if part.kind == "po box" and mailbox(last):  # 285 prints such a line, and says it cannot be
        part.marks.append(("two boxes", last))
        for one in (part.text, last):
            part.line_may_be(one, "only one of the two gets the mail", form=False)
    elif len(part.units) > 1 and last.startswith("# ") and part.units[0][0] != "#":
        part.marks.append(("mailbox", last[2:]))
        line = f"{part.line.removesuffix(last)}PMB {last[2:]}"
        part.line_may_be(line, "it may be a private mailbox, rule 285", form=False)
    if last in CERTAIN:
        part.marks.append(("number", last))
    if not part.number:
        _house(part)
    for unit in part.units:
        kind, _, name = unit.partition(" ")
        if kind not in _OPEN and "-" not in name:
            continue
        for other, why in _other_forms(kind, name, part, lines):
            units = [other if each is unit else each for each in part.units]
            part.line_may_be(" ".join((part.text, *units)).lstrip(), why)


def _house(part: DeliveryLine) -> None:
    """Notes what could be the house number of a line that has none."""
    for mark, number in part.marks:
        if mark == "unit":  # "MAIN ST 12"
            units = [unit for unit in part.units if unit != f"# {number}"]
            line = " ".join((part.written(number=number), *units))
            part.line_may_be(line, "the number may be the house number", form=False)
    name, _, last = part.street.rpartition(" ")
    if name and last in _ROMAN and not part.suffix:
        line = " ".join((_ROMAN[last], name, *part.units))
        why = "the number may be the building's, and so the house number, rule I22.2"
        part.line_may_be(line, why, form=False)


def _other_forms(
    kind: str, name: str, part: DeliveryLine, lines: list[Line]
) -> Iterator[tuple[str, str]]:
    if kind == "#" and part.kind == "street" and name.isdigit() and len(name) >= 4:
        # four digits are seldom an apartment's
        yield f"PMB {name}", "it may be a private mailbox, rule 285"
        yield f"UNIT {name}", "it may be a PO box with a street address, rule 284"
    if "-" in name:
        joined = "" if re.search("[A-Z]", name) else " "
        yield (
            f"{kind} {name.replace('-', joined)}",
            "the postal guide allows the hyphen, rule A1, and takes it out, rule 354",
        )
    if kind not in _OPEN:
        return
    if kind == "#" and name.isdigit() and any("#" in words for words, _ in lines):
        return
    said = [word for words, _ in lines for word in words]
    if kind == "#":
        marked = any(one in _NUMBER and other == name for one, other in pairwise(said))
        if marked and "#" not in said:
            yield f"UNIT {name}", "the postal guide says nothing about NO, rule 213.2"
    elif kind == "FL":
        for word in said:
            counted = _ORDINAL.fullmatch(word)
            if _FLOORS.get(word) == name != word or (counted and counted[1] == name):
                yield (
                    f"FL {word}",
                    "the postal guide does not show how to count floors, appendix C2",
                )
    else:
        for word in said:
            if word in _NOT_LISTED and UNITS[word] == kind:
                yield (
                    f"{word} {name}".rstrip(),
                    f"the postal guide does not list {word}, appendix C2",
                )
