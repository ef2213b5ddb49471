"""Puerto Rico (Publication 28, 29 and appendix I): the house number before CALLE and a name, the
urbanization on a line above, block and house number in one."""

from __future__ import annotations

import re

from onboard.clean.address import delivery, number, unit
from onboard.clean.address.delivery import Delivery
from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lookups import SUFFIXES, bag
from onboard.clean.address.words import Line
from onboard.tables import rows

_FORMS: dict[str, tuple[str, str]] = {}  # a word: what it does, how it is written
_ALSO: dict[str, tuple[str, ...]] = {}  # a word: how else the publication writes it
for _kind, _written, _words, *_also in rows("address_spanish"):
    for _form in _words.split():
        _FORMS[_form] = (_kind, _written)
        if _also:
            _ALSO[_form] = (_written, *_also)
_NUMBERS = frozenset(form for form, (kind, _) in _FORMS.items() if kind == "number")
# words that show an address of the island where no last line does
_MARKS = bag("COND CALLE URB URBANIZACION APARTADO RESIDENCIAL CONDOMINIO BARRIADA BARRIO AVENIDA")
_SPANISH_DIRECTIONS = {"NO": "NW", "SO": "SW", "O": "W"}
_HOUSE = re.compile(r"[A-Z]{0,2}-?\d+[A-Z]?(?:-\d+[A-Z]?)?|\d+-?[A-Z]?|[A-Z]{1,2}")
_DIGIT = re.compile(r"\d")


def here(state: str, zip5: str, lines: list[Line]) -> bool:
    """Whether an address is in Puerto Rico, by its last line or, without one, by its words."""
    if state or zip5:
        return state == "PR" or (not state and zip5.startswith(("006", "007", "009")))
    return any(words[0] in _MARKS or (len(words) > 1 and words[1] in _MARKS) for words, _ in lines)


def read(lines: list[Line]) -> Delivery:
    """The delivery lines of an address in Puerto Rico."""
    found = delivery.read([(_translated(words), new) for words, new in lines], understand=_segment)
    if found.above and not any(part.kind == "street" for part in found.parts) and not found.parts:
        _area_only(found)
    return found


def forms(part: DeliveryLine, above: list[str], here: bool) -> None:
    """Notes the words that the publication writes in two ways (293, appendices H and I).

    `here` says that the address is known to be on the island. CLL, which is meant for want of
    space, is only named where the line must be asked about anyway.
    """
    lines = list(above)
    if not part.number or (here and not part.street.startswith("CALLE")):
        lines.append(part.street)
    for line in lines:
        first, _, others = line.partition(" ")
        for word in _ALSO.get(first, ()):
            if word != first and (others or line is part.street):
                text = f"{word} {others}".rstrip()
                if line is part.street:
                    text = part.written(street=text)
                part.line_may_be(" ".join((text, *part.units)) if line is part.street else text,
                                 "the postal guide abbreviates it in two ways")  # fmt: skip


def _translated(words: list[str]) -> list[str]:
    """Units and the words for them as the post office writes them (I22, I51)."""
    out = []
    for i, word in enumerate(words):
        kind, written = _FORMS.get(word, ("", word))
        has_number = i + 1 < len(words) and (unit.named(words[i + 1]) or words[i + 1] in _NUMBERS)
        out.append(written if kind == "unit" and has_number else word)
    return out


def _segment(words: list[str], found: Delivery) -> None:
    kind, written = _FORMS.get(words[0], ("", ""))
    if kind in ("urb", "area", "complex") and len(words) > 1:
        words, rest = _until_street(words)
        if kind == "complex" and rest and (part := _in_complex(words, rest, written)):
            found.add(part)
            return
        _above(words, kind, written, found)
        if rest:
            _segment(rest, found)
        return
    if kind == "unit":
        words, units, after = _units(words, 0)
        if found.parts and found.parts[-1].kind == "street":
            found.parts[-1].units += units
        elif found.above and units:
            part = DeliveryLine("street", units[0], number=units[0], units=units[1:], rules=["292"])
            if found.above[-1].startswith("COND "):
                house = f"{units[0].partition(' ')[2]} {found.above[-1]}"
                part.may_be(house, "the building's number may be the house number, rule I22.2")
            found.add(part)
        else:
            found.units += units
        if after:
            _segment(after, found)
        return
    if (part := _street(words)) is not None:
        found.add(part)
        return
    delivery.segment(words, found)


def _in_complex(words: list[str], rest: list[str], written: str) -> DeliveryLine | None:
    """A home in a complex, all on one line and without a street, as 291 prints it."""
    before, units, after = _units(rest, 0)
    if before or after or not units:
        return None
    name = " ".join((written, *words[1:]))
    part = DeliveryLine("street", f"{name} {units[0]}", number=units[0], street=name, rules=["291"])
    part.units = units[1:]
    part.may_be(f"1 {part.text}", "the building may have a number, rule I22.2")
    return part


def _units(words: list[str], start: int) -> tuple[list[str], list[str], list[str]]:
    """Splits off units, the island's own (EDIF, TORRE) among them."""
    for i in range(start, len(words)):
        if (
            _FORMS.get(words[i], ("",))[0] == "unit"
            and i + 1 < len(words)
            and (i == 0 or i >= 2 or start == 0)
        ):
            units, j = [], i
            while j + 1 < len(words) and _FORMS.get(words[j], ("",))[0] == "unit":
                many = 1 + (words[j + 1] in ("#", "NO", "NUM") and j + 2 < len(words))
                units.append(f"{words[j]} {words[j + many]}")
                j += many + 1
            return words[:i], units, words[j:]
    return words, [], []


