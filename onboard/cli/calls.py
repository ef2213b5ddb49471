"""`onboard call` and `onboard calls`: a call written down; what calls are about."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import DONE, Machine, answer
from onboard.office import Office
from onboard.reports import calls as reports
from onboard.reports.table import Words
from onboard.tasks.calls import Ended, between, count_calls, note_call


def call(
    office: Office,
    member: Annotated[
        str,
        typer.Argument(
            help="Who called: a sign-in name, a member's number, or row: and the first letters of a form "
            "key."
        ),
    ],
    cause: Annotated[
        list[str],
        typer.Option(
            "--cause", help="Why, with a code that onboard why lists. You can give several."
        ),
    ],
    ended: Annotated[Ended, typer.Option("--ended", help="How the call ended.")],
    note: Annotated[
        str, typer.Option("--note", help="A few words. No password, and no more than you need.")
    ] = "",
    machine: Machine = False,
) -> None:
    """Write down a call: what it was about, and how it ended.

    Example: `onboard call patlee --cause typed.email --ended helped`

    Example: `onboard call 17 --cause page.shop --cause typed.spaces --ended open --note "calls again"`
    """
    number = note_call(office, member, cause, ended, note=note)
    answer([Words(f"Saved as call {number}.")], [{"call": number}], machine)
    raise typer.Exit(DONE)


def calls(
    office: Office,
    since: Annotated[
        str,
        typer.Option(
            "--since", help="From this day on, as 2026-11-01. If left out, the last year."
        ),
    ] = "",
    until: Annotated[str, typer.Option("--until", help="Up to this day. If left out, today.")] = "",
    language: Annotated[
        str, typer.Option("--language", help="Show the sentences of this welcome packet: en or es.")
    ] = "",
    machine: Machine = False,
) -> None:
    """Count what calls were about, by drop site and month, and show which sentence to make clearer.

    Example: `onboard calls`

    Example: `onboard calls --since 2026-09-01 --until 2026-11-30 --language es`
    """
    done = count_calls(office, *between(office, since, until), language)
    own_words = office.settings.templates is not None
    answer(reports.pieces(done, has_own_words=own_words), reports.as_json(done), machine)
    raise typer.Exit(DONE)
