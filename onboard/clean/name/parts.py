"""A name taken apart: title, first, middle and last name, suffix; order, particles, joint names.

There is no standard for this; the rules are common practice for names as they are written in the
United States, by people from everywhere. What could be read in two ways carries a doubt.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import TypeAlias

from onboard.clean.name import doubts, words
from onboard.model import PersonName

# What was noticed while a name was read: code to a word about it.
Noticed: TypeAlias = dict[str, str]


# ---------------------------------------------------------------- beside the name

_QUOTED = re.compile(r'"([^"]*)"|\(([^()]*)\)|\[([^\[\]]*)\]|(?<!\S)\'([^\' ]+)\'(?!\S)')
_BORN = re.compile(
    r"^(?:née|nee|né|born|formerly|formerly known as|f/?k/?a|geb\.?|geborene|nacida|maiden name:?|"
    r"was)\s+(\S.*)$",
    re.IGNORECASE,
)
_FORMERLY = re.compile(
    r"[,\s]\s*(?:née|nee|born|formerly known as|formerly|f/?k/?a|geborene|nacida)\s+(\S.*)$",
    re.IGNORECASE,
)
_ALSO = re.compile(
    r"[,\s]\s*(?:a/?k/?a|a\.k\.a\.|also known as|goes by|known as|called)\s+(\S.*)$", re.IGNORECASE
)
CARE_OF = re.compile(
    r"\s*[,;]?\s(?:c/o|c\.o\.|care of|in care of|attn:?|attention:|on behalf of|via|for)\s+(\S.*)$",
    re.IGNORECASE,
)
_PRONOUNS = re.compile(
    r"^(?:she|he|they|ella|él|elle)"
    r"(?:[/ ,]+(?:her|him|them|hers|his|theirs|she|he|they|ella|el|elle))+$"
)


def take_asides(text: str, noticed: Noticed) -> tuple[str, str, str]:
    """The text without what stands beside the name; the name one is called; the former name."""
    called = former = ""

    def aside(match: re.Match[str]) -> str:
        nonlocal called, former
        inner = next((g for g in match.groups() if g is not None), "").strip(" ,")
        if not match.string[: match.start()].strip() and not _BORN.match(inner):
            return f" {inner} "  # quotes about the first name, or about everything
        if born := _BORN.match(inner):
            former = former or born[1]
        elif (
            not inner
            or _PRONOUNS.match(inner.lower())
            or words.bare(inner) in words.of("title")
            or words.bare(inner) in words.of("credential")
        ):
            pass
        elif (
            len(inner.split()) <= 2
            and "'s " not in inner
            and not doubts.is_organisation(inner)
            # what follows the whole name in brackets is a name only if it is known for one
            and (match.string[match.end() :].strip() or match[1] or words.given(words.bare(inner)))
        ):
            called = called or inner
        else:
            noticed.setdefault("name.aside", inner)
        return " "

    if any(mark in text for mark in "\"(['"):
        text = _QUOTED.sub(aside, text)
    for pattern in (_FORMERLY, _ALSO):
        found = pattern.search(text)
        if found and (pattern is _ALSO or len(text[: found.start()].split()) >= 2):
            text, rest = text[: found.start()], found[1]
            if pattern is _ALSO:
                called = called or rest.split()[0]
            else:
                former = former or rest
    found = CARE_OF.search(text)
    if found and len(text[: found.start()].split()) >= 2:
        text = text[: found.start()]
        noticed["name.care_of"] = found[1]
    text = re.sub(r"^(?:c/o|attn:?|attention:?)\s+", "", text, flags=re.IGNORECASE)
    return " ".join(text.split()), called.strip(" '"), former.strip(" ,'")


# ---------------------------------------------------------------- joint sign-ups

_BETWEEN = re.compile(r"\s*[&+;]\s*|\s*/\s*|\s+(?:and|or|und|with)\s+", re.IGNORECASE)
_BETWEEN_FOREIGN = re.compile(r"\s+(y|e|et)\s+", re.IGNORECASE)


def people(text: str) -> list[str]:
    """The texts of the several people in a joint sign-up, or the one text.

    >>> people("Lee, Pat and Robin"), people("Pat, Robin and Sam Lee")
    (['Lee, Pat', 'Robin'], ['Pat', 'Robin', 'Sam Lee'])
    """
    found = [piece for piece in _BETWEEN.split(text) if piece.strip(" ,.")]
    if len(found) == 1:
        left, *right = _BETWEEN_FOREIGN.split(text, maxsplit=1)
        # a capital alone is an initial, "Dana E Lee", and so is an e in an English name
        if (
            right
            and _begins_as_given(left)
            and _begins_as_given(right[1])
            and (right[0].islower() or text.isupper())
            and (right[0].lower() != "e" or all(map(_begins_as_spanish, (left, right[1]))))
        ):
            found = [left, right[1]]
    if len(found) > 1 and ("," in found[0]) and len(found[-1].split()) > 1:
        first = found[0].split(",")
        head = words.bare(first[0].strip())
        if len(first) == 2 and words.family(head) > words.given(head):
            pass  # "Lee, Pat and Robin Diaz"
        elif all(len(piece.split()) == 1 for piece in first if piece.strip()) or len(first) > 2:
            found[:1] = [piece for piece in first if piece.strip()]
    if len(found) == 1 and text.count(",") == 1:
        left, right_ = (piece.strip() for piece in text.split(","))
        if _is_natural(left) and _is_natural(right_):
            found = [left, right_]
    return [piece.strip(" ,") for piece in found]


def _begins_as_given(text: str) -> bool:
    return bool(words.given(_first_word(text))) or _begins_as_spanish(text)


def _begins_as_spanish(text: str) -> bool:
    return _first_word(text) in words.of("spanish first name")


def _first_word(text: str) -> str:
    return _unaccented(words.bare(text.split()[0])) if text.split() else ""


def _is_natural(text: str) -> bool:
    """Whether words are most likely first name, then last name: "Mary Smith", not "Lee, Pat"."""
    found = [words.bare(word) for word in text.split()]
    return (
        len(found) > 1
        and words.given(found[0]) > words.family(found[0])
        and words.family(found[-1]) > words.given(found[-1])
    )


# ---------------------------------------------------------------- one person


def whole(text: str, noticed: Noticed) -> PersonName:
    """One person's name, from one text in whatever order."""
    pieces, title, suffix_ = _take_tail(text, noticed)
    if len(pieces) < 2 or _is_comma_typo(pieces):
        name = natural(_words(" ".join(pieces)), noticed)
    else:
        noticed["name.order"] = ""
        name = columns(_words(" ".join(pieces[1:])), _words(pieces[0]), noticed, guess=True)
    return _with(name, title, suffix_)


