"""Street lines (Publication 28, 231 to 235): number, directions, name, suffix.

The words are taken from the outside in: units, house number, the direction after the suffix, the
suffix, the direction before the name. What is left is the name, and is spelled out.
"""

from __future__ import annotations

from onboard.clean.address import highway, number, unit
from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lookups import (
    DIRECTION_WORDS,
    DIRECTIONS,
    STATE_BEGINS,
    STATE_NAMES,
    SUFFIX_WORDS,
    SUFFIXES,
    bag,
)

# 235: a numeric name is kept as written, and only the ZIP+4 file knows which form is right
_ORDINALS = {
    "FIRST": "1ST", "SECOND": "2ND", "THIRD": "3RD", "FOURTH": "4TH", "FIFTH": "5TH", "SIXTH": "6TH",
    "SEVENTH": "7TH", "EIGHTH": "8TH", "NINTH": "9TH", "TENTH": "10TH", "ELEVENTH": "11TH",
    "TWELFTH": "12TH", "THIRTEENTH": "13TH", "FOURTEENTH": "14TH", "FIFTEENTH": "15TH",
    "SIXTEENTH": "16TH", "SEVENTEENTH": "17TH", "EIGHTEENTH": "18TH", "NINETEENTH": "19TH",
    "TWENTIETH": "20TH",
}  # fmt: skip
_SHORT_FIRST = {"ST": "SAINT", "MT": "MOUNT", "FT": "FORT", "PT": "POINT", "STE": "SAINTE"}
# suffixes after which a number is the road's own, not a unit
_NUMBERED = bag("HWY RTE RD LOOP EXPY FWY SPUR PIKE TPKE BYP TRL")
# suffixes that a letter may follow as the street's name: AVENUE B
_LETTERED = bag("AVE ST RD CT LN DR")
# abbreviations that are also words of their own, so never spelled out inside a name
_WORDS_TOO = bag("VIA IS UN RAD EXP CENT VIS EST CURV FALL")
_NORTH_SOUTH, _EAST_WEST = frozenset("NS"), frozenset("EW")
# words that some rule speaks of; all others can only be a part of a street's name
_SPOKEN_OF = (
    DIRECTIONS.keys() | SUFFIXES.keys() | _ORDINALS.keys() | _SHORT_FIRST.keys()
    | number.COUNTED.keys() | unit.WORDS | highway.WORDS | bag("THE OF AND AT CARE ATTN ATT ATTENTION")
)  # fmt: skip
_SUFFIXES_ONLY = {form: suffix for form, suffix in SUFFIXES.items() if form not in unit.WORDS}


def tidy(words: list[str]) -> DeliveryLine | None:
    """A line that can be read in one way only, or None: it needs no further look.

    A number, a name of words that no rule speaks of or that counts (5TH), a suffix; perhaps a direction on either
    side, and a unit. Most lines are so, and `read` understands them in the same way.

    >>> tidy(["12", "N", "OLD", "QUARRY", "RD", "APT", "4"]).text
    '12 N OLD QUARRY RD'
    >>> tidy(["12", "AVENUE", "B"])
    """
    many = len(words)
    if many < 3 or not words[0].isdigit():
        return None
    before = DIRECTIONS.get(words[1], "")
    start = i = 2 if before else 1
    if number.ordinal(words[i]):
        i += 1
    while i < many and (word := words[i]) not in _SPOKEN_OF and len(word) > 1 and word.isalpha():
        i += 1
    if i in (start, many) or (suffix := _SUFFIXES_ONLY.get(words[i])) is None:
        return None
    name = " ".join(words[start:i])
    i += 1
    after = DIRECTIONS.get(words[i], "") if i < many else ""
    if after:
        i += 1
    units, rules = [], ["231"]
    if i < many:
        if i + 2 != many or (kind := unit.PLAIN.get(words[i])) is None or not unit.named(words[-1]):
            return None
        units, rules = [f"{kind} {words[-1]}"], ["213.2" if kind == "#" else "213", "231"]
    if after:
        rules.append("233.22")
    rules.append("234.1")
    if before:
        rules.append("233.21")
    pieces = (words[0], before, name, suffix, after)
    text = " ".join([piece for piece in pieces if piece])
    return DeliveryLine("street", text, *pieces, units, rules)


def read(words: list[str], house: str = "", used: int = 0) -> DeliveryLine:
    """A street line out of the words between commas; the number took the first `used` of them."""
    words, units, after, rules = unit.split(words, start=1)
    part = DeliveryLine("street", number=house, units=units, rules=rules)
    if after:
        units[-1] += " " + " ".join(after)
    rest = words[used:]
    if used:
        part.rules.append(number.rule(house))
    elif len(words) > 2 and words[0] in number.COUNTED and words[-1] in SUFFIXES:
        part.number, rest = words[0], words[1:]
    if rest and not (highway.possible(rest) and _highway(rest, part)):
        _name(rest, part)
    part.text = part.written()
    if used == 2 and "/" not in house:
        apart = part.written(number=" ".join(words[:2]))
        part.may_be(
            apart, "the postal guide does not show the number in two words, rule D3", form=True
        )
    _doubts(rest, part)
    return part


