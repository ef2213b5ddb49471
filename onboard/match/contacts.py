"""How alike the email addresses, and the phones and other numbers, of two people are."""

from __future__ import annotations

import re

import numpy as np

from onboard.match import measures
from onboard.match.columns import Columns, Index, Texts, pairs
from onboard.match.levels import LEVEL, Levels

DIGITS = "0123456789"
NO_LETTER = re.compile("[0-9._-]+")


def digits(field: str, people: Columns, here: Index, there: Index) -> Levels:
    """The level of each pair: a number that is the same, one slip apart, or another."""
    names = LEVEL[field]
    if len(people[field].texts) == 1:  # known of nobody
        return np.full(len(here), names["unknown"], np.int8)
    found = pairs(people[field], here, there)
    levels = measures.at_first(field, found)
    if len(found.left):
        slip = measures.slips(found.left, found.right, 1) <= 1
        found.spread(np.where(slip, names["near"], names["differs"]).astype(np.int8), levels)
    return levels


def email(people: Columns, here: Index, there: Index) -> tuple[Levels, Levels]:
    """The levels of each pair: of the mailbox, and of the number at its end if the mailboxes are two."""
    names = LEVEL["email"]
    field = people["email"]
    found = pairs(field, here, there)
    levels = measures.at_first("email", found)
    numbers = np.full(len(here), LEVEL["number"]["unknown"], np.int8)
    if len(found.left):
        left, right = (_split_mailboxes(texts) for texts in (found.left, found.right))
        found.spread(np.fromiter(map(_numbers, left[0], right[0]), np.int8, len(left[0])), numbers)
        judged = np.full(len(found.left), names["differs"], np.int8)
        short = np.minimum(measures.lengths(left[0]), measures.lengths(right[0]))
        slips = measures.slips(left[0], right[0], 2)
        near = ((slips <= 1) & (short >= 5)) | ((slips <= 2) & (short >= 9))
        measures.lift(judged, measures.flags(_same_letters, left[0], right[0]), names["letters"])
        same_domain = (left[1] == right[1]).astype(np.bool_)
        measures.lift(judged, near & same_domain, names["near"])
        at = np.flatnonzero(slips == 0)
        provider = measures.slips(left[1][at], right[1][at], 1) <= 1  # gmial.com
        judged[at] = np.where(provider, names["near"], names["domain"])
        found.spread(judged, levels)
    at = np.flatnonzero(found.same)
    if len(at):
        a, b = (_whose(people, who[at]) for who in (here, there))
        given = people["given"].codes
        # "alee" bears Ann's name no more than Al's.
        either = (a == 2) & (b == 2) & (given[here[at]] != given[there[at]])
        levels[at] = np.select(
            [(a >= 2) & (b >= 2) & ~either, ((a >= 2) | (b >= 2)) & ~either, (a >= 1) | (b >= 1)],
            [names["both"], names["one"], names["family"]],
            names["same"],
        )
    return levels, numbers


def _split_mailboxes(texts: Texts) -> tuple[Texts, Texts]:
    parts = [text.rpartition("@") for text in texts]
    local, domain = np.empty(len(parts), object), np.empty(len(parts), object)
    local[:] = [part[0] for part in parts]
    domain[:] = [part[2] for part in parts]
    return local, domain


def _numbers(one: str, other: str) -> int:
    """The level of the numbers that two local parts end in; of two digits they are often years."""
    if not (one[-2:].isdigit() and other[-2:].isdigit()):
        return 0
    a, b = (local[len(local.rstrip(DIGITS)) :] for local in (one, other))
    if a == b:
        return LEVEL["number"]["same"]
    return LEVEL["number"]["differs"] if len(a) == len(b) == 2 else 0


def _same_letters(one: str, other: str) -> bool:
    if one[0] != other[0]:
        return False
    letters = NO_LETTER.sub("", one)
    return len(letters) >= 5 and letters == NO_LETTER.sub("", other)


def _whose(people: Columns, who: Index) -> Levels:
    """Whose name the mailbox of each of these people bears: `_bears` of it and the person's names."""
    texts = (people[field] for field in ("email", "given", "family"))
    return np.fromiter(
        map(_bears, *(some.texts[some.codes[who]] for some in texts)), np.int8, len(who)
    )


def _bears(mailbox: str, given: str, family: str) -> int:
    """3 if the mailbox bears the given name, 2 its initial and the family name, 1 the family name only, else 0."""
    local, family = mailbox.rpartition("@")[0], family.replace(" ", "")
    # "hall" bears Al Hall's last name, and not that he is Al.
    if len(given) >= 2 and given in (local.replace(family, " ") if family else local):
        return 3
    if len(family) < 3:
        return 0
    letters = NO_LETTER.sub("", local)
    if given and letters.startswith(given[0] + family[:4]):
        return 2
    return int(family[:6] in letters)
