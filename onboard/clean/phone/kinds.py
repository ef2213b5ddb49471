"""Every kind of finding about a phone number. None is more than doubtful."""

from __future__ import annotations

from onboard.model import Kind, Weight


def _kind(what: str, about: str, wrong: str, weight: Weight = Weight.DOUBTFUL) -> Kind:
    return Kind(f"phone.{what}", weight, about, wrong, right="(419) 234-5678")


MISSING = _kind("missing", "There is no phone number.", "none")
UNREADABLE = _kind("unreadable", "What was typed can't be a phone number.", "ask my sister")
WRONG_FIELD = _kind(
    "wrong_field", "Something else is where the phone number should be.", "pat@example.org"
)
PLACEHOLDER = _kind("placeholder", "The number is made up to fill the field.", "123-456-7890")
MASKED = _kind("masked", "Some digits are hidden.", "419-234-****")
NO_AREA_CODE = _kind("no_area_code", "The area code is missing.", "234-5678")
TOO_SHORT = _kind("too_short", "Digits are missing.", "419-234-567")
TOO_LONG = _kind("too_long", "There are too many digits.", "419-234-56789")
IMPOSSIBLE = _kind("impossible", "No number can be like this.", "419-911-5678")
UNASSIGNED = _kind(
    "unassigned", "We don't know of any place that uses this area code.", "(222) 234-5678"
)
ROUNDED = _kind("rounded", "A spreadsheet rounded the number, and digits are lost.", "4.19E+09")
LONG = _kind(
    "long",
    "The cell is far too long for a phone number. Only the beginning was read.",
    "419-234-5678" + " and so on" * 50,
)
SPREADSHEET = _kind(
    "spreadsheet",
    "A spreadsheet had turned the number into a decimal.",
    "4192345678.0",
    Weight.MENDED,
)
REMARK = _kind("remark", "There is a note next to the number.", "419-234-5678 no texts")
WORDS = _kind(
    "words",
    "Words next to the number that say what phone it is were removed.",
    "419-234-5678 cell",
    Weight.MENDED,
)
LETTERS = _kind(
    "letters", "Letters on the keys were turned into digits.", "1-800-GO-PLUMB", Weight.MENDED
)
PREFIX = _kind("prefix", "A dialing prefix was removed.", "0 419 234 5678", Weight.MENDED)
ORDER = _kind("order", "The area code came last.", "234-5678 (419)", Weight.MENDED)
LOOKALIKE = _kind("lookalike", "A letter is where a digit should be.", "419-234-567O")
COUNTRY_CODE = _kind(
    "country_code", "The plus sign before a country's code is missing.", "44 20 7946 0018"
)
SEVERAL = _kind(
    "several",
    "There is more than one number. The first one is used, and the others are kept.",
    "419-234-5678 or 614-234-9999",
)
FICTIONAL = _kind("fictional", "The number is reserved for movies and tests.", "419-555-0143")
DIRECTORY = _kind("directory", "The number is directory assistance.", "419-555-1212")
NOT_IN_SERVICE = _kind(
    "not_in_service", "Almost no number that starts with 555 is in service.", "419-555-2345"
)
PREMIUM = _kind("premium", "Calls to the number cost extra.", "900-234-5678")
SPECIAL = _kind(
    "special", "The area code is not for a place, but for a special service.", "500-234-5678"
)

KINDS = (
    MISSING, UNREADABLE, WRONG_FIELD, PLACEHOLDER, MASKED, NO_AREA_CODE, TOO_SHORT, TOO_LONG,
    IMPOSSIBLE, UNASSIGNED, ROUNDED, LONG, SPREADSHEET, REMARK, WORDS, LETTERS, PREFIX, ORDER,
    LOOKALIKE, COUNTRY_CODE, SEVERAL, FICTIONAL, DIRECTORY, NOT_IN_SERVICE, PREMIUM, SPECIAL,
)  # fmt: skip
