"""The several people of one sign-up: "Pat and Robin Lee"."""

from __future__ import annotations

import re

from onboard.clean.name import remarks, words
from onboard.late import late
from onboard.model import PersonName

_BETWEEN = re.compile(r"\s*[&+;]\s*|\s*/\s*|\s+(?:and|or|und|with)\s+", re.IGNORECASE)
# "Elmer & son Clay"; not "Sonny", nor "Son" in capitals
_KIN = late(rf"^(?:(?:his|her|my|our|su|mi)\s+)?{remarks.KIN}\s+(?=[^\W\d_]{{2}})")
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
        if (_is_natural(left) and _is_natural(right_)) or _are_of_one_family(left, right_):
            found = [left, right_]
    first, *others = (piece.strip(" ,") for piece in found) if found else ("",)
    return [first, *(_KIN.sub("", other) for other in others)]


def first_names(text: str) -> str:
    """The text of a first-name column, with "and" for the comma between two people's first names.

    >>> first_names("Tom, Sue"), first_names("Tom, Jr")
    ('Tom and Sue', 'Tom, Jr')
    """
    pieces = [piece.strip() for piece in text.split(",")]
    if len(pieces) == 2 and all(map(_is_first_name, pieces)):
        return " and ".join(pieces)
    return text


def _begins_as_given(text: str) -> bool:
    return bool(words.given(_first_word(text))) or _begins_as_spanish(text)


def _begins_as_spanish(text: str) -> bool:
    return _first_word(text) in words.of("spanish first name")


def _first_word(text: str) -> str:
    return words.unaccented(words.bare(text.split()[0])) if text.split() else ""


def _are_of_one_family(text: str, other: str) -> bool:
    """Whether both are whole names with one last name: "Ambrose Sorrell" and "Vangie Sorrell".

    >>> _are_of_one_family("Ambrose Sorrell", "Vangie Sorrell"), _are_of_one_family("De Leon", "Ana De Leon")
    (True, False)
    """
    mine, others = text.casefold().split(), other.casefold().split()
    is_whole = len(mine) == len(others) == 2 and mine[0] not in words.of("particle")
    return is_whole and mine[0] != others[0] and mine[1] == others[1]


def _is_natural(text: str) -> bool:
    """Whether words are most likely first name, then last name: "Mary Smith", not "Lee, Pat"."""
    found = [words.bare(word) for word in text.split()]
    return (
        len(found) > 1
        and words.given(found[0]) > words.family(found[0])
        and words.family(found[-1]) > words.given(found[-1])
    )


def with_last_names(people: list[PersonName]) -> list[PersonName]:
    """People of one form, each with a last name: "Pat and Robin Lee" are two Lees."""
    out: list[PersonName] = []
    for at, one in enumerate(people):
        later = next((other.family for other in people[at + 1 :] if other.family), "")
        if one.title and not one.given and later and _is_first_name(one.family):
            one = one._replace(given=one.family, family=later)  # "Mr John and Mrs Mary Smith"
        elif one.title and not one.family and later and one.given.lower() == later.lower():
            one = one._replace(given="", family=later)  # "Sr Lee and Pat Lee"
        elif not one.family:
            earlier = (other.family for other in reversed(out) if other.family)
            one = one._replace(family=later or next(earlier, ""))
        out.append(one)
    return out


def _is_first_name(word: str) -> bool:
    return words.given(words.bare(word)) > words.family(words.bare(word))