def _until_street(words: list[str]) -> tuple[list[str], list[str]]:
    """An area's name, and a street that follows it without a comma."""
    for i in range(2, len(words)):
        if _FORMS.get(words[i], ("",))[0] == "street" and words[i] in ("CALLE", "AVE", "AVENIDA"):
            start = i - 1 if _DIGIT.search(words[i - 1]) and i > 2 else i
            return words[:start], words[start:]
        if _FORMS.get(words[i], ("",))[0] == "unit" and i + 1 < len(words):
            return words[:i], words[i:]
    return words, []


def _above(words: list[str], kind: str, written: str, found: Delivery) -> None:
    """The line of an urbanization or complex, above the street (291, 292, I51.4)."""
    name = words[1:]
    found.rules.append("I51.4" if kind != "complex" else "I22.1")
    if kind == "urb":
        inner = _FORMS.get(name[0], ("", ""))
        if inner[0] == "area" and len(name) > 1:
            found.above.append(" ".join((inner[1], *name[1:])))
            return
    found.above.append(" ".join((written, *name)))


def _area_only(found: Delivery) -> None:
    """An area without a street: its name is the street's (295.5, I22.2)."""
    words = found.above.pop().split()
    number = ""
    if len(words) > 2 and _DIGIT.search(words[-1]) and _HOUSE.fullmatch(words[-1]):
        number = _number([words.pop()])
    part = DeliveryLine("street", "", number=number, street=" ".join(words), rules=["295.5"])
    part.text = f"{number} {part.street}".strip()
    found.add(part)


def _street(words: list[str]) -> DeliveryLine | None:
    """A street of the island: CALLE and the like, or a complex's name with a number before it."""
    at = _where_named(words)
    if at < 0:
        return None
    kind, written = _FORMS[words[at]]
    before = words[:at]
    rest, units, after = _units(words, at + 2)
    if after and units:
        units[-1] += " " + " ".join(after)
    if not units:
        rest, units, after, _ = (
            unit.split(rest, start=at + 2) if kind != "street" or before else (rest, [], [], [])
        )
        if after and units:
            units[-1] += " " + " ".join(after)
    name, house = rest[at + 1 :], before
    if not before and kind == "street":
        name, house = _house_after(name, written)
    if name and written == "CALLE" and len(name) == 1 and name[0].isdigit():
        name = [name[0].lstrip("0") or "0"]
    part = DeliveryLine(
        "street",
        "",
        number=_number(house),
        units=units,
        rules=["I51.1" if kind == "street" else "295.5"],
    )
    part.street = " ".join((written, *name))
    part.text = f"{part.number} {part.street}".strip()
    if house:
        part.rules.append("295.3" if not before else "295.4")
    if units:
        part.rules.append("I22")
    if house and not before and written != "CALLE":
        part.may_be(
            f"{part.street} {part.number}",
            "the postal guide puts the number last, rule 292",
            form=True,
        )
    if written == "CALLE" and "".join(name).isalpha() and before != [part.number]:
        bare = f"{part.number} {' '.join(name)}".strip()
        part.may_be(bare, "the postal guide leaves out CALLE, rule 295.4", form=True)
    if len(name) > 1 and name[-1] in _SPANISH_DIRECTIONS:  # I4: the file has the English letters
        english = " ".join((written, *name[:-1], _SPANISH_DIRECTIONS[name[-1]]))
        part.may_be(part.written(street=english), "in Spanish or in English letters")
    return part


def _where_named(words: list[str]) -> int:
    """The place of the word that says what kind of street it is; -1 if it is none of the island."""
    at = next(
        (
            i
            for i, w in enumerate(words[:6])
            if _FORMS.get(w, ("",))[0] in ("street", "urb", "area", "complex")
        ),
        -1,
    )
    if at < 0 or at + 1 >= len(words):
        return -1
    if any(not (_HOUSE.fullmatch(w) or w in _NUMBERS) for w in words[:at]):
        return -1
    if (
        _FORMS[words[at]][0] == "street"
        and words[at] not in ("CALLE", "AVENIDA", "CARRETERA", "CARR", "CAMINO", "C/")
        and words[-1] in SUFFIXES
        and at + 2 <= len(words) - 1
        and len(words[-1]) <= 4
    ):
        return -1  # an English street
    return at


def _house_after(words: list[str], written: str) -> tuple[list[str], list[str]]:
    """Name and house number, where the number stands after the name (295.3)."""
    if written == "CARR":
        return words, []
    for i in range(1, len(words)):
        if words[i] in _NUMBERS or (_DIGIT.search(words[i]) and _HOUSE.fullmatch(words[i])):
            house = words[i:]
            known = all(word in _NUMBERS or _HOUSE.fullmatch(word) for word in house)
            return (words[:i], house) if known and len(house) <= 4 else (words, [])
    return words, []


def _number(words: list[str]) -> str:
    """Block and house number in one (295.4, I51.3): B40, 199-31.

    >>> _number(["BLQ", "199", "CASA", "31"]), _number(["B-17A"])
    ('199-31', 'B17A')
    """
    bits = [word for word in words if word not in _NUMBERS]
    if len(bits) == 1:
        return re.sub(r"^([A-Z]{1,2})-(?=\d)", r"\1", bits[0])
    if len(bits) == 2 and bits[0].isalpha():
        return bits[0] + bits[1]
    return "-".join(bits)


def numbered(words: list[str]) -> bool:
    """Whether the words begin with a house number of the island's kind."""
    return bool(words) and (number.take(words)[1] > 0 or bool(_HOUSE.fullmatch(words[0])))
