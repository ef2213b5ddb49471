"""`onboard tidy`: approved changes applied together."""

from __future__ import annotations

import json
import shlex
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    SettingsFile,
    Who,
    console,
    say,
)
from onboard.intake.changes import read_changes
from onboard.office import open_office
from onboard.reports import changes
from onboard.reports.counts import counted
from onboard.tasks import people
from onboard.tasks.tidy import LeftOut, TidyReport
from onboard.tasks.tidy import tidy as tidy_task


def tidy(
    file: Annotated[
        Path, typer.Argument(help="The review file (XLSX, ODS, CSV), with yes at what is right.")
    ],
    record: Record = False,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Apply the approved lines of a review file: all of them together, each to be taken back.

    Looks and says what would change; with `--record` it happens. A line whose member was changed
    since the file was written is left out, and said.

    Example: `onboard tidy audit/changes.xlsx`

    Example: `onboard tidy audit/changes.xlsx --record`
    """
    office = open_office(settings, beside=file, who=who)
    lines = read_changes(file)
    done = tidy_task(office, lines, file=file.name, keep=record)
    stale = [left for left in done.left_out if not left.is_so_already]
    if machine:
        _print_json(done, record)
    else:
        whose = people.handles(office, _numbers(done))
        if done.made:
            console.print(changes.table(done.made, whose, "Changed" if record else "Would change"))
        for left in done.left_out:
            say(_left_out(left, whose.get(left.change.member_id, ""), whose))
        _print_merges(done)
        _print_told(done, people.handles(office, done.to_do.keys()))
        _print_sums(done, file, record)
    raise typer.Exit(NEEDS_A_PERSON if stale or done.to_do else DONE)


def _numbers(done: TidyReport) -> set[int]:
    """Every member that is spoken of."""
    found = {change.member_id for _, change in done.made}
    found |= {left.change.member_id for left in done.left_out}
    for change in [*(c for _, c in done.made), *(left.change for left in done.left_out)]:
        if change.field == "merged_into":
            found |= {number for number in (change.before, change.after) if number}
    return found


def _left_out(left: LeftOut, handle: str, whose: dict[int, str]) -> str:
    field = left.change.field.replace("_", " ")
    if left.why:
        return (
            f"line {left.line}, {handle or f'member {left.change.member_id}'}: {field}: {left.why}; left out. "
            "Copy the line from the file as the audit wrote it."
        )
    if not left.known:
        return f"line {left.line}: there is no member {left.change.member_id} any more; left out."
    if left.is_so_already:
        return f"line {left.line}, {handle}: done before."
    now = changes.shown(left.change.field, left.now, whose)
    if left.now == left.change.before:
        return (
            f"line {left.line}, {handle}: {field} cannot be that now (one of the two accounts is not "
            "open any more, or is not there); left out."
        )
    was = changes.shown(left.change.field, left.change.before, whose)
    return (
        f"line {left.line}, {handle}: {field} is {now} now, and no longer {was}; left out. "
        "Look at it again."
    )


def _print_merges(done: TidyReport) -> None:
    if not done.merges:
        return
    say(
        "Orders are on the ordering page, not here. Before you close an account there, see whether it has "
        "open orders or money on it, and have them moved. Then tell the member how they sign in from now on:"
    )
    for merge in done.merges[: changes.SHOWN]:
        goes, stays = merge.goes.handle.text, merge.stays.handle.text
        chosen = "".join(f"; {field}: {reason}" for field, reason in merge.chosen.items())
        say(f"- {goes} is part of {stays}{chosen}")
    if len(done.merges) > changes.SHOWN:
        say(f"- … and {len(done.merges) - changes.SHOWN:,} more: --json has them all.")


def _print_told(done: TidyReport, whose: dict[int, str]) -> None:
    """Who is told of a changed contact."""
    for kind, way in ((".eml", "they go out with onboard packets --send"), (".pdf", "print and post them")):  # fmt: skip
        files = [name for name in done.notices if name.endswith(kind)]
        if files:
            shown = ", ".join(files[: changes.SHOWN]) + (", …" if files[changes.SHOWN :] else "")
            say(f"Contacts that were on file before are told, {len(files):,} ({way}): {shown}")
    for number, words in done.to_do.items():
        say(f"Left to do for {whose.get(number, f'member {number}')}: {' '.join(words)}")


def _print_sums(done: TidyReport, file: Path, record: bool) -> None:
    applied = {line for line, _ in done.made}
    say(
        f"{counted(done.lines, 'line')}, {done.approved:,} approved: {len(applied):,} "
        f"{'applied' if record else 'would be applied'}, {len(done.left_out):,} left out.",
        style="bold",
    )
    if not record:
        say("This was a look: nothing was changed.")
        if applied:
            say(f"To apply it: onboard tidy {shlex.quote(str(file))} --record")
    elif done.number:
        say(
            f"Applied as number {done.number}. To take it back: onboard undo {done.number} --record"
        )
        say("The ordering page does not know of it yet: onboard export FILE --changed")


def _print_json(done: TidyReport, record: bool) -> None:
    for line, change in done.made:
        if change.field not in changes.HERE:
            console.file.write(json.dumps({"line": line, "done": True} | asdict(change)) + "\n")
    for left in done.left_out:
        said = {"line": left.line, "done": False, "now": left.now, "known": left.known}
        console.file.write(json.dumps(said | asdict(left.change)) + "\n")
    sums = {
        "lines": done.lines, "approved": done.approved,
        "applied": len({line for line, _ in done.made}), "left out": len(done.left_out),
        "number": done.number if record else 0, "recorded": record, "notices": done.notices,
        "to do": done.to_do,
    }  # fmt: skip
    console.file.write(json.dumps({"sums": sums}) + "\n")
