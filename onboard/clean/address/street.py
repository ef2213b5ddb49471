"""Street lines (Publication 28, 23): number, directions, name, suffix."""

from __future__ import annotations

import re

from onboard.clean.address import highway, unit
from onboard.clean.address.lookups import DIRECTION_WORDS, DIRECTIONS, SUFFIX_WORDS, SUFFIXES
from onboard.clean.address.part import Part

_ORDINAL = re.compile(r"\d+(?:ST|ND|RD|TH)")
# D1 hyphenated, D3 and E12 alphanumeric and grid numbers, a decimal point (354)
_NUMBER = re.compile(
    r"\d+(?:-\d+)*(?:-?[A-Z]{1,2})?|\d+[NSEW]\d+|[A-HJ-Z]\d+(?:[NSEW]\d+)?|\d+\.\d+|[A-Z]\d+-\d+|\d+-?[A-Z]\d+"
)
_FRACTION = re.compile(r"[1-9]/[1-9]\d?")
_GRID = re.compile(r"[NSEW]\d+")
COUNTED = {
    word: i + 1
    for i, word in enumerate(
        "ONE TWO THREE FOUR FIVE SIX SEVEN EIGHT NINE TEN ELEVEN TWELVE".split()
    )
}
_ORDINALS = {
    "FIRST": "1ST", "SECOND": "2ND", "THIRD": "3RD", "FOURTH": "4TH", "FIFTH": "5TH", "SIXTH": "6TH",
    "SEVENTH": "7TH", "EIGHTH": "8TH", "NINTH": "9TH", "TENTH": "10TH", "ELEVENTH": "11TH",
    "TWELFTH": "12TH", "THIRTEENTH": "13TH", "FOURTEENTH": "14TH", "FIFTEENTH": "15TH",
    "SIXTEENTH": "16TH", "SEVENTEENTH": "17TH", "EIGHTEENTH": "18TH", "NINETEENTH": "19TH",
    "TWENTIETH": "20TH",
}  # fmt: skip
_SHORT_FIRST = {"ST": "SAINT", "MT": "MOUNT", "FT": "FORT", "PT": "POINT", "STE": "SAINTE"}
# suffixes after which a number is the road's own, not a unit
_NUMBERED = frozenset(
    ("HWY", "RTE", "RD", "LOOP", "EXPY", "FWY", "SPUR", "PIKE", "TPKE", "BYP", "TRL")
)
# abbreviations that are also words of their own, so never spelled out inside a name
_WORDS_TOO = frozenset(("VIA", "IS", "UN", "RAD", "EXP", "CENT", "VIS", "EST", "CURV", "FALL"))
_NS, _EW = frozenset("NS"), frozenset("EW")


def house_number(words: list[str]) -> tuple[str, int]:
    """The house number at the start of `words`, and how many words it takes; ("", 0) if none."""
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


def read(words: list[str], number: str = "", used: int = 0) -> Part:
    """A street line out of the words between commas; `number` took the first `used` of them."""
    words, units, after, rules = unit.split(words, start=1)
    part = Part("street", "", number=number, units=units, rules=rules)
    if after:
        units[-1] += " " + " ".join(after)
    if units and units[-1] in unit.CERTAIN:
        part.marks.append(("number", units[-1]))
    rest = words[used:]
    if used:
        part.rules.append(_number_rule(number))
    elif len(words) > 2 and words[0] in COUNTED and words[-1] in SUFFIXES:
        part.number, rest = words[0], words[1:]
        part.readings.append(str(COUNTED[words[0]]))
    if rest:
        _name(rest, part)
    part.text = _line(part)
    if (
        part.readings
        or part.street in _ORDINALS
        or part.street[:2] in _SHORT_FIRST
        or part.street[:3] == "STE"
    ):
        _finish(part)
    return part


def _number_rule(number: str) -> str:
    if "/" in number:
        return "D4"
    if "-" in number:
        return "D1"
    return "231" if number.isdigit() else "D3"