def of_columns(first: str, last: str, noticed: Noticed) -> PersonName:
    """One person's name, from the texts of a first-name and a last-name column."""
    if "," not in first and "," not in last:
        return columns(_words(first), _words(last), noticed)
    first_pieces, title, suffix_ = _take_tail(first, noticed)
    last_pieces, title_last, suffix_last = _take_tail(last, noticed)
    name = columns(_words(" ".join(first_pieces)), _words(" ".join(last_pieces)), noticed)
    return _with(name, title or title_last, suffix_last or suffix_)


def _with(name: PersonName, title: str, suffix: str) -> PersonName:
    if not title and not suffix:
        return name
    return replace(name, title=name.title or title, suffix=name.suffix or suffix)


def suffix(text: str) -> str:
    """A suffix as it is written: "Jr", "III"; what is none stays as it is."""
    return words.of("suffix").get(words.bare(text), text.strip(" .,"))


def middle(text: str) -> str:
    """A middle name, initials without full stops; "" for "NMN" (no middle name)."""
    nothing = words.of("no middle name")
    tokens = [word for word in _words(text) if words.bare(word) not in nothing]
    return _text(list(_spread_initials(tokens)))


def _take_tail(text: str, noticed: Noticed) -> tuple[list[str], str, str]:
    """The pieces between commas but for a title, suffix or letters at the end; title; suffix."""
    pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
    suffix_ = title = ""
    while len(pieces) > 1:
        tail = [words.bare(word) for word in pieces[-1].split()]
        if all(word in words.of("suffix") for word in tail):
            suffix_ = words.of("suffix")[tail[0]]
        elif all(word in words.of("credential") for word in tail):
            noticed["name.credential"] = pieces[-1]
        elif len(tail) == 1 and tail[0] in words.of("title"):
            title = words.of("title")[tail[0]]
        else:
            break
        pieces.pop()
    if len(pieces) == 3 and (mid := words.of("suffix").get(words.bare(pieces[1]))):
        suffix_ = mid  # "Lee, Jr., Pat"
        del pieces[1]
    return pieces, title, suffix_


def _is_comma_typo(pieces: list[str]) -> bool:
    """Whether "Jennifer, Smith" only has a comma too many."""
    if len(pieces) != 2:
        return False
    first, last = (words.bare(piece) for piece in pieces)
    return bool(
        words.given(first)
        and words.family(last)
        and not words.family(first)
        and not words.given(last)
    )


