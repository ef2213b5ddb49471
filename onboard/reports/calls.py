"""What calls were about, and which sentences of the welcome packet to make clearer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from onboard.reports.counts import counted
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.calls import Calls, CauseCount

NO_SITE = "(no site)"


def pieces(done: Calls, *, has_own_words: bool) -> tuple[Piece, ...]:
    """The causes with their counts, then the sentences; `has_own_words`: the packet's are the
    co-op's own already."""
    endings = ", ".join(f"{number} {ended}" for ended, number in sorted(done.ended.items()))
    sums = f"{counted(done.calls, 'call')}{': ' + endings if endings else ''}."
    if not done.causes:
        return (Words(sums, is_strong=True),)
    rows = [
        (one.cause, f"{one.calls:,}", one.about, _listed(one.by_site), _listed(one.by_month))
        for one in done.causes
    ]
    table = Table.of(
        ("cause", "calls", "what it is", "drop sites", "months"), rows, numbers=("calls",)
    )
    end = [] if has_own_words else [Words("To change the words: onboard packets --words-to FOLDER")]
    return (
        Words(sums, is_strong=True),
        table,
        Words("The sentences in the welcome packet about these, to make clearer:", is_strong=True),
        *(Words(f"- {one.cause} ({one.calls}): {_sentence(one)}") for one in done.causes),
        *end,
    )


def _sentence(one: CauseCount) -> str:
    if one.sentence is None:
        return "nothing in the welcome packet can help with that."
    return f"“{one.sentence.text}” ({one.sentence.file}, line {one.sentence.line})"


def as_json(done: Calls) -> Iterator[dict[str, Any]]:
    """Each cause for a program, the sums last."""
    for one in done.causes:
        yield asdict(one)
    yield {"calls": done.calls, "ended": done.ended}


def _listed(numbers: tuple[tuple[str, int], ...]) -> str:
    return ", ".join(f"{name or NO_SITE} {number:,}" for name, number in numbers)
