"""What is said aloud, as one would write it: numbers in words, and names that are spelled letter by letter."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from onboard import tables

LETTERS = 3  # said one after another, they spell a word
PHONES = (7, 10, 11)  # digits of a phone

_PIECE = re.compile(r"[A-Za-z]+|[0-9]+|[^A-Za-z0-9]+")
_BETWEEN = re.compile(r"[ ,\-]{1,3}|\. ")  # what may part the numbers of one
_AND = "y"  # "treinta y cinco"
_HUNDRED = ("hundred", "cien", "ciento")
_COUNTED = ("last", "final", "ultimos")
_ALSO_WORDS = ("oh", "o", "once")  # numbers only among numbers


@cache
def _numbers() -> dict[str, tuple[str, str]]:
    """By word: its kind and its digits."""
    return {word: (kind, digits) for kind, word, digits in tables.rows("number_words")}


def with_digits(text: str) -> str:
    """The text with numbers in words as digits, and the digits of a phone together.

    >>> with_digits("Lee, six one two, five five five, oh one FIVE three")
    'Lee, 6125550153'
    >>> with_digits("it ends in forty-two eleven, the young one"), with_digits("area code 641, 555, 01 28")
    ('it ends in 4211, the young one', 'area code 6415550128')
    """
    pieces = _PIECE.findall(text)
    out: list[str] = []
    at = 0
    while at < len(pieces):
        is_count = at > 1 and pieces[at - 2].lower() in _COUNTED  # "the last four are 0194"
        end = 0 if is_count and not pieces[at].isdigit() else _run(pieces, at)
        digits = _digits(pieces[at:end]) if end else ""
        if digits:
            out.append(digits)
            at = end
        else:
            out.append(pieces[at])
            at += 1
    return "".join(out)


def digits_of(word: str) -> str:
    """The digits of a number in words; "" if it is none.

    >>> digits_of("seven"), digits_of("pat")
    ('7', '')
    """
    kind, digits = _numbers().get(word, ("times", ""))
    return "" if kind == "times" or word in _ALSO_WORDS else digits


def _run(pieces: Sequence[str], at: int) -> int:
    """The end of the numbers that begin here, 0 if none does."""
    end = 0
    while at < len(pieces) and _is_number(pieces[at]):
        end = at + 1
        if end + 1 >= len(pieces) or not _BETWEEN.fullmatch(pieces[end]):
            break
        at = end + 1
        if pieces[at].lower() == _AND and at + 2 < len(pieces):
            at += 2
    return end


def _is_number(piece: str) -> bool:
    return piece.isdigit() or piece.lower() in _numbers() or piece.lower() in _HUNDRED


def _digits(pieces: Sequence[str]) -> str:
    """The digits that the pieces say; "" if they are better left as they are."""
    said = [piece.lower() for piece in pieces if piece.isalnum() and piece.lower() != _AND]
    named = [word for word in said if not word.isdigit()]
    if not named:
        whole = "".join(said)
        return whole if len(said) > 1 and len(whole) in PHONES else ""
    kinds = {_numbers()[word][0] for word in named if word in _numbers()}
    if named == ["one"]:  # "the Omaha one, 402"
        return ""
    if len(said) == 1 and (named[0] in _ALSO_WORDS or "unit" in kinds or not kinds):
        return ""
    if all(word in _ALSO_WORDS or word not in _numbers() for word in said) or kinds == {"times"}:
        return ""
    found, times = "", 1
    for word, after in pairwise([*said, ""]):
        if word in _HUNDRED:
            found += "" if after else "00"
            continue
        kind, digits = _numbers().get(word, ("unit", word))
        if kind == "times":
            times = int(digits)
            continue
        if kind == "tens" and _numbers().get(after, ("", "0"))[0] == "unit" and after[0] != "o":
            digits = digits[0]
        found += digits * times
        times = 1
    return found


# ---------------------------------------------------------------- letters

_HELPER = r"(?:,? (?:as in|like in|is for|como en|como|like|for|as|de) (?!(?:a|the|my)\b)(?P<word>[A-Za-z]+))"
_LETTER = re.compile(
    rf"(?P<twice>(?:double|doble) )?(?<![A-Za-z'])(?P<letter>[A-Za-z])(?![A-Za-z'@]){_HELPER}?",
    re.I,
)
_DOUBLE_U = re.compile(r"\b(?:double[ -]?(?:u|you)|doble[ -]?(?:u|ve)|uve doble)\b", re.I)
_NEXT = re.compile(r"[ ,.\-]{1,3}(?:and |y )?")


def with_words(text: str) -> tuple[str, tuple[str, ...]]:
    """The text with what was spelled as words, and these words in small letters.

    >>> with_words("V as in Victor, O, S, S. Simon"), with_words("A-A-S-E-N, Heidi")
    (('Voss. Simon', ('voss',)), ('Aasen, Heidi', ('aasen',)))
    >>> with_words("Nadia with an N as in Nancy, at the barn")
    ('Nadia with an N, at the barn', ())
    >>> with_words("double-u whitcomb"), with_words("R, O, double u, E")
    (('w whitcomb', ()), ('Rowe', ('rowe',)))
    """
    text = _DOUBLE_U.sub("w", text)
    out: list[str] = []
    spelled: list[str] = []
    at = 0
    while found := _LETTER.search(text, at):
        out.append(text[at : found.start()])
        letters, end = _spelled(text, found)
        if len(letters) >= LETTERS:
            out.append(letters.capitalize())
            spelled.append(letters)
        else:  # one letter: without the word that only tells which
            end = found.end() if _helps(found) or not found["word"] else found.end("letter")
            out.append(found["letter"])
        at = end
    return "".join([*out, text[at:]]), tuple(dict.fromkeys(spelled))


def _helps(letter: re.Match[str]) -> bool:
    return bool(letter["word"]) and letter["word"][0].lower() == letter["letter"].lower()


def _spelled(text: str, found: re.Match[str]) -> tuple[str, int]:
    """The letters that are said one after another from here, and where they end."""
    letters, end = "", found.start()
    one: re.Match[str] | None = found
    while one:
        letters += one["letter"].lower() * (2 if one["twice"] else 1)
        end = one.end() if _helps(one) or not one["word"] else one.end("letter")
        between = _NEXT.match(text, end)
        one = _LETTER.match(text, between.end()) if between else None
    return letters, end
