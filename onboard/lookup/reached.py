"""Where a text writes an email, a phone or a member number that is known, in whatever way:
"pat.lee (at) example dot org", "419.555.0143", "555 0143".
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from onboard.lookup.spans import digits, fold

LOCAL = 7  # digits of a phone number said without its area code
_NATIONAL = 10  # without its country code
_PROVIDERS = frozenset(("gmail", "yahoo", "hotmail", "outlook", "icloud"))  # no other words

_NUMBER = re.compile(r"\bmember[:\s]\s*(\d{1,18})\b", re.IGNORECASE)
_DOT = r"(?:\.|\s?[(\[{]?\s?\b(?:dot|punto|point)\b\s?[)\]}]?\s?)"
_SIGN = r"\s?(?:@|[(\[{<]\s?(?:at|arroba|@)\s?[)\]}>])\s?"
_AT = rf"(?:{_SIGN}|\s(?:at|arroba)\s)"
_BEGINS, _ENDS = r"(?<![\w.+%-])", r"(?![\w-]|\.\w|\s?[(\[{]?\s?\bdot\b)"
_APART = r"[\s().,\-/_*·•‐-―]{0,4}"  # what stands between the digits of a phone
_ZERO = {"0": "[0oO]"}
_OTHER_AREA = re.compile(
    rf"(?<!\d)\d{{3}}{_APART}$"
)  # what stands before the digits of another phone


@dataclass(frozen=True)
class Contacts:
    """The emails, phones and numbers of somebody, in small letters and digits, and what others have too.

    >>> lee = Contacts(frozenset(["pat.lee@example.org"]), frozenset(["4195550143"]))
    >>> text = "pat.lee (at) example dot org or 419.555.0143"
    >>> [text[start:end] for start, end, _ in lee.found_in(text)]
    ['pat.lee (at) example dot org', '419.555.0143']
    """

    emails: frozenset[str]
    phones: frozenset[str]
    shared: frozenset[str] = frozenset()
    numbers: frozenset[int] = frozenset()  # of the member

    @cached_property
    def needles(self) -> frozenset[str]:
        """One of these stands in every text that has one of them, blanks and signs left out."""
        ends = {phone[-LOCAL:] for phone in self.phones}
        locals_ = (re.split(r"[\W_]+", email.partition("@")[0]) for email in self.emails)
        said = {fold(max(parts, key=len)) for parts in locals_}
        numbers = {f"member{number}" for number in self.numbers}
        return frozenset(ends | {end.replace("0", "o") for end in ends} | said | numbers) - {""}

    def found_in(self, text: str) -> Iterator[tuple[int, int, bool]]:
        """Where the text has one of them: from, to, and whether it is theirs alone."""
        whole = [
            (*found.span(), is_theirs)
            for pattern, is_theirs in self._written for found in pattern.finditer(text)
        ]  # fmt: skip
        yield from whole
        for found in _NUMBER.finditer(text):
            if int(found[1]) in self.numbers:
                yield *found.span(), True
        for pattern, is_theirs in self._local:
            for found in pattern.finditer(text):
                start, end = found.span()
                is_part = any(first <= start < after for first, after, _ in whole)
                if not is_part and not _OTHER_AREA.search(text[:start]):
                    yield start, end, is_theirs

    @cached_property
    def _written(self) -> list[tuple[re.Pattern[str], bool]]:
        emails = [(_email(email), email not in self.shared) for email in self.emails]
        phones = [
            (_phone(phone[-size:]), phone not in self.shared)
            for phone in self.phones
            for size in {len(phone), _NATIONAL}
        ]
        return emails + phones

    @cached_property
    def _local(self) -> list[tuple[re.Pattern[str], bool]]:
        """Phones without their area codes: theirs alone if no other phone ends so."""
        others = {digits(text)[-LOCAL:] for text in self.shared}
        ends = {phone[-LOCAL:] for phone in self.phones if len(phone) > LOCAL}
        return [(_phone(end), end not in others) for end in ends]


def _email(email: str) -> re.Pattern[str]:
    local, _, domain = email.rpartition("@")
    host = domain.partition(".")[0]
    said, whole = (_DOT.join(map(re.escape, part.split("."))) for part in (local, domain))
    # "thad at trinidad" is a place; "thad@trinidad" and "thad at gmail" are none.
    bare = _AT if host in _PROVIDERS or not local.isalpha() else _SIGN
    ways = f"(?:{_AT}{whole}|{bare}{re.escape(host)})"
    return re.compile(f"{_BEGINS}{said}{ways}{_ENDS}", re.IGNORECASE)


def _phone(said: str) -> re.Pattern[str]:
    numbers = _APART.join(_ZERO.get(digit, digit) for digit in said)
    country = rf"(?:\+?1{_APART})?" if len(said) == _NATIONAL else r"\+?"
    return re.compile(rf"(?<![\d+])(?:{country}\(?{numbers})(?!\d)")
