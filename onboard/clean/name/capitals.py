"""Capitals: ALL CAPITALS and all small letters put right, a person's own mixture left alone."""

from __future__ import annotations

from functools import lru_cache

from onboard.clean.name import words
from onboard.model import PersonName

# Before an apostrophe, those after which a capital follows: O'Brien, D'Arcy, N'Dour, La'Shawn.
_OPENERS = frozenset(("o", "d", "l", "m", "n", "dell", "dall", "la", "de", "da", "ja", "ra", "mc"))
_VOWELS = frozenset("aeiouy")


def put_right(text: str, whole: str, *, family: bool = False) -> str:
    """One part of a name with its capitals put right, as the whole name was written.

    >>> put_right("VAN DER BERG", "PIET VAN DER BERG", family=True)
    'van der Berg'
    >>> put_right("DE LA CRUZ", "Fermín DE LA CRUZ", family=True)  # only the last name is loud
    'de la Cruz'
    >>> put_right("DeShawn", "DeShawn Lee")
    'DeShawn'
    """
    if not text:
        return ""
    inverted, flat = _style(whole)
    if inverted:
        text = " ".join(w.swapcase() if len(w) > 1 else w for w in text.split(" "))
    pieces = text.split(" ")
    last = len(pieces) - 1
    flat = flat or _is_one_loud(pieces)
    out: list[str] = []
    for at, word in enumerate(pieces):
        inside = at > 0 or (family and last > 0)
        stays = not _is_flat(word) and not (family and at < last and _is_loud_particle(word))
        if not flat and (stays or (inside and word.islower() and _joins(word))):
            out.append(word)
        elif inside and at < last and (small := _particle(word, out)):
            out.append(small)
        else:
            out.append(_word(word, initials=not family, is_followed=at < last))
    return " ".join(out)


def of_name(name: PersonName) -> PersonName:
    """A name, and those who signed up with it, with their capitals put right."""
    people = (name, *name.joint)
    whole = " ".join(f"{one.given} {one.middle} {one.family}" for one in people)
    first, *others = (_of_one(one, whole) for one in people)
    return first._replace(joint=tuple(others)) if others else first


def _of_one(name: PersonName, whole: str) -> PersonName:
    return PersonName(
        put_right(name.given, whole),
        put_right(name.middle, whole),
        put_right(name.family, whole, family=True),
        name.suffix,
        name.title,
        put_right(name.called, name.called),
        put_right(name.former, name.former, family=True),
    )


@lru_cache(maxsize=64)  # asked for each part of a name in turn
def _style(whole: str) -> tuple[bool, bool]:
    """Whether the capitals lock was on by mistake ("pAT lEE"), and whether there is one case."""
    found = [word for word in whole.split() if len(word) > 1] or whole.split()
    inverted = all(w[0].islower() and w[1:].isupper() for w in found)
    flat = all(map(_is_loud, found)) or all(map(str.islower, found))
    return inverted, flat and not inverted


def _is_flat(word: str) -> bool:
    """Whether one word of a mixed name wants mending: "pat", "SMITH", "LEE"; not "AJ"."""
    if word.islower():
        return "/" not in word
    low = word.lower()
    return (
        len(word) > 1
        and _is_loud(word)
        and (len(word) > 3 or bool(words.given(low) or words.family(low)))
    )


def _is_one_loud(pieces: list[str]) -> bool:
    """Whether one part of a name is all in capitals, whatever the others are: "DE LA CRUZ"."""
    return len(pieces) > 1 and all(map(_is_loud, pieces)) and any(map(_is_flat, pieces))


def _is_loud_particle(word: str) -> bool:
    return len(word) > 1 and word.isupper() and word.lower() in words.of("particle")


def _is_loud(text: str) -> bool:
    """Whether all is in capitals; ß has hardly ever one."""
    return text.isupper() or text.replace("ß", "").isupper()


def _joins(word: str) -> bool:
    """Whether a small word belongs to the words after it: "van", "y"."""
    return word.rstrip(".") in words.of("particle") or word in ("y", "e", "i")


def _particle(word: str, before: list[str]) -> str:
    small = words.of("particle").get(word.lower().rstrip("."), "")
    if small and word.endswith("."):
        small += "."
    if before and before[-1].rpartition("-")[2] in ("de", "da") and small in ("La", "Las", "Los"):
        return small.lower()  # "de la Cruz", but "La Rosa"
    return small or ("y" if word in ("y", "Y") else "")


@lru_cache(maxsize=8_192)
def _word(word: str, *, initials: bool, is_followed: bool = False) -> str:
    if "-" in word:
        first, *rest = word.split("-")
        if first.lower() == "al" and rest:  # the Arabic article
            return "-".join(["al", *(_word(piece, initials=False) for piece in rest)])
        pieces = [_word(piece, initials=False) for piece in (first, *rest)]
        if is_followed and word.isupper():  # "O'NEIL-DE LEÓN"
            pieces[-1] = words.of("particle").get(pieces[-1].lower(), pieces[-1])
        return "-".join(pieces)
    head, mark, tail = word.partition("'")
    if mark:
        if not head:  # 't Hooft
            return mark + tail.lower()
        tail = _word(tail, initials=False) if head.lower() in _OPENERS else _small(tail)
        return f"{_word(head, initials=False)}'{tail}"
    low = _small(word)
    if known := words.of("mac").get(low):
        return known
    if low.startswith("mc") and len(low) > 3 and low.isalpha():
        return "Mc" + low[2:].capitalize()
    if (
        initials
        and 1 < len(low) <= 3
        and low.isalpha()
        and low.isascii()
        and (len(low) == 2 or not _VOWELS & set(low))
        and not words.given(low)
        and not words.family(low)
        and low not in words.of("particle")
    ):
        return low.upper()  # JD, TJ
    if word[:1].isupper():
        return word[0] + low[1:]
    first = low[:1].title()  # title, not upper: Georgian has capitals but begins no word with one
    return low if len(first) > 1 else first + low[1:]  # "ß" would be "Ss"


def _small(word: str) -> str:
    return word.replace("İ", "i").lower()  # "İ".lower() would leave a stray dot behind
