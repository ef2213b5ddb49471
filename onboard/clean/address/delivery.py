"""The lines above the last one: which of them the mail goes to, and what is kept aside."""

from __future__ import annotations

import re
from collections.abc import Callable

from onboard.clean.address import box, military, route, street, unit
from onboard.clean.address.lookups import SUFFIXES
from onboard.clean.address.part import Part
from onboard.clean.address.words import Line

_Maker = Callable[[re.Match[str]], Part]
# in this order: the first that fits a place in the text has it
_INSIDE: tuple[tuple[re.Pattern[str], _Maker], ...] = (
    (military.PATTERN, military.read),
    (route.CONTRACT, route.contract),
    (route.RURAL, route.rural),
    (route.REVERSED, route.either),
    (box.PATTERN, box.box),
    (box.GENERAL, box.general),
)
# these only where a line begins
_ALONE: tuple[tuple[re.Pattern[str], _Maker], ...] = (
    (route.CONTRACT_ALONE, route.contract),
    (route.RURAL_ALONE, route.rural),
    (military.ALONE, military.read),
    (box.ALONE, box.box),
)
_ABROAD: tuple[tuple[re.Pattern[str], _Maker], ...] = (
    (military.UNIT_ALONE, military.read),
    (military.SHIP, military.ship),
)
_CARRIED = box.WORDS | route.WORDS | military.WORDS
_ATTENTION = frozenset(("ATTN", "ATTENTION", "ATT", "C/O"))
_ONLY_AT_START = frozenset(("RD", "R", "RT", "RTE", "ROUTE", "SR", "P", "BOX", "HC", "UNIT", "RR"))


class Delivery:
    """What the lines above the last one hold, in their order."""

    def __init__(self) -> None:
        self.parts: list[Part] = []
        self.aside: list[str] = []
        self.units: list[str] = []  # units that stood before any street
        self.loose: list[str] = []  # words that are no delivery line by themselves
        self.above: list[str] = []  # lines above the street: an urbanization (292)
        self.rules: list[str] = []

    def add(self, part: Part) -> None:
        if self.units and part.kind == "street":
            part.units += self.units
            self.units = []
        self.parts.append(part)

    def main(self) -> Part | None:
        """The line the mail goes to: the one above the last line (215), if it has a number."""
        if not self.parts:
            if not self.loose:
                return None
            self.parts.append(street.read(self.loose.pop().split()))
        chosen = next(
            (p for p in reversed(self.parts) if p.number or p.kind != "street"), self.parts[0]
        )
        for part in self.parts:
            if part is not chosen:
                self.aside.append(part.line)
                self.rules.append("215")
        self.aside = self.loose + self.aside
        if chosen.kind != "street":
            self.aside, self.above = self.above + self.aside, []
        if self.units:
            chosen.units += self.units
        return chosen


def read(
    lines: list[Line],
    abroad: bool = False,
    understand: Callable[[list[str], Delivery], None] | None = None,
) -> Delivery:
    """The delivery lines; `abroad` says that the last line is military (225.1).

    `understand` reads the words between two commas where a place has rules of its own.
    """
    found = Delivery()
    understand = understand or segment
    for piece in _pieces(lines, abroad):
        if isinstance(piece, Part):
            found.add(piece)
        else:
            understand(piece, found)
    return found


def _pieces(lines: list[Line], abroad: bool) -> list[Part | list[str]]:
    """Boxes and routes as parts, and the words between them."""
    segments = _joined(lines)
    if all(_CARRIED.isdisjoint(words) for words in segments):
        return list(segments)
    text = ", ".join(" ".join(words) for words in segments)
    pieces: list[Part | list[str]] = []
    at = begin = 0
    while at < len(text):
        starts = at == 0 or text[at - 2 : at] == ", "
        match, maker = _match(text, at, starts, abroad)
        if match is not None and maker is not None:
            if not starts and (text[begin:at].strip(" ,")):
                pieces += _words(text[begin:at])
            elif starts:
                pieces += _words(text[begin:at])
            pieces.append(maker(match))
            at = begin = match.end()
        else:
            space = text.find(" ", at)
            if space < 0:
                break
            at = space + 1
            continue
        while at < len(text) and text[at] in " ,":
            at += 1
    pieces += _words(text[begin:])
    return pieces


def _match(
    text: str, at: int, starts: bool, abroad: bool
) -> tuple[re.Match[str] | None, _Maker | None]:
    word = text[at : text.find(" ", at)] if " " in text[at:] else text[at:]
    if word.rstrip(",") not in _CARRIED:
        return None, None
    if starts or word not in _ONLY_AT_START:
        for pattern, maker in _INSIDE:
            if match := pattern.match(text, at):
                return match, maker
    if starts:
        for pattern, maker in (*_ALONE, *(_ABROAD if abroad else ())):
            if match := pattern.match(text, at):
                return match, maker
    return None, None


def _words(text: str) -> list[list[str]]:
    return [words for piece in text.split(",") if (words := piece.split())]


def _joined(lines: list[Line]) -> list[list[str]]:
    """The words between commas; a comma inside a street's name or after its number is undone."""
    segments: list[list[str]] = []
    for words, new in lines:
        last = segments[-1] if segments else None
        if last and not new and (
            (len(last) == 1 and street.house_number(last)[1] and not unit.begins(words))
            or (
                words[-1] in SUFFIXES and len(words) <= 2 and not words[0][0].isdigit()
                and street.house_number(last)[1] and not any(w in SUFFIXES for w in last[2:])
                and not unit.begins(words)
            )
        ):  # fmt: skip
            segments[-1] = last + words
        else:
            segments.append(words)
    return segments


def segment(words: list[str], found: Delivery) -> None:
    first = words[0]
    if first in _ATTENTION or words[:2] in (["CARE", "OF"], ["C", "O"]):
        _attention(words, found)
        return
    if unit.begins(words):
        _, units, after, rules = unit.split(words)
        found.rules += rules
        if found.parts and found.parts[-1].kind in ("street", "po box"):
            found.parts[-1].units += units
        elif found.parts and any(u.startswith("PMB") for u in units):
            found.parts[-1].units += units
        else:
            found.units += units
        if after:
            segment(after, found) if len(after) > 1 else found.loose.append(" ".join(after))
        return
    number, used = street.house_number(words)
    if used and len(words) > used:
        found.add(street.read(words))
    elif (
        len(words) > 1 and words[-1] in SUFFIXES and not found.parts and words[0] in street.COUNTED
    ):
        found.add(street.read(words))
    else:
        found.loose.append(" ".join(words))


def _attention(words: list[str], found: Delivery) -> None:
    """An attention line (214), cut where a street begins on the same line."""
    found.rules.append("214")
    for i, word in enumerate(words[1:], 1):
        if word[0].isdigit() and i + 1 < len(words) and any(w in SUFFIXES for w in words[i + 1 :]):
            found.aside.append(" ".join(words[:i]))
            segment(words[i:], found)
            return
    found.aside.append(" ".join(words))
