"""`onboard correct`: what is on file of a member, put right."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Annotated, Any

import typer
from rich.table import Table

from onboard.clean import name as names
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
from onboard.errors import FileTrouble
from onboard.office import open_office
from onboard.roster import members
from onboard.tasks.correct_member import FIELDS, Corrected, correct_member


def correct(
    member: Annotated[str, typer.Argument(help="Whose: a handle, or a member's number.")],
    email: Annotated[
        str | None, typer.Option("--email", help="The right email; empty to take it away.")
    ] = None,
    phone: Annotated[
        str | None, typer.Option("--phone", help="The right phone; empty to take it away.")
    ] = None,
    name: Annotated[str | None, typer.Option("--name", help="The right name, whole.")] = None,
    address: Annotated[
        str | None,
        typer.Option("--address", help="The right postal address, whole, on one line or several."),
    ] = None,
    site: Annotated[str | None, typer.Option("--site", help="The right drop site.")] = None,
    new_handle: Annotated[
        bool,
        typer.Option("--new-handle", help="Give a handle of the name as it is now. Else it stays."),
    ] = False,
    why: Annotated[str, typer.Option("--why", help="A word on the reason, for the journal.")] = "",
    record: Record = False,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Put right a member's name, email, phone, address or drop site.

    What was on file before stays known. Whoever had a changed contact is told, by a notice in the
    outbox. Without `--record` it says what would be.

    Example: `onboard correct patlee --email pat.lee@example.org --record`

    Example: `onboard correct 17 --name "Pat Moor" --new-handle --why "married" --record`

    Example: `onboard correct patlee --address "12 N Main St Apt 4, Lima OH 45801" --site "Lima Grange"`
    """
    said = {"name": name, "email": email, "phone": phone, "address": address, "site": site}
    corrections = {field: said[field] for field in FIELDS if said[field] is not None}
    if not corrections and not new_handle:
        raise FileTrouble(
            "Say what is to be put right: --name, --email, --phone, --address, --site or --new-handle."
        )
    office = open_office(settings, who=who)
    done = correct_member(
        office, member, {field: text for field, text in corrections.items() if text is not None},
        why=why, new_handle=new_handle, keep=record,
    )  # fmt: skip
    if machine:
        console.file.write(json.dumps(_as_json(done, record)) + "\n")
    else:
        _print(done, record, name is not None and not new_handle)
    raise typer.Exit(NEEDS_A_PERSON if done.refused or done.to_do else DONE)


def _print(done: Corrected, record: bool, handle_stays: bool) -> None:
    member = done.member
    say(f"{names.show(member.name)}: {member.handle.text} (member {member.id})", style="bold")
    for finding in done.findings:
        if finding.note not in done.refused:
            say(f"{finding.field}, {finding.weight}: {finding.note}")
    if done.refused:
        say("It can't be put so: nothing was changed.", style="bold")
        for note in done.refused:
            say(f"- {note}")
        return
    shown = [c for c in done.changes if c.field not in ("handle_steps", "bounced")]
    if not shown:
        say("That is what is on file already: nothing to change.")
        return
    table = Table(box=None, pad_edge=False, header_style="dim")
    for head in ("what", "on file", "will be" if not record else "is now"):
        table.add_column(head, overflow="fold")
    for change in shown:
        table.add_row(change.field, *(plain(_words(change.field, v)) for v in (change.before, change.after)))  # fmt: skip
    console.print(table)
    if handle_stays and any(change.field == "name" for change in shown):
        say(
            f"The handle stays {member.handle.text}. If they want one of the new name: --new-handle."
        )
    for file in done.notices:
        told = "goes out with onboard packets --send" if file.endswith(".eml") else "print and post it"  # fmt: skip
        if record:
            say(f"The contact that was on file before is told: {file} ({told}).")
        else:
            by = "a mail" if file.endswith(".eml") else "a letter"
            say(f"The contact that is on file now would be told, by {by}.")
    for words in done.to_do:
        say(f"Left to do: {words}")
    if done.packet_due:
        is_due = "is due again" if record else "would be due again"
        say(
            f"The packet told what was, and {is_due}: onboard packets --write. An old letter is to be thrown away."
        )
    if record:
        say(f"Recorded. To take it back: onboard undo {done.number} --record")
        say("The ordering page does not know of it yet: onboard export FILE --changed")
    else:
        say("This was a look: nothing was changed. To record it, add --record.")


def _words(field: str, value: Any) -> str:
    if field == "name":
        return names.show(members.name(value))
    if field == "address":
        return "\n".join(value)
    return str(value).removeprefix("tel:")


def _as_json(done: Corrected, record: bool) -> dict[str, object]:
    return {
        "member": done.member.id,
        "handle": done.member.handle.text,
        "changes": [{"field": c.field, "before": c.before, "after": c.after} for c in done.changes],
        "findings": [asdict(finding) for finding in done.findings],
        "refused": list(done.refused),
        "notices": list(done.notices),
        "to_do": list(done.to_do),
        "packet_due": done.packet_due,
        "recorded": record and bool(done.changes),
        "undo": done.number if record else None,
    }
