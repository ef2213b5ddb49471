"""`onboard forget`: a member deleted on request."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    answer,
    show,
)
from onboard.office import Office
from onboard.reports import forgotten
from onboard.tasks import forget_member as task


def forget(
    office: Office,
    member: Annotated[
        str,
        typer.Argument(help="The member's number or sign-in name, or row: and a form key."),
    ] = "",
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Delete a member for good, in all their accounts, when they ask. Nothing can undo it.

    First make sure it is the member who asks: call back the number on file, or email the address on
    file and wait for the reply. If they ask for a copy of their data, make it first (`onboard
    disclose`). Where notes about others name the member, they say “[deleted member]” from then on; the
    preview shows how many and in whose records. What could mean somebody with the same name stays, and
    the program tells you. Without `--record` you only get a preview. Without MEMBER it lists who was
    deleted, by number; with `--record` it then finishes a deletion that was interrupted.

    Example: `onboard forget patlee`

    Example: `onboard forget 17 --record`
    """
    if not member:
        deleted = task.receipts(office)
        files = task.write_anew(office) if record else []
        show(*forgotten.receipts(deleted, written_anew=record, files=files))
        raise typer.Exit(DONE)
    done = task.forget_member(office, member, keep=record)
    answer(forgotten.pieces(done, kept=record), [forgotten.as_json(done, kept=record)], machine)
    raise typer.Exit(NEEDS_A_PERSON if done.needs_a_person else DONE)