def natural(tokens: list[str], noticed: Noticed) -> PersonName:
    """One person's name in the order first, middle, last."""
    if len(tokens) == 2 and words.is_plain(tokens[0]) and words.is_plain(tokens[1]):
        return _two(tokens, noticed)
    tokens = list(_spread_initials(tokens))
    lacking = [word for word in tokens if words.bare(word) in words.of("no first name")]
    if lacking and len(lacking) < len(tokens):
        tokens = [word for word in tokens if word not in lacking]
    tokens, title = _take_titles(tokens, noticed)
    tokens, suffix = _take_suffixes(tokens, noticed)
    if not tokens:
        return PersonName("", suffix=suffix, title=title)
    if len(tokens) == 1:
        only = tokens[0]
        if title and title not in _first_name_titles():
            return PersonName("", family=only, suffix=suffix, title=title)
        return PersonName(only, suffix=suffix, title=title)
    count = _given_count(tokens, noticed)
    start = _family_start(tokens, count, noticed)
    given, middle, family = tokens[:count], tokens[count:start], tokens[start:]
    family = [*family[:-1], family[-1].rstrip(".")]
    given, family = _order(given, middle, family, noticed)
    return PersonName(_text(given), _text(middle), _text(family), suffix=suffix, title=title)


def _two(tokens: list[str], noticed: Noticed) -> PersonName:
    (given,), (family,) = _order(tokens[:1], [], tokens[1:], noticed)
    return PersonName(given, family=family)


def columns(
    first: list[str], last: list[str], noticed: Noticed, *, guess: bool = False
) -> PersonName:
    """One person's name whose first and last names were given apart.

    All words of a first-name column are first names, but for initials after a full one; before
    a comma only (`guess`) the words after it may be first and middle names.
    """
    if len(first) == len(last) == 1 and words.is_plain(first[0]) and words.is_plain(last[0]):
        return _two([*first, *last], noticed)
    first = list(_spread_initials(first))
    first, title = _take_titles(first, noticed, alone=True)
    last, title_last = _take_titles(last, noticed)
    last, suffix = _take_suffixes(last, noticed, alone=True)
    first, suffix_first = _take_suffixes(first, noticed)
    nothing = words.of("no first name")
    first = [word for word in first if words.bare(word) not in nothing]
    last = [word for word in last if words.bare(word) not in nothing]
    if guess and len(first) > 1:
        count = _given_count([*first, *last], noticed)
        particles = len(first)
        while particles > count and words.bare(first[particles - 1]) in words.of("particle"):
            particles -= 1  # "Beethoven, Ludwig van"
        first, last = first[:particles], [*first[particles:], *last]
    else:
        count = len(first)
        while count > 1 and _is_initial(first[count - 1]) and not _is_initial(first[0]):
            count -= 1
        if count and last:
            given, last = _order(first[:count], first[count:], last, noticed)
            first = [*given, *first[count:]]
    return PersonName(
        _text(first[:count]),
        _text(first[count:]),
        _text(last),
        suffix=suffix or suffix_first,
        title=title or title_last,
    )


_words = re.compile(r"\S*\w\S*").findall  # words with a letter or digit in them


def _text(tokens: list[str]) -> str:
    """Words joined, initials without their full stops."""
    return " ".join(word.rstrip(".") if _is_initial(word) else word for word in tokens)


def _is_initial(word: str) -> bool:
    return len(word.rstrip(".")) == 1 and word[0].isalpha()


def _spread_initials(tokens: list[str]) -> Iterator[str]:
    """The words, "J.R." being two, and so "Dr.Pat"."""
    for word in tokens:
        if "." in word[:-1] and all(len(piece) == 1 for piece in word.rstrip(".").split(".")):
            yield from word.rstrip(".").split(".")
        elif "." in word[1:-1]:
            yield from filter(None, (piece.strip("-'") for piece in word.split(".")))
        else:
            yield word


@cache
def _first_name_titles() -> frozenset[str]:
    return frozenset(words.of("title")[word] for word in words.of("title with first name"))


def _take_titles(
    tokens: list[str], noticed: Noticed, *, alone: bool = False
) -> tuple[list[str], str]:
    title = ""
    known = words.of("title")
    while len(tokens) > 1 or (alone and tokens):
        word = words.bare(tokens[0])
        if word not in known:
            break
        name_too = words.given(word) or words.family(word)
        if name_too and not tokens[0].endswith(".") and (alone or len(tokens) < 3):
            break  # Major Lee, Judge Lee
        if word == "sr":
            noticed["name.title"] = tokens[0]
        title = title or known[word]
        tokens = tokens[1:]
    return tokens, title


