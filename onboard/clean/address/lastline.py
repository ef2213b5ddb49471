"""The last line: city, state, ZIP (Publication 28, 22 and appendix B; J1 for the Virgin Islands)."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from onboard.clean.address.lookups import (
    DIRECTION_WORDS,
    DIRECTIONS,
    LONGEST_STATE,
    MILITARY_STATES,
    STATE_CODES,
    STATES,
    SUFFIX_WORDS,
    SUFFIXES,
    UNITS,
)
from onboard.clean.address.words import Line
from onboard.tables import zip_codes

_ZIP = re.compile(r"(\d{5})(?:-?(\d{4}))?")
_COUNTRY = (
    ("UNITED", "STATES", "OF", "AMERICA"), ("UNITED", "STATES"), ("USA",), ("U", "S", "A"), ("US",),
    ("ESTADOS", "UNIDOS"), ("EEUU",),
)  # fmt: skip
# states whose ZIP codes begin with 0, which a spreadsheet takes for a number (common knowledge)
_ZERO_STATES = frozenset(("CT", "MA", "ME", "NH", "NJ", "RI", "VT", "PR", "VI", "AE", "NY"))
# words after which five digits are no ZIP code
_NUMBERED = frozenset(
    "BOX BIN CALLER LOCKBOX DRAWER # NO NUMBER ROUTE RTE RT HIGHWAY HWY ROAD RD INTERSTATE RR HC PSC CMR "
    "CPR OPC UPR UNIT APT STE LOT PMB KM APARTADO BUZON BZN CALLE".split()
)
# 223: city names are spelled out. First word, and last word (with appendix C1's own).
_FIRST = {
    "FT": "FORT", "MT": "MOUNT", "PT": "POINT", "LK": "LAKE", "N": "NORTH", "S": "SOUTH",
    "E": "EAST", "W": "WEST", "NO": "NORTH", "SO": "SOUTH", "NW": "NORTHWEST", "NE": "NORTHEAST", "SE": "SOUTHEAST",
    "SW": "SOUTHWEST", "PRT": "PORT", "GRT": "GREAT", "LTL": "LITTLE", "UPR": "UPPER", "LWR": "LOWER",
    "GT": "GREAT",
}  # fmt: skip
_LAST = {"CY": "CITY", "CTY": "CITY", "TWP": "TOWNSHIP", "BORO": "BORO", "JCT": "JUNCTION",
         "PK": "PARK", "SPGS": "SPRINGS", "ARPT": "AIRPORT", "HGTS": "HEIGHTS"}  # fmt: skip
# J1: the Virgin Islands' mail is addressed to the island, or to a town of St Croix
_VIRGIN = {"CRUZ BAY": "ST JOHN", "CHARLOTTE AMALIE": "ST THOMAS", "SAINT THOMAS": "ST THOMAS",
           "SAINT JOHN": "ST JOHN", "SAINT CROIX": "ST CROIX"}  # fmt: skip
# I51.8: San Juan's former post offices
_SAN_JUAN = frozenset(("RIO PIEDRAS", "HATO REY", "SANTURCE", "OLD SAN JUAN", "VIEJO SAN JUAN",
                       "PUERTO NUEVO", "RIO PIEDRAS HEIGHTS"))  # fmt: skip


@dataclass(slots=True)
class LastLine:
    """City, state and ZIP as they are written, and what was noticed on the way."""

    city: str = ""
    state: str = ""
    zip5: str = ""
    zip4: str = ""
    rules: list[str] = field(default_factory=list)
    readings: list[str] = field(default_factory=list)
    lost_zero: str = ""  # the digits that were left of a ZIP code
    said_city: str = ""
    unsure: bool = False  # the city was cut off a line without a comma, by likelihood

    def __str__(self) -> str:
        zip9 = f"{self.zip5}-{self.zip4}" if self.zip4 else self.zip5
        return " ".join(part for part in (self.city, self.state, zip9) if part)

    def __bool__(self) -> bool:
        return bool(self.city or self.state or self.zip5)


def take(lines: list[Line]) -> LastLine:
    """Takes the last line off the end of `lines` (which it shortens)."""
    last = LastLine()
    _country(lines)
    _zip(lines, last)
    _state(lines, last)
    _city(lines, last)
    return last


def _drop(lines: list[Line], many: int) -> None:
    words = lines[-1][0]
    del words[len(words) - many :]
    if not words:
        lines.pop()


def _country(lines: list[Line]) -> None:
    if not lines:
        return
    words = lines[-1][0]
    for country in _COUNTRY:
        many = len(country)
        if tuple(words[-many:]) == country and (len(words) > many or len(lines) > 1):
            if (
                country == ("US",)
                and not (len(words) > 1 and _ZIP.fullmatch(words[-2]))
                and len(words) > 1
            ):
                continue
            _drop(lines, many)
            return


def _zip(lines: list[Line], last: LastLine) -> None:
    if not lines:
        return
    words = lines[-1][0]
    many, text = 1, words[-1]
    if (
        len(words) > 1
        and text.isdigit()
        and len(text) == 4
        and len(words[-2]) == 5
        and words[-2].isdigit()
    ):
        many, text = 2, words[-2] + text  # 224: "12345 6789"
    match = _ZIP.fullmatch(text)
    before = words[-many - 1] if len(words) > many else ""
    if match is None:
        if (
            text.isdigit()
            and 3 <= len(text) <= 4
            and STATES.get(before) in _ZERO_STATES
            and (len(words) > 2 or len(lines) > 1)
        ):
            last.lost_zero, last.zip5 = text, text.zfill(5)
            _drop(lines, 1)
        return
    if before in _NUMBERED and before not in STATES:
        return
    if not before and len(lines) == 1 and not match[2]:
        last.zip5 = match[1]
        lines.pop()
        return
    if (
        before
        and len(lines) == 1
        and len(words) <= many + 2
        and not _state_at(words[: len(words) - many])
        and (before.isdigit() or not zip_codes.names(match[1]))
    ):
        return
    last.zip5, last.zip4 = match[1], match[2] or ""
    last.rules.append("224")
    _drop(lines, many)


def _state_at(words: list[str]) -> tuple[int, str]:
    """How many of the last words are a state, and which; (0, "")."""
    for many in range(min(LONGEST_STATE, len(words)), 0, -1):
        code = STATES.get(" ".join(words[-many:]))
        if code:
            return many, code
    return 0, ""


def _state(lines: list[Line], last: LastLine) -> None:
    if not lines:
        return
    words = lines[-1][0]
    many, code = _state_at(words)
    if not many:
        return
    alone = len(words) == many
    if not last.zip5:
        form = " ".join(words[-many:])
        # without a ZIP code, a word that is also a suffix, a direction or a unit stays in the street
        if alone and len(lines) == 1:
            return
        if (
            not alone
            and len(lines) == 1
            and (
                form in SUFFIXES
                or form in DIRECTIONS
                or form in UNITS
                or not _street_ends(words[:-many])
            )
        ):
            return
        if alone and len(lines) == 2 and (form in SUFFIXES or form in DIRECTIONS) and form != code:
            return
    last.state = code
    last.rules.append("App B")
    _drop(lines, many)


def _street_ends(words: list[str]) -> bool:
    """Whether a street seems to be over within the words and a city to follow."""
    return any(word in SUFFIXES for word in words[2:-1]) or "BOX" in words


def _city(lines: list[Line], last: LastLine) -> None:
    if not lines or not (words := lines[-1][0]):
        return
    known = bool(last.state or last.zip5)
    if known and len(lines) == 1:
        many = _within(words, last)
    elif known:
        many = len(words) if _a_city(words) else _within(words, last)
    else:
        many = len(words) if len(lines) > 1 and _a_city(words) and _bare_city(lines) else 0
    if not many:
        return
    city = words[len(words) - many :]
    _drop(lines, many)
    last.said_city = " ".join(city)
    last.city, readings = spelled(last.said_city, last.state)
    last.readings += readings
    last.rules.append("223")


def _a_city(words: list[str]) -> bool:
    return (
        not any(c.isdigit() for word in words for c in word)
        and not (
            words[0] in UNITS
            and UNITS[words[0]] not in ("KEY", "SIDE", "FRNT", "UPPR", "LOWR")
            and words[0] not in ("FL", "OFF")
        )
        and "#" not in words
        and words[-1] not in _NUMBERED - {"ROAD", "ROUTE", "NO", "RD"}
    )


def _bare_city(lines: list[Line]) -> bool:
    """Whether a last line of words alone, without state or ZIP code, is a city."""
    words, before = lines[-1][0], lines[-2][0]
    if words[-1] in SUFFIXES and not any(word in SUFFIXES for word in before[1:]):
        return False  # "310 MARTIN LUTHER KING, JR BOULEVARD"
    return (
        words[0] not in _NOT_CITIES
        and words[0] not in DIRECTIONS
        or len(words) > 1
        and words[0] in DIRECTIONS
    )


_NOT_CITIES = frozenset(
    "ATTN ATTENTION ATT C/O CO CARE URB SECTOR BO BARRIO COND EDIF RES GENERAL PO REAR FRNT UPPR LOWR "
    "BSMT LBBY OFC PH SIDE FRONT LOWER UPPER LOBBY PENTHOUSE BASEMENT JR SR PMB PRIVATE CALLE".split()
)


def _within(words: list[str], last: LastLine) -> int:
    """How many of the last words of a line that also holds the street are the city."""
    text = " ".join(words)
    best = 0
    for name in zip_codes.names(last.zip5):
        many = len(name.split())
        if many > best and (text.endswith(" " + name) or text == name):
            best = many
    if best:
        if best < len(words) and _FIRST.get(words[-best - 1]) and _a_street(words[: -best - 1]):
            spelled_out = _FIRST[words[-best - 1]] + " " + " ".join(words[-best:])
            if spelled_out in zip_codes.names(last.zip5):
                best += 1
        return best
    for many in range(1, min(5, len(words))):
        full = spelled(" ".join(words[-many:]), last.state)[0]
        if full in zip_codes.names(last.zip5):
            best = many
    if best:
        return best
    if not any(c.isdigit() for c in text) and not any(w in SUFFIXES for w in words[1:]):
        return len(words) if len(words) <= 3 else 0
    last.unsure = True
    return _after_street(words)


def _a_street(words: list[str]) -> bool:
    return bool(words) and words[-1] in SUFFIXES


def _after_street(words: list[str]) -> int:
    """How many words stand after the first thing that can end a delivery line."""
    end = 0
    if "DELIVERY" in words[:3]:
        end = words.index("DELIVERY") + 1
    for i, word in enumerate(words):
        before = words[i - 1] if i else ""
        if (
            i >= 1
            and any(c.isdigit() for c in word)
            and (before in UNITS or before in ("#", "BOX", "PMB"))
        ):
            end = i + 1
        elif not end and i >= 2 and word in SUFFIXES and i + 1 < len(words):
            after = words[i + 1]
            end = i + 1
            if after in SUFFIXES and i + 2 < len(words):
                end = i + 2
            if (
                end < len(words)
                and words[end] in DIRECTIONS
                and end + 1 < len(words)
                and len(words[end]) <= 2
            ):
                end += 1
    left = words[end:]
    if not end or not left or any(c.isdigit() for word in left for c in word):
        return 0
    return len(left)


@lru_cache(maxsize=8192)
def spelled(city: str, state: str) -> tuple[str, tuple[str, ...]]:
    """A city's name as 223 wants it, spelled out, and other readings.

    >>> spelled("W PALM BCH", "FL")
    ('WEST PALM BEACH', ())
    """
    words = city.split()
    readings: list[str] = []
    if state in MILITARY_STATES:
        return "".join(words) if len(words) == 3 and all(len(w) == 1 for w in words) else city, ()
    if len(words) > 1:
        if words[0] in _FIRST:
            words[0] = _FIRST[words[0]]
        last = words[-1]
        if last in _LAST:
            words[-1] = _LAST[last]
        elif last in SUFFIXES and last not in DIRECTION_WORDS and len(last) <= 5:
            words[-1] = SUFFIX_WORDS[last] if SUFFIXES[last] == last else last
    name = " ".join(words)
    if state == "VI":
        name = _VIRGIN.get(name, name)
    elif state == "PR" and name in _SAN_JUAN:
        name = "SAN JUAN"
    elif "ST" in words[:2] and len(words) > 1:
        # 222, 223: only the City State file knows whether it writes ST or SAINT
        readings.append(" ".join("SAINT" if w == "ST" else w for w in words))
    elif (
        len(words) == 1
        and re.match(r"O[BCDFGHKLMNRST](?![TRSLD])[A-Z]{3,}", name)
        and name[1:3] in ("FA", "BR", "NE")
    ):
        readings.append(f"O {name[1:]}")
    return name, tuple(readings)


def valid_state(code: str) -> bool:
    return code in STATE_CODES
