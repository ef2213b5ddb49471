"""By what a caller can be reached, in what they said: mailboxes, phones, a street, numbers.

Texts are in small plain letters, with one blank before and behind each word.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache, partial

from onboard import tables
from onboard.late import late
from onboard.lookup import aloud
from onboard.match import folds

call_words = partial(tables.words, "call_words")

# ---------------------------------------------------------------- mailboxes

_APART = {"g mail": "gmail", "hot mail": "hotmail", "i cloud": "icloud", "out look": "outlook"}
_JOINS = {"dot": ".", "point": ".", "period": ".", "punto": ".", "underscore": "_", "dash": "-",
          "hyphen": "-", "minus": "-", "guion": "-", "plus": "+"}  # fmt: skip
_ENDS = "com|org|net|edu|us|gov|info|coop|biz|me"
_DOMAIN = late(
    rf",? (?:at|arroba),? ([a-z0-9-]+(?: (?:dot|punto|point) [a-z0-9-]+)*?)(?: (?:dot|punto|point) | ?\.| )({_ENDS})(?=[ ,;.!?])"
)
# "at the net loft", "at my biz": a place, and no domain.
_NO_HOSTS = frozenset(
    ("the", "that", "this", "a", "an", "my", "our", "your", "el", "la", "mi", "su")
)
_NOTES = late(
    r",? (?:(?:with )?no spaces?|all (?:one word|lower ?case|small letters|together))\b,?"
)
MOST_LOCALS = 3  # words that are tried as one local part


def mailboxes(text: str) -> list[tuple[str, tuple[tuple[str, str], ...]]]:
    """The text without its mailboxes, and these, in every way in which they may be meant.

    Said aloud, nothing tells where a mailbox begins: "simon voss 87 at example dot net".

    >>> mailboxes(" it is simon voss 87 at example dot net ")[0]
    (' it is simon ', (('voss87', 'example.net'),))
    """
    for said, written in _APART.items():
        text = text.replace(f" {said} ", f" {written} ")
    domains = _DOMAIN.finditer(_NOTES.sub(" ", text))
    found = next((one for one in domains if one[1] not in _NO_HOSTS), None)
    if not found:
        rest, emails = take_emails(text)
        return [(rest, emails)]
    text = _NOTES.sub(" ", text)
    before, behind = text[: found.start()].split(), text[found.end() :]
    domain = re.sub(r" (?:dot|punto|point) ", ".", found[1]) + "." + found[2]
    ways = []
    for local, start in _locals(before):
        rest, emails = take_emails(" " + " ".join(before[:start]) + " " + behind.lstrip(",. "))
        ways.append((rest, tuple(dict.fromkeys(((local, domain), *emails)))))
    return ways or [take_emails(text)]


def _locals(before: Sequence[str]) -> list[tuple[str, int]]:
    """What may be before the @, and at which word it begins: the shortest first."""
    idle = call_words("filler") | call_words("at") | call_words("of") | call_words("and")
    local, start = "", len(before)
    ways: list[tuple[str, int]] = []
    while start > 0 and len(ways) < MOST_LOCALS:
        word = before[start - 1]
        plain = word.strip(".,;:").lower()
        plain = aloud.digits_of(plain) or plain
        if not plain or (ways and (word[-1] in ".;:" or plain in idle - {"a", "i"})):
            break
        if plain in _JOINS:
            if start < 2:
                break
            local = before[start - 2].strip(".,;:") + _JOINS[plain] + local
            start -= 2
        else:
            if ways and word[-1] == "," and not _again(plain, local):
                break
            local = local if _again(plain, local) else plain + local
            start -= 1
        joined = start > 0 and before[start - 1].strip(".,;:") in _JOINS
        if not joined and not local.isdigit():
            ways.append((local, start))
    return ways


def _again(plain: str, local: str) -> bool:
    """Whether it is what was just spelled: "h chisholm, Chisholm"."""
    return bool(local) and plain == local


_LOCAL = r"[a-z0-9][a-z0-9._%+'-]*"
_EMAIL = late(rf"({_LOCAL})\s?@\s?([a-z0-9][a-z0-9.-]*)")


@cache
def _spoken() -> re.Pattern[str]:
    """ "pat dot lee at example dot org", as far as its end is sure to be a domain."""
    dot = "|".join(call_words("dot"))
    sign = "|".join(call_words("sign"))
    return late(
        rf" ((?:{_LOCAL} (?:{dot}) )*{_LOCAL}) [(\[]?(?:{sign})[)\]]? "
        rf"([a-z0-9-]+(?:(?:\.| (?:{dot}) )[a-z0-9-]+)+)(?=[ ,;.!?])"
    )


def take_emails(text: str) -> tuple[str, tuple[tuple[str, str], ...]]:
    """The text without its mailboxes, and these: local part, domain.

    >>> take_emails(" it is pat.lee7gmail.com ")
    (' it is   ', (('pat.lee7', 'gmail.com'),))
    """
    text = _provider_apart(_without_sign().sub(r" \1@\2", _with_one_sign(text)))
    found: list[tuple[str, str]] = []
    dots = late(rf" (?:{'|'.join(call_words('dot'))}) ")
    for spoken in _spoken().finditer(text):
        local, domain = (dots.sub(".", part) for part in spoken.groups())
        if "." in domain.strip("."):
            found.append((local, domain.strip(".-")))
    if found:
        text = _spoken().sub(" ", text)
    found += [(local.strip(".'"), domain.strip(".-")) for local, domain in _EMAIL.findall(text)]
    return _EMAIL.sub(" ", text), tuple(dict.fromkeys(found))


_CHUNK_OF_SIGNS = late(r"\S*@\S*@\S*")


def _with_one_sign(text: str) -> str:
    """The text with the last "@" of a mailbox only: of "pat@lee@example.org" the other is a slip."""

    def last(one: re.Match[str]) -> str:
        local, _, domain = one[0].strip("@").rpartition("@")
        return f"{local.replace('@', '')}@{domain}" if local else domain

    return _CHUNK_OF_SIGNS.sub(last, text)


_PROVIDER_WORDS = frozenset(["gmail", "yahoo", "hotmail", "outlook", "icloud"])  # no other words


@cache
def _large_providers() -> dict[str, str]:
    """The domains of large providers by the word that people say for them: "gmail" for gmail.com."""
    large = [domain for domain, reach, *_ in tables.rows("mail_providers") if int(reach) > 2]
    return {domain.partition(".")[0]: domain for domain in large}


@cache
def _apart() -> re.Pattern[str]:
    """ "patlee7 gmail.com", "patlee at gmail", "patlee7 gmail com": a large provider behind a blank."""
    sign, dot = "|".join(call_words("sign")), "|".join(call_words("dot"))
    ends = "|".join({domain.partition(".")[2] for domain in _large_providers().values()})
    names = "|".join(_large_providers())
    return late(
        rf" ((?:{_LOCAL} (?:{dot}) )*{_LOCAL}),?(?: ({sign}))? ({names})((?:\.| | (?:{dot}) )(?:{ends}))?(?=[.,;!?]* )"
    )


def _provider_apart(text: str) -> str:
    """The text with an "@" before a large provider that stands by itself, if a mailbox is before it.

    What is before it may be a name as well ("Pat Lee, gmail.com"): it is taken for a mailbox where
    it holds what few names hold, or where nothing else is said. "Charter" and the like are words
    too: without their end they stay.
    """

    def joined(one: re.Match[str]) -> str:
        local, sign, provider, end = one.groups()
        idle = call_words("filler") | call_words("at") | call_words("of")
        if not end and provider not in _PROVIDER_WORDS:
            return one[0]
        if local in idle:  # "my mail is gmail.com"
            return f" {local}" if end else one[0]
        alone = not set(text.replace(one[0], " ", 1).split()) - idle
        if not local.isalpha() or (sign and end) or (alone and (sign or end)):
            local = re.sub(rf" (?:{'|'.join(call_words('dot'))}) ", ".", local)
            return f" {local}@{_large_providers()[provider]}"
        return f" {local}" if sign or end else one[0]

    return _apart().sub(joined, text)


@cache
def _without_sign() -> re.Pattern[str]:
    """ "patlee7gmail.com", "pat.lee.gmail.com": what ends in the domain of a large provider is a mailbox."""
    domain = "|".join(map(re.escape, _large_providers().values()))
    return late(
        rf" (?!(?:www\.)?(?:{domain})[ ,;.!?])([a-z0-9][a-z0-9._%+'-]*?)\.?({domain})(?=[.,;!?]* )"
    )


_SHORT_ENDS = late(
    r"\b(?:end|ends|ending|last|finish|finishes|finishing|termina|terminan)\b[a-z ]{0,24}? (\d{2,3})(?= |[.,;!?])"
    r"| (\d{2,3}) (?:on|at) the (?:very )?end\b"
)


def short_ends(text: str) -> tuple[str, ...]:
    """The ends of phones of which only two or three digits are said.

    >>> short_ends(" my number ends in 156. "), short_ends(" 00 at the very end "), short_ends(" 31 elm ")
    (('156',), ('00',), ())
    """
    return tuple(one or other for one, other in _SHORT_ENDS.findall(text))


# ---------------------------------------------------------------- phones

_ZIP4 = late(r"(?<![0-9-])(\d{5})-\d{4}(?![0-9-])")
_PHONE = late(
    r"(?<![a-z0-9._@-])"
    r"(?:\+?1[ .-]*)?(?:\(\d{3}\)|\d{3})[ ./-]*\d{3}[ .-]*\d{4}(?![0-9])"  # NANP
    r"|(?<![a-z0-9._@-])\d{3}[ .-]?\d{4}(?![0-9])"  # its last seven
    r"|(?<![a-z0-9._@-])\+?\d(?:[ ().-]?\d){6,14}(?![0-9])"  # a digit too few or too many, or abroad
)
_EXTENSION = late(r"\b(?:ext|extension|x)\.? ?\d{1,5}\b")


def take_phones(text: str) -> tuple[str, tuple[str, ...]]:
    """The text without its phones, and the digits of these: seven or more.

    >>> take_phones(" lee (419) 555-0143 ext 3 ")
    (' lee     ', ('4195550143',))
    """
    text = _ZIP4.sub(r"\1 ", text)  # a ZIP code with its four is no phone
    found = []

    def take(one: re.Match[str]) -> str:
        digits = "".join(filter(str.isdigit, one[0]))
        found.append(digits[1:] if len(digits) == 11 and digits[0] == "1" else digits)
        return " "

    rest = _PHONE.sub(take, text)
    return (_EXTENSION.sub(" ", rest) if found else rest), tuple(dict.fromkeys(found))


# ---------------------------------------------------------------- homes


@cache
def ways() -> frozenset[str]:
    """The words for what a street is, and for the way it goes: "street", "st", "n"."""
    return frozenset(folds.STREET_WORDS) | frozenset(folds.STREET_WORDS.values())


@cache
def street() -> re.Pattern[str]:
    """ "12 n main st": a number, up to four words, and a word for what a street is."""
    way = "|".join(
        sorted(ways() - {"n", "s", "e", "w", "ne", "nw", "se", "sw"}, key=len, reverse=True)
    )
    return late(rf" (\d{{1,5}}[a-z]?) ((?:[a-z0-9']+ ){{1,4}}?(?:{way}))\b")


@cache
def street_alone() -> re.Pattern[str]:
    """ "12 thistledown", "2423 e furrow": a number and one word that says something."""
    way, idle = (
        "|".join(sorted(some)) for some in (ways(), call_words("filler") | call_words("at"))
    )
    return late(rf" ([1-9]\d{{0,4}}) ((?:(?:{way}) )?(?!(?:{way}|{idle})\b)[a-z']{{3,}})(?= )")


# ---------------------------------------------------------------- numbers

_NUMBER = late(r"(?<![a-z0-9._-])(\d{4,6})(?![a-z0-9._-]*[a-z0-9])")


def take_numbers(text: str) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """The text without its numbers, ends of phones (four or six digits) and ZIP codes.

    >>> take_numbers(" lee 0143 45801 ")
    (' lee     ', ('0143',), ('45801',))
    """
    tails: list[str] = []
    zips: list[str] = []
    for digits in _NUMBER.findall(text):
        (zips if len(digits) == 5 else tails).append(digits)
    return _NUMBER.sub(" ", text), tuple(tails), tuple(zips)