def _line(part: Part, **other: str) -> str:
    pieces = [
        part.number, part.predirectional, part.street, part.suffix, part.postdirectional
    ]  # fmt: skip
    for i, name in enumerate(("number", "predirectional", "street", "suffix", "postdirectional")):
        if name in other:
            pieces[i] = other[name]
    return " ".join([piece for piece in pieces if piece])


def _name(rest: list[str], part: Part) -> None:
    first = rest[0]
    found = highway.read(rest)
    if found is None and first in DIRECTIONS and len(rest) > 2:
        found = highway.read(rest[1:])
        if found:
            part.predirectional, rest = DIRECTIONS[first], rest[1:]
            part.rules.append("233.21")
    if found:
        written, used, other = found
        part.rules.append("App F")
        name, tail = written, rest[used:]
        _tail(name, tail, part)
        if other:
            part.readings.append("?" + other)
        return
    if len(rest) > 2 and len(first) == 1 and part.number.isdigit() and first not in DIRECTIONS:
        if rest[1] in DIRECTIONS:
            part.number, rest = part.number + first, rest[1:]  # E12.1: "214 B SOUTH BLVD"
        elif first.isalpha():
            part.readings.append("suffix:" + first)
    name = _after(rest, part)
    name = _suffix(name, part)
    name = _before(name, part)
    part.street = " ".join(_spelled(name, part))


def _tail(name: list[str], tail: list[str], part: Part) -> None:
    """What follows a highway's number: BYPASS, FRONTAGE ROAD, a direction (appendix F)."""
    if tail and tail[-1] in DIRECTIONS:
        part.postdirectional, tail = DIRECTIONS[tail[-1]], tail[:-1]
        part.rules.append("233.22")
    if tail and tail[-1] in SUFFIXES:
        part.suffix = SUFFIXES[tail[-1]]
        tail = [SUFFIX_WORDS.get(word, word) for word in tail[:-1]]
    part.street = " ".join(name + tail)


def _after(name: list[str], part: Part) -> list[str]:
    """Takes a direction after the suffix off the end (233.22, 233.23)."""
    n = len(name)
    if n < 2 or name[-1] not in DIRECTIONS:
        return name
    last, before = DIRECTIONS[name[-1]], name[-2]
    if (
        n >= 3
        and before in DIRECTIONS
        and DIRECTIONS[before] in _NS
        and last in _EW
        and (n > 3 or name[0] in SUFFIXES or len(name[-2]) > 1)
    ):
        if name[-3] in SUFFIXES or n > 3:
            part.postdirectional = DIRECTIONS[before] + last
            part.rules.append("233.23")
            return name[:-2]
    if before in SUFFIXES and n == 2 and len(name[-1]) == 1:
        if SUFFIXES[before] in ("AVE", "ST", "RD", "CT", "LN", "DR"):
            part.readings.append("letter")  # AVENUE E: a letter, not a direction (233.3)
            return name
    if n == 2 and before in DIRECTIONS:
        return name
    part.postdirectional = last
    part.rules.append("233.22")
    return name[:-1]


def _suffix(name: list[str], part: Part) -> list[str]:
    """Takes the suffix off the end: of two, only the last is one (234.2)."""
    if (
        len(name) >= 3
        and any(c.isdigit() for c in name[-1])
        and name[-2] in SUFFIXES
        and (SUFFIXES[name[-2]] not in _NUMBERED and not part.postdirectional)
    ):
        part.units.insert(0, f"# {name[-1]}")
        part.marks.append(("unit", name[-1]))
        name = name[:-1]
    elif len(name) >= 2 and not name[-1].isalpha() and not part.postdirectional:
        # "203 N WABASH 608": a street's name hardly ever ends in a number of its own
        last, before = name[-1], name[-2]
        if (
            last.isalnum()
            and not _ORDINAL.fullmatch(last)
            and len(before) > 1
            and before.isalpha()
            and before not in DIRECTIONS
            and SUFFIXES.get(before) not in _NUMBERED
            and before != "BUSINESS"
        ):
            part.units.insert(0, f"# {last}")
            part.marks.append(("unit", last))
            name = name[:-1]
    if len(name) >= 2 and name[-1] in SUFFIXES and name[:-1] != ["THE"]:
        part.suffix = SUFFIXES[name[-1]]
        part.rules.append("234.2" if name[-2] in SUFFIXES else "234")
        return name[:-1]
    return name