def _highway(words: list[str], part: DeliveryLine) -> bool:
    """Reads the words as a highway (237, appendix F), if they are one."""
    first = words[0]
    found = highway.read(words)
    if (
        found is None
        and first in DIRECTIONS
        and len(words) > 2
        and (found := highway.read(words[1:]))
    ):
        part.predirectional, words = DIRECTIONS[first], words[1:]
        part.rules.append("233.21")
    if found is None:
        return False
    name, used = found
    tail = words[used:]  # BYPASS, FRONTAGE ROAD, a direction
    if tail and tail[-1] in DIRECTIONS:
        part.postdirectional = DIRECTIONS[tail.pop()]
        part.rules.append("233.22")
    if tail and tail[-1] in SUFFIXES:
        part.suffix = SUFFIXES[tail.pop()]
        tail = [SUFFIX_WORDS.get(word, word) for word in tail]
    part.street = " ".join(name + tail)
    part.rules.append("App F")
    if " ".join(words[: used - 1]) in highway.NOT_LISTED:
        said = [SUFFIX_WORDS.get(word, word) for word in words[:used]]
        long = part.written(street=" ".join(said + tail))
        part.may_be(
            long, "the postal guide does not list this name for the road, appendix F", form=True
        )
    return True


def _name(words: list[str], part: DeliveryLine) -> None:
    first = words[0]
    if len(words) > 2 and len(first) == 1 and first.isalpha() and part.number.isdigit():
        lettered = words[1] in DIRECTIONS and first not in DIRECTIONS
        if lettered:  # E12.1: "214 B SOUTH BLVD"
            part.number, words = part.number + first, words[1:]
    name = _after(words, part)
    name = _trailing_number(name, part)
    name = _suffix(name, part)
    name = _before(name, part)
    part.street = " ".join(_spelled(name, part))


def _after(name: list[str], part: DeliveryLine) -> list[str]:
    """Takes a direction after the suffix off the end (233.22, 233.23)."""
    if len(name) < 2 or name[-1] not in DIRECTIONS:
        return name
    last, before = DIRECTIONS[name[-1]], name[-2]
    if before in DIRECTIONS:
        first = DIRECTIONS[before]
        if len(name) == 2:
            return name
        after_suffix = name[-3] in SUFFIXES
        if first in _NORTH_SOUTH and last in _EAST_WEST and (after_suffix or len(name) > 3):
            part.postdirectional = first + last
            part.rules.append("233.23")
            return name[:-2]
        if after_suffix:
            # of NORTH SOUTH and EAST WEST the second is said to be the name's: both stay words
            part.postdirectional = f"{DIRECTION_WORDS[first]} {DIRECTION_WORDS[last]}"
            part.rules.append("233.23")
            return name[:-2]
    if len(name) == 2 and len(name[1]) == 1 and SUFFIXES.get(before) in _LETTERED:
        return name  # AVENUE E: a letter, not a direction (233.3)
    part.postdirectional = last
    part.rules.append("233.22")
    return name[:-1]


def _trailing_number(name: list[str], part: DeliveryLine) -> list[str]:
    """Takes a number without a designator off the end: "12 MAIN ST 4B", "203 N WABASH 608"."""
    last = name[-1]
    if (
        last.isalpha()
        or last in "#&"
        or len(name) < 2
        or part.postdirectional
        or number.ordinal(last)
    ):
        return name
    before = name[-2]
    road = SUFFIXES.get(before)
    if road in _NUMBERED or before in DIRECTIONS or len(before) == 1 or not before.isalpha():
        return name
    if before == "BUSINESS" or (road and len(name) == 2):
        return name
    part.units.insert(0, f"# {last}")
    part.marks.append(("unit", last))
    return name[:-1]


def _suffix(name: list[str], part: DeliveryLine) -> list[str]:
    """Takes the suffix off the end; of two, only the last is one (234.2)."""
    if len(name) >= 2 and name[-1] in SUFFIXES and name[:-1] != ["THE"]:
        part.suffix = SUFFIXES[name[-1]]
        part.rules.append("234.2" if name[-2] in SUFFIXES else "234.1")
        return name[:-1]
    return name


def _before(name: list[str], part: DeliveryLine) -> list[str]:
    """Takes a direction before the name off the start (233.21, 233.23)."""
    if len(name) < 2 or name[0] not in DIRECTIONS:
        return name
    first = DIRECTIONS[name[0]]
    if len(name) >= 3 and first in _NORTH_SOUTH and DIRECTIONS.get(name[1]) in _EAST_WEST:
        part.predirectional = first + DIRECTIONS[name[1]]
        part.rules.append("233.23")
        return _second(name[2:])
    if not part.suffix and not part.postdirectional and len(name) == 2 and name[1] in SUFFIXES:
        return name
    part.predirectional = first
    part.rules.append("233.21")
    return _second(name[1:])


