"""A place in a text that speaks of somebody; several that only signs divide are one."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

BETWEEN = re.compile(r"[\s.,()\-_'’\"“”…/&]{0,5}")  # what parts the words of one mention
_EMAIL = re.compile(r"[\w.+%'-]+@[\w-]+(?:\.[\w-]+)*")


class Mention(NamedTuple):
    """A place in a text that speaks of somebody."""

    start: int
    end: int
    is_sure: bool = True


def merged(text: str, mentions: Iterable[Mention]) -> list[Mention]:
    """The mentions in order; those that only signs divide are one, with the whole email around it."""
    emails = [one.span() for one in _EMAIL.finditer(text)]
    found: list[Mention] = []
    for start, end, _ in sorted(mentions):
        for first, after in emails:
            if first < end and start < after:
                start, end = min(start, first), max(end, after)
        if found and (start <= found[-1].end or BETWEEN.fullmatch(text[found[-1].end : start])):
            found[-1] = Mention(found[-1].start, max(end, found[-1].end))
        else:
            found.append(Mention(start, end))
    return [_closed(text, one) for one in found]


def _closed(text: str, mention: Mention) -> Mention:
    """With the bracket that ends what was begun in it, and without one that nothing ends."""
    start, end, _ = mention
    said = text[start:end]
    if said.count("(") > said.count(")") and text[end : end + 1] == ")":
        end += 1
    return Mention(start, end)
