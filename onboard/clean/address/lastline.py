"""The last line: city, state, ZIP (Publication 28, 22 and appendix B; J1 for the Virgin Islands)."""

from __future__ import annotations

import re

from onboard.clean.address import likelihood, number, street
from onboard.clean.address.city import RENAMED, spelled
from onboard.clean.address.delivery_line import Reading
from onboard.clean.address.lookups import (
    DIRECTIONS,
    OLD_STATES,
    STATE_ENDS,
    STATES,
    SUFFIXES,
    UNITS,
    UNITS_ALONE,
    bag,
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
_NY_ZEROS = ("501", "544", "6390")  # all others of New York begin with 1
# words after which five digits are no ZIP code
_NUMBERED = bag(
    "BOX BX POB POBOX BIN CALLER LOCKBOX DRAWER # NO NUMBER ROUTE RTE RT HIGHWAY HWY ROAD RD INTERSTATE RR HC PSC CMR "
    "CPR OPC UPR UNIT APT STE LOT PMB KM APARTADO BUZON BZN CALLE"
)


class LastLine:
    """City, state and ZIP as they are written, and what was noticed on the way."""

    __slots__ = (
        "after", "bad_zip", "city", "lost_zero", "old_state", "readings", "rules", "state", "unsure",
        "zip4", "zip5",
    )  # fmt: skip

    def __init__(self) -> None:
        self.city = self.state = self.zip5 = self.zip4 = ""
        self.old_state = ""  # the state as it was written before the two letters
        self.bad_zip = ""  # digits in the place of a ZIP code that cannot be one
        self.lost_zero = ""  # the digits that were left of a ZIP code
        self.unsure = False  # the city was cut off a line without a comma, by likelihood
        self.after: list[str] = []  # words taken off the line that holds the city
        self.rules: list[str] = []
        self.readings: list[Reading] = []

    @property
    def line(self) -> str:
        """City, state and ZIP code."""
        zip9 = f"{self.zip5}-{self.zip4}" if self.zip4 else self.zip5
        return " ".join([part for part in (self.city, self.state, zip9) if part])

    def may_be(self, text: str, why: str, form: bool = True) -> None:
        """Notes another form of this line, or another reading."""
        self.readings.append(Reading(text, why, form))


def take(lines: list[Line]) -> LastLine:
    """Takes the last line off the end of `lines` (which it shortens)."""
    last = LastLine()
    while lines and lines[-1][0][-1] in _COUNTRY_ENDS and _country(lines, last):
        pass
    _zip(lines, last)
    if lines and lines[-1][0][-1] in STATE_ENDS:
        _state(lines, last)
    if lines:
        _city(lines, last)
    if last.old_state and not last.zip5:
        last.may_be(
            f"{last.city} {last.old_state}".lstrip(),
            "the postal guide does not list this abbreviation, appendix B",
        )
    if last.lost_zero:
        text = f"{last.city} {last.state} {last.lost_zero}".lstrip()
        last.may_be(text, "a different digit than the first may be missing")
    return last


def _drop(lines: list[Line], many: int, last: LastLine) -> None:
    """Takes words off the end."""
    words = lines[-1][0]
    if many == len(words):
        lines.pop()
        last.after = []
    else:
        last.after[:0] = words[-many:]
        del words[-many:]


def _country(lines: list[Line], last: LastLine) -> bool:
    """Takes the country's name off the end, if it is there."""
    words = lines[-1][0]
    for country in _COUNTRY:
        many = len(country)
        if tuple(words[-many:]) != country or (len(words) == many and len(lines) == 1):
            continue
        # US alone is a country only after a ZIP code: "12 US" may be a highway's beginning
        if country != ("US",) or len(words) == 1 or _ZIP.fullmatch(words[-2]):
            _drop(lines, many, last)
            return True
    return False


def _zip(lines: list[Line], last: LastLine) -> None:
    """Takes a ZIP code off the end, if the digits there can be one (224)."""
    if not lines:
        return
    words = lines[-1][0]
    many, text = 1, words[-1]
    if not text[-1].isdigit():
        return
    if len(text) == 4 and len(words) > 1 and len(words[-2]) == 5 and (words[-2] + text).isdigit():
        many, text = 2, words[-2] + text  # "12345 6789"
    match = _ZIP.fullmatch(text)
    before = words[-many - 1] if len(words) > many else ""
    if match is None:
        _short_zip(lines, last, text, before)
        return
    if before in _NUMBERED and before not in STATES:
        return
    # "220 INTERSTATE 10001" or "LIMA 45801": a number of a road, or a ZIP code
    short = before and len(lines) == 1 and len(words) <= many + 2
    if short and (before.isdigit() or not (before in STATE_ENDS or zip_codes.names(match[1]))):
        return
    last.zip5, last.zip4 = match[1], match[2] or ""
    last.rules.append("224")
    _drop(lines, many, last)


def _short_zip(lines: list[Line], last: LastLine, text: str, before: str) -> None:
    """A ZIP code that lost its leading zero on the way through a spreadsheet, or has a slip."""
    first, _, rest = text.partition("-")
    digits, state = first.isdigit() and len(first) >= 3, STATES.get(before)
    words = lines[-1][0]
    after_comma = len(lines) > 1 and words[0].isalpha()
    if digits and state and not after_comma and len(words) > 3 and len(first) > 3:
        after_comma = likelihood.labels(" ".join(words))[-2:] == ("StateName", "ZipCode")
    zero = len(first) <= 4 and (first in _NY_ZEROS if state == "NY" else state in _ZERO_STATES)
    if digits and state and after_comma and not zero:
        last.bad_zip = text
        _drop(lines, 1, last)
    elif digits and zero and (len(words) > 2 or len(lines) > 1):
        last.lost_zero, last.zip5 = text, first.zfill(5)
        if len(rest) == 4 and rest.isdigit():
            last.zip4 = rest
        last.rules.append("224")
        _drop(lines, 1, last)


def _state_at(words: list[str]) -> tuple[int, str]:
    """How many of the last words are a state, and which; (0, "")."""
    for many in STATE_ENDS[words[-1]]:
        if many <= len(words) and (code := STATES.get(" ".join(words[-many:]))):
            return many, code
    return 0, ""


def _state(lines: list[Line], last: LastLine) -> None:
    """Takes a state off the end (appendix B)."""
    words = lines[-1][0]
    many, code = _state_at(words)
    if not many:
        return
    if not last.zip5:
        # without a ZIP code, a word that is also a suffix or a direction may be of the street
        form = " ".join(words[-many:])
        street_word = form in SUFFIXES or form in DIRECTIONS or form in UNITS
        if len(lines) == 1:
            if len(words) == many:
                return
            if form == "FL" and len(words) > 2 and number.ordinal(words[-2]):
                return  # "6TH FL"
            if street_word or not _street_ends(words[:-many]):
                labels = likelihood.labels(" ".join(words))[-many - 1 :]
                if labels != ("PlaceName", *("StateName",) * many) or words[1] in SUFFIXES:
                    return  # "12 ST ANDREWS CT" would have a street without a name
        elif len(words) == many and len(lines) == 2 and form in _CITIES:
            return
        elif len(words) == many and street_word:
            before = lines[-2][0][-1]
            if (before in SUFFIXES and form in DIRECTIONS) or (len(lines) == 2 and form != code):
                return
    elif len(lines) == 1 and len(form := " ".join(words[-many:])) > 2:
        # "12 ELM ST NEW YORK 10001": the city's name, and the state left out
        before = words[-many - 1] if len(words) > many else ""
        over = not before or before in SUFFIXES or not before.isalpha()
        if over and form in zip_codes.names(last.zip5):
            last.city, last.state = form, code
            last.rules += ("App B", "223")
            _drop(lines, many, last)
            return
    last.state = code
    if words[-1] in OLD_STATES and many == 1:
        last.old_state = words[-1]
    last.rules.append("App B")
    _drop(lines, many, last)
    if len(lines) > 1 and not lines[-1][1] and (names := zip_codes.names(last.zip5)):
        again = " ".join(lines[-1][0])  # "ROSWELL, GEORGIA, GA 30075"
        if STATES.get(again) == code and again not in names:
            lines.pop()


_CITIES = frozenset(("NEW YORK", "WASHINGTON"))  # below a street, the city and not the state


def _street_ends(words: list[str]) -> bool:
    """Whether a street seems to be over within the words and a city to follow."""
    return any(word in SUFFIXES for word in words[2:-1]) or "BOX" in words


def _city(lines: list[Line], last: LastLine) -> None:
    """Takes the city off the end (223)."""
    if last.city:
        return
    words = lines[-1][0]
    if last.state or last.zip5:
        many = len(words) if len(lines) > 1 and _a_city(words) else _within(words, last)
    elif len(lines) > 1:
        many = len(words) if _a_city(words) and _bare_city(lines) else 0
    elif words[-1].isalpha() and " ".join(words) in zip_codes.cities():
        many = len(words)  # nothing but a city
    else:
        many = _after_all(words)
    if not many:
        return
    city = words[len(words) - many :]
    _drop(lines, many, last)
    if len(city) > 1 and len(city[-1]) == 2 and STATES.get(city[-1]) == last.state:
        city.pop()  # "MEMPHIS TN, TN 38103"
    if lines and len(city) > 1 and lines[-1][0][-1] in SUFFIXES:
        _give_back(city, lines[-1][0])
    last.city, others, forms = spelled(" ".join(city), last.state, last.zip5)
    for name in others:
        why = "only the post office's own file says which one"
        last.may_be(f"{name} {last.state}".rstrip(), why, form=False)
    for name in forms:
        last.may_be(f"{name} {last.state}".rstrip(), "the ZIP code's own city name was used")
    last.rules.append("223")


def _give_back(city: list[str], street: list[str]) -> None:
    """Gives a direction that stood after a comma back to the street: "BOLTON RD, NW ATLANTA"."""
    many = 1 if city[0] in ("NE", "NW", "SE", "SW") else 0
    if len(city) > 2 and city[0] in ("N", "S") and city[1] in ("E", "W"):
        many = 2
    if many:
        street += city[:many]
        del city[:many]


def _a_city(words: list[str]) -> bool:
    """Whether a whole piece between commas can be a city's name."""
    if words[0] in UNITS or (len(words[-1]) == 1 and len(words[0]) > 1):
        return False  # or a city after all, such as KEY WEST: see `_within`; BOX D is none
    return words[-1] not in _NOT_LAST and "".join(words).isalpha()


def _bare_city(lines: list[Line]) -> bool:
    """Whether a last line of words alone, without state or ZIP code, is a city."""
    words, before = lines[-1][0], lines[-2][0]
    if words[-1] in SUFFIXES and not any(word in SUFFIXES for word in before[1:]):
        return False  # "310 MARTIN LUTHER KING, JR BOULEVARD"
    if UNITS.get(words[-1]) == "FL":
        return False  # "THIRD FLOOR"
    return words[0] not in _NOT_CITIES and (len(words) > 1 or words[0] not in DIRECTIONS)


# words that begin a line which is no city
_NOT_CITIES = bag(
    "ATTN ATTENTION ATT C/O CO CARE URB SECTOR BO BARRIO COND EDIF RES GENERAL PO REAR FRNT UPPR "
    "LOWR BSMT LBBY OFC PH SIDE FRONT LOWER UPPER LOBBY PENTHOUSE BASEMENT JR SR INC LLC LTD CORP PMB PRIVATE "
    "CALLE"
)
_NO_CITY = frozenset("ABCDFGHJKLMNPQRTUVWXYZ") | {"ATTN", "ATTENTION", "C/O"}
_NOT_LAST = _NUMBERED - {"ROAD", "ROUTE", "NO", "RD"}
_COUNTRY_ENDS = frozenset(country[-1] for country in _COUNTRY)


_ALONE = frozenset(form for form, unit in UNITS.items() if unit in UNITS_ALONE)


def _within(words: list[str], last: LastLine) -> int:
    """How many of the last words of a line that also holds the street are the city."""
    if names := zip_codes.names(last.zip5):
        lengths = {name.count(" ") + 1 for name in names}
        if last.state in RENAMED:
            lengths = {1, 2, 3}
        for many in sorted(lengths, reverse=True):  # the longest that the ZIP code knows
            name = " ".join(words[-many:])
            if many <= len(words) and (
                name in names or spelled(name, last.state, last.zip5)[0] in names
            ):
                return many
    if words[-1] in _ALONE and len(words) > 1 and words[-2] in SUFFIXES:
        return 0
    if words[-1] in SUFFIXES:  # a street without its city, or a city such as HIGHLAND PARK
        alone = names and words[0][0].isdigit() and SUFFIXES.keys().isdisjoint(words[2:-1])
        if alone or street.tidy(words):
            return 0
        return likelihood.city(words, last.after)
    joined = "".join(words)
    if joined.isalpha() and not any(word in SUFFIXES for word in words[1:]):
        # no street, such as a city alone; but "OAK AVE, UPPR" has none
        return len(words) if len(words) <= 3 and not (len(words) == 1 and words[0] in UNITS) else 0
    return _divided(words, _after_street(words), last)


def _after_all(words: list[str]) -> int:
    """The city at the end of a single line without state or ZIP code: "12 MAIN ST LIMA"."""
    many = _after_street(words)
    left = words[len(words) - many :] if many else []
    if not left or not words[0][0].isdigit() or not "".join(left).isalpha():
        return 0
    if left[-1] in DIRECTIONS or left[0] in UNITS or not _NO_CITY.isdisjoint(left):
        return 0
    if left[-1] in SUFFIXES and (len(left) == 1 or " ".join(left) not in zip_codes.cities()):
        return 0
    return many if likelihood.city(words, []) == many else 0


def _divided(words: list[str], many: int, last: LastLine) -> int:
    """Divides a line into street and city: usaddress decides where the grammar sees it otherwise."""
    other = likelihood.city(words, last.after)
    if other and words[-other] in UNITS:
        other = 0  # "233 S WACKER DR LOBBY"
    last.unsure = other not in (0, many) or not many
    return other or many


def _after_street(words: list[str]) -> int:
    """How many words stand after what can end a delivery line: its suffix, unit or box."""
    end = words.index("DELIVERY") + 1 if "DELIVERY" in words[:3] else 0
    for i in range(1, len(words)):
        word, before = words[i], words[i - 1]
        if not word.isalpha() and (before in UNITS or before in _ENDING):
            end = i + 1
        elif not end and i >= 2 and word in SUFFIXES and i + 1 < len(words):
            end = i + 1
            if words[end] in SUFFIXES and end + 1 < len(words):
                end += 1
            if words[end] in DIRECTIONS and end + 1 < len(words) and len(words[end]) <= 2:
                end += 1
    left = words[end:]
    return len(left) if end and "".join(left).isalpha() else 0


_ENDING = frozenset(("#", "BOX", "PMB"))
