"""The findings of one kind as they are told: each is put into words when it is asked for, as there may be very many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from onboard.clean import stored
from onboard.match.made_late import MadeLate
from onboard.reports.audit import Item

if TYPE_CHECKING:
    from onboard.audit.briefs import Briefs
    from onboard.audit.observation import Observation
    from onboard.model import Change

MOST_OTHERS = 8  # further accounts that a finding names


class Items(MadeLate[Item]):
    """What was found of a kind, in the order in which it is told."""

    __slots__ = ("_briefs", "_found", "_known", "new")

    def __init__(
        self,
        found: Sequence[Observation],
        briefs: Briefs,
        earlier: Mapping[tuple[str, ...], int] | None,
    ) -> None:
        """`earlier` is how many the audit before found under each key; None if there was none."""
        self._found, self._briefs = found, briefs
        self._known = bytearray(len(found)) if earlier is not None else None
        self.new = 0  # so many were not found by the audit before
        if self._known is not None and earlier is not None:
            left = Counter(
                earlier
            )  # of several that look the same, as many are known as there were
            for at, one in enumerate(found):
                key = self._key(one)
                self._known[at] = left[key] > 0
                left[key] -= 1
            self.new = self._known.count(0)

    def __len__(self) -> int:
        return len(self._found)

    def some(self, start: int, end: int) -> Iterator[Item]:
        return map(self._item, range(start, end))

    def _item(self, at: int) -> Item:
        one, place = self._found[at], self._place(self._found[at].owner)
        text, change = self._briefs.text, one.change
        return Item(
            owner=one.owner,
            name=text("name", place)
            if place >= 0
            else one.owner.partition(":")[2] or "the roster as a whole",
            handle=text("handle", place) if place >= 0 else "",
            site=text("site", place) if place >= 0 else "",
            field=one.finding.field,
            said=stored.show(one.finding.field, one.finding.said[:500]),
            note=one.finding.note,
            others=tuple(self._others(one)),
            before=_shown(change, change.before) if change else "",
            after=_shown(change, change.after) if change else "",
            new=self._known is not None and not self._known[at],
            key=self._key(one),
        )

    def _place(self, owner: str) -> int:
        return self._briefs.by_owner.place(owner)

    def _others(self, one: Observation) -> Iterator[str]:
        for place in map(self._place, one.others[:MOST_OTHERS]):
            if place >= 0:
                name, handle = (self._briefs.text(field, place) for field in ("name", "handle"))
                yield f"{handle} ({name})" if handle else name
        if len(one.others) > MOST_OTHERS:
            yield f"and {len(one.others) - MOST_OTHERS} more"

    def _key(self, one: Observation) -> tuple[str, ...]:
        """What makes it the same finding in two audits."""
        identity = sorted(map(self._lasting, (one.owner, *one.others)))
        return (one.code, *identity[:MOST_OTHERS])

    def _lasting(self, owner: str) -> str:
        """What an account is known by in the next audit: a line of a spreadsheet may be another then."""
        place = self._place(owner) if owner.startswith("line:") else -1
        if place < 0:
            return owner
        return self._briefs.text("handle", place) or self._briefs.text("name", place)


def _shown(change: Change, value: object) -> str:
    if change.field == "merged_into" and value:
        return f"member {change.member_id} into member {value}"
    return ", ".join(stored.show(change.field, value).splitlines())
