"""`onboard undo`: applied changes taken back, or listed."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from typing import Annotated

import typer
from rich.table import Table

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    SettingsFile,
    Who,
    console,
    plain,
    say,
)
from onboard.office import Office, open_office
from onboard.reports import changes
from onboard.reports.counts import counted
from onboard.roster.taking_back import Kept
from onboard.tasks import people
from onboard.tasks.undo import UndoReport, list_applied
from onboard.tasks.undo import undo as undo_task

SHOWN = 20  # numbers listed


def undo(
    number: Annotated[
        int, typer.Argument(help="The number under which the changes were made.")
    ] = 0,
    line: Annotated[
        list[int] | None,
        typer.Option("--line", help="Only this line of the file. May be given more than once."),
    ] = None,
    record: Record = False,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """List what was changed together, or take it back: whole, or some lines.

    Looks and says what would be taken back; with `--record` it happens. What was changed again
    since is left as it is, and said.

    Example: `onboard undo`

    Example: `onboard undo 12 --line 7 --record`
    """
    office = open_office(settings, who=who)
    if not number:
        _list(office)
        raise typer.Exit(DONE)
    done = undo_task(office, number, keep=record, lines=line or ())
    undone = done.undone
    if machine:
        _print_json(done, record)
    else:
        spoken_of = {c.member_id for _, c in undone.taken} | {
            k.change.member_id for k in undone.kept
        }
        for change in [*(c for _, c in undone.taken), *(k.change for k in undone.kept)]:
            spoken_of |= {n for n in (change.before, change.after) if isinstance(n, int)}
        whose = people.handles(office, spoken_of | {k.merged for k in undone.kept})
        if undone.taken:
            title = "Taken back" if record else "Would be taken back"
            back = [(n, replace(c, before=c.after, after=c.before)) for n, c in undone.taken]
            console.print(changes.table(back, whose, title))
        for kept in undone.kept:
            say(_kept(kept, whose))
        lines = len({n for n, c in undone.taken})
        say(
            f"{counted(lines, 'line')} {'taken back' if record else 'would be taken back'}, "
            f"{counted(len(undone.kept), 'change')} left as now.",
            style="bold",
        )
        if not record:
            say("This was a look: nothing was changed. To take it back, add --record.")
        elif undone.taken:
            say("The ordering page does not know of it yet: onboard export FILE --changed")
    raise typer.Exit(NEEDS_A_PERSON if undone.kept else DONE)


def _list(office: Office) -> None:
    applied = list_applied(office)
    table = Table(box=None, pad_edge=False, header_style="dim")
    for head in ("number", "when (UTC)", "who", "what", "file", "changes", "in force"):
        table.add_column(head, overflow="fold")
    for one in applied[:SHOWN]:
        table.add_row(
            str(one.number), one.at[:16].replace("T", " "), plain(one.who), one.what,
            plain(one.file), f"{one.changes:,}", f"{one.in_force:,}",
        )  # fmt: skip
    if not applied:
        say("Nothing was changed together yet.")
        return
    console.print(table)
    if len(applied) > SHOWN:
        say(f"… and {len(applied) - SHOWN:,} earlier.")
    say("To see what would be taken back: onboard undo NUMBER")


def _kept(kept: Kept, whose: dict[int, str]) -> str:
    change = kept.change
    handle = whose.get(change.member_id, f"member {change.member_id}")
    where = f"line {kept.line}, {handle}"
    field = change.field.replace("_", " ")
    if kept.later:
        return (
            f"{where}: {field} was changed again later, under number {kept.later}. "
            "Take that back first."
        )
    if kept.merged:
        stays = whose.get(change.after, f"member {change.after}")
        return (
            f"{where}: {stays}, into which it was merged, was itself merged into "
            f"{whose.get(kept.merged, f'member {kept.merged}')} since. Take that back first."
        )
    return (
        f"{where}: {field} is {changes.shown(change.field, kept.now, whose)} now, and no longer "
        f"{changes.shown(change.field, change.after, whose)}. Left as it is."
    )


def _print_json(done: UndoReport, record: bool) -> None:
    for line, change in done.undone.taken:
        if change.field not in changes.HERE:
            said = {"line": line, "taken back": True} | asdict(change)
            console.file.write(json.dumps(said) + "\n")
    for kept in done.undone.kept:
        said = {"line": kept.line, "taken back": False, "now": kept.now, "later": kept.later,
                "merged": kept.merged}  # fmt: skip
        console.file.write(json.dumps(said | asdict(kept.change)) + "\n")
    sums = {
        "number": done.undone.number, "taken back": len({n for n, _ in done.undone.taken}),
        "left as now": len(done.undone.kept), "recorded": record,
    }  # fmt: skip
    console.file.write(json.dumps({"sums": sums}) + "\n")
