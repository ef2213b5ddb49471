"""What spreadsheets do to values, and how much of it can be undone."""

from __future__ import annotations

import re
from decimal import Decimal

from onboard.intake.values import STATES
from onboard.model import Cleaned, Finding, Kind, Weight

# Whose ZIP codes begin with 0: common knowledge of the trade; AE is the armed forces in Europe, and
# New York has 00501 and 06390.
ZERO_STATES = frozenset(
    ("CT", "MA", "ME", "NH", "NJ", "RI", "VT", "PR", "VI", "AE", "NY", "CONNECTICUT",
     "MASSACHUSETTS", "MAINE", "NEW HAMPSHIRE", "NEW JERSEY", "RHODE ISLAND", "VERMONT",
     "PUERTO RICO", "VIRGIN ISLANDS", "US VIRGIN ISLANDS", "NEW YORK")
)  # fmt: skip
LONGEST = 32_767  # characters of a cell that are read further; what a spreadsheet cell can hold

PHONE_FLOAT = Kind(
    "row.phone_float", Weight.MENDED,
    "The spreadsheet wrote a phone number with a decimal point.",
    "4195550143.0", "419-555-0143", {"field": "phone"},
)  # fmt: skip
SCIENTIFIC = Kind(
    "row.scientific", Weight.DOUBTFUL,
    "The spreadsheet shortened a number, and its last digits are lost.",
    "4.19555E+09", "4195550143", {"field": "phone"},
)  # fmt: skip
SCIENTIFIC_WHOLE = Kind(
    "row.scientific_whole", Weight.MENDED,
    "The spreadsheet wrote a number in scientific form, with all its digits.",
    "4.195550143E+09", "4195550143", {"field": "phone"},
)  # fmt: skip
ZIP_ZERO = Kind(
    "row.zip_zero", Weight.MENDED,
    "The spreadsheet took the leading zeros off a ZIP code.",
    "1002", "01002", {"field": "zip", "state": "MA"},
)  # fmt: skip
ZIP_SHORT = Kind(
    "row.zip_short", Weight.DOUBTFUL,
    "A ZIP code has too few digits, and nothing says that they were leading zeros.",
    "4580", "45801", {"field": "zip", "state": "OH"},
)  # fmt: skip
NUMBER_FLOAT = Kind(
    "row.number_float", Weight.MENDED,
    "The spreadsheet wrote a whole number with a decimal point.",
    "45801.0", "45801", {"field": "zip"},
)  # fmt: skip
UNIT_DATE = Kind(
    "row.unit_date", Weight.DOUBTFUL,
    "The spreadsheet took a unit number such as 3-4 for a date.",
    "4-Mar", "Apt 4", {"field": "unit"},
)  # fmt: skip
ERROR_VALUE = Kind(
    "row.error_value", Weight.DOUBTFUL,
    "A formula in the spreadsheet failed. The value itself is not in the file.",
    "#N/A", "Lima", {"field": "city"},
)  # fmt: skip
FORMULA = Kind(
    "row.formula", Weight.DOUBTFUL,
    "The cell holds a formula as text. It is never run.",
    '=HYPERLINK("http://example.org","Ana")', "Ana", {"field": "full_name"},
)  # fmt: skip
TEXT_FORMULA = Kind(
    "row.text_formula", Weight.MENDED,
    "The text was in a formula, or behind an apostrophe, to keep its zeros.",
    '="01002"', "01002", {"field": "zip"},
)  # fmt: skip
CONTROL = Kind(
    "row.control", Weight.MENDED,
    "The cell holds characters that nobody can see or type.",
    "Ana\0 Ruiz", "Ana Ruiz", {"field": "full_name"},
)  # fmt: skip
ENCODING = Kind(
    "row.encoding", Weight.DOUBTFUL,
    "Letters were damaged by a wrong text encoding before or while the file was written.",
    "Mu\ufffdoz", "Muñoz", {"field": "family"},
)  # fmt: skip
HUGE = Kind(
    "row.huge", Weight.DOUBTFUL,
    "The cell is far too long for a form. Only its beginning was read.",
    "x", "Ana", {"field": "full_name", "repeated": "40000"},
)  # fmt: skip

