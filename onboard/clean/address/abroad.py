"""Addresses outside the United States: known by their postcode, province or country, and kept as
they were written, since Publication 28 says nothing of their form."""

from __future__ import annotations

import re

from onboard.clean.address.lookups import STATES, bag
from onboard.clean.address.words import Line, unaccented

# Canada Post's and Royal Mail's postcodes (the form is public knowledge; letters as in use)
_POSTCODE = re.compile(
    r"(?:[ABCEGHJ-NPRSTVXY]\d[ABCEGHJ-NPRSTV-Z] ?\d[ABCEGHJ-NPRSTV-Z]\d"
    r"|(?:[A-Z]{1,2}\d{1,2}|[A-Z]{1,2}\d[A-Z]|GIR) ?\d[ABD-HJLNP-UW-Z]{2})"
)
_PROVINCES = bag(
    "ON,QC,BC,AB,MB,SK,NS,NB,NL,PE,YT,NT,NU,ONTARIO,QUEBEC,BRITISH COLUMBIA,ALBERTA,MANITOBA,"
    "SASKATCHEWAN,NOVA SCOTIA,NEW BRUNSWICK,NEWFOUNDLAND,PRINCE EDWARD ISLAND",
    ",",
)
# only names that are hardly ever the last word of an American address
_COUNTRIES = bag(
    "CANADA,UNITED KINGDOM,UK,GREAT BRITAIN,ENGLAND,SCOTLAND,NORTHERN IRELAND,IRELAND,FRANCE,GERMANY,"
    "DEUTSCHLAND,SPAIN,ESPANA,ITALY,ITALIA,NETHERLANDS,BELGIUM,SWITZERLAND,AUSTRIA,AUSTRALIA,"
    "NEW ZEALAND,JAPAN,CHINA,INDIA,PHILIPPINES,SOUTH KOREA,KOREA,MEXICO,GUATEMALA,HONDURAS,"
    "EL SALVADOR,NICARAGUA,COSTA RICA,PANAMA,COLOMBIA,VENEZUELA,ECUADOR,PERU,BRAZIL,BRASIL,CHILE,"
    "ARGENTINA,REPUBLICA DOMINICANA,DOMINICAN REPUBLIC,JAMAICA,HAITI,BAHAMAS,BERMUDA,SWEDEN,NORWAY,"
    "DENMARK,FINLAND,POLAND,UKRAINE,RUSSIA,ISRAEL,SOUTH AFRICA,NIGERIA,GHANA,KENYA",
    ",",
)
_LAST_WORDS = frozenset(name.split()[-1] for name in _COUNTRIES | _PROVINCES)
_MILITARY = frozenset(("APO", "FPO", "DPO"))


def here(lines: list[Line]) -> bool:
    """Whether the last words are a foreign postcode, province or country.

    >>> here([(["12", "OAK", "ST"], True), (["TORONTO", "ON", "M5V", "2T6"], True)])
    True
    """
    words = lines[-1][0]
    last = words[-1]
    if last in STATES or (last[0].isdigit() and len(last) != 3):
        return False
    if last.isalpha():
        return last in _LAST_WORDS and _country_or_province(words, lines)
    return _postcode(words, len(lines) > 1)


def _postcode(words: list[str], more: bool) -> bool:
    two, one = "".join(words[-2:]), words[-1]
    if len(words) >= 2 and len(one) == 3 and _POSTCODE.fullmatch(two):
        return len(words) > 2 or more
    return len(one) >= 5 and bool(_POSTCODE.fullmatch(one)) and (len(words) > 1 or more)


def _country_or_province(words: list[str], lines: list[Line]) -> bool:
    for many in (1, 2, 3):
        name = " ".join(words[-many:])
        if len(words) < many:
            return False
        if name in _COUNTRIES and not (_MILITARY & set(words)):
            before = words[:-many] or (lines[-2][0] if len(lines) > 1 else [])
            # a country is alone between commas, or follows a postcode or a province
            if before and ((len(words) == many and len(lines) > 2) or _postcode(before, True)):
                return True
        if name in _PROVINCES and len(lines) > 1 and (len(words) > many or len(lines) > 2):
            return True
    return False


def other_letters(said: str) -> bool:
    """Whether a text is written in other letters than those of English, accents aside.

    >>> other_letters("東京都千代田区丸の内1-1"), other_letters("Calle Peñón 5")
    (True, False)
    """
    if said.isascii():
        return False
    letters = [c for c in unaccented(said) if c.isalpha()]
    foreign = sum(not c.isascii() for c in letters)
    return foreign >= 3 and foreign * 5 > len(letters)


def as_written(said: str) -> tuple[str, ...]:
    """The lines of a foreign address, in capitals, its own marks left in.

    >>> as_written("12 Oak St. |Toronto, ON  M5V 2T6")
    ('12 OAK ST.', 'TORONTO, ON M5V 2T6')
    """
    lines = re.split(r"[\n\r|\x0b\x0c\x85\u2028\u2029]+", said.upper())
    return tuple(text for line in lines if (text := " ".join(line.split()).strip(" ,;")))
