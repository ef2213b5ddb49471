"""Windows as members' calendars know them: each under a UID that stays, with a number that rises when it changes."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from onboard.model import ToldWindow
from onboard.settings import Group, Settings, Window
from onboard.windows.coming import horizon
from onboard.windows.turns import How, Made, made

MOVES = timedelta(
    45
)  # a window that opens at most so much earlier or later may be the one that was there
LATELY = timedelta(60)  # of a window that closed so long ago a change is noticed still


@dataclass(frozen=True, slots=True)
class Known:
    """A window as calendars know it."""

    uid: str
    group: str
    turn: str  # "2027-01", the month whose turn it is; "" of a written window
    window: Window
    sequence: int  # RFC 5545, 3.8.7.4
    changed: datetime  # UTC; when it came to be, or was last changed
    canceled: bool = False

    @property
    def told(self) -> ToldWindow:
        """The window as a message tells it."""
        window = self.window
        return ToldWindow(
            self.uid,
            self.group,
            window.opens,
            window.closes,
            window.opens_at,
            window.closes_at,
            self.canceled,
        )

    def told_in(self, zone: ZoneInfo) -> ToldWindow:
        """The same, as it is told by the clock of a time zone."""
        return replace(self.told, zone=zone.key)

    def is_over(self, today: date) -> bool:
        """Whether it closed before today."""
        return self.window.closes < today


def follow(
    known: Collection[Known], settings: Settings, now: datetime, *, first: int = 0
) -> tuple[Known, ...]:
    """The windows as calendars should know them now: what was known, with what the settings changed of it.

    A window is the one that was known by its turn, or else by its opening day; what is left on both sides is paired
    by the nearest days. What is known and is no more is canceled. New ones begin with the number `first`.
    """
    today = now.astimezone(settings.zone()).date()
    found: list[Known] = []
    taken = {one.uid for one in known}
    for group in settings.groups:
        ours = [one for one in known if one.group == group.name]
        found += _of_group(group, ours, settings, now, first, taken)
    gone = [one for one in known if settings.group(one.group) is None]
    found += [_canceled(one, today, now) for one in gone]
    return tuple(sorted(found, key=lambda one: (one.window.opens, one.group, one.uid)))


def fresh(group: Group, settings: Settings, now: datetime, *, first: int = 0) -> tuple[Known, ...]:
    """The windows of a group that are open or still to come, as calendars that know none yet."""
    found = follow((), replace(settings, groups=(group,)), now, first=first)
    return tuple(one for one in found if one.group == group.name)


def _of_group(
    group: Group,
    known: Sequence[Known],
    settings: Settings,
    now: datetime,
    first: int,
    taken: set[str],
) -> Iterator[Known]:
    today = now.astimezone(settings.zone()).date()
    last = horizon(today)
    current = [
        one
        for one in made(group, last)
        if not one.kept_out_by
        and one.window.closes >= today - LATELY
        and (one.how is How.WRITTEN or one.window.opens <= last)
    ]
    pairs = _paired(known, current, today)
    for one in known:
        now_made = pairs.get(one.uid)
        yield _changed(one, now_made, now, today) if now_made else _canceled(one, today, now)
    found = list(pairs.values())
    for new in current:
        if new not in found and new.window.closes >= today:
            uid = _uid(settings, group.name, _turn(new) or new.window.opens.isoformat(), taken)
            taken.add(uid)
            yield Known(uid, group.name, _turn(new), new.window, first, now)


def _paired(known: Sequence[Known], current: Sequence[Made], today: date) -> dict[str, Made]:
    """The window of today that each known one is, by its UID."""
    pairs: dict[str, Made] = {}
    left = list(current)

    def pair(one: Known, found: Iterable[Made]) -> None:
        if one.uid not in pairs and (new := next(iter(found), None)):
            pairs[one.uid] = new
            left.remove(new)

    for one in known:
        pair(one, (new for new in left if one.turn and one.turn == _turn(new)))
    for one in known:
        pair(one, (new for new in left if one.window.opens == new.window.opens))
    near = sorted(
        (abs(one.window.opens - new.window.opens), one.window.opens, one.uid, new.window.opens)
        for one in known
        for new in left
        if not (one.canceled or one.is_over(today))
        and new.window.closes >= today
        and one.uid not in pairs
    )
    by_uid = {one.uid: one for one in known}
    for distance, _, uid, opens in near:
        if distance <= MOVES:
            pair(by_uid[uid], (new for new in left if new.window.opens == opens))
    return pairs


def _changed(one: Known, new: Made, now: datetime, today: date) -> Known:
    if one.window == new.window and not one.canceled:
        return replace(one, turn=_turn(new))
    if one.is_over(today) and new.window.closes < today:
        return one
    return replace(
        one,
        turn=_turn(new),
        window=new.window,
        sequence=one.sequence + 1,
        changed=now,
        canceled=False,
    )


def _canceled(one: Known, today: date, now: datetime) -> Known:
    if one.canceled or one.is_over(today):
        return one
    return replace(one, sequence=one.sequence + 1, changed=now, canceled=True)


def _turn(one: Made) -> str:
    return f"{one.turn:%Y-%m}" if one.turn else ""


def _uid(settings: Settings, group: str, named: str, taken: Collection[str]) -> str:
    """A UID as RFC 7986, 5.3, asks for: no trace of a host or a person in it."""
    name = f"{settings.ordering_page} {group} {named}"
    while (uid := str(uuid.uuid5(uuid.NAMESPACE_URL, name))) in taken:
        name += " again"  # another window had these days before it was moved
    return uid
