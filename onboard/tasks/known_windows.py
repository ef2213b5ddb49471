"""The ordering windows as members' calendars know them, brought up to what the settings say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection

from onboard import windows
from onboard.model import Owner, Signature
from onboard.roster import journal, known_windows
from onboard.roster.journal import Entry
from onboard.settings import Settings
from onboard.windows import Known

BEGUN = date(2020, 1, 1)
# In the change log, as the program last knew them.
GROUPS, ZONES = "groups of drop sites", "time zones of drop sites"
MOVED, TOLD = "windows moved", "moved windows told"  # in the change log
PROGRAM = "onboard"  # as the change log names it: a window moved in the settings, and nobody knows by whom


def follow(
    connection: Connection, settings: Settings, now: datetime, *, keep: bool
) -> tuple[Known, ...]:
    """The windows as calendars should know them at this moment; with `keep` they are from here on known so."""
    before = known_windows.known(connection)
    first = 0
    if not before and known_windows.were_told_before(connection):
        # An earlier version numbered them by the day. A lower number would not move what calendars have of it.
        first = (now.date() - BEGUN).days
    after = windows.follow(before, settings, now, first=first)
    if keep:
        same = set(before)
        known_windows.save(connection, (one for one in after if one not in same))
        if moved := moved_since(before, after):
            _note(connection, MOVED, now, {one.uid: one.window.closes.isoformat() for one in moved})
        for what, current in _of_sites(settings).items():
            last = journal.last(connection, what)
            if last is None or last[1] != current:
                _note(connection, what, now, current)
    return after


def save_numbers(connection: Connection, sent: Mapping[str, int]) -> None:
    """Calendars have these windows, by UID, under numbers that are at least so high."""
    known_windows.save(
        connection,
        (
            replace(one, sequence=sent[one.uid])
            for one in known_windows.known(connection)
            if sent.get(one.uid, 0) > one.sequence
        ),
    )


def _of_sites(settings: Settings) -> dict[str, dict[str, str]]:
    """What of each drop site tells its members when they order: its group, and the clock by which it goes."""
    return {
        GROUPS: {site.name: site.group for site in settings.sites},
        ZONES: {site.name: settings.zone(site).key for site in settings.sites},
    }


def changed_sites(connection: Connection, settings: Settings) -> set[str] | None:
    """The drop sites that had another group or another clock before, as far as the program knows; None if it knows of
    no time before."""
    if journal.last(connection, GROUPS) is None:
        return None
    return {
        name
        for what, now in _of_sites(settings).items()
        for was in journal.of_roster(connection, what)
        for name in now
        if was.get(name, now[name]) != now[name]
    }


def moved_since(before: Iterable[Known], after: Iterable[Known]) -> list[Known]:
    """The windows whose days are other than before, or that are no more."""
    was = {one.uid: one.told for one in before}
    return [one for one in after if was.get(one.uid, one.told) != one.told]


def note_told(connection: Connection, now: datetime) -> None:
    """From here on everybody who heard other days is told, or a notice to them waits."""
    if _moves(connection):
        _note(connection, TOLD, now, {})


def not_told(connection: Connection, settings: Settings, now: datetime) -> int:
    """How many windows have moved that are not over, and of which nobody has made the notices yet."""
    today = now.astimezone(settings.zone()).date()
    after = follow(connection, settings, now, keep=False)
    uids = {one.uid for one in moved_since(known_windows.known(connection), after)}
    uids |= _moves(connection).keys()
    return sum(one.uid in uids and not one.is_over(today) for one in after)


def _moves(connection: Connection) -> Mapping[str, Any]:
    """The moves that were noted since notices were last made."""
    moves = journal.of_roster(connection, MOVED, since=TOLD)
    return {uid: said for after in moves for uid, said in after.items()}


def _note(connection: Connection, what: str, now: datetime, after: Mapping[str, Any]) -> None:
    journal.write(connection, [Entry(what, Owner.roster(), after=after)], Signature(PROGRAM, now))
