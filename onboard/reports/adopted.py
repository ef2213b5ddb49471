"""What bringing in existing members came to, for people and for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from onboard.reports.counts import counted
from onboard.reports.table import Piece, Words


@dataclass(slots=True)
class AdoptReport:
    """Who was brought in, and which rows were skipped and why."""

    rows: int = 0
    adopted: int = 0
    given_before: int = 0
    left_out: list[tuple[int, str, str]] = field(default_factory=list)  # row number, name, why


def as_json(done: AdoptReport, *, recorded: bool) -> Mapping[str, Any]:
    """The result for a program."""
    return asdict(done) | {"recorded": recorded}


def pieces(
    done: AdoptReport, *, roster: str, again: str, passed_over: Sequence[str] = ()
) -> list[Piece]:
    """The rows that were skipped, the sums, and what comes next.

    `roster` is where it was saved, "" for a preview, which the line `again` saves; `passed_over`
    says which rows of the file hold no member.
    """
    skipped = [
        f"Skipped row {row}, {name or '(no name)'}: {why}." for row, name, why in done.left_out
    ]
    sums = (
        f"{counted(done.rows, 'row')}: {counted(done.adopted, 'member')} brought in, "
        f"{done.given_before:,} already in an earlier file, {len(done.left_out):,} skipped."
    )
    fix = "Fix the skipped rows in the file, and give it again. The program passes over the others."
    said = [Words(words) for words in (*passed_over, *skipped)]
    said.append(Words(sums, is_strong=True))
    if roster:
        said.append(Words(f"Saved in {roster}."))
        said += [Words(fix)] if skipped else []
    else:
        said += [Words("This was a preview. Nothing was saved."), Words(f"To save it: {again}")]
    return [*said]
