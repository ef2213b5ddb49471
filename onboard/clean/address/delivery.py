"""The lines above the last one: which of them the mail goes to, and what is kept aside."""

from __future__ import annotations

import re
from collections.abc import Callable

from onboard.clean.address import box, corner, military, number, route, street, unit
from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lookups import DIRECTIONS, NOTHING, SUFFIXES, UNITS, bag
from onboard.clean.address.words import Line

_Maker = Callable[[re.Match[str]], DeliveryLine]
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
_AT_START = _INSIDE + _ALONE
_ABROAD: tuple[tuple[re.Pattern[str], _Maker], ...] = (
    (military.UNIT_ALONE, military.read),
    (military.SHIP, military.ship),
)
_FIRST = box.WORDS | route.WORDS | military.WORDS  # words that begin one of these lines
# Words without which no line can be a box, a route or military: most addresses stop here.
_CARRIED = bag(
    "BOX BX P/O CALLBOX CAJA BOXES BZN BUZON PO POB POBOX POST POSTAL APARTADO APDO APTDO APTADO CASILLA CALLER BIN "
    "LOCKBOX LOCK DRAWER GENERAL GEN GENL ENTREGA RR RFD HC HCR HCSR RURAL RUTA CONTRACT STAR PSC "
    "CMR CPR OPC UPR"
)
_ROADS = frozenset(("RD", "R", "RT", "RTE", "ROUTE", "SR", "H"))  # carried if "# 25" follows
# words whose number follows them, so that no street begins there
_BEFORE_NUMBERS = (
    bag(
        "HIGHWAY HWY ROUTE RTE RT ROAD RD LOOP FM CR SR US INTERSTATE BOX # NO NUMBER AND & OF MILE KM"
    )
    | UNITS.keys()
)
_ATTENTION = frozenset(("ATTN", "ATTENTION", "ATT", "C/O"))
# words that a street's name may hold too, so that they count only where a line begins
_ONLY_AT_START = _ROADS | {"BOX", "UNIT"}


class Delivery:
    """What the lines above the last one hold, in their order."""

    __slots__ = ("above", "aside", "first", "loose", "parts", "rules", "tidy", "units")

    def __init__(self, tidy: bool = False) -> None:
        self.tidy = tidy  # nothing but a street's line that can be read in one way only
        self.parts: list[DeliveryLine] = []
        self.aside: list[str] = []
        self.units: list[str] = []  # units that stood before any street
        self.first: list[str] = []  # and those of them that went behind one
        self.loose: list[str] = []  # words that are no delivery line by themselves
        self.above: list[str] = []  # lines above the street: an urbanization (292)
        self.rules: list[str] = []

    def add(self, part: DeliveryLine) -> None:
        if self.units and part.kind == "street":
            part.units += self.units
            self.first = [one for one in self.units if not unit.mailbox(one)]
            self.units = []
        self.parts.append(part)

    def main(self) -> DeliveryLine:
        """The line the mail goes to: the one above the last line (215), if it has a number."""
        if not self.parts and (words := self._likeliest()):
            self.parts.append(corner.read(words) or street.read(words))
        chosen = None
        for part in reversed(self.parts):
            if part.number or part.kind != "street":
                chosen = part
                break
        if chosen is None:
            if not self.parts:
                return DeliveryLine("none", "", units=self.units)
            chosen = self.parts[0]
        if len(self.parts) > 1:
            self.rules.append("215")
            self.aside += [part.line for part in self.parts if part is not chosen]
        if self.loose:
            self.aside = self.loose + self.aside
        if self.above and chosen.kind != "street":
            self.aside, self.above = self.above + self.aside, []
        chosen.units += self.units
        if len(chosen.units) > 1:
            chosen.units.sort(key=unit.mailbox)
        chosen.whole()
        if self.first:
            line = chosen.line.replace(" " + " ".join(self.first), "", 1)
            apart = f"{' '.join(self.first)} | {line}"
            chosen.line_may_be(
                apart,
                "the postal guide shows the unit on the line above, rule 213.3, or after the street, rule 213",
            )
        return chosen

    def _likeliest(self) -> list[str]:
        """The words most like a street among those that are no delivery line by themselves."""
        for i in reversed(range(len(self.loose))):
            words = self.loose[i].split()
            if len(words) > 1 and (words[-1] in SUFFIXES or corner.read(words)):
                del self.loose[i]
                return words
        if not self.loose or self.loose[-1] in NOTHING:
            return []
        return self.loose.pop().split()


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
        if isinstance(piece, DeliveryLine):
            found.add(piece)
        else:
            understand(piece, found)
    return found


def _pieces(lines: list[Line], abroad: bool) -> list[DeliveryLine | list[str]]:
    """Boxes and routes as parts, and the words between them."""
    segments = _joined(lines)
    if not abroad and not _carried(segments):
        return list(segments)
    text = ", ".join(" ".join(words) for words in segments)
    pieces: list[DeliveryLine | list[str]] = []
    begin = at = 0
    while at < len(text):
        found = _match(text, at, at == 0 or text[at - 2] == ",", abroad)
        if found is None:
            at = text.find(" ", at) + 1 or len(text)
            continue
        match, maker = found
        pieces += _words(text[begin:at])
        pieces.append(maker(match))
        begin = at = match.end()
        while at < len(text) and text[at] in " ,":
            at += 1
    return pieces + _words(text[begin:])


def _carried(segments: list[list[str]]) -> bool:
    for words in segments:
        if not _CARRIED.isdisjoint(words) or (words[0] in _ROADS and "#" in words):
            return True
    return False


