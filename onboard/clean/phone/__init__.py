"""Telephone numbers: ITU-T E.164 for the number, the North American plan's own rules, RFC 3966 for writing.

Policy: a number that can be one is kept, with a word about what is odd; nothing is ever made up,
such as an area code that was not given. No finding about a phone is more than doubtful: a member
without a good number is still a member. docs/contacts.md says the same for coordinators.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import phonenumbers
from phonenumbers import NumberParseException, PhoneNumberFormat

from onboard.clean.phone import digits, nanp
from onboard.model import Cleaned, Finding, Kind, Phone, Weight

__all__ = ["KINDS", "clean", "read_aloud", "show"]


def _kind(what: str, about: str, wrong: str, weight: Weight = Weight.DOUBTFUL) -> Kind:
    return Kind(f"phone.{what}", weight, about, wrong, right="(419) 234-5678")


MISSING = _kind("missing", "There is no telephone number.", "none")
UNREADABLE = _kind("unreadable", "What was typed cannot be a telephone number.", "ask my sister")
WRONG_FIELD = _kind("wrong_field", "Something else stands in the place of a number.", "pat@example.org")
PLACEHOLDER = _kind("placeholder", "The number is made up to fill the field.", "123-456-7890")
MASKED = _kind("masked", "Some digits are hidden.", "419-234-****")
NO_AREA_CODE = _kind("no_area_code", "The area code is missing.", "234-5678")
TOO_SHORT = _kind("too_short", "Digits are missing.", "419-234-567")
TOO_LONG = _kind("too_long", "There are too many digits.", "419-234-56789")
IMPOSSIBLE = _kind("impossible", "No number can begin like this.", "419-911-5678")
UNASSIGNED = _kind("unassigned", "The area code is not known to be in use.", "(232) 234-5678")
ROUNDED = _kind("rounded", "A spreadsheet has rounded the number, and digits are lost.", "4.19E+09")
LONG = _kind("long", "The cell is far too long for a number; only its beginning was read.",
             "419-234-5678" + " " * 1000 + "x")  # fmt: skip
SPREADSHEET = _kind("spreadsheet", "A spreadsheet had turned the number into a decimal.",
                    "4192345678.0", Weight.MENDED)  # fmt: skip
WORDS = _kind("words", "Words or marks beside the number were left off.", "419-234-5678 cell",
              Weight.MENDED)  # fmt: skip
LETTERS = _kind("letters", "Letters on the keys were turned into digits.", "1-800-GO-PLUMB",
                Weight.MENDED)  # fmt: skip
PREFIX = _kind("prefix", "A dialling prefix was left off.", "0 419 234 5678", Weight.MENDED)
LOOKALIKE = _kind("lookalike", "A letter stands where a digit should.", "419-234-567O")
COUNTRY_CODE = _kind("country_code", "The plus sign before the country's code is missing.",
                     "44 20 7946 0018")  # fmt: skip
SEVERAL = _kind("several", "There is more than one number; the first is used and the others are kept.",
                "419-234-5678 or 614-234-9999")  # fmt: skip
FICTIONAL = _kind("fictional", "The number is kept for films and trial runs.", "419-555-0143")
DIRECTORY = _kind("directory", "The number is that of directory assistance.", "419-555-1212")
NOT_IN_SERVICE = _kind("not_in_service", "Hardly any number beginning with 555 is in service.",
                       "419-555-2345")  # fmt: skip
PREMIUM = _kind("premium", "Calls to the number cost extra.", "900-234-5678")
SPECIAL = _kind("special", "The area code is not of a place, but of a special service.",
                "500-234-5678")  # fmt: skip

KINDS = (
    MISSING, UNREADABLE, WRONG_FIELD, PLACEHOLDER, MASKED, NO_AREA_CODE, TOO_SHORT, TOO_LONG,
    IMPOSSIBLE, UNASSIGNED, ROUNDED, LONG, SPREADSHEET, WORDS, LETTERS, PREFIX, LOOKALIKE,
    COUNTRY_CODE, SEVERAL, FICTIONAL, DIRECTORY, NOT_IN_SERVICE, PREMIUM, SPECIAL,
)  # fmt: skip

LONGEST = 500  # characters read of a cell; ITU-T E.164, 6.2.1 ends a number at 15 digits


def clean(said: str, *, region: str = "US", area_codes: tuple[str, ...] = ()) -> Cleaned[Phone]:
    """The number meant by `said` in E.164, its extension, and what is odd about it.

    `region`: ISO 3166 letters of where a number without a country code is. `area_codes`: those
    of the member's ZIP code, offered as a suggestion where none was given. Never raises;
    `value` is None where no whole number was given.

    >>> cleaned = clean("h: (419) 234-5678 x12")
    >>> cleaned.value.e164, cleaned.value.extension
    ('+14192345678', '12')
    >>> clean("234-5678", area_codes=("419", "567")).findings[0].note
    'The area code is missing; ask whether it is (419) 234-5678 or (567) 234-5678.'
    """
    region = region.upper()
    at_home = nanp.covers(region)
    if at_home and (national := nanp.plain(said)):
        findings = tuple(k.found(said, note) for k, note in _oddities(national))
        return Cleaned(said, Phone("+1" + national), findings)
    return _Reading(said, region, at_home, area_codes).result()


def show(value: Phone) -> str:
    """The number as an RFC 3966 URI, and any others of the same cell, one a line.

    >>> show(clean("(419) 234-5678 x12").value)
    'tel:+14192345678;ext=12'
    """
    first = f"tel:{value.e164}" + (f";ext={value.extension}" if value.extension else "")
    return "\n".join((first, *(f"tel:{other}" for other in value.others)))


def read_aloud(value: Phone) -> str:
    """The number as people in its country write it: with area code, and "+" if from abroad.

    >>> read_aloud(clean("419.234.5678x12").value), read_aloud(clean("+442079460018").value)
    ('(419) 234-5678 ext. 12', '+44 20 7946 0018')
    """
    parsed = phonenumbers.parse(value.e164)
    if parsed.country_code == 1:
        national = value.e164[2:]
        text = f"({national[:3]}) {national[3:6]}-{national[6:]}"
    else:
        text = phonenumbers.format_number(parsed, PhoneNumberFormat.INTERNATIONAL)
    return f"{text} ext. {value.extension}" if value.extension else text


# ---------------------------------------------------------------- one number


@dataclass(frozen=True, slots=True)
class _Number:
    e164: str
    extension: str = ""


def _oddities(national: str) -> Iterator[tuple[Kind, str]]:
    """What is to be said of a ten-digit number of the North American plan."""
    area, exchange, line = national[:3], national[3:6], national[6:]
    if exchange == "555":
        # ATIS-0300115: 555-0100 to 0199 are kept for works of fiction; with 800 only 0199
        if line == "1212":
            yield DIRECTORY, "This is directory assistance; ask for the member's own number."
        elif line[:2] == "01" and (not nanp.toll_free(area) or (area, line) == ("800", "0199")):
            yield FICTIONAL, "555-01XX numbers are kept for trial runs and films; nobody answers."
        else:
            yield NOT_IN_SERVICE, "Numbers beginning with 555 are rarely in service; ask again."
    if area == "900":
        yield PREMIUM, "Calls to 900 numbers cost extra; ask for an ordinary number."
    elif service := nanp.service(area):
        yield SPECIAL, f"{area} is the code of {service}, not of a place; ask for an ordinary number."


def _library(text: str, region: str | None) -> phonenumbers.PhoneNumber | str:
    """What phonenumbers makes of a text, or in its words why it is no number."""
    try:
        return phonenumbers.parse(text, region)
    except NumberParseException as wrong:
        return str(wrong)


# Numbers that changed, and that people still write the old way: Mexico dropped the 1 before
# mobile numbers on 3 August 2019 (ITU Operational Bulletin 1178, from memory).
_CHANGED = ((re.compile(r"\+521(\d{10})"), r"+52\1"),)


def _abroad(text: str, region: str | None) -> _Number | None:
    """A whole number of any country, or None."""
    parsed = _library(text, region)
    if isinstance(parsed, str):
        return None
    if not phonenumbers.is_valid_number(parsed):
        e164 = phonenumbers.format_number(parsed, PhoneNumberFormat.E164)
        for old, new in _CHANGED:
            changed = old.sub(new, e164)
            if changed != e164 and (number := _abroad(changed, None)):
                return _Number(number.e164, parsed.extension or "")
        return None
    e164 = phonenumbers.format_number(parsed, PhoneNumberFormat.E164)
    return _Number(e164, parsed.extension or "")


# ---------------------------------------------------------------- whatever else was typed

_NOTHING = re.compile(
    r"\W*(?:(?:n/?a|nil|null|none|no|not|unknown|nothing|tbd|later|pending|same|x+|dont|don't|"
    r"does|doesn't|do|have|has|one|any|a|an|at|all|this|time|given|applicable|yet|available|"
    r"phone|telephone|tel|number|cell|unlisted|private|declined|refused|ninguno|nada|sin|tengo|"
    r"tiene|tel[eé]fono)(?![^\W_])\W*)*",
    re.IGNORECASE,
)
_SEP = r"[\s.\-_*'/|()]{0,4}"
_NANP = re.compile(
    rf"(?<![\d+])(?:\(?\+?\s?(001|0|1)\)?{_SEP})?\(?(?<!\d)([2-9]\d\d){_SEP}(\d{{3}}){_SEP}(\d{{4}})(?!\d)"
)
_PLUS = re.compile(r"\+\s?(?!1\b|1\d{10}\b)\d[\d \t().\-]{5,24}\d")
_LOOSE = re.compile(r"[+(]{0,2}\d[\d \t().\-/]{4,24}\d")
# RFC 3966, 5.3 writes ";ext="; dialling strings write "," for a pause and "#" to end
_EXTENSION = re.compile(
    r"[\s(]*(?:;ext=|[;,]*\s*(?:e?xt(?:ensi[oó]n|n)?|xtn|x|anexo|interno|int|opt(?:ion)?)"
    r"(?![^\W\d_])[\s.:#=]*|[;,#]+\s*)(\d{1,7})\b#?",
    re.IGNORECASE,
)
_LABELS = frozenset(
    "a after afternoon afternoons and am and anytime at best c call cel cell cellular celular"
    " daytime evening evenings fax for h hm home house landline m message mob mobile mornings"
    " my no number o off office only or or other p pager ph phone pm primary t tel telephone"
    " text texts then to trabajo tty voice w wk work casa y e is the his her mine use try please".split()
)
_ROUNDED = re.compile(r"(\d)(?:[.,](\d+))?[eE]\+?(\d{1,2})")
_KEYPAD = str.maketrans("ABCDEFGHIJKLMNOPQRSTUVWXYZ", "22233344455566677778889999")  # ITU-T E.161
_LOOKS_LIKE = str.maketrans("OoQDIlLi|SsBZz", "00001111155822")


class _Reading:
    """One try at reading a cell that is not simply a number of the country's own plan."""

    def __init__(
        self, said: str, region: str, at_home: bool, area_codes: tuple[str, ...]
    ) -> None:
        self.said = said
        self.region = region if region in phonenumbers.SUPPORTED_REGIONS else None
        self.at_home = at_home  # where numbers are those of the North American plan
        self.area_codes = area_codes
        self.findings: list[Finding] = []

    def found(self, kind: Kind, note: str, said: str | None = None) -> None:
        told = self.said if said is None else said
        self.findings.append(kind.found(told if len(told) <= 200 else told[:200] + "…", note))

    def give_up(self, kind: Kind, note: str, said: str | None = None) -> Cleaned[Phone]:
        self.found(kind, note, said)
        return Cleaned(self.said, None, tuple(self.findings))

    def take(self, number: _Number, others: tuple[str, ...] = ()) -> Cleaned[Phone]:
        """The result for a number found, unless the plan's own rules forbid it."""
        if number.e164.startswith("+1"):
            national = number.e164[2:]
            if why := nanp.impossible(national):
                return self.give_up(IMPOSSIBLE, f"{why}; ask for the number again.")
            if digits.placeholder(national):
                return self.made_up(national)
            if not nanp.assigned(national):
                self.found(UNASSIGNED, f"No area code {national[:3]} is known to be in use; ask again.")
            for kind, note in _oddities(national):
                self.found(kind, note)
        value = Phone(number.e164, number.extension, others)
        return Cleaned(self.said, value, tuple(self.findings))

    def left_off(self, prefix: str) -> None:
        self.found(PREFIX, f"The {prefix} before the number was left off; nothing to do.")

    def made_up(self, text: str) -> Cleaned[Phone]:
        return self.give_up(PLACEHOLDER, f"{text} is made up; ask for the real number.")

    def result(self) -> Cleaned[Phone]:
        text = self.said
        if len(text) > LONGEST:
            self.found(LONG, f"The cell has {len(text):,} characters; only the first {LONGEST} were read. Look at the form.")  # noqa: E501
            text = text[:LONGEST]
        text = digits.tidy(text).strip()
        if _NOTHING.fullmatch(text):
            return self.give_up(MISSING, "There is no telephone number; ask for one when you next write.")
        for attempt in (self.something_else, self.spoilt, self.written_out, self.by_count):
            if answer := attempt(text):
                return answer
        return self.give_up(UNREADABLE, f'"{text[:60]}" cannot be a telephone number; ask for it.')

    def something_else(self, text: str) -> Cleaned[Phone] | None:
        """Texts that belong elsewhere, or hide the number."""
        if re.search(r"\S@\S", text):
            return self.give_up(WRONG_FIELD, "This is an email address; ask for the telephone number.")
        if self.at_home and re.fullmatch(r"\d{3}[- ]\d{2}[- ]\d{4}", text):
            return self.give_up(
                WRONG_FIELD,
                "This looks like a Social Security number: take it out of the file, and ask for"
                " the telephone number.",
                said="(hidden)",
            )
        if digits.card(text):
            return self.give_up(
                WRONG_FIELD,
                "This looks like the number of a payment card: take it out of the file, and ask"
                " for the telephone number.",
                said="(hidden)",
            )
        if self.at_home and re.fullmatch(r"\d{5}-\d{4}", text):
            return self.give_up(WRONG_FIELD, "This is a ZIP code; ask for the telephone number.")
        if re.search(r"\d", text) and re.search(r"[*#]{3,}|(?:^|[^a-z])x{3,}", text, re.IGNORECASE):
            return self.give_up(MASKED, "Some digits are hidden; ask for the whole number.")
        if self.at_home and digits.placeholder(re.sub(r"[\s().\-]", "", text)):
            return self.made_up(text)
        return None

    def spoilt(self, text: str) -> Cleaned[Phone] | None:
        """Numbers that a spreadsheet has turned into another kind of number."""
        if match := re.fullmatch(r"\+?(\d{7,15})\.0+", text):
            self.found(SPREADSHEET, "The .0 of a spreadsheet was left off; nothing to do.")
            return self.written_out(match[1]) or self.by_count(match[1])
        if match := _ROUNDED.fullmatch(text):
            known = match[1] + (match[2] or "")
            if len(known) != int(match[3]) + 1:
                return self.give_up(
                    ROUNDED,
                    f"A spreadsheet has rounded the number to {text}, and digits are lost; ask for it.",
                )
            self.found(SPREADSHEET, f"{text} was written out as {known}; nothing to do.")
            return self.written_out(known) or self.by_count(known)
        return None

    # ------------------------------------------------------------ numbers among words

    def written_out(self, text: str) -> Cleaned[Phone] | None:
        """One or more whole numbers, among words or not."""
        numbers: list[_Number] = []
        rest: list[str] = []
        at = 0
        for start, end, number in self._numbers(text):
            rest.append(text[at:start])
            at = end
            if not number.extension and (match := _EXTENSION.match(text, end)):
                number = _Number(number.e164, match[1])
                at = match.end()
            numbers.append(number)
        if not numbers:
            return None
        rest.append(text[at:])
        first = numbers[0]
        others = tuple(dict.fromkeys(n.e164 for n in numbers[1:] if n.e164 != first.e164))
        words = " ".join(rest)
        if others:
            kept = ", ".join(others)
            self.found(SEVERAL, f"{first.e164} is used and {kept} kept; ask which one to call.")
        elif match := re.search(r"(?<!\d)\d{3}[\s.\-]?\d{4}(?!\d)", words):
            self.found(
                SEVERAL, f"{first.e164} is used; ask for the area code of {match[0]} if it is needed."
            )
        elif re.search(r"[^\W_]", re.sub(r"(?i)\btel\b|\+?1\b", "", words)) or len(numbers) > 1:
            self.found(WORDS, f"Only {first.e164} was kept; nothing to do.")
        return self.take(first, others)

    def _numbers(self, text: str) -> Iterator[tuple[int, int, _Number]]:
        if not self.at_home and (number := _abroad(self._bare(text), self.region)):
            yield 0, len(text), number
            return
        found = []
        for match in _PLUS.finditer(text):
            if number := _abroad(match[0], None):
                found.append((*match.span(), number))
        pattern = _NANP if self.at_home or "+1" in text else _LOOSE
        for match in pattern.finditer(text):
            if any(start < match.end() and match.start() < end for start, end, _ in found):
                continue
            if pattern is _NANP:
                prefix, *parts = match.groups()
                if prefix and prefix.startswith("0"):
                    self.left_off(prefix)
                found.append((*match.span(), _Number("+1" + "".join(parts))))
            elif number := _abroad(match[0], self.region):
                found.append((*match.span(), number))
        yield from sorted(found, key=lambda one: one[0])

    @staticmethod
    def _bare(text: str) -> str:
        """The text without the words around the number, for plans of which we know no pattern."""
        text = re.sub(r"^[^\d+(]+|tel:", "", text, flags=re.IGNORECASE)
        words = re.findall(r"[^\W\d_]+", text)
        if any(word.lower() in _LABELS for word in words):
            text = re.sub(r"\(?[^\W\d_]{2,}\)?\W*$", "", text)
        return text

    # ------------------------------------------------------------ numbers by their digits

    def by_count(self, text: str) -> Cleaned[Phone] | None:
        """A number whose digits are grouped oddly, or that is not whole."""
        if re.search(r"[^\W\d_]", text):
            return self._lettered(text) if self.at_home else None
        found = re.sub(r"\D", "", text)
        if not found:
            return None
        if "+" not in text and self.at_home and (answer := self._home(found)):
            return answer
        if number := _abroad(text, self.region):
            return self.take(number)
        if found.startswith("00") and (number := _abroad("+" + found[2:], None)):
            # the prefix that most other countries dial for abroad; ours is 011
            self.found(COUNTRY_CODE, f"00 was read as +: {number.e164}; ask whether that is right.")
            return self.take(number)
        if self._names_country(text) and (number := _abroad("+" + found, None)):
            self.found(COUNTRY_CODE, f"It was read as {number.e164}; ask whether that is right.")
            return self.take(number)
        return self._not_whole(found, "+" in text)

    @staticmethod
    def _names_country(text: str) -> bool:
        """Whether the first digits stand apart as a country's code, or there are too many to say."""
        groups = re.findall(r"\d+", text)
        if "+" in text or sum(map(len, groups)) < 10:
            return False
        if len(groups) == 1:
            return len(groups[0]) >= 12
        return int(groups[0]) in phonenumbers.COUNTRY_CODE_TO_REGION_CODE

    def _home(self, found: str) -> Cleaned[Phone] | None:
        """A number of the North American plan, by the count of its digits."""
        for prefix in ("", "1", "001", "0111", "0"):
            if found.startswith(prefix) and len(found) == len(prefix) + 10:
                national = found[len(prefix) :]
                if national[0] not in "01":
                    if prefix.startswith("0"):
                        self.left_off(prefix)
                    return self.take(_Number("+1" + national))
        pairs = re.fullmatch(r"1?([2-9]\d{9})1?([2-9]\d{9})", found)
        if pairs:
            first, second = (f"+1{national}" for national in pairs.groups())
            if first == second:
                self.found(WORDS, f"{first} stands there twice; nothing to do.")
                return self.take(_Number(first))
            self.found(SEVERAL, f"{first} is used and {second} kept; ask which one to call.")
            return self.take(_Number(first), (second,))
        if len(found) == 7:
            return self._no_area_code(found)
        return None

    def _no_area_code(self, found: str) -> Cleaned[Phone]:
        local = f"{found[:3]}-{found[3:]}"
        if digits.placeholder(found):
            return self.made_up(local)
        if not self.area_codes:
            return self.give_up(NO_AREA_CODE, f"{local} has no area code; ask for it.")
        readings = " or ".join(f"({code}) {local}" for code in self.area_codes)
        return self.give_up(NO_AREA_CODE, f"The area code is missing; ask whether it is {readings}.")

    def _not_whole(self, found: str, with_plus: bool) -> Cleaned[Phone]:
        if self.at_home and not with_plus and len(found) == 10:
            if found[0] == "1":
                return self.give_up(
                    TOO_SHORT, f"{found} has nine digits after the 1 where ten belong; ask for it."
                )
            return self.give_up(IMPOSSIBLE, f"No area code begins with 0, as in {found}; ask for it.")
        shortest, longest = (10, 10) if self.at_home and not with_plus else (7, 15)
        if len(found) < shortest:
            return self.give_up(TOO_SHORT, f"{found} has only {len(found)} digits; ask for the whole number.")
        if len(found) > longest:
            return self.give_up(TOO_LONG, f"{found} has {len(found)} digits, which is too many; ask for it.")
        return self.give_up(IMPOSSIBLE, f"{found} is not a number of any plan known; ask for it.")

    # ------------------------------------------------------------ letters for digits

    def _lettered(self, text: str) -> Cleaned[Phone] | None:
        """Letters on the keys (ITU-T E.161), or letters that look like digits."""
        apart = re.findall(r"[^\W_]+", text)
        kept = [w for w in apart if w.lower() not in _LABELS or re.search(r"\d", w)]
        whole = "".join(kept)
        body = whole[1:] if whole[:1] == "1" else whole
        letters = sum(c.isalpha() for c in body)
        if letters <= 2 and len(body) == 10 and body.isascii():
            number = body.translate(_LOOKS_LIKE)
            if number.isdigit():
                keyed = body.upper().translate(_KEYPAD)
                self.found(
                    LOOKALIKE,
                    f"{text} was read as +1{number}; ask whether that or +1{keyed} is right.",
                )
                return self.take(_Number("+1" + number))
        for words in (kept, apart):
            number = self._keyed("".join(words))
            # "call" may be a word beside a number; with a toll-free code it is one of its letters
            if number and (words is kept or nanp.toll_free(number[:3])):
                self.found(LETTERS, f"{text} is +1{number} on the keys; nothing to do.")
                return self.take(_Number("+1" + number))
        if re.search(r"\d", text) and len(apart) > len(kept):
            return self.by_count(" ".join(w for w in kept if w.isdigit()))
        found = re.sub(r"\D", "", text)
        return self.by_count(found) if len(found) >= 4 else None

    @staticmethod
    def _keyed(whole: str) -> str:
        """The ten digits under letters that follow an area code, or ""; more letters than that
        are words for people, which the exchange ignores."""
        body = whole[1:] if whole[:1] == "1" else whole
        starts = next((i for i, c in enumerate(body) if c.isalpha()), 0)
        enough = sum(c.isalpha() for c in body) >= 3 and len(body) >= 10 and body.isascii()
        if not enough or not 3 <= starts <= 6:
            return ""
        number = body[:10].upper().translate(_KEYPAD)
        return "" if nanp.impossible(number) else number
