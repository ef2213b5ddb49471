"""One person's name taken apart: title, first, middle and last name, suffix.

There is no standard for this; the rules are common practice for names as they are written in the
United States, by people from everywhere. What could be read in two ways carries a doubt.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from onboard.clean.name import ends, order, words
from onboard.clean.name.kinds import Noticed
from onboard.model import PersonName


def whole(text: str, noticed: Noticed) -> PersonName:
    """One person's name, from one text in whatever order."""
    pieces, title, suffix_ = ends.take_tail(text, noticed)
    if len(pieces) < 2 or _is_comma_typo(pieces):
        name = natural(_words(" ".join(pieces)), noticed)
    else:
        noticed["name.order"] = ""
        # What stands before the comma is the last name, and all of it: "Walsh Keller, Mary".
        first, last = _words(" ".join(pieces[1:])), _words(pieces[0])
        name = columns(first, last, noticed, guess=True)
    return _with(name, title, suffix_)


def of_columns(first: str, last: str, noticed: Noticed) -> PersonName:
    """One person's name, from the texts of a first-name and a last-name column."""
    if "," not in first and "," not in last:
        return columns(_words(first), _words(last), noticed)
    first_pieces, title, suffix_ = ends.take_tail(first, noticed)
    last_pieces, title_last, suffix_last = ends.take_tail(last, noticed)
    name = columns(_words(" ".join(first_pieces)), _words(" ".join(last_pieces)), noticed)
    return _with(name, title or title_last, suffix_last or suffix_)


def _with(name: PersonName, title: str, suffix: str) -> PersonName:
    if not title and not suffix:
        return name
    return name._replace(title=name.title or title, suffix=name.suffix or suffix)


def middle(text: str) -> str:
    """A middle name, initials without full stops; "" for "NMN" (no middle name)."""
    nothing = words.of("no middle name")
    tokens = [word for word in _words(text) if words.bare(word) not in nothing]
    return _text(list(_spread_initials(tokens)))


def _is_comma_typo(pieces: list[str]) -> bool:
    """Whether "Jennifer, Smith" and "Mary Ann, Smith" only have a comma too many."""
    if len(pieces) != 2:
        return False
    *firsts, last = (words.bare(word) for piece in pieces for word in piece.split())
    return bool(
        len(pieces[1].split()) == 1
        and all(words.given(first) and not words.family(first) for first in firsts)
        and words.family(last)
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
    tokens, title = ends.take_titles(tokens, noticed)
    tokens, suffix = ends.take_suffixes(tokens, noticed)
    if not tokens:
        return PersonName("", suffix=suffix, title=title)
    if len(tokens) == 1:
        only = tokens[0]
        if title and title not in ends.first_name_titles():
            return PersonName("", family=only, suffix=suffix, title=title)
        return PersonName(only, suffix=suffix, title=title)
    count = order.given_count(tokens, noticed)
    start = order.family_start(tokens, count, noticed)
    given, middle, family = tokens[:count], tokens[count:start], tokens[start:]
    family = [*family[:-1], family[-1].rstrip(".")]
    given, family = order.put_right(given, middle, family, noticed)
    return PersonName(_text(given), _text(middle), _text(family), suffix=suffix, title=title)


def _two(tokens: list[str], noticed: Noticed) -> PersonName:
    (given,), (family,) = order.put_right(tokens[:1], [], tokens[1:], noticed)
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
    first, title = ends.take_titles(first, noticed, alone=True, last=last)
    last, title_last = ends.take_titles(last, noticed)
    last, suffix = ends.take_suffixes(last, noticed, alone=True)
    first, suffix_first = ends.take_suffixes(first, noticed)
    nothing = words.of("no first name")
    first = [word for word in first if words.bare(word) not in nothing]
    last = [word for word in last if words.bare(word) not in nothing]
    if guess and len(first) > 1:
        count = order.given_count([*first, *last], noticed)
        particles = len(first)
        while particles > count and words.bare(first[particles - 1]) in words.of("particle"):
            particles -= 1  # "Beethoven, Ludwig van"
        first, last = first[:particles], [*first[particles:], *last]
    else:
        count = len(first)
        while count > 1 and words.is_initial(first[count - 1]) and not words.is_initial(first[0]):
            count -= 1
        if count and last:
            given, last = order.put_right(first[:count], first[count:], last, noticed)
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
    return " ".join(word.rstrip(".") if words.is_initial(word) else word for word in tokens)


def _spread_initials(tokens: list[str]) -> Iterator[str]:
    """The words, "J.R." being two, and so "Dr.Pat"."""
    for word in tokens:
        if "." in word[:-1] and all(len(piece) == 1 for piece in word.rstrip(".").split(".")):
            yield from word.rstrip(".").split(".")
        elif "." in word[1:-1]:
            yield from filter(None, (piece.strip("-'") for piece in word.split(".")))
        else:
            yield word
