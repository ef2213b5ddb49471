"""`onboard close` and `onboard reopen`: members who leave, and members who come back."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    answer,
)
from onboard.office import Office
from onboard.reports import closed
from onboard.tasks.close_members import Moved, close_members, reopen_members

Members = Annotated[
    list[str],
    typer.Argument(
        help="Whose accounts: sign-in names, or members' numbers. You can give several."
    ),
]
Why = Annotated[str, typer.Option("--why", help="A word on the reason, for the change log.")]


def close(
    office: Office,
    members: Members,
    why: Why = "",
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Close the accounts of members who leave. You can undo it.

    Nobody can sign in with a closed account, and no welcome packet goes out. Everything on file stays
    on file; to delete it, use `onboard forget`. First make sure that it is the member who asks: call
    back the number on file, or email the address on file and wait for the reply. Without `--record`
    you only get a preview.

    Example: `onboard close patlee --why "moved away" --record`

    Example: `onboard close patlee kimvale 17`
    """
    _tell(office, close_members(office, members, why=why, keep=record), record, machine)


def reopen(
    office: Office,
    members: Members,
    why: Why = "",
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Open closed accounts again, for members who come back. You can undo it.

    A welcome packet that was canceled when the account was closed is due again. First make sure that
    it is the member who asks: call back the number on file, or email the address on file and wait for
    the reply. Without `--record` you only get a preview.

    Example: `onboard reopen patlee --why "came back" --record`
    """
    _tell(office, reopen_members(office, members, why=why, keep=record), record, machine)


def _tell(office: Office, done: Moved, record: bool, machine: bool) -> None:
    answer(
        closed.pieces(done, office.settings, kept=record),
        closed.as_json(done, kept=record),
        machine,
    )
    raise typer.Exit(NEEDS_A_PERSON if done.refused or done.letters else DONE)
