"""The drop sites as a person reads them and a program takes them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from onboard import nearby, windows
from onboard.reports.counts import counted
from onboard.reports.table import Piece, Table, Words
from onboard.windows import say_short

if TYPE_CHECKING:
    from onboard.tasks.host_sheets import HostSheets
    from onboard.tasks.list_sites import Listed, SitesReport


def pieces(report: SitesReport) -> Iterator[Piece]:
    """The sites with their members, what they hold, the next window, and what to look at."""
    if report.sites:
        distance = ("distance",) if report.near else ()
        headings = ("drop site", *distance, "group", "members", "capacity", "ordering")
        rows = [_row(one, with_miles=bool(report.near)) for one in report.sites]
        title = f"Drop sites near {report.near}" if report.near else "Drop sites"
        yield Table.of(headings, rows, title=title, numbers=("members", "capacity"))
    if report.near and report.sites:
        yield from map(Words, _about_distances(report.sites))
    for heading, said in (("Good to know:", report.remarks), ("Please check:", report.findings)):
        if said:
            yield Words(heading, is_strong=True)
            yield from (Words(f"- {words}") for words in said)


def _about_distances(listed: Sequence[Listed]) -> Iterator[str]:
    close = [one.site.name for one in listed if one.is_close]
    if len(close) == 2:
        yield f"{close[0]} and {close[1]} are both close. Ask which one is the easier drive."
    elif len(close) > 2:
        yield f"{', '.join(close[:-1])} and {close[-1]} are all close. Ask which one is the easiest drive."
    yield nearby.ROADS


def _row(one: Listed, *, with_miles: bool) -> tuple[str, ...]:
    room = f"{one.site.capacity:,}" if one.site.capacity else "-"
    more = " (full)" if one.room == 0 and not one.site.closed else ""
    name = f"{one.site.name} (closed)" if one.site.closed else one.site.name
    far = (nearby.say_miles(one.miles),) if with_miles and one.miles is not None else ()
    return (name, *far, one.site.group, f"{one.members:,}", f"{room}{more}", _ordering(one))


def _ordering(one: Listed) -> str:
    if one.site.closed:
        return "closed"
    if window := one.standing.open:
        at = say_short(window.closes, window.closes_at)
        return f"open until {at}" if window.closes_at else f"open through {at}"
    if window := one.standing.next:
        return f"opens on {say_short(window.opens, window.opens_at)}"
    return "no window is set"


def as_json(report: SitesReport) -> Iterator[dict[str, Any]]:
    """A line for each site: its key (the name in the settings), group, members, capacity (null: nobody counts), how many more
    it has room for, whether it is closed, its open or next window, and the miles if a place was asked about."""
    for one in report.sites:
        window = one.standing.open or one.standing.next
        line: dict[str, Any] = {
            "key": one.site.name, "group": one.site.group, "zip": one.site.zip5, "members": one.members,
            "capacity": one.site.capacity or None, "room": one.room, "closed": one.site.closed,
            "opens": None, "closes": None,
        }  # fmt: skip
        if window and not one.site.closed:
            closes = windows.closing(window, one.zone)
            if not window.closes_at:  # the whole of its last day
                closes -= timedelta(seconds=1)
            line["opens"] = windows.opening(window, one.zone).isoformat()
            line["closes"] = closes.isoformat()
        if report.near:
            line |= {"miles": one.miles and round(one.miles, 1), "close": one.is_close}
        yield line


def sheets(done: HostSheets) -> Iterator[Piece]:
    """What was written, and how to treat it."""
    for file in done.files:
        yield Words(f"Wrote {file}.", is_faint=True)
    yield Words(
        f"Wrote {counted(len(done.files), 'file')} for the hosts. Each names members: give a sheet to its own host and to nobody else, "
        "and delete the files when they are printed or sent."
    )
    yield from map(Words, done.findings)


def sheets_as_json(done: HostSheets) -> Iterator[dict[str, Any]]:
    """A line for each file."""
    for file in done.files:
        yield {"file": str(file)}