def _match(text: str, at: int, starts: bool, abroad: bool) -> tuple[re.Match[str], _Maker] | None:
    """The line that begins at this place of the text, if one does."""
    end = text.find(" ", at)
    word = (text[at:end] if end >= 0 else text[at:]).rstrip(",")
    if word not in _FIRST or (not starts and word in _ONLY_AT_START):
        return None
    patterns = _INSIDE if not starts else _AT_START if not abroad else _AT_START + _ABROAD
    for pattern, maker in patterns:
        if match := pattern.match(text, at):
            return match, maker
    return None


def _words(text: str) -> list[list[str]]:
    return [words for piece in text.split(",") if (words := piece.split())]


def _joined(lines: list[Line]) -> list[list[str]]:
    """The words between commas; a comma inside a street's name or after its number is undone."""
    segments: list[list[str]] = []
    for words, new in lines:
        if segments and not new and _continues(segments[-1], words):
            segments[-1] = segments[-1] + words
        else:
            segments.append(words)
    return segments


def _continues(last: list[str], words: list[str]) -> bool:
    """Whether the words after a comma belong to the street before it."""
    if words[0] in DIRECTIONS and len(words[0]) <= 2 and any(word in SUFFIXES for word in last[1:]):
        # "1800 M ST, NW" and "1800 M ST, NW STE 700"
        after = 2 if words[1:2] and words[1] in DIRECTIONS and len(words[1]) == 1 else 1
        return len(words) == after or unit.begins(words, after)
    if not last[0][0].isdigit():
        return False
    if len(last) == 1:  # "123, MAIN ST"
        return number.take(last)[1] > 0 and not unit.begins(words)
    return (  # "310 MARTIN LUTHER KING, JR BOULEVARD"
        len(words) <= 2
        and words[-1] in SUFFIXES
        and not words[0][0].isdigit()
        and not any(word in SUFFIXES for word in last[2:])
        and not unit.begins(words)
    )


def segment(words: list[str], found: Delivery) -> None:
    """Understands the words between two commas that are no box and no route."""
    if (part := street.tidy(words)) is not None:
        found.add(part)
        return
    first = words[0]
    if not _ATTENTION.isdisjoint(words) or (
        first in ("CARE", "C") and words[1:2] in (["OF"], ["O"])
    ):
        _attention(words, found)
        return
    if first == "#" and len(words) > 3 and words[1].isdigit() and words[-1] in SUFFIXES:
        words, first = words[1:], words[1]  # "# 2 TURNER RD"
    if not first.isalpha() and not unit.begins(words):
        house, used = number.take(words)
        if used and len(words) > used and (len(words) > 2 or len(words[1]) > 1):
            found.add(street.read(words, house, used))
            return
    last = found.parts[-1] if found.parts else None
    if last and last.kind == "street" and not last.units and _bare_unit(words):
        last.units.append(f"# {''.join(words)}")  # "111 W MONROE ST, 12C"
        last.rules.append("213.2")
        return
    if unit.begins(words):
        _units(words, found)
    elif first in number.COUNTED and len(words) > 2 and words[-1] in SUFFIXES and not found.parts:
        found.add(street.read(words))
    elif first in _JOINS and (found.loose or found.aside):
        before = found.loose or found.aside
        before[-1] += " " + " ".join(words)
    elif (at := _street_within(words)) > 0:
        found.loose.append(" ".join(words[:at]))
        segment(words[at:], found)
    else:
        _loose(words, found)


_JOINS = frozenset(("JR", "SR", "II", "III", "INC", "LLC", "LTD", "CORP"))


def _loose(words: list[str], found: Delivery) -> None:
    """Words that are no delivery line; a unit at their end still belongs to the street before."""
    if found.parts and found.parts[-1].kind == "street":
        words, units, after, rules = unit.split(words, start=1)
        found.parts[-1].units += units
        found.rules += rules
        words = words + after
    found.loose.append(" ".join(words))


def _street_within(words: list[str]) -> int:
    """Where a street begins after a building's name: "HAYES CENTER 4859 S WABASH"; 0 if nowhere."""
    for i in range(1, len(words) - 2):
        if words[i].isdigit() and words[i - 1] not in _BEFORE_NUMBERS:
            rest = words[i + 1 :]
            if rest[0] in DIRECTIONS or any(word in SUFFIXES for word in rest[1:]):
                return i
    return 0


def _bare_unit(words: list[str]) -> bool:
    """Whether the words are a unit's number alone: 12C, B, or 106 D."""
    if len(words) > 2 or not unit.named(words[0]) or words[0] in DIRECTIONS:
        return False
    return len(words) == 1 or (words[0].isdigit() and len(words[1]) == 1)


def _units(words: list[str], found: Delivery) -> None:
    """Units between commas: of the street before them, or of the one to come."""
    _, units, after, rules = unit.split(words)
    found.rules += rules
    if after and after[0] in ("&", "AND"):  # "STE A & B"
        units[-1] += " " + " ".join(after)
        after = []
    if found.parts and (found.parts[-1].kind in ("street", "po box") or units[0][:3] == "PMB"):
        found.parts[-1].units += units
    else:
        found.units += units
    if len(after) > 1:
        segment(after, found)
    elif after:
        found.loose += after


def _attention(words: list[str], found: Delivery) -> None:
    """An attention line (214), cut where a street begins, or ends, on the same line."""
    found.rules.append("214")
    at = next((i for i, word in enumerate(words) if word in _ATTENTION), 0)
    if at:
        segment(words[:at], found)
        words = words[at:]
    for i, word in enumerate(words[1:], 1):
        if word[0].isdigit() and i + 1 < len(words) and any(w in SUFFIXES for w in words[i + 1 :]):
            found.aside.append(" ".join(words[:i]))
            segment(words[i:], found)
            return
    found.aside.append(" ".join(words))