def _take_suffixes(
    tokens: list[str], noticed: Noticed, *, alone: bool = False
) -> tuple[list[str], str]:
    suffix = ""
    while len(tokens) > 1:
        word = words.bare(tokens[-1])
        if word in words.of("suffix"):
            enough = len(tokens) > (1 if alone else 2)
            if word in ("v", "i"):
                noticed["name.suffix"] = tokens[-1]
                if not enough or tokens[-1].endswith("."):
                    break
            elif word in ("junior", "senior") and not enough:
                break
            suffix = words.of("suffix")[word]
        elif words.of("credential").get(word) == "" and len(tokens) > (1 if alone else 2):
            noticed["name.credential"] = tokens[-1]
        else:
            break
        tokens = tokens[:-1]
    return tokens, suffix


_SAINTS = frozenset(
    [
        "carmen",
        "angeles",
        "ángeles",
        "jesus",
        "jesús",
        "pilar",
        "lourdes",
        "rosario",
        "mar",
        "luz",
        "guadalupe",
        "socorro",
        "consuelo",
        "refugio",
        "rocio",
        "rocío",
        "paz",
    ]
)


def _given_count(tokens: list[str], noticed: Noticed) -> int:
    """How many words at the front are the first name."""
    low = [words.bare(word) for word in tokens]
    if len(low) < 3:
        return 1
    if low[0] in ("st", "saint", "ste"):
        return 2
    if _is_initial(tokens[0]):
        count = 1
        while count < len(tokens) - 1 and _is_initial(tokens[count]):
            count += 1
        return count
    plain = [_unaccented(word) for word in low]
    if plain[1] in ("de", "del") and plain[0] in words.of("spanish first name"):
        for at in range(2, min(4, len(plain) - 1)):  # "María de los Ángeles Ruiz"
            if plain[at] in _SAINTS:
                return at + 1
    if f"{plain[0]} {plain[1]}" in words.of("double first name"):
        noticed["name.two_first_names"] = f"{tokens[0]} {tokens[1]}"
        return 2
    return 1


def _family_start(tokens: list[str], count: int, noticed: Noticed) -> int:
    """Where the last name begins."""
    low = [words.bare(word) for word in tokens]
    last = len(tokens) - 1
    particles = words.of("particle")
    vietnamese = {_unaccented(low[0]), _unaccented(low[last])} & words.of(
        "vietnamese last name"
    ).keys()
    if not vietnamese:
        for at in range(count, last):
            alone = low[at + 1] not in particles and at < last - 1
            if low[at] in particles and not (alone and words.given(low[at])):  # Pat Ben Amos Lee
                if at - 1 >= count and _unaccented(low[at - 1]) in words.of("spanish last name"):
                    noticed["name.two_last_names"] = " ".join(tokens[at - 1 :])
                    return at - 1  # "José López de la Torre"
                return at
    if low[last - 1] == "o" and low[last] in words.of("after o") and last - 1 >= count:
        return last - 1
    if last - 2 >= count - 1 and tokens[last - 1] == "y" and last - 2 >= 1:
        return last - 2  # "José Ortega y Gasset"
    if last - 1 >= count and not _is_initial(tokens[last - 1]):
        spanish = words.of("spanish last name")
        first, inner, outer = (_unaccented(low[at]) for at in (0, last - 1, last))
        of_spain = first in words.of("spanish first name")
        is_first_name = words.given(inner) > words.family(inner) or inner in words.of(
            "spanish first name"
        )
        if (inner in spanish and (of_spain or outer in spanish) and not is_first_name) or (
            of_spain and count == 2 and last - 1 == count and not is_first_name
        ):
            noticed["name.two_last_names"] = f"{tokens[last - 1]} {tokens[last]}"
            return last - 1
    return last


def _unaccented(word: str) -> str:
    if word.isascii():
        return word
    apart = unicodedata.normalize("NFD", word.replace("đ", "d"))
    return "".join(char for char in apart if not unicodedata.combining(char))


def _order(
    given: list[str], middle: list[str], family: list[str], noticed: Noticed
) -> tuple[list[str], list[str]]:
    """First and last name, exchanged where lists of names leave no doubt that they were."""
    if len(given) > 1 or len(family) > 1:
        return given, family
    first, last = words.bare(given[0]), words.bare(family[0])
    if not middle and words.family(first) and words.given(last) > max(9, words.family(last)):
        surely = not words.given(first) and not words.family(last)
        loud = given[0].isupper() and len(first) > 1 and not family[0].isupper()  # LEE Pat
        if surely or loud:
            noticed["name.order_unsure"] = f"{family[0]} {given[0]}"
            return family, given
    first, last = _unaccented(first), _unaccented(last)
    if (
        first in words.of("family name first")
        and (words.given(first) < 5 or middle)
        and last not in words.of("family name first")
        and not words.family(last)
        and words.given(last) < 10
    ):
        noticed["name.order_unsure"] = f"{given[0]} {family[0]}"
    return given, family