# Of the row as a whole: their examples are whole files.
_FILE = {"file": "csv"}
LONGER = Kind(
    "row.longer", Weight.DOUBTFUL,
    "The row has more cells than there are headings, so cells may be under the wrong headings.",
    "Name,Email\nAna Ruiz,ana@example.org,Lima\n", "Name,Email\nAna Ruiz,ana@example.org\n", _FILE,
)  # fmt: skip
SHORTER = Kind(
    "row.shorter", Weight.MENDED,
    "The row has fewer cells than there are headings. The missing ones count as empty.",
    "Name,Email,City\nAna Ruiz,ana@example.org\n", "Name,Email,City\nAna Ruiz,ana@example.org,\n",
    _FILE,
)  # fmt: skip
SWALLOWED = Kind(
    "row.swallowed", Weight.BLOCKING,
    "A quotation mark was never closed, so one cell holds the rows that follow.",
    'Name,Email\n"Ana Ruiz,ana@example.org\nBo Lee,bo@example.org\nCy Poe,cy@example.org\n',
    'Name,Email\n"Ana Ruiz",ana@example.org\nBo Lee,bo@example.org\n', _FILE,
)  # fmt: skip
MERGED = Kind(
    "row.merged", Weight.DOUBTFUL,
    "The cell was merged with the one above. The text above counts for this row too.",
    "Name,City\nAna,Lima\nBo,^\n", "Name,City\nAna,Lima\nBo,Lima\n",
    {"file": "xlsx", "merged": "^"},
)  # fmt: skip
OTHER_BOX = Kind(
    "row.other_box", Weight.MENDED,
    "The email box was empty, and the box for another email address was not. That one is used.",
    "Name,Email,Alternate email\nAna,,ana@example.org\n",
    "Name,Email,Alternate email\nAna,ana@example.org,ana@example.net\n",
    _FILE,
)  # fmt: skip

KINDS: tuple[Kind, ...] = (
    LONGER, SHORTER, SWALLOWED, MERGED, PHONE_FLOAT, SCIENTIFIC, SCIENTIFIC_WHOLE, ZIP_ZERO,
    ZIP_SHORT, NUMBER_FLOAT, UNIT_DATE, ERROR_VALUE, FORMULA, TEXT_FORMULA, CONTROL, ENCODING,
    HUGE, OTHER_BOX,
)  # fmt: skip


# ---------------------------------------------------------------- one cell

_HIDDEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]+")
_SPOILT = re.compile(
    "[\ufffd\x80-\x9f\ud800-\udfff]"
    "|[A-Za-z][‚ƒ„†‡ˆ‰‹›˜¢£¤¥]|[a-z][ŽŠŸŒ]"  # DOS and Macintosh letters read as Windows-1252
)
_ERROR = re.compile(
    r"#(?:N/A|REF!|VALUE!|NAME\?|DIV/0!|NUM!|NULL!|SPILL!|CALC!|GETTING_DATA)|#{4,}|Err:\d{3}"
)  # ISO/IEC 29500-1 section 18.17.3 and later; "####" is a column too narrow when it was printed
_IN_FORMULA = re.compile(r'="([^"]*)"')
_BEHIND_APOSTROPHE = re.compile(r"'([\d=+\-@].*)", re.DOTALL)
_FORMULA = re.compile(r"\s*(?:=|[+\-@][A-Za-z]+\()")
_EMAIL = re.compile(r"[\w.+%'-]+@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+")
_SCIENTIFIC = re.compile(r"(\d(?:[.,]\d+)?)[Ee]\+(\d{1,2})")
_FLOAT = re.compile(r"(\d+)\.0+")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_MONTH = re.compile(r"(\d{1,2})-([A-Za-z]{3})")
_MONTH_YEAR = re.compile(r"([A-Za-z]{3})-(\d{2})")
_ISO_DAY = re.compile(r"\d{4}-(\d{2})-(\d{2})(?:[ T]00:00(?::00(?:\.0+)?)?)?")
_US_DAY = re.compile(r"(\d{1,2})/(\d{1,2})/\d{4}")

_NUMERIC = frozenset(("phone", "zip", "id", "number", "unit"))


_MARKS = frozenset("=+-@#'E")  # with which formulas and error values begin


def is_plain(text: str, field: str) -> bool:
    """Whether there is plainly no damage in `text`, as in nearly every cell of a million rows."""
    return not text or (
        text.isascii()
        and text.isprintable()
        and text[0] not in _MARKS
        and len(text) <= LONGEST
        and (field not in _NUMERIC or (text.isdigit() and (field != "zip" or len(text) == 5)))
    )


def clean(said: str, field: str, state: str = "") -> Cleaned[str]:
    """The text of one cell of `field` with the damage undone that can be.

    `state` is the row's state, which says whether a ZIP code may begin with 0. Never raises.

    >>> clean("1002", "zip", "MA").value
    '01002'
    """
    text = said.strip()
    if is_plain(text, field):
        return Cleaned(said, text)
    text, findings = _mended(text, field, state)
    return Cleaned(said, text, tuple(findings))