def _before(name: list[str], part: Part) -> list[str]:
    """Takes a direction before the name off the start (233.21, 233.23)."""
    if len(name) < 2 or name[0] not in DIRECTIONS:
        return name
    first = DIRECTIONS[name[0]]
    second = DIRECTIONS.get(name[1], "")
    if len(name) >= 3 and first in _NS and second in _EW:
        part.predirectional = first + second
        part.rules.append("233.23")
        part.readings.append("initials" if len(name[0]) == 1 else "second")
        return name[2:]
    if not part.suffix and not part.postdirectional and len(name) == 2 and name[1] in SUFFIXES:
        return name
    part.predirectional = first
    part.rules.append("233.21")
    name = name[1:]
    if name[0] in DIRECTION_WORDS:  # 233.23: of N-S and E-W, the second is the name
        name = [DIRECTION_WORDS[name[0]], *name[1:]]
    return name


def _spelled(name: list[str], part: Part) -> list[str]:
    """The name's own words: a direction or a suffix among them is spelled out (233.3, 234.2)."""
    last = name[-1]
    if part.suffix:
        if last in DIRECTION_WORDS:
            part.rules.append("233.3")
            if len(last) == 1:
                part.readings.append("letter:" + " ".join(name))
            name = [*name[:-1], DIRECTION_WORDS[last]]
        elif (
            last in SUFFIXES
            and last not in _WORDS_TOO
            and (len(name) > 1 or last == SUFFIXES[last])
        ):
            if SUFFIX_WORDS[last] != last and len(last) <= 4:
                name = [*name[:-1], SUFFIX_WORDS[last]]
    elif len(name) == 2 and last in DIRECTIONS and name[0] in SUFFIXES and len(last) == 1:
        name = [SUFFIX_WORDS[name[0]], last]
    elif len(name) == 2 and name[0] in SUFFIXES and len(last) <= 2:
        name = [SUFFIX_WORDS[name[0]], last]  # 345 AVENUE B
    return name


def _finish(part: Part) -> None:
    """Turns what the steps noticed into whole other readings."""
    noticed, part.readings = part.readings, []
    street = part.street
    first, _, others = street.partition(" ")
    for what in noticed:
        if what.startswith("letter:"):
            part.may_be(_line(part, street=what[7:]), "the letter may be a name and no direction")
        elif what.startswith("suffix:"):
            if street.startswith(what[7:] + " "):
                other = _line(part, number=part.number + what[7:], street=street[2:])
                part.may_be(other, "the letter may belong to the number")
        elif what == "letter":
            word, _, letter = street.partition(" ")
            part.may_be(
                _line(part, street=word, postdirectional=letter), "the letter may be a direction"
            )
        elif what == "initials":
            letters = " ".join(part.predirectional)
            part.may_be(
                _line(part, predirectional="", street=f"{letters} {street}"),
                "the letters may be initials",
            )
        elif what == "second":
            north, east = part.predirectional
            other = _line(part, predirectional=north, street=f"{DIRECTION_WORDS[east]} {street}")
            part.may_be(other, "the second direction may belong to the name")
        elif what.startswith("?"):
            words = what[1:].split()
            part.may_be(
                _line(part, street=" ".join(words + street.split()[len(words) :])),
                "ROAD or ROUTE: the state says which",
            )
        else:
            part.may_be(_line(part, number=what), "the number may be written in figures")
    if others and first in _SHORT_FIRST:
        part.may_be(
            _line(part, street=f"{_SHORT_FIRST[first]} {others}"),
            f"only the post office's own file says whether it writes {first} or {_SHORT_FIRST[first]}",
        )
    if street in _ORDINALS:
        part.may_be(
            _line(part, street=_ORDINALS[street]),
            "only the post office's own file says whether the number is a word or figures",
        )
