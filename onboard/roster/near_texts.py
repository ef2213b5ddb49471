"""Whose mailbox, sign-in name or phone is near a text that was said: for `candidates`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from rapidfuzz import process
from rapidfuzz.distance import OSA
from sqlalchemy import Connection

from onboard.lookup import costs, keys
from onboard.roster import index_asked

MOST_TEXTS = 4000  # mailboxes, handles and phones that are read at a time
TAIL = 4  # digits of the end of a phone, as most say it
ALPHABET = "abcdefghijklmnopqrstuvwxyz0123456789"


@dataclass(slots=True)
class Found:
    """Rough bits by owner, the least of all ways that found them."""

    cost: dict[int, float] = field(default_factory=dict)
    cut_short: bool = False
    ended: set[int] = field(default_factory=set)  # whose phone ends as was said
    named: set[int] = field(default_factory=set)  # of these, who were found by a name as well

    def take(self, docs: Iterable[int], cost: float) -> None:
        for doc in docs:
            if cost < self.cost.get(doc, 1e9):
                self.cost[doc] = cost
            if doc in self.ended:
                self.named.add(doc)


def written(connection: Connection, text: str, found: Found, *, far: bool = True) -> None:
    """Whose mailbox or handle is the text, with one slip, or (`far`) with two."""
    if not text or len(text) > 40:
        return
    lines = index_asked.written(connection, [text, *_one_slip(text)])
    for one, doc in lines:
        found.take((doc,), 0.0 if one == text else costs.ONE_SLIP)
    if not far or len(text) < 6 or any(one == text for one, _ in lines):
        return  # beside one that is exact, two slips do not count
    front, back = (len(text)) // 2, (len(text) - 1) // 2
    halves = ((False, text[:front]), (True, text[: -back - 1 : -1]))
    for turned, half in halves:
        _beginning(connection, [half], turned, text, found)
    if not lines:
        for turned, half in halves:
            if len(half) > 3:
                _beginning(connection, _one_slip(half), turned, text, found)


def _beginning(
    connection: Connection, starts: Sequence[str], turned: bool, text: str, found: Found
) -> None:
    """Whose mailbox, handle or phone begins (turned: ends) so, and is at most two slips away."""
    whole = keys.turned(text) if turned else text
    lengths = len(text) - 2, len(text) + 2
    lines = index_asked.beginning(connection, starts, turned, MOST_TEXTS, lengths)
    texts = [one for one, _ in lines]
    for _, slips, at in process.extract(
        whole, texts, scorer=OSA.distance, score_cutoff=2, limit=None
    ):
        found.take((lines[at][1],), costs.ONE_SLIP * slips)


def phone(connection: Connection, digits: str, found: Found) -> None:
    text = keys.phone(digits)
    if len(digits) == 7:
        phone_end(connection, digits, found)
        phone_end(connection, digits[-4:], found, text=digits)
        return
    front, back = text[:7], keys.turned(text)[:5]
    _beginning(connection, [front], False, text, found)
    _beginning(connection, [back], True, text, found)
    if min(found.cost.values(), default=9.0) > 0.0:
        starts = ["+" + start for start in _one_slip(front[1:]) if start.isdigit()]
        _beginning(connection, starts, False, text, found)


def phone_end(connection: Connection, digits: str, found: Found, text: str = "") -> None:
    """Whose phone ends so; and, beside the seven digits in `text`, nearly so."""
    lines = index_asked.beginning(connection, ["+" + digits[::-1]], True, MOST_TEXTS)
    found.cut_short |= len(lines) == MOST_TEXTS
    for one, doc in lines:
        end = one[1 : len(text) + 1][::-1]
        slips = OSA.distance(text, end, score_cutoff=2) if text else 0
        if slips < 3:
            found.take((doc,), 7.0 * slips + (0.0 if text or len(digits) > 5 else 1.0))
    if len(digits) == TAIL:
        found.ended.update(doc for _, doc in lines)


def _one_slip(text: str) -> list[str]:
    """Every text that is one slip away: a letter out, in, for another, or two in the wrong order."""
    found = {text[:at] + text[at + 1 :] for at in range(len(text))}
    found.update(text[:at] + c + text[at + 1 :] for at in range(len(text)) for c in ALPHABET)
    found.update(text[:at] + c + text[at:] for at in range(len(text) + 1) for c in ALPHABET)
    found.update(
        text[:at] + text[at + 1] + text[at] + text[at + 2 :] for at in range(len(text) - 1)
    )
    found -= {text, ""}
    return sorted(found)  # where not all are read, the same ones each time
