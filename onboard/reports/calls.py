"""What calls were about, and which sentences of the welcome packet to make clearer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import tzinfo
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.reports.counts import counted
from onboard.reports.dates import moment
from onboard.reports.sentences import saved
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.calls import Calls, CauseCount, Settled, Shown

NO_SITE = "(no site)"
MOST_IN_WORDS = 5  # things that calls were about, where no code says it


def pieces(done: Calls, zone: tzinfo, *, has_own_words: bool) -> tuple[Piece, ...]:
    """The open calls, then the causes with their counts, then the sentences; `has_own_words`: the
    packet's are the co-op's own already. Times are told in the time zone."""
    first = _open_calls(done.open, zone) if done.open else ()
    endings = ", ".join(f"{number} {ended}" for ended, number in sorted(done.ended.items()))
    sums = f"{counted(done.calls, 'call')}{': ' + endings if endings else ''}."
    if not done.causes:
        return (*first, Words(sums, is_strong=True))
    rows = [
        (one.cause, f"{one.calls:,}", _what(one), _listed(one.by_site), _listed(one.by_month))
        for one in done.causes
    ]
    table = Table.of(
        ("cause", "calls", "what it is", "drop sites", "months"), rows, numbers=("calls",)
    )
    sayable = [one for one in done.causes if not one.cause.startswith("about.")]
    end = [] if has_own_words else [Words("To change the words: onboard packets --words-to FOLDER")]
    if not sayable:
        return (*first, Words(sums, is_strong=True), table)
    return (
        *first,
        Words(sums, is_strong=True),
        table,
        Words("The sentences in the welcome packet about these, to make clearer:", is_strong=True),
        *(Words(f"- {one.cause} ({one.calls}): {_sentence(one)}") for one in sayable),
        *end,
    )


def _open_calls(calls: Sequence[Shown], zone: tzinfo) -> tuple[Piece, ...]:
    rows = [
        (
            str(one.noted.number), moment(one.noted.at, zone), _who(one), _about(one),
            one.noted.call.handed_to, one.noted.call.note, one.noted.who,
        )
        for one in calls
    ]  # fmt: skip
    headings = ("call", "when", "who", "about", "handed to", "note", "noted by")
    title = f"{counted(len(calls), 'open call')}, the oldest first"
    number = calls[0].noted.number
    return (
        Table.of(headings, rows, title=title, numbers=("call",)),
        Words(
            f"When you have come back to one, close it: onboard calls {number} --close\n"
            f"To hand it to somebody: onboard calls {number} --hand-to NAME"
        ),
        Words(""),
    )


def _who(one: Shown) -> str:
    name = names.show(one.name)
    return f"{name} ({one.handle})" if one.handle else f"{name} (on hold, {one.owner.shown})"


def _about(one: Shown) -> str:
    """What it was about: the words where no code says it."""
    call = one.noted.call
    codes = [code.removeprefix("about.") for code in call.causes if code != "about.other"]
    return ", ".join(filter(None, (*codes, call.words)))


def one_call(shown: Shown, zone: tzinfo) -> tuple[Piece, ...]:
    """One call, whole, and what can be done with it."""
    noted, call = shown.noted, shown.noted.call
    rows = [
        ("who", _who(shown)), ("when", moment(noted.at, zone)), ("noted by", noted.who),
        ("drop site", call.site or NO_SITE), ("about", _about(shown)), ("ended", call.ended),
        ("handed to", call.handed_to), ("note", call.note),
    ]  # fmt: skip
    table = Table.of(("what", "as noted"), [line for line in rows if line[1]])
    done = "--close" if call.ended == "open" else "--reopen"
    what = "close it" if call.ended == "open" else "open it again"
    return (
        Words(f"Call {noted.number}", is_strong=True),
        table,
        Words(f"To {what}: onboard calls {noted.number} {done}"),
    )


def settled(done: Settled) -> tuple[Piece, ...]:
    """What became of a call, and how to take it back."""
    noted, call = done.call.noted, done.call.noted.call
    state = "open" if call.ended == "open" else "closed"
    whom = f", and is with {call.handed_to}" if call.handed_to and state == "open" else ""
    said = f"Call {noted.number} ({_who(done.call)}) is {state}{whom}."
    if done.number:
        back = saved(done.number)
    else:
        other = "--close" if state == "open" else "--reopen"
        back = f"Saved. To change it again: onboard calls {noted.number} {other}"
    return (Words(said, is_strong=True), Words(back))


def call_as_json(shown: Shown) -> dict[str, Any]:
    """One call for a program."""
    noted, call = shown.noted, shown.noted.call
    return {
        "call": noted.number, "at": noted.at, "who": noted.who, "about": call.about,
        "owner": shown.owner, "handle": shown.handle or None, "name": names.show(shown.name),
        "site": call.site, "causes": list(call.causes), "words": call.words, "ended": call.ended,
        "handed_to": call.handed_to or None, "note": call.note,
    }  # fmt: skip


def _what(one: CauseCount) -> str:
    """What it is; of calls that no code speaks of, what was noted of them in words."""
    said = _listed(one.in_words[:MOST_IN_WORDS])
    more = len(one.in_words) - MOST_IN_WORDS
    return (
        f"In your words: {said}{f' and {more:,} more' if more > 0 else ''}" if said else one.about
    )


def _sentence(one: CauseCount) -> str:
    if one.sentence is None:
        return "nothing in the welcome packet can help with that."
    return f"“{one.sentence.text}” ({one.sentence.file}, line {one.sentence.line})"


def as_json(done: Calls) -> Iterator[dict[str, Any]]:
    """Each open call for a program, then each cause, the sums last."""
    yield from map(call_as_json, done.open)
    for one in done.causes:
        yield asdict(one)
    yield {"calls": done.calls, "ended": done.ended}


def _listed(numbers: tuple[tuple[str, int], ...]) -> str:
    return ", ".join(f"{name or NO_SITE} {number:,}" for name, number in numbers)
