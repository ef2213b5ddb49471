"""Slips of the hand on a keyboard, and letters taken for others: how likely, and in words."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from onboard.tables import rows

# Parts of all slips; common practice in spelling correction has these five kinds. The figures are
# a judgement, and only their order of size matters.
_NEAR, _MISSED, _DOUBLED, _SWAPPED, _EXTRA, _ANY = 0.4, 0.2, 0.15, 0.15, 0.06, 0.04


class Slip(NamedTuple):
    """One slip: its part of all that could have gone wrong in a text so long, and the words."""

    weight: float
    seen: str


@cache
def touching() -> dict[str, str]:
    """Each key's neighbours on a US keyboard."""
    return {key: touches for key, touches, *_ in rows("keyboard")}


def slip(meant: str, typed: str) -> Slip | None:
    """The one slip that makes `typed` out of `meant`, or None if it takes more than one.

    >>> slip("patlee", "patkee").seen
    'Letter 4 is “k” instead of “l”, the key next to it.'
    >>> slip("patlee", "paltee").seen
    'Letters 3 and 4, “tl”, are swapped.'
    """
    at = 0
    while at < len(meant) and at < len(typed) and meant[at] == typed[at]:
        at += 1
    rest, wrote = meant[at:], typed[at:]
    share = 1 / max(1, len(meant))
    place = at + 1
    if len(rest) == len(wrote):
        if rest[1:] == wrote[1:] and rest:
            near = wrote[0] in touching().get(rest[0], "")
            kind = _NEAR / 4 if near else _ANY / 25
            beside = ", the key next to it" if near else ""
            return Slip(
                kind * share, f"Letter {place} is “{wrote[0]}” instead of “{rest[0]}”{beside}."
            )
        if rest[:2] == wrote[:2][::-1] and rest[2:] == wrote[2:]:
            return Slip(
                _SWAPPED * share, f"Letters {place} and {place + 1}, “{rest[:2]}”, are swapped."
            )
    elif rest[1:] == wrote:
        return Slip(_MISSED * share, f"Letter {place}, “{rest[0]}”, is missing.")
    elif rest == wrote[1:]:
        before, after = typed[at - 1 : at], rest[:1]
        if wrote[0] in (before, after):
            return Slip(_DOUBLED * share, f"“{wrote[0]}” was typed one time too many.")
        near = any(wrote[0] in touching().get(key, "") for key in (before, after))
        kind = _EXTRA / 8 if near else _ANY / 25
        return Slip(kind * share, f"“{wrote[0]}” at letter {place} does not belong there.")
    return None
