"""`onboard merge`: two accounts of one person made one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    Machine,
    Record,
    answer,
    told_columns,
)
from onboard.office import Office
from onboard.reports import merged
from onboard.tasks.merge_members import merge_members


@dataclass(frozen=True, slots=True)
class Chosen:
    """What a person chose for the account that stays, and why."""

    stays: Annotated[
        str, typer.Option("--stays", help="Which of the two stays. If left out, the rules choose.")
    ] = ""
    take: Annotated[
        list[str] | None,
        typer.Option("--take", help='Whose value stays, as "email=patlee2". You can give several.'),
    ] = None
    why: Annotated[str, typer.Option("--why", help="How you know, for the change log.")] = ""


def merge(
    office: Office,
    one: Annotated[str, typer.Argument(help="A member's number or sign-in name.")],
    other: Annotated[str, typer.Argument(help="The other one's.")],
    *,
    chosen: Chosen,
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Make two accounts of one person one.

    Make sure first that they are one person: a wrong merge gives one person another's account. All
    names, emails, phones and sign-in names of both stay known. Nobody can sign in with the account
    that goes. Without `--record` you only get a preview. To take it apart again: `onboard undo`.

    Example: `onboard merge patlee2 patlee --why "asked Pat by phone"`

    Example: `onboard merge 17 22 --stays 17 --take email=22 --record`
    """
    choices = told_columns(chosen.take, option="--take", form="field=member")
    done = merge_members(
        office, (one, other), keep=record, stays=chosen.stays, choices=choices, why=chosen.why
    )
    told = merged.pieces(done, kept=record, has_mail=bool(office.settings.mail.host))
    answer(told, merged.as_json(done, kept=record), machine)
    raise typer.Exit(DONE)
