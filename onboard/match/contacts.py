"""How alike the email addresses, and the phones and other numbers, of two people are."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from onboard.match import measures
from onboard.match.columns import Columns, Index, Pairs, as_objects, numbered, pairs
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
        mailboxes = [text.rpartition("@") for text in field.texts.tolist()]
        locals_ = [local for local, _, _ in mailboxes]
        domains = [domain for _, _, domain in mailboxes]
        left, right = (as_objects(locals_)[side] for side in found.sides)
        found.spread(_numbers(found, [_ending(local) for local in locals_]), numbers)
        judged = np.full(len(left), names["differs"], np.int8)
        short = np.minimum(measures.lengths(left), measures.lengths(right))
        slips = measures.slips(left, right, 2)
        near = ((slips <= 1) & (short >= 5)) | ((slips <= 2) & (short >= 9))
        measures.lift(judged, found.alike([_letters(local) for local in locals_]), names["letters"])
        measures.lift(judged, near & found.alike(domains), names["near"])
        at = np.flatnonzero(slips == 0)
        one, other = (as_objects(domains)[side[at]] for side in found.sides)
        provider = measures.slips(one, other, 1) <= 1  # gmial.com
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


def _ending(local: str) -> str | None:
    """The number that a local part ends in, if it is one of two digits or more; of two they are often years."""
    return local[len(local.rstrip(DIGITS)) :] if local[-2:].isdigit() else None


def _numbers(found: Pairs, endings: Sequence[str | None]) -> Levels:
    """The level of the numbers that the local parts of each pair end in."""
    names = LEVEL["number"]
    of_two = numbered((ending and len(ending) == 2) or None for ending in endings)
    left, right = (of_two[side] > 0 for side in found.sides)
    levels = np.where(left & right, names["differs"], names["unknown"]).astype(np.int8)
    levels[found.alike(endings)] = names["same"]
    return levels


def _letters(local: str) -> tuple[str, str] | None:
    """How a local part begins, and its letters, if they are so many that they tell."""
    letters = NO_LETTER.sub("", local)
    return (local[:1], letters) if len(letters) >= 5 else None


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
