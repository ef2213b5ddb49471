"""Cells that are not simply a number: what stands around it, beside it, or in its place."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial

from onboard.clean.phone import abroad, digits, kinds, nanp
from onboard.clean.phone.abroad import Number
from onboard.model import Cleaned, Finding, Kind, Phone
from onboard.tables import words as words_of

LONGEST = 500  # characters read of a cell; a number has 15 digits at most (ITU-T E.164, 6.2.1)

_GAP = r"[\s.\-_*'/|()]{0,4}"
_NANP = re.compile(
    rf"(?<![\d+])(?:\(?\+?\s?(001|011\D?1|0|1)\)?{_GAP})?\(?"
    rf"([2-9]\d\d){_GAP}(\d{{3}}){_GAP}(\d{{4}})(?!\d)"
)
_OTHER_COUNTRY = re.compile(r"\+\s?\d{1,3}[\s.\-()/]*\Z")  # before what is then no number of ours
# RFC 3966, 5.3 writes ";ext="; dialling strings write "," for a pause and "#" to end
_EXTENSION = re.compile(
    r"(?:\s*\([^\W\d_]+\))?[\s(]*(?:;ext=|[;,]*\s*(?:e?xt(?:ensi[oó]n|n)?|xtn|ex|x|anexo|interno|int|opt(?:ion)?)"
    r"(?![^\W\d_])[\s.:#=]*|[;,#]+\s*)(\d{1,7})(?![\s.\-]*\d)#?",
    re.IGNORECASE,
)
_SOCIAL_SECURITY = re.compile(r"\d{3}[- ]\d{2}[- ]\d{4}")
_ZIP_PLUS_4 = re.compile(r"\d{5}-\d{4}")
_HIDDEN = re.compile(r"[*#]{3,}|(?<![a-z])x{3,}|(?<=[\d\s.\-])[*#x]{2,}\W*$", re.IGNORECASE)
_AREA_CODE_LAST = re.compile(r"(\d{3})[\s.\-]?(\d{4})[\s,]*\(([2-9]\d\d)\)")
_SEVEN = re.compile(r"(?<!\d)\d{3}[\s.\-]?\d{4}(?!\d)")
_DECIMAL = re.compile(r"\+?(\d{7,15})\.0+")
_SCIENTIFIC = re.compile(r"(\d)(?:[.,](\d+))?[eE]\+?(\d{1,2})")
_KEYPAD = str.maketrans("ABCDEFGHIJKLMNOPQRSTUVWXYZ", "22233344455566677778889999")  # ITU-T E.161
_LOOKS_LIKE = str.maketrans("OoQDIlLiSsBZz", "0000111155822")


_words = partial(words_of, "contact_words")


class PhoneCell:
    """One try at reading a cell; what is noticed on the way gathers in `findings`."""

    def __init__(self, said: str, region: str, area_codes: tuple[str, ...]) -> None:
        self.said = said
        self.region = region
        self.at_home = nanp.covers(region)  # numbers are those of the North American plan
        self.area_codes = area_codes
        self.findings: list[Finding] = []

    def found(self, kind: Kind, note: str) -> None:
        if all(finding.code != kind.code for finding in self.findings):  # said once is enough
            self.findings.append(kind.found(_short(self.said), note))

    def give_up(self, kind: Kind, note: str) -> Cleaned[Phone]:
        self.found(kind, note)
        return Cleaned(self.said, None, tuple(self.findings))

    def take(self, e164: str, extension: str = "", others: tuple[str, ...] = ()) -> Cleaned[Phone]:
        """The result for a number found, in E.164: its value and what is odd about it, if it can be."""
        if e164.startswith("+1"):
            national = e164[2:]
            if why := nanp.impossible(national):
                return self.give_up(kinds.IMPOSSIBLE, f"{why}. Ask for the number again.")
            if digits.placeholder(national):
                return self.made_up(national)
            if not nanp.assigned(national):
                note = f"We don't know of any area code {national[:3]}. Ask again."
                self.found(kinds.UNASSIGNED, note)
            for kind, note in nanp.oddities(national):
                self.found(kind, note)
        return Cleaned(self.said, Phone(e164, extension, others), tuple(self.findings))

    def made_up(self, text: str) -> Cleaned[Phone]:
        return self.give_up(kinds.PLACEHOLDER, f"{text} is made up. Ask for the real number.")

    def result(self) -> Cleaned[Phone]:
        text = self.said
        if len(text) > LONGEST:
            self.found(
                kinds.LONG,
                f"The cell has {len(text):,} characters; only the first {LONGEST} were read."
                " Look at the form.",
            )
            text = text[:LONGEST]
        text = digits.tidy(text).strip()
        if _nothing(text):
            return self.give_up(
                kinds.MISSING, "There is no phone number. Ask for one when you next write."
            )
        for attempt in (self.something_else, self.spoilt, self.written_out, self.by_count):
            if answer := attempt(text):
                return answer
        return self.give_up(
            kinds.UNREADABLE, f"“{_short(text)}” can't be a phone number. Ask for it."
        )

    # ------------------------------------------------------------ no number, or a spoilt one

    def something_else(self, text: str) -> Cleaned[Phone] | None:
        """Texts that belong elsewhere, are made up, or hide the number."""
        if re.search(r"\S@\S", text):
            return self.give_up(
                kinds.WRONG_FIELD, "This is an email address. Ask for the phone number."
            )
        if digits.card(text):
            return self.secret("the number of a payment card")
        if _HIDDEN.search(text) and re.search(r"\d", text):
            return self.give_up(kinds.MASKED, "Some digits are hidden. Ask for the whole number.")
        if not self.at_home:
            return None
        if _SOCIAL_SECURITY.fullmatch(text):
            return self.secret("a Social Security number")
        if _ZIP_PLUS_4.fullmatch(text):
            return self.give_up(kinds.WRONG_FIELD, "This is a ZIP code. Ask for the phone number.")
        if digits.placeholder(re.sub(r"[\s().\-]", "", text)):
            return self.made_up(text)
        return None

    def secret(self, what: str) -> Cleaned[Phone]:
        """The result for a number that must not spread: the finding does not repeat it."""
        note = f"This looks like {what}: take it out of the file, and ask for the phone number."
        self.findings.append(kinds.WRONG_FIELD.found("(hidden)", note))
        return Cleaned(self.said, None, tuple(self.findings))

    def spoilt(self, text: str) -> Cleaned[Phone] | None:
        """Numbers that a spreadsheet has turned into another kind of number."""
        if decimal := _DECIMAL.fullmatch(text):
            whole = decimal[1]
        elif scientific := _SCIENTIFIC.fullmatch(text):
            whole = scientific[1] + (scientific[2] or "")
            if len(whole) != int(scientific[3]) + 1:
                return self.give_up(
                    kinds.ROUNDED,
                    f"A spreadsheet has rounded the number to {text}, and digits are lost; ask"
                    " for it.",
                )
        else:
            return None
        self.found(kinds.SPREADSHEET, f"{text} was read as {whole}. Nothing to do.")
        return self.written_out(whole) or self.by_count(whole)

    # ------------------------------------------------------------ numbers among words

    def written_out(self, text: str) -> Cleaned[Phone] | None:
        """One or more whole numbers, among words or not."""
        spans = list(self._numbers(text))
        if not spans:
            return None
        numbers: list[Number] = []
        rest: list[str] = []
        at = 0
        for start, end, number in spans:
            rest.append(text[at:start])
            at = end
            if not number.extension and (match := _EXTENSION.match(text, end)):
                number = Number(number.e164, match[1])
                at = match.end()
            numbers.append(number)
        rest.append(text[at:])
        first = numbers[0]
        others = tuple(dict.fromkeys(n.e164 for n in numbers if n.e164 != first.e164))
        words = " ".join(rest)
        seven = _SEVEN.search(words) if self.at_home and not others else None
        if others:
            self.two(first.e164, ", ".join(others))
        elif seven:
            words = words.replace(seven[0], "")
            self.found(
                kinds.SEVERAL,
                f"{first.e164} is used. {seven[0]} has no area code. Ask for it if it is needed.",
            )
        if remark := _remark(words):
            self.found(
                kinds.REMARK,
                f"Next to {first.e164} it says “{remark}”. Read it before you call or text.",
            )
        elif not others and not seven and (len(numbers) > 1 or _told(words)):
            self.found(kinds.WORDS, f"Only {first.e164} was kept. Nothing to do.")
        return self.take(first.e164, first.extension, others)

    def two(self, first: str, kept: str) -> None:
        self.found(kinds.SEVERAL, f"{first} is used and {kept} kept. Ask which one to call.")

    def _numbers(self, text: str) -> Iterator[tuple[int, int, Number]]:
        """The numbers in a text with where they stand, in order."""
        if not self.at_home and (number := abroad.whole(_bare(text), self.region)):
            yield 0, len(text), number
            return
        spans: list[tuple[int, int, Number]] = []
        if not self.at_home or "+" in text:
            region = None if self.at_home else self.region
            for span in abroad.among(text, region):
                if not self.at_home or not span[2].e164.startswith("+1"):
                    spans.append(span)
        if self.at_home:
            for match in _NANP.finditer(text):
                start, end = match.span()
                if (
                    _OTHER_COUNTRY.search(text[max(start - 12, 0) : start])
                    or any(s < end and start < e for s, e, _ in spans)
                    or _code_before(text, start)
                ):
                    continue
                prefix, *parts = match.groups()
                if prefix and prefix[0] == "0":
                    self.left_off(prefix)
                spans.append((start, end, Number("+1" + "".join(parts))))
        yield from sorted(spans, key=lambda span: span[0])

    def left_off(self, prefix: str) -> None:
        self.found(kinds.PREFIX, f"The {prefix} before the number was removed. Nothing to do.")

    # ------------------------------------------------------------ numbers by their digits

    def by_count(self, text: str) -> Cleaned[Phone] | None:
        """A number whose digits are grouped oddly, or that is not whole."""
        if re.search(r"[^\W\d_]", text):
            return self._lettered(text)
        found = re.sub(r"\D", "", text)
        if not found:
            return None
        if self.at_home and (last := _AREA_CODE_LAST.fullmatch(text)):
            self.found(kinds.ORDER, f"The area code ({last[3]}) was put first. Nothing to do.")
            return self.take(f"+1{last[3]}{last[1]}{last[2]}")
        if self.at_home and "+" not in text and (answer := self._home(found)):
            return answer
        if number := abroad.whole(text, self.region):
            return self.take(number.e164, number.extension)
        # 00 is what most other countries dial for abroad; ours is 011
        dialled = found[2:] if found[:2] == "00" and len(found) > 10 else ""
        for meant in (dialled, found if _with_code(text) else ""):
            if meant and (number := abroad.whole("+" + meant)):
                self.found(
                    kinds.COUNTRY_CODE, f"It was read as {number.e164}. Ask if that is right."
                )
                return self.take(number.e164)
        return self._not_whole(found, at_home=self.at_home and "+" not in text)

    def _home(self, found: str) -> Cleaned[Phone] | None:
        """A number of the North American plan, by the count of its digits."""
        whole = re.fullmatch(r"(1|001|0111|0)?([2-9]\d{9})", found)
        if whole:
            prefix, national = whole.groups()
            if prefix and prefix[0] == "0":
                self.left_off(prefix)
            return self.take("+1" + national)
        pair = re.fullmatch(r"1?([2-9]\d{9})1?([2-9]\d{9})", found)  # run together
        if pair:
            first, second = (f"+1{national}" for national in pair.groups())
            if first == second:
                self.found(kinds.WORDS, f"{first} is there twice. Nothing to do.")
                return self.take(first)
            self.two(first, second)
            return self.take(first, others=(second,))
        return self._no_area_code(found) if len(found) == 7 else None

    def _no_area_code(self, found: str) -> Cleaned[Phone]:
        local = f"{found[:3]}-{found[3:]}"
        if not self.area_codes:
            return self.give_up(kinds.NO_AREA_CODE, f"{local} has no area code. Ask for it.")
        readings = " or ".join(f"({code}) {local}" for code in self.area_codes)
        return self.give_up(
            kinds.NO_AREA_CODE, f"The area code is missing. Ask if it is {readings}."
        )

    def _not_whole(self, found: str, at_home: bool) -> Cleaned[Phone]:
        count = len(found)
        if at_home and count == 10:
            if found[0] == "0":
                return self.give_up(
                    kinds.IMPOSSIBLE, f"No area code starts with 0, as in {found}. Ask for it."
                )
            return self.give_up(
                kinds.TOO_SHORT,
                f"{found} has nine digits after the 1. There should be ten. Ask for it.",
            )
        shortest, longest = (10, 10) if at_home else (7, 15)  # ITU-T E.164, 6.2.1
        if count < shortest:
            return self.give_up(
                kinds.TOO_SHORT, f"{found} has {count} digits, which is too few. Ask for it."
            )
        if count > longest:
            return self.give_up(
                kinds.TOO_LONG, f"{found} has {count} digits, which is too many. Ask for it."
            )
        return self.give_up(
            kinds.IMPOSSIBLE, f"{found} is not a phone number we know how to read. Ask for it."
        )

    # ------------------------------------------------------------ letters for digits

    def _lettered(self, text: str) -> Cleaned[Phone] | None:
        """Letters on the keys (ITU-T E.161), or letters that look like digits."""
        every = re.findall(r"[^\W_]+", text)
        telling = [w for w in every if w.lower() not in _words("phone") | _words("remark")]
        # ten keys in one piece, "312-CALL-NOW", leave no word over
        whole = not re.search(r"\s", text) and len("".join(every).removeprefix("1")) == 10
        known = every if whole else telling
        if self.at_home and (answer := self._mistyped(telling) or self._keyed(known, every)):
            return answer
        # what is left are words; the digits may still be a number, or too few for one
        bare = re.sub(r"[^\W\d_]+", " ", text)
        return self.by_count(bare) if len(re.sub(r"\D", "", bare)) >= 4 else None

    def _mistyped(self, words: list[str]) -> Cleaned[Phone] | None:
        body = "".join(words).removeprefix("1")
        number = body.translate(_LOOKS_LIKE)
        letters = sum(c.isalpha() for c in body)
        if not 1 <= letters <= 2 or not re.fullmatch(r"[2-9][0-9]{9}", number):
            return None
        keyed = body.upper().translate(_KEYPAD)
        self.found(
            kinds.LOOKALIKE,
            f"{_short(self.said)} was read as +1{number}. Ask if that or +1{keyed} is right.",
        )
        return self.take("+1" + number)

    def _keyed(self, known: list[str], every: list[str]) -> Cleaned[Phone] | None:
        for words in (known, every):
            number = _on_the_keys("".join(words))
            # "call" may be a word beside a number; with a toll-free code it is one of its letters
            if number and (words is known or number[:3] in nanp.TOLL_FREE):
                self.found(
                    kinds.LETTERS, f"{_short(self.said)} is +1{number} on the keys. Nothing to do."
                )
                return self.take("+1" + number)
        return None


def _short(said: str) -> str:
    return said if len(said) <= 100 else said[:100] + "…"


def _nothing(text: str) -> bool:
    """Whether a cell says in words, or without any, that there is no number."""
    words = re.findall(r"[^\W_]+", text.lower())
    return all(word in _words("nothing") or not word.strip("x") for word in words)


def _told(words: str) -> set[str]:
    """The words beside a number, without what is a part of how it is written."""
    return {w for w in re.findall(r"[^\W_]+", words.lower()) if w not in ("tel", "1")}


def _remark(words: str) -> str:
    """What stands beside a number if it says more than which phone it is; it may be a wish,
    "no texts"."""
    if _told(words) <= _words("phone"):
        return ""
    return _short(" ".join(words.split()).strip(" ,;:/()<>-"))


def _bare(text: str) -> str:
    """The text without words around the number, for plans of which we know no pattern."""
    text = re.sub(r"^[^\d+(]+", "", text)
    words = re.findall(r"[^\W\d_]+", text.lower())
    if any(word in _words("phone") and len(word) > 1 for word in words):
        text = re.sub(r"\(?[^\W\d_]{2,}\)?\W*$", "", text)
    return text


def _with_code(text: str) -> bool:
    """Whether digits without a plus sign begin with a country's code: it stands apart, or they
    are too many for a number at home."""
    groups = re.findall(r"\d+", text)
    if "+" in text or sum(map(len, groups)) < 10:
        return False
    if len(groups) == 1:
        return len(groups[0]) >= 12
    return abroad.country_code(groups[0])


def _code_before(text: str, start: int) -> bool:
    """Whether all that stands before a number is another country's code: "57 310 234 5678"."""
    before = text[:start].strip(" .-(")
    return (
        before.isdigit()
        and 2 <= len(before) <= 3
        and abroad.whole("+" + re.sub(r"\D", "", text)) is not None
    )


def _on_the_keys(whole: str) -> str:
    """The ten digits under letters that follow an area code, or "". Letters beyond the tenth
    are for people; the exchange ignores them."""
    body = whole.removeprefix("1")
    starts = next((i for i, c in enumerate(body) if c.isalpha()), 0)
    enough = sum(c.isalpha() for c in body) >= 3 and len(body) >= 10 and body.isascii()
    if not enough or not 3 <= starts <= 6:
        return ""
    number = body[:10].upper().translate(_KEYPAD)
    return "" if nanp.impossible(number) else number
