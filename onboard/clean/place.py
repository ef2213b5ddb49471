"""Where a ZIP code is, and whether city, state and ZIP code agree.

Policy: the ZIP code decides the place wherever it is known; what disagrees is said and never
silently changed. Data: the package zipcodes, as onboard/tables/zip_codes.tsv.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from math import asin, cos, radians, sin, sqrt

from rapidfuzz.distance import OSA

from onboard.model import Cleaned, Finding, Kind, Place, Weight
from onboard.tables import rows, zip_codes

__all__ = ["KINDS", "clean", "find", "miles", "show"]

_RIGHT = "Lima, OH 45801"


def _kind(what: str, about: str, wrong: str, weight: Weight = Weight.DOUBTFUL) -> Kind:
    return Kind(f"place.{what}", weight, about, wrong, _RIGHT)


MISSING = _kind("missing", "The city, state and ZIP code are all missing.", "")
UNKNOWN_ZIP = _kind("unknown_zip", "We don't know this ZIP code.", "Lima, OH 45800")
AT_ODDS = _kind(
    "at_odds", "The ZIP code and the city belong to different places.", "Lima, OH 48501"
)
UNKNOWN_CITY = _kind("unknown_city", "We don't know a place by that name in the state. The ZIP code's city is used.",
                     "Elmtown Township, OH 45801")  # fmt: skip
STATE_AT_ODDS = _kind("state_at_odds", "The ZIP code and the state do not match.", "Lima, IN 45801")
CITY_FILLED = _kind(
    "city_filled", "The city was missing. It was filled in from the ZIP code.", "OH 45801"
)
STATE_FILLED = _kind(
    "state_filled", "The state was missing. It was filled in from the ZIP code.", "Lima 45801"
)
ZIP_FILLED = _kind(
    "zip_filled",
    "The ZIP code was missing. The city has only one, so it was filled in.",
    "Cridersville, OH",
)
ZIP_MISSING = _kind(
    "zip_missing",
    "The ZIP code is missing. The city has several, or we don't know the city.",
    "Lima, OH",
)
OTHER_NAME = _kind(
    "other_name",
    "The form uses another name for the city.",
    "Hollywood, CA 90028",
    Weight.MENDED,
)
LOST_ZERO = _kind("lost_zero", "A spreadsheet dropped the first zero of the ZIP code. It is back.",
                  "Springfield, MA 1103", Weight.MENDED)  # fmt: skip
SPELLING = _kind("spelling", "The city's name was misspelled.", "Limma, OH 45801", Weight.MENDED)

KINDS = (
    MISSING, UNKNOWN_ZIP, AT_ODDS, UNKNOWN_CITY, STATE_AT_ODDS, CITY_FILLED, STATE_FILLED, ZIP_FILLED, ZIP_MISSING,
    OTHER_NAME, SPELLING, LOST_ZERO,
)  # fmt: skip

LONGEST = 200  # characters read
_EARTH = 3958.7613  # mean radius in miles (IUGG: 6371.0088 km)


def clean(said: str = "", *, city: str = "", state: str = "", zip5: str = "") -> Cleaned[Place]:
    """The place that city, state and ZIP code name, and where they disagree.

    `said` is a last line such as "Lima, OH 45801"; or give the parts: a state by name or two letters,
    a ZIP code of five digits. The value has degrees of latitude and longitude where they are known.
    Never raises; `value` is None where nothing was given.

    >>> clean("Lima, OH 45801").value.area_codes
    ('419', '567')
    """
    if not (city or state or zip5):
        city, state, zip5 = _parts(said[:LONGEST])
    else:
        said = said or " ".join(part for part in (city, state, zip5) if part)
    city, state = _plain(city), _state(state)
    zip5 = _digits(zip5)
    mended: tuple[Finding, ...] = ()
    if 3 <= len(zip5) <= 4 and (whole := find(zip5.zfill(5))) and whole.state == state:
        note = f"ZIP code {zip5} had lost its first zero. It is {whole.zip5}."
        mended, zip5 = (LOST_ZERO.found(said, note),), whole.zip5
    if not (city or state or zip5):
        return Cleaned(
            said,
            None,
            (MISSING.found(said, "The city and the ZIP code are missing. Ask for them."),),
        )
    spot = find(zip5) if zip5 else None
    if spot is None:
        return _without_zip(said, city, state, zip5)
    return Cleaned(said, spot, (*mended, *_compared(said, spot, city, state)))


def show(value: Place) -> str:
    """City, state and ZIP code on one line.

    >>> show(clean("lima ohio 45801").value)
    'LIMA OH 45801'
    """
    return " ".join(part for part in (value.city, value.state, value.zip5) if part)


def find(zip5: str) -> Place | None:
    """The place of a five-digit ZIP code, with degrees of latitude and longitude; None if it is not known.

    >>> find("45801").city
    'LIMA'
    """
    spot = _found.get(zip5)
    if spot is None and (line := zip_codes.lines().get(zip5)):
        _, city, state, _, latitude, longitude, area_codes, _ = line.split("\t")
        spot = _found[zip5] = Place(
            zip5,
            city,
            state,
            float(latitude) if latitude else None,
            float(longitude) if longitude else None,
            tuple(area_codes.split()),
        )
    return spot


_found: dict[str, Place] = {}


def names(zip5: str) -> tuple[str, ...]:
    """The names in use for the city of a ZIP code, in capitals, that of the post office first; none if it is not known.

    >>> names("45806")
    ('LIMA', 'CRIDERSVILLE', 'FORT SHAWNEE')
    """
    line = zip_codes.lines().get(zip5)
    if line is None:
        return ()
    _, city, _, _, _, _, _, others = line.split("\t")
    return (city, *filter(None, others.split(";")))


def is_in(city: str, state: str) -> bool:
    """Whether some ZIP code of a state, two letters, has a town of that name.

    >>> is_in("Lima", "OH"), is_in("Tucson", "NM")
    (True, False)
    """
    return bool(_codes(_plain(city), state))


def miles(a: Place, b: Place) -> float:
    """Miles between two places over the earth's great circle; infinite if either is unknown.

    >>> round(miles(find("45801"), find("43215")))
    80
    """
    if a.latitude is None or a.longitude is None or b.latitude is None or b.longitude is None:
        return float("inf")
    north_a, north_b = radians(a.latitude), radians(b.latitude)
    half = sin((north_b - north_a) / 2) ** 2
    half += cos(north_a) * cos(north_b) * sin(radians(b.longitude - a.longitude) / 2) ** 2
    return 2 * _EARTH * asin(min(1.0, sqrt(half)))


# ---------------------------------------------------------------- comparing


def _compared(said: str, spot: Place, city: str, state: str) -> Iterator[Finding]:
    """What does not agree with the place of a known ZIP code."""
    here = f"ZIP code {spot.zip5} is {spot.city} {spot.state}"
    if not city:
        yield CITY_FILLED.found(said, f"The city was missing. {here}. Ask if that is right.")
    if not state:
        yield STATE_FILLED.found(said, f"The state was missing. {here}. Ask if that is right.")
    if city == spot.city and (state == spot.state or not state):
        return
    there = f"{city} {state or spot.state}".strip()
    folded, names = _fold(city), zip_codes.names(spot.zip5)
    own = not city or folded in map(_fold, names)
    if state and state != spot.state:
        kind = STATE_AT_ODDS if own else AT_ODDS
        advice = _advice(spot.zip5, city, state)
        yield kind.found(said, f"{here}, but the form says {there}. {advice}")
    elif not own and any(_alike(folded, _fold(name)) for name in names):
        yield SPELLING.found(said, f"{city} looks like a typo. {spot.city} is used.")
    elif not own and not _codes(city, spot.state):
        note = f"We don't know a {city} in {spot.state}. {here}. Ask if that is right."
        yield UNKNOWN_CITY.found(said, note)
    elif not own:
        advice = _advice(spot.zip5, city, spot.state)
        yield AT_ODDS.found(said, f"{here}, but the form says {there}. {advice}")
    elif city and folded != _fold(spot.city):
        yield OTHER_NAME.found(said, f"The post office's name for {city} is {spot.city}.")


def _without_zip(said: str, city: str, state: str, zip5: str) -> Cleaned[Place]:
    """A place whose ZIP code is missing or unknown."""
    codes = _codes(city, state)
    if zip5:
        note = f"We don't know ZIP code {zip5}. {_advice(zip5, city, state)}"
        return Cleaned(said, Place(zip5, city, state), (UNKNOWN_ZIP.found(said, note),))
    if len(codes) == 1 and (only := find(codes[0])):
        note = (
            f"The ZIP code was missing. {city} {state} has only {only.zip5}. Ask if that is right."
        )
        return Cleaned(said, only, (ZIP_FILLED.found(said, note),))
    areas = dict.fromkeys(
        area for code in codes if (spot := find(code)) for area in spot.area_codes
    )
    note = (
        f"The ZIP code is missing, and {show(Place('', city, state))} has several. Ask for it."
        if codes
        else "The ZIP code is missing. Ask for it."
    )
    return Cleaned(
        said, Place("", city, state, area_codes=tuple(areas)), (ZIP_MISSING.found(said, note),)
    )


def _advice(zip5: str, city: str, state: str) -> str:
    if fix := suggestion(zip5, city, state):
        return f"Ask if they mean {fix}: that is one typo away, and in {city} {state}."
    return "Ask which is right."


def suggestion(zip5: str, city: str, state: str) -> str:
    """The one ZIP code of the city that a single slip would turn into `zip5`; "" if none or several.

    A slip is one digit wrong, missing or too many, or two neighbours swapped.

    >>> suggestion("48501", "Lima", "OH")
    '45801'
    """
    near = [code for code in _codes(_plain(city), _state(state)) if _one_slip(code, zip5)]
    for kind in "SPU":  # people live where letters are carried, then where there are boxes
        best = [code for code in near if zip_codes.lines()[code].split("\t", 4)[3] == kind]
        if best:
            return best[0] if len(best) == 1 else ""
    return near[0] if len(near) == 1 else ""


def _one_slip(a: str, b: str) -> bool:
    """Whether one digit or letter wrong, missing, too many, or two swapped, makes `b` of `a`."""
    return OSA.distance(a, b, score_cutoff=1) == 1


def _alike(a: str, b: str) -> bool:
    """Whether two names are a slip or two apart, and long enough for that to mean something."""
    shorter = min(len(a), len(b))
    return shorter >= 4 and OSA.distance(a, b) <= (2 if shorter >= 8 else 1)


@cache
def _by_city(state: str) -> dict[str, tuple[str, ...]]:
    """The ZIP codes of each folded name of a city in one state."""
    index: dict[str, list[str]] = {}
    within = f"\t{state}\t"
    for line in zip_codes.lines().values():
        if within in line:
            zip5, city, _, _, _, _, _, others = line.split("\t")
            for name in {_fold(name) for name in (city, *others.split(";")) if name}:
                index.setdefault(name, []).append(zip5)
    return {name: tuple(codes) for name, codes in index.items()}


def _codes(city: str, state: str) -> tuple[str, ...]:
    return _by_city(state).get(_fold(city), ()) if city and state in _states() else ()


# ---------------------------------------------------------------- reading

_ZIP = re.compile(r"(?<!\d)\d{1,9}(?:[ -]{1,3}\d{4})?$")
# names that are written in two ways, folded to one
_FOLDS = {"SAINT": "ST", "SAINTE": "STE", "FORT": "FT", "MOUNT": "MT", "NORTH": "N", "SOUTH": "S", "EAST": "E", "WEST": "W",
          "HEIGHTS": "HTS", "SPRINGS": "SPGS", "POINT": "PT", "LAKE": "LK", "BEACH": "BCH", "TOWNSHIP": "TWP", "JUNCTION": "JCT",
          "VILLAGE": "VLG", "VALLEY": "VLY"}  # fmt: skip


@cache
def _states() -> dict[str, str]:
    forms: dict[str, str] = {}
    for code, name, practice in rows("address_states"):
        forms.update(dict.fromkeys((code, name, *filter(None, practice.split(","))), code))
    return forms


def _plain(text: str) -> str:
    if text.isascii() and text.replace(" ", "").isalpha():
        return " ".join(text.upper().split())
    return " ".join(re.sub(r"[^\w ]|_", " ", re.sub(r"['’`]", "", text)).upper().split())


def _fold(name: str) -> str:
    return "".join(_FOLDS.get(word, word) for word in name.split())


def _state(text: str) -> str:
    plain = _plain(text)
    return _states().get(plain, plain)


def _digits(text: str) -> str:
    """The five digits of a ZIP code, without the four; or what digits there are instead."""
    digits = match[1] if (match := re.search(r"(\d{1,9})", text)) else ""
    return digits[:5] if len(digits) == 9 else digits


def _parts(said: str) -> tuple[str, str, str]:
    """City, state and ZIP code of a last line."""
    said = said.rstrip(" ,.\n\r\t")
    match = _ZIP.search(said)
    text, zip5 = (said[: match.start()], match[0]) if match else (said, "")
    words = _plain(text).split()
    for many in range(min(7, len(words)), 0, -1):
        if code := _states().get(" ".join(words[-many:])):
            return " ".join(words[:-many]), code, zip5
    return " ".join(words), "", zip5
