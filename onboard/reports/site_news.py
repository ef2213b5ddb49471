"""News of a drop site: whom it concerns, where they could go, and how they are told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from shlex import quote
from typing import TYPE_CHECKING, Any

from onboard import nearby
from onboard.clean import phone
from onboard.model import SiteNews, Way
from onboard.reports.counts import counted, first_of
from onboard.reports.sentences import PREVIEW
from onboard.reports.table import Piece, Table, Words
from onboard.reports.windows import WAYS
from onboard.windows import say_day

if TYPE_CHECKING:
    from onboard.nearby import Near, Where
    from onboard.tasks.site_news import NewsReport
    from onboard.tasks.site_notices import ToTell

SHOWN = 60  # members on a screen


def pieces(report: NewsReport, *, kept: bool) -> Iterator[Piece]:
    """Whom it concerns and where they could go, how they are told, and what to do next."""
    yield from _concerned(report)
    yield from _told(report, kept=kept)
    if report.changes:
        file = quote(str(report.changes))
        yield Words(
            f"Wrote {report.changes}: a row for each move. Write yes where it is right, and save. Preview it: onboard tidy {file}"
        )
    yield from map(Words, _next(report, kept=kept))


def _concerned(report: NewsReport) -> Iterator[Piece]:
    site, many = report.site.name, len(report.members)
    if report.news is SiteNews.CLOSES:
        day = f" on {say_day(report.on)}" if report.on else ""
        there = len(report.where)
        yield Words(f"{site} closes{day}: {counted(there, 'member')} there.", is_strong=True)
        if report.where:
            yield _where_table(report)
            yield from _sums(report.where)
            yield Words(nearby.ROADS)
    elif report.news is SiteNews.OPENS:
        live = "lives" if many == 1 else "live"
        none = any(one.own is None for one in report.nearer)
        far = (
            f"at least {report.least:g} {'mile' if report.least == 1 else 'miles'} closer"
            if report.least
            else "closer"
        )
        yield Words(
            f"{counted(many, 'member')} {live} {far} to {site} than to their own drop site"
            f"{', or have none that is open' if none else ''}.",
            is_strong=True,
        )
        if report.nearer:
            yield _nearer_table(report)
            yield Words(nearby.ROADS)
    else:
        yield Words(
            f"{site} is now at {_one_line(report)}: {counted(many, 'member')} there.",
            is_strong=True,
        )


def _one_line(report: NewsReport) -> str:
    return f"{', '.join(report.site.address.splitlines())} {report.site.zip5}"


def _where_table(report: NewsReport) -> Table:
    rows = [
        (
            report.members[one.home.member_id].handle.text,
            one.home.zip5 or "-",
            _place(one.site.name, one.miles) if one.site else "-",
            ", ".join(_place(other.site.name, other.miles) for other in _others(one)) or "-",
            one.why,
        )
        for one in report.where[:SHOWN]
    ]
    headings = ("sign-in name", "ZIP", "could go to", "or to", "note")
    return Table.of(headings, rows, note=_more(len(report.where)))


def _others(one: Where) -> Sequence[Near]:
    """The next nearest that were not chosen."""
    return [other for other in one.near if other.site != one.site][:2]


def _place(name: str, far: float | None) -> str:
    return name if far is None else f"{name} ({nearby.say_miles(far)})"


def _sums(where: Sequence[Where]) -> Iterator[Piece]:
    counts = Counter(one.site.name if one.site else "" for one in where)
    for name, members in counts.most_common():
        text = (
            f"{name}: {counted(members, 'member')}"
            if name
            else f"nowhere yet: {counted(members, 'member')}"
        )
        yield Words(f"- {text}")


def _nearer_table(report: NewsReport) -> Table:
    rows = []
    for one in report.nearer[:SHOWN]:
        own = _place(one.home.site, one.own)
        if one.own is None:
            own = f"{one.home.site} (not open)" if one.home.site else "no drop site"
        rows.append(
            (
                report.members[one.home.member_id].handle.text,
                one.home.zip5,
                nearby.say_miles(one.miles),
                own,
            )
        )
    return Table.of(
        ("sign-in name", "ZIP", report.site.name, "now"), rows, note=_more(len(report.nearer))
    )


def _more(many: int) -> str:
    return f"… and {many - SHOWN:,} more: --json has them all." if many > SHOWN else ""


def _told(report: NewsReport, *, kept: bool) -> Iterator[Piece]:
    telling = report.telling
    if report.called:
        yield Words(f"{', '.join(report.called)}: told on the phone.{' Saved.' if kept else ''}")
        return
    if telling.told_before:
        yield Words(
            f"{counted(len(telling.told_before), 'member was', 'members were')} told already, or a notice waits in the outbox."
        )
    if telling.overtaken:
        yield Words(
            f"{counted(len(telling.overtaken), 'notice')} that no longer hold{'s' if len(telling.overtaken) == 1 else ''} "
            f"{'taken' if kept else 'would be taken'} out of the outbox."
        )
    if not telling.told:
        return
    yield Words(
        "How they are told now:" if report.news is not SiteNews.OPENS else "How they are asked now:"
    )
    ways: dict[tuple[Way, str], list[str]] = {}
    for one in telling.told:
        ways.setdefault((one.by, one.why), []).append(one.member.handle.text)
    for (way, why), handles in sorted(ways.items()):
        said = f"{WAYS[way]} ({why})" if why else WAYS[way]
        yield Words(f"- {said}: {counted(len(handles), 'member')}{first_of(handles)}")


def _next(report: NewsReport, *, kept: bool) -> Iterator[str]:
    told = report.telling.told
    if not kept:
        if told:
            yield PREVIEW
    elif not report.called:
        yield from _in_the_outbox(told)
    if report.news is SiteNews.CLOSES and report.where and not report.changes:
        yield "To get a file of the moves to approve, run the same line with --changes closing.xlsx."
    if report.news is SiteNews.CLOSES and not report.site.closed:
        when = "After the last day" if report.on else "When it has closed"
        yield f'{when}, write closed = true under the [[site]] named "{report.site.name}" in the settings. Keep its other lines.'
    if report.news is SiteNews.OPENS and told:
        yield (
            "Nobody is moved. When a member says yes: onboard correct SIGN-IN-NAME --site "
            f"{quote(report.site.name)} --record"
        )


def _in_the_outbox(told: Sequence[ToTell]) -> Iterator[str]:
    emails = sum(one.by is Way.EMAIL for one in told)
    letters = sum(one.by is Way.LETTER for one in told)
    calls = [one for one in told if one.by is Way.CALL]
    if emails:
        yield f"{counted(emails, 'email')} in the outbox, not sent yet. To send: onboard packets --send --really"
    if letters:
        yield f"{counted(letters, 'letter')} in the outbox, to print and mail: onboard packets --letters letters.pdf"
    for one in calls:
        number = phone.stored_aloud(one.member.phone) if one.member.phone else ""
        yield f"{one.member.handle.text} can only be called: {number or 'no phone on file, so ask the host'}."
    if calls:
        yield f"When you have told them, run the same line with --called {calls[0].member.handle.text}."


def as_json(report: NewsReport, *, kept: bool) -> Iterator[dict[str, Any]]:
    """A line for each member whom it concerns: the site (`key`), the news, where they could go with the miles, how they are told
    (null: they were told before, or nobody tells them)."""
    told = {one.member.id: one for one in report.telling.told}
    where = {one.home.member_id: one for one in report.where}
    nearer = {one.home.member_id: one for one in report.nearer}
    for number, member in sorted(report.members.items()):
        how = told.get(number)
        line: dict[str, Any] = {
            "key": report.site.name, "news": str(how.news.news if how else report.news),
            "handle": member.handle.text, "group": report.site.group,
        }  # fmt: skip
        if goes := where.get(number):
            line |= {
                "zip": goes.home.zip5, "to": goes.site.name if goes.site else None, "miles": _round(goes.miles), "why": goes.why,
                "near": [{"key": one.site.name, "miles": _round(one.miles), "close": one.is_close} for one in goes.near[:3]],
            }  # fmt: skip
        if found := nearer.get(number):
            line |= {
                "zip": found.home.zip5, "miles": _round(found.miles),
                "own": found.home.site or None, "own_miles": _round(found.own),
            }  # fmt: skip
        line |= {
            "notice by": str(how.by) if how else None, "told before": number in report.telling.told_before,
            "file": how.file if how else "", "recorded": kept,
        }  # fmt: skip
        yield line


def _round(far: float | None) -> float | None:
    return None if far is None else round(far, 1)
