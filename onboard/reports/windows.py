"""The ordering windows, by month, group and drop site."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, time, timedelta
from typing import TYPE_CHECKING, Any

from onboard.clean import phone
from onboard.model import Way
from onboard.reports.counts import counted, first_of
from onboard.reports.sentences import PREVIEW
from onboard.reports.table import Piece, Table, Words
from onboard.settings.checks.windows import named
from onboard.windows import How, say_short

if TYPE_CHECKING:
    from onboard.tasks.list_windows import Listed, Ordering, WindowsReport
    from onboard.tasks.moved_windows import MovedReport, ToldOtherwise
    from onboard.tasks.publish_windows import Published
    from onboard.welcome.moved import Move

NOTES = {How.WRITTEN: "", How.RULE: "by the rule", How.MOVED: "moved"}


def pieces(report: WindowsReport) -> Iterator[Piece]:
    """The windows month by month, the groups with their drop sites, and what to look at."""
    several = len({one.zone.key for one in report.groups}) > 1
    groups = Counter(one.group for one in report.groups)
    if report.windows:
        rows = [
            (_month(one), one.group, *_span(one, several), _note(one, groups[one.group] > 1))
            for one in report.windows
        ]
        yield Table.of(
            ("month", "group", "opens", "closes", "note"), rows, title="Ordering windows"
        )
        yield Words("How the groups stand now:", is_strong=True)
    else:
        yield Words("No ordering windows are set.", is_strong=True)
    stands = [
        (one.group, ", ".join(one.sites) or "no open drop site", _stands(one))
        for one in report.groups
    ]
    yield Table.of(("group", "drop sites", "now"), stands)
    if report.quiet:
        yield Words("Months without a window:", is_strong=True)
        yield from (Words(f"- {words}") for words in report.quiet)
    if report.remarks:
        yield Words("Good to know:", is_strong=True)
        yield from (Words(f"- {remark}") for remark in report.remarks)
    if report.findings:
        yield Words("Please check:", is_strong=True)
        yield from (Words(f"- {finding}") for finding in report.findings)


def _month(one: Listed) -> str:
    return named(one.turn or one.window.opens.replace(day=1))


def _span(one: Listed, several: bool) -> tuple[str, str]:
    window, zone = one.window, f" {one.opens.tzname()}" if several else ""
    ends = f" {one.closes.tzname()}" if several else ""
    return (
        say_short(window.opens, window.opens_at) + (zone if window.opens_at else ""),
        say_short(window.closes, window.closes_at) + (ends if window.closes_at else ""),
    )


def _note(one: Listed, by_site: bool) -> str:
    """What else there is to know; of a group whose clocks differ also which drop sites go by these."""
    sites = one.sites if by_site else ()
    return ", ".join(filter(None, (NOTES[one.how], "open now" if one.open_now else "", *sites)))


def _stands(one: Ordering) -> str:
    if window := one.standing.open:
        if window.closes_at:
            return f"open until {say_short(window.closes, window.closes_at)}"
        return f"open through {say_short(window.closes)}"
    if window := one.standing.next:
        return f"opens on {say_short(window.opens, window.opens_at)}"
    return "no window is set"


def as_json(report: WindowsReport) -> Iterator[dict[str, Any]]:
    """A line for each window: the moments at which it opens and closes, ISO 8601 with the offset. A window that
    has the whole of its last day closes with the last second of it."""
    several = [one.group for one in report.groups]
    for one in report.windows:
        closes = one.closes if one.window.closes_at else one.closes - timedelta(seconds=1)
        line = {"group": one.group, "opens": one.opens.isoformat(), "closes": closes.isoformat()}
        if several.count(one.group) > 1:
            line["sites"] = list(one.sites)  # type: ignore[assignment]
        yield line


def written(done: Published) -> Iterator[Piece]:
    """What was written, and what to do with it."""
    for file in (*done.sheets, *done.calendars):
        yield Words(f"Wrote {file}.", is_faint=True)
    yield Words(
        f"Wrote {counted(len(done.calendars), 'calendar file')} and {counted(len(done.sheets), 'PDF file')} with sheets "
        "for the wall.",
        is_strong=True,
    )
    yield Words(
        "Lay the calendar files (.ics) on your web space, always under the same names, and give members the address of "
        "the one of their drop site. After a change, run this again and lay the new files over the old ones."
    )
    for file in done.left:
        yield Words(
            f"{file} is from an earlier time: no group or drop site has this name now. If it is on your web space, people "
            "may still read it. Delete it there, and here."
        )


def written_as_json(done: Published) -> Iterator[dict[str, Any]]:
    """A line for each file."""
    for what, files in (("calendar", done.calendars), ("sheets", done.sheets), ("left", done.left)):
        for file in files:
            yield {"file": str(file), "what": what}


# ---------------------------------------------------------------- who was told other days

WAYS = {Way.EMAIL: "email", Way.LETTER: "letter", Way.TEXT: "text", Way.CALL: "call"}


def moved(report: MovedReport, *, kept: bool, may_see: bool) -> Iterator[Piece]:
    """Who was told other days, by which way, and how they hear of the new ones. Whoever may not look members up
    sees how many they are."""
    if not report:
        return
    if report.told:
        yield Words(
            f"{counted(len(report.told), 'member was', 'members were')} told other ordering days:",
            is_strong=True,
        )
        headings = ("group", "told", "now", "members")
        yield Table.of(headings, _by_group(report.told), numbers=("members",))
        yield from _by_way(report.told, may_see)
    if report.remade:
        named = f": {', '.join(one.handle.text for one in report.remade)}" if may_see else ""
        packets = counted(len(report.remade), "welcome packet")
        are = ("is" if len(report.remade) == 1 else "are") if kept else "would be"
        yield Words(f"{packets} with the old days, not gone out yet, {are} due again{named}.")
    if report.overtaken:
        yield Words(
            f"{counted(len(report.overtaken), 'notice')} with days that no longer hold "
            f"{'taken' if kept else 'would be taken'} out of the outbox."
        )
    yield from map(Words, _what_follows(report) if kept else (PREVIEW,))


def _what_follows(report: MovedReport) -> Iterator[str]:
    emails = [one for one in report.told if one.by is Way.EMAIL]
    papers = [one.file for one in report.told if one.by is Way.LETTER]
    calls = [one for one in report.told if one.by is Way.CALL]
    if report.remade:
        yield "To make the packets: onboard packets --write"
    if emails:
        yield f"{counted(len(emails), 'email')} in the outbox, not sent yet. To send: onboard packets --send --really"
    if papers:
        yield f"{counted(len(papers), 'letter')} in the outbox, to print and mail (onboard packets --letters letters.pdf): {', '.join(papers)}"
    for one in calls:
        number = phone.stored_aloud(one.member.phone) if one.member.phone else ""
        yield f"{one.member.handle.text} can only be called: {number or 'no phone on file, so ask the host'}."
    if calls:
        yield (
            "When you have told them, save it, and they leave this list: onboard windows --called "
            f"{calls[0].member.handle.text} --record"
        )


def _by_group(told: Sequence[ToldOtherwise]) -> Iterator[tuple[str, ...]]:
    """A row for each window that moved, with how many were told its old days."""
    counts = Counter(move for one in told for move in map(_in_days, one.moves))
    for (group, was, now), members in counts.items():
        yield group, was, now, f"{members:,}"


def _in_days(move: Move) -> tuple[str, str, str]:
    told, window = move.told, move.now.window
    was = "nothing yet"
    if told:
        was = _days(told.opens, told.opens_at, told.closes, told.closes_at)
    now = _days(window.opens, window.opens_at, window.closes, window.closes_at)
    if move.is_rezoned:
        now = "the same, by another clock"
    return (
        move.now.group,
        "canceled" if told and told.canceled else was,
        "another group now" if move.regrouped else "canceled" if move.now.canceled else now,
    )


def _by_way(told: Sequence[ToldOtherwise], may_see: bool) -> Iterator[Piece]:
    """How they hear of the days of now: how many by each way, who, and why not by email."""
    yield Words("How they are told now:")
    ways: dict[tuple[Way, str], list[str]] = {}
    for one in told:
        ways.setdefault((one.by, one.why), []).append(one.member.handle.text)
    for (way, why), names in sorted(ways.items()):
        said = f"{WAYS[way]} ({why})" if why else WAYS[way]
        yield Words(
            f"- {said}: {counted(len(names), 'member')}{first_of(names) if may_see else ''}"
        )


def _days(opens: date, opens_at: time | None, closes: date, closes_at: time | None) -> str:
    return f"{say_short(opens, opens_at)} to {say_short(closes, closes_at)}"


def called(done: Sequence[ToldOtherwise], *, kept: bool) -> Iterator[Piece]:
    """Who was told on the phone."""
    names = ", ".join(one.member.handle.text for one in done)
    heard = (
        "was told the new ordering days on the phone"
        if len(done) == 1
        else "were told the new ordering days on the phone"
    )
    yield Words(f"{names} {heard}.")
    yield Words("Saved." if kept else PREVIEW)


def called_as_json(done: Sequence[ToldOtherwise], *, kept: bool) -> Iterator[dict[str, Any]]:
    """A line for each of them."""
    for one in done:
        yield {"handle": one.member.handle.text, "notice by": "call", "recorded": kept}


def moved_as_json(report: MovedReport, *, kept: bool) -> Iterator[dict[str, Any]]:
    """A line for each member who is told, then the packets that are due again."""
    for one in report.told:
        yield {
            "handle": one.member.handle.text, "told by": [str(way) for way in one.heard_by],
            "windows": [
                {
                    "group": move.now.group,
                    "told": None if move.told is None or move.told.canceled else [f"{move.told.opens}", f"{move.told.closes}"],
                    "now": None if move.now.canceled else [f"{move.now.window.opens}", f"{move.now.window.closes}"],
                }
                for move in one.moves
            ],
            "notice by": str(one.by), "why": one.why, "file": one.file, "recorded": kept,
        }  # fmt: skip
    for member in report.remade:
        yield {"handle": member.handle.text, "packet": "due again", "recorded": kept}