def _mended(text: str, field: str, state: str) -> tuple[str, list[Finding]]:
    findings: list[Finding] = []
    if len(text) > LONGEST:
        note = (
            f"This cell holds {len(text):,} characters. Only the first {LONGEST:,} were read. "
            "Look at the file and write in what belongs there."
        )
        findings.append(_found(HUGE, field, text[:80] + "…", note))
        text = text[:LONGEST].rstrip()
    if _HIDDEN.search(text):
        note = "Characters that nobody can see were removed from this cell. Nothing to do."
        findings.append(_found(CONTROL, field, text, note))
        text = _HIDDEN.sub("", text).strip()
    if _SPOILT.search(text):
        note = (
            f'Some letters of "{short(text)}" were damaged by a wrong text encoding. '
            "Ask how they spell it."
        )
        findings.append(_found(ENCODING, field, text, note))
    held = _IN_FORMULA.fullmatch(text) or _BEHIND_APOSTROPHE.fullmatch(text)
    if held:
        note = f"Read as {short(held[1])}: the rest only told the spreadsheet that it is text."
        findings.append(_found(TEXT_FORMULA, field, text, note))
        text = held[1].strip()
    if _ERROR.fullmatch(text):
        note = (
            f"{text} is what a spreadsheet shows when it has no value to show. It counts as "
            "empty. Look at the spreadsheet, or ask the member."
        )
        findings.append(_found(ERROR_VALUE, field, text, note))
        text = ""
    elif _FORMULA.match(text):
        said_there = text
        note = (
            f'"{short(text)}" is a formula. It is kept as text and never run. Write in what '
            "belongs there."
        )
        if field == "email" and len(held_in := {*map(str.casefold, _EMAIL.findall(text))}) == 1:
            (address,) = held_in
            note = (
                f'"{short(text)}" is a formula. {address} was read out of it. Ask if that is right.'
            )
            text = address
        findings.append(_found(FORMULA, field, said_there, note))
    if field in _NUMERIC and text:
        text = _number(text, field, state, findings)
    return text, findings


def _number(text: str, field: str, state: str, findings: list[Finding]) -> str:
    """`text` of a column that holds digits, which spreadsheets take for numbers."""
    if match := _SCIENTIFIC.fullmatch(text):
        digits = match[1].replace(",", ".")
        places = int(match[2])
        if len(digits.replace(".", "")) > places:
            whole = format(Decimal(f"{digits}E{places}"), "f").partition(".")[0]
            note = f"The spreadsheet wrote {text} for {whole}. Nothing to do."
            findings.append(_found(SCIENTIFIC_WHOLE, field, text, note))
            text = whole
        else:
            note = (
                f"The spreadsheet shortened this number to {text}, and its last digits are lost. Ask "
                "for it again, and format the column as text."
            )
            findings.append(_found(SCIENTIFIC, field, text, note))
            return text
    if match := _FLOAT.fullmatch(text):
        kind = PHONE_FLOAT if field == "phone" else NUMBER_FLOAT
        note = f"The spreadsheet wrote {text} for {match[1]}. Nothing to do."
        findings.append(_found(kind, field, text, note))
        text = match[1]
    if field == "zip":
        return _zip(text, state, findings)
    if field in ("unit", "number"):
        return _unit(text, field, findings)
    return text


_SHORT_ZIP = re.compile(r"(\d{3,4})(?:-?(\d{4}))?")


def _zip(text: str, state: str, findings: list[Finding]) -> str:
    match = _SHORT_ZIP.fullmatch(text)
    if not match:
        return text
    told = " ".join(state.replace(".", "").upper().split())
    whole = match[1].zfill(5) + (f"-{match[2]}" if match[2] else "")
    if told and not _begins_with_zero(told):
        where = f"ZIP codes in {told} don't start with 0"
        if told not in STATES:
            where = f"{short(told)} is not a state whose ZIP codes start with 0"
        note = f"{text} has too few digits for a ZIP code, and {where}. Ask for the ZIP code."
        findings.append(_found(ZIP_SHORT, "zip", text, note))
        return text
    note = f"The spreadsheet took the leading zero off: {text} is read as {whole}. Nothing to do."
    findings.append(_found(ZIP_ZERO, "zip", text, note))
    return whole


def _begins_with_zero(state: str) -> bool:
    """Whether `state`, perhaps shortened ("MASS"), is one whose ZIP codes begin with 0."""
    return state in ZERO_STATES or (
        len(state) > 2
        and state not in STATES
        and any(name.startswith(state) for name in ZERO_STATES)
    )


def _unit(text: str, field: str, findings: list[Finding]) -> str:
    day = month = 0
    if match := _DAY_MONTH.fullmatch(text):
        day, month = int(match[1]), _month(match[2])
    elif match := _MONTH_YEAR.fullmatch(text):
        day, month = int(match[2]), _month(match[1])
    elif match := _ISO_DAY.fullmatch(text) or _US_DAY.fullmatch(text):
        month, day = int(match[1]), int(match[2])
    if not 1 <= month <= 12 or not day:
        return text
    unit = f"{month}-{day}"
    note = (
        f'The spreadsheet took this number for a date, "{text}". It was probably {unit}. Ask when '
        "you can."
    )
    findings.append(_found(UNIT_DATE, field, text, note))
    return unit


def _month(word: str) -> int:
    word = word.casefold()
    return _MONTHS.index(word) + 1 if word in _MONTHS else 0


def short(text: str) -> str:
    """`text`, cut to what a note can hold."""
    return text if len(text) <= 60 else text[:59] + "…"


def _found(kind: Kind, field: str, said: str, note: str) -> Finding:
    """A finding of this kind about the cell of `field`."""
    return Finding(kind.code, field, kind.weight, said, note)