def _second(name: list[str]) -> list[str]:
    """A further direction is the name's, and a word (233.23: of N-S and E-W, the second)."""
    return [DIRECTION_WORDS.get(name[0], name[0]), *name[1:]]


def _spelled(name: list[str], part: DeliveryLine) -> list[str]:
    """The name with a direction or a suffix in it spelled out (233.3, 234.2)."""
    last = name[-1]
    if part.suffix and last in DIRECTION_WORDS:
        if len(name) == len(last) == 1 and len(part.postdirectional) == 2:
            # where quarters of a town are told apart, its streets have letters: E ST NW
            part.may_be(part.written(street=DIRECTION_WORDS[last]), "the letter may be a direction")
            return name
        part.rules.append("233.3")
        if len(last) == 1:
            letter = part.written(street=" ".join(name))
            part.may_be(letter, "the letter may be a name, not a direction")
        return [*name[:-1], DIRECTION_WORDS[last]]
    if part.suffix and SUFFIX_WORDS.get(last, last) != last and len(last) <= 4:
        if last not in _WORDS_TOO and (len(name) > 1 or last == SUFFIXES[last]):
            return [*name[:-1], SUFFIX_WORDS[last]]
    elif not part.suffix and len(name) > 1 and name[0] in SUFFIXES:
        lettered = len(name) == 2 and len(last) <= 2
        if lettered or name[1] == "OF":  # 345 AVENUE B, AVENUE OF THE OAKS
            return [SUFFIX_WORDS[name[0]], *name[1:]]
    return name


def _doubts(words: list[str], part: DeliveryLine) -> None:
    """Notes what else the line could have meant."""
    street, before = part.street, part.predirectional
    first, _, others = street.partition(" ")
    if part.number in number.COUNTED:
        figure = number.COUNTED[part.number]
        part.may_be(part.written(number=figure), "the number can be written in digits")
    if street in _ORDINALS:
        part.may_be(part.written(street=_ORDINALS[street]), "in words or digits")
    if others and first in _SHORT_FIRST:
        long = _SHORT_FIRST[first]
        part.may_be(part.written(street=f"{long} {others}"), "spelled out or not")
    letter = others and len(first) == 1 and first not in DIRECTIONS and first.isalpha()
    if letter and part.number.isdigit():
        joined = part.written(number=part.number + first, street=others)
        part.may_be(joined, "the letter may be part of the number")
    if len(before) == 2 and len(words) > 2 and words[1] in DIRECTIONS:
        if len(words[0]) == len(words[1]) == 1:
            initials = part.written(predirectional="", street=f"{before[0]} {before[1]} {street}")
            part.may_be(initials, "the letters may be initials")
        else:
            word = DIRECTION_WORDS[before[1]]
            second = part.written(predirectional=before[0], street=f"{word} {street}")
            part.may_be(second, "the second direction may be part of the name")
    if " " in part.postdirectional:  # EAST WEST
        one = DIRECTIONS[part.postdirectional.partition(" ")[0]]
        part.may_be(part.written(postdirectional=one), "the second direction may not be part of it")
    if len(others) == 1 and others in DIRECTIONS and not part.suffix and first in SUFFIXES:
        as_direction = part.written(street="", suffix=street[:-2], postdirectional=others)
        part.may_be(as_direction, "the letter may be a direction")
    if words[:1] == ["SR"] and "App F" in part.rules:  # appendix F prints ROAD for a number
        kind, other = ("ROAD", "ROUTE") if "ROAD" in street else ("ROUTE", "ROAD")
        part.may_be(part.text.replace(kind, other), "the state says whether it is a road or route")
    _forms(street, first, others, part)


def _forms(street: str, first: str, others: str, part: DeliveryLine) -> None:
    """Notes how else the same name may be written."""
    if others.startswith("OF ") and first in SUFFIXES and not part.suffix:
        short = part.written(street=f"{SUFFIXES[first]} {others}")
        part.may_be(
            short,
            "the postal guide says nothing about a suffix before the name, rule 234",
            form=True,
        )
    if part.suffix and first in STATE_BEGINS:
        for many in STATE_BEGINS[first]:
            name = street.split()
            if many < len(name) and (code := STATE_NAMES.get(" ".join(name[:many]))):
                if name[many] not in DIRECTIONS:  # NEW MEXICO AVE NW, put in another order
                    short = part.written(street=" ".join((code, *name[many:])))
                    why = "the postal guide shortens a state in a name, appendix F, or does not, rule 358"
                    part.may_be(short, why, form=True)
                break
