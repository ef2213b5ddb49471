"""A city's name as the last line has it (223 and 292; J1 for the Virgin Islands)."""

from __future__ import annotations

from functools import lru_cache

from onboard.clean.address.lookups import MILITARY_STATES, SUFFIX_WORDS, SUFFIXES
from onboard.tables import zip_codes

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


@lru_cache(maxsize=8192)
def spelled(city: str, state: str, zip5: str = "") -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """A city's name as 223 wants it, spelled out, other readings, and other forms.

    Where the ZIP code's own names settle a question (ST or SAINT, PT for POINT or PORT), they do.

    >>> spelled("W PALM BCH", "FL"), spelled("ST LOUIS", "MO", "63101")
    (('WEST PALM BEACH', (), ()), ('SAINT LOUIS', (), ('ST LOUIS',)))
    """
    words = city.split()
    if state in MILITARY_STATES:  # 225.1
        return ("".join(words) if len(words) == 3 and len(city) == 5 else city), (), ()
    if len(words) > 1:
        words[0] = _FIRST.get(words[0], words[0])
        last = words[-1]
        if last in _LAST:
            words[-1] = _LAST[last]
        elif SUFFIXES.get(last) == last and last not in _CITY_WORDS:
            words[-1] = SUFFIX_WORDS[last]
    name = " ".join(words)
    if state == "VI":
        return _VIRGIN.get(name, name), (), ()  # J1
    if state == "PR" and name in _SAN_JUAN:
        return (
            "SAN JUAN",
            (),
            ((name,) if name == "RIO PIEDRAS" else ()),
        )  # I51.8, but 292 prints it
    said = city.split()
    others = _other_spellings(said, words)
    if zip5 and others:
        known = zip_codes.names(zip5)[:1]  # the post office's own name
        for other in (name, *others):
            if other in known:
                return other, (), ((name,) if other != name and said[0] != "PT" else ())
    return name, tuple(other for other in others if not other.startswith("PORT ")), ()


# states where the standard name has another count of words than what people write
RENAMED = MILITARY_STATES | {"PR", "VI"}
_CITY_WORDS = frozenset(("FALL", "LAND", "PARK", "WALK", "WALL", "RUN", "ISLE", "VIA", "IS", "UN"))


def _other_spellings(said: list[str], words: list[str]) -> list[str]:
    """Other ways of writing a city's name that only the post office's own file decides (222, 223)."""
    others = [" ".join("SAINT" if w == "ST" else w for w in words)] if "ST" in words[:2] else []
    if said[0] == "PT" and len(said) > 1:
        others.append(" ".join(("PORT", *words[1:])))
    if len(words) == 1 and len(said[0]) > 4 and said[0][0] in "OD" and said[0][1] not in "AEIOU":
        apart = f"{said[0][0]} {said[0][1:]}"  # 354: the apostrophe of O'FALLON
        others += [apart] if apart in zip_codes.cities() else []
    return [other for other in others if other != " ".join(words)]
