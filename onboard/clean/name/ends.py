"""What begins or ends a name and is no part of it: titles, suffixes, letters behind it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from onboard.clean.name import two_last, words
from onboard.clean.name.kinds import Noticed


def written_suffix(text: str) -> str:
    """A suffix as it is written: "Jr", "III"; what is none stays as it is."""
    known = {**words.of("suffix"), **words.of("spanish suffix")}
    return known.get(words.bare(text), text.strip(" .,"))


def take_tail(text: str, noticed: Noticed) -> tuple[list[str], str, str]:
    """The pieces between commas but for a title, suffix or letters at the end; title; suffix."""
    pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
    suffix_ = title = ""
    while len(pieces) > 1:
        tail = [words.bare(word) for word in pieces[-1].split()]
        if len(pieces) == 2 and " " not in pieces[0] and words.given(tail[0]):
            break  # "Smith, Ma", "Smith, Vi"
        if (
            len(tail) == 1
            and (" " in pieces[0] or len(pieces) > 2)
            and (of_son := words.of("spanish suffix").get(tail[0]))
        ):  # "José Núñez, hijo"
            noticed["name.generation"], suffix_ = pieces[-1], of_son
        elif all(word in words.of("suffix") for word in tail):
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


@cache
def first_name_titles() -> frozenset[str]:
    return frozenset(words.of("title")[word] for word in words.of("title with first name"))


def take_titles(
    tokens: list[str], noticed: Noticed, *, alone: bool = False, last: Sequence[str] = ()
) -> tuple[list[str], str]:
    """The words without the titles before them, and the title. `alone`: they are of a column of
    their own; then `last` are those of the last-name column."""
    title = ""
    known = words.of("title")
    while len(tokens) > 1 or (alone and tokens):
        word = words.bare(tokens[0])
        if word == "don" and _is_title_don(tokens, noticed, last):
            title, tokens = title or "Don", tokens[1:]
            continue
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


def _is_title_don(tokens: list[str], noticed: Noticed, last: Sequence[str]) -> bool:
    """Whether "Don" is the title, "Don Evaristo Luján", and no first name, "Don Lee Miller"; a doubt is noticed."""
    whole = [words.unaccented(words.bare(word)) for word in (*tokens, *last)]
    if len(whole) < 3 or len(tokens) < 2 or words.is_initial(whole[1]):
        return False
    first, family = whole[1], whole[-1]
    of_spain = words.of_spain(first)
    is_first = of_spain.given > of_spain.family or first in words.of("spanish first name")
    is_name = is_first or words.given(first) > words.family(first)
    is_last = two_last.is_spanish_last(family)
    if first in words.of("particle") or not is_name:
        return False
    if noticed.hints.spanish:
        return True
    if is_first or is_last:
        noticed["name.don"] = "a title" if is_first and is_last else "a first name"
    return is_first and is_last


def take_suffixes(
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
            elif word in ("junior", "senior") and not (
                enough and (alone or not words.is_initial(words.bare(tokens[-2])))
            ):
                break  # "Noella Q. Senior" is of that family
            suffix = words.of("suffix")[word]
        elif of_son := _father_or_son(tokens, noticed, alone):
            noticed["name.generation"], suffix = tokens[-1], of_son
        elif (
            words.of("credential").get(word) == ""
            and len(tokens) > (1 if alone else 2)
            and (alone or not _lacks_last_name(tokens[:-1]))
        ):
            noticed["name.credential"] = tokens[-1]
        else:
            break
        tokens = tokens[:-1]
    return tokens, suffix


# As abbreviated, in small letters: "José Núñez h."; with a capital it is an initial.
_ABBREVIATED = {"h.": "Jr", "p.": "Sr"}


def _father_or_son(tokens: list[str], noticed: Noticed, alone: bool) -> str:
    """The suffix that "hijo" (the son) or "padre" (the father) behind a last name stands for; "" where it may be a
    last name itself. `alone` says that the first names are not among the words."""
    if noticed.hints.told or len(tokens) <= (1 if alone else 2):
        return ""
    said, before = tokens[-1], words.unaccented(words.bare(tokens[-2]))
    is_small = said.islower() and not "".join(tokens[:-1]).islower()
    if is_small and said in _ABBREVIATED:
        return _ABBREVIATED[said]
    suffix, mailbox = words.of("spanish suffix").get(words.bare(said), ""), noticed.hints.mailbox
    if not suffix or is_small:
        return suffix
    of_spain = words.of_spain(before)
    is_first = words.given(before) > words.family(before) or of_spain.given > of_spain.family
    if words.bare(said) in mailbox.lower() and before not in mailbox.lower():
        return ""  # "maria.padre@…"
    return suffix if alone or not is_first else ""


def bracketed_suffix(said: str, noticed: Noticed, *, inside: bool, whole: str) -> str:
    """The suffix that stands in brackets beside a name, "(hijo)", "(h)", "(Jr.)"; "" if none does.

    `inside`: words of the name come behind the brackets, where "(Junior)" is rather what one is called.
    """
    word = words.bare(said)
    if said.islower() or (whole.isupper() and len(word) == 1):
        of_son = _ABBREVIATED.get(f"{word}.", "")
    else:
        of_son = ""
    if of_son := of_son or words.of("spanish suffix").get(word, ""):
        noticed["name.generation"] = said
        return of_son
    if len(word) == 1 or (inside and words.given(word)):
        return ""
    return words.of("suffix").get(word, "")


def _lacks_last_name(tokens: list[str]) -> bool:
    """Whether these end in what is no last name: then the letters behind are one, "Mary Q. Edd"."""
    last = words.bare(tokens[-1])
    return words.is_initial(last) or (
        len(tokens) == 2 and words.given(last) > 0 and not words.family(last)
    )
