"""Reminders of ordering windows: who gets which by which way, and who gets none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from onboard.model import ReminderKind, Way
from onboard.reports.counts import counted
from onboard.reports.table import Piece, Table, Words
from onboard.windows import closing, opening, say_short

if TYPE_CHECKING:
    from onboard.settings import Settings
    from onboard.tasks.due_reminders import Due, NoWay
    from onboard.tasks.reminder_words import Sample
    from onboard.tasks.reminders_by_hand import ByHand
    from onboard.tasks.write_reminders import RemindersReport
    from onboard.windows import Known

WAYS = {Way.EMAIL: "email", Way.TEXT: "text", Way.LETTER: "postcard"}
NAMES = {"en": "English", "es": "Spanish"}
MOST = 20  # sign-in names in a sentence


def due(
    report: RemindersReport, following: date | None, line: Callable[[str], str], *, may_see: bool
) -> Iterator[Piece]:
    """What is due, by window and way; or on which day the next ones are. `line` makes a command the line to type."""
    if not report.due:
        yield Words(f"No reminders are due on {say_short(report.day)}.", is_strong=True)
        if following:
            yield Words(
                f"The next ones are due on {say_short(following)}. To preview them: {line(f'remind --on {following}')}"
            )
    else:
        yield Words(
            f"{counted(len(report.due), 'reminder')} due on {say_short(report.day)}:",
            is_strong=True,
        )
        rows = Counter((one.kind, one.known, one.way) for one in report.due)
        order = list(ReminderKind)
        found = sorted(
            rows.items(),
            key=lambda row: (
                row[0][1].window.opens,
                row[0][1].group,
                order.index(row[0][0]),
                row[0][2],
            ),
        )
        table = [
            (str(kind), known.group, _days(known), WAYS[way], f"{number:,}")
            for (kind, known, way), number in found
        ]
        yield Table.of(("reminder", "group", "ordering days", "by", "members"), table)
        if may_see:
            names = dict.fromkeys(one.reader.handle for one in report.due)
            yield Words(f"To: {_named(names)}")
    if report.overtaken:
        yield Words(
            f"{counted(report.overtaken, 'reminder')} in the outbox no longer right: the next --write takes out what does not hold."
        )


def none(report: RemindersReport, *, may_see: bool) -> Iterator[Piece]:
    """Who gets no reminder, and why; windows of which nobody can say who ordered."""
    by_reason: dict[NoWay, list[str]] = {}
    for handle, why in dict.fromkeys(report.no_way):
        by_reason.setdefault(why, []).append(handle)
    for why, handles in by_reason.items():
        names = f": {_named(handles)}" if may_see else ""
        yield Words(
            f"{counted(len(handles), 'member gets', 'members get')} no reminder, as {why}{names}."
        )
    for known in report.unlisted:
        yield Words(
            f"No list of the ordering page says who ordered in {_days(known)} ({known.group}), so nobody hears that they "
            "did not. To take in a list: onboard activity FILE"
        )
    if report.unsure:
        yield Words(
            f"{counted(len(report.unsure), 'reminder')} may have arrived or not"
            + (f": {_named(report.unsure)}" if may_see else "")
            + ". Nobody gets one again by itself. If you know that one did not arrive: onboard remind --again SIGN-IN-NAME"
        )


def samples(found: Sequence[Sample]) -> Iterator[Piece]:
    """The words of each, as a member reads them."""
    for one in found:
        to = counted(one.members, "member")
        about = f"{str(one.kind).capitalize()}, {one.group}, by {WAYS[one.way]}, in {NAMES.get(one.language, one.language)}, to {to}:"
        yield Words(f"\n{about}", is_strong=True)
        if one.subject:
            yield Words(f"Subject: {one.subject}\n")
        yield Words(one.text.strip() or "It does not fit into 160 letters, so it is not sent.")
    if found:
        yield Words("")


def samples_as_json(found: Iterable[Sample]) -> Iterator[dict[str, Any]]:
    """A line for each: kind, group, way, language, members (how many), subject, text."""
    for one in found:
        yield {
            "kind": str(one.kind), "group": one.group, "way": WAYS[one.way], "language": one.language,
            "members": one.members, "subject": one.subject, "text": one.text,
        }  # fmt: skip


def written(report: RemindersReport) -> Iterator[Piece]:
    """What was put into the outbox."""
    number = sum(report.written.values())
    by_way = Counter[Way]()
    for (_, way), some in report.written.items():
        by_way[way] += some
    said = ", ".join(counted(by_way[way], WAYS[way]) for way in WAYS if by_way[way])
    yield Words(f"Made {counted(number, 'reminder')}{f': {said}' if said else ''}.", is_strong=True)
    if report.stopped:
        members = counted(report.stopped, "member")
        yield Words(
            f"{members} asked for no more email by one click. It is saved, and they get none."
        )
    if report.overtaken:
        yield Words(f"Took {counted(report.overtaken, 'reminder')} back that no longer held.")


def sent(went: int, others: int, *, really: bool = True) -> Iterator[Piece]:
    """How many emails went out, or would, and how many need a person."""
    checks = f" {others:,} for you to check." if others else ""
    said = f"{counted(went, 'reminder')} {'sent' if really else 'to send'} by email.{checks}"
    yield Words(said, is_strong=True)


def to_do(report: RemindersReport, line: Callable[[str], str]) -> Iterator[Piece]:
    """What waits, and the lines that send it; `line` makes a command the line to type."""
    steps = {
        Way.EMAIL: (
            "email",
            f"in the outbox, not sent yet. To send: {line('remind --send --really')}",
        ),
        Way.TEXT: (
            "text",
            f"not sent yet. To put them into a file for your texting service: {line('remind --texts texts.csv')}",
        ),
        Way.LETTER: (
            "postcard",
            f"not printed yet. To print: {line('remind --postcards postcards.pdf')}",
        ),
    }
    for way, (name, step) in steps.items():
        if number := report.waiting.get(way):
            yield Words(f"{counted(number, name)} {step}")


def as_json(found: Iterable[Due], settings: Settings) -> Iterator[dict[str, Any]]:
    """A line for each reminder that is due: member (number), handle, kind, way, window."""
    windows: dict[tuple[str, str], dict[str, str]] = {}
    for one in found:
        key = one.known.uid, one.reader.site
        if key not in windows:
            windows[key] = _window(one.known, settings, one.reader.site)
        yield {
            "member": one.reader.id, "handle": one.reader.handle, "kind": str(one.kind), "way": WAYS[one.way],
            "window": windows[key],
        }  # fmt: skip


def _window(known: Known, settings: Settings, site: str) -> dict[str, str]:
    zone = settings.zone(settings.site(site))
    opens, closes = opening(known.window, zone), closing(known.window, zone)
    if not known.window.closes_at:
        closes -= timedelta(seconds=1)
    return {
        "uid": known.uid,
        "group": known.group,
        "opens": opens.isoformat(),
        "closes": closes.isoformat(),
    }


def by_hand(what: str, done: ByHand) -> Iterator[Piece]:
    """What a file holds, and which texts fit into none."""
    if done.handles:
        yield Words(
            f"Wrote {counted(len(done.handles), what)} to {done.file}. They count as sent now, and are in no other file.",
            is_strong=True,
        )
    elif not done.too_long:
        yield Words(f"No {what} waits. No file was written.")
    if done.too_long:
        yield Words(
            f"{counted(len(done.too_long), 'text')} would not fit into 160 letters: {_named(done.too_long)}. Make the name of "
            "your co-op shorter in the settings, or use words of your own (text.txt.j2)."
        )


def by_hand_as_json(what: str, done: ByHand) -> Iterator[dict[str, Any]]:
    """A line that says what a file holds."""
    yield {
        "file": str(done.file) if done.handles else "",
        what: done.handles,
        "too long": done.too_long,
    }


def written_as_json(report: RemindersReport) -> Iterator[dict[str, Any]]:
    """A line for each kind and way of which some were made, then what was taken back."""
    for (kind, way), number in sorted(report.written.items()):
        yield {"written": number, "kind": str(kind), "way": WAYS[way]}
    yield {"taken back": report.overtaken}


def _days(known: Known) -> str:
    window = known.window
    return f"{say_short(window.opens, window.opens_at)} to {say_short(window.closes, window.closes_at)}"


def _named(names: Iterable[str]) -> str:
    found = list(names)
    more = f" and {len(found) - MOST:,} more (--json lists all)" if len(found) > MOST else ""
    return f"{', '.join(found[:MOST])}{more}"
