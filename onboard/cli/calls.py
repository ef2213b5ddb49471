"""`onboard call` and `onboard calls`: a call written down; what calls are about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, NoReturn
from zoneinfo import ZoneInfo

import typer

from onboard.cli.common import DONE, Machine, answer
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.reports import calls as reports
from onboard.reports.table import Words
from onboard.tasks.calls import Ended, between, count_calls, note_call, one_call, settle_call

HandTo = Annotated[
    str, typer.Option("--hand-to", help="Who is to come back to it: a name. The call stays open.")
]
Note = Annotated[
    str, typer.Option("--note", help="A few words. No password, and no more than you need.")
]


@dataclass(frozen=True, slots=True)
class Left:
    """What is left to do after a call, and for whom."""

    hand_to: HandTo = ""
    note: Note = ""


@dataclass(frozen=True, slots=True)
class Matter:
    """What a call was about."""

    cause: Annotated[
        list[str] | None,
        typer.Option(
            "--cause",
            help="Why a sign-in failed, with a code that onboard why lists. You can give several.",
        ),
    ] = None
    about: Annotated[
        list[str] | None,
        typer.Option(
            "--about",
            help="What else it was about: dates, leaving, order, or anything in your own words. You can "
            "give several.",
        ),
    ] = None


@dataclass(frozen=True, slots=True)
class Settled:
    """What is done with one call."""

    close: Annotated[
        bool, typer.Option("--close", help="Close the call: nobody has to come back to it.")
    ] = False
    reopen: Annotated[bool, typer.Option("--reopen", help="Open the call again.")] = False
    hand_to: HandTo = ""
    note: Note = ""


@dataclass(frozen=True, slots=True)
class Span:
    """The days whose calls are counted."""

    since: Annotated[
        str,
        typer.Option(
            "--since", help="From this day on, as 2026-11-01. If left out, the last year."
        ),
    ] = ""
    until: Annotated[str, typer.Option("--until", help="Up to this day. If left out, today.")] = ""


def call(
    office: Office,
    member: Annotated[
        str,
        typer.Argument(
            help="Who called: a sign-in name, a member's number, or row: and the first letters of a form "
            "key."
        ),
    ],
    ended: Annotated[Ended, typer.Option("--ended", help="How the call ended.")],
    *,
    matter: Matter,
    left: Left,
    machine: Machine = False,
) -> None:
    """Write down a call: what it was about, and how it ended.

    An open call is listed by `onboard calls` until somebody closes it.

    Example: `onboard call patlee --cause typed.email --ended helped`

    Example: `onboard call 17 --cause page.shop --cause typed.spaces --ended open --note "calls again"`

    Example: `onboard call patlee --about "wants a bigger site" --ended open --hand-to ana`
    """
    number = note_call(
        office,
        member,
        matter.cause or (),
        ended,
        about=matter.about or (),
        note=left.note,
        hand_to=left.hand_to,
    )
    answer([Words(f"Saved as call {number}.")], [{"call": number}], machine)
    raise typer.Exit(DONE)


def calls(
    office: Office,
    number: Annotated[
        int | None,
        typer.Argument(help="One call, by its number: show it, or do something with it."),
    ] = None,
    *,
    settled: Settled,
    span: Span,
    language: Annotated[
        str, typer.Option("--language", help="Show the sentences of this welcome packet: en or es.")
    ] = "",
    machine: Machine = False,
) -> None:
    """List the open calls, the oldest first, then count what calls were about.

    The counts are by drop site and month, each with the sentence of the welcome packet to make clearer.
    With a number it shows that call, or closes it, opens it again, hands it to somebody, or adds a note;
    `onboard undo` can undo that.

    Example: `onboard calls`

    Example: `onboard calls 3 --close --note "told her the days"`

    Example: `onboard calls 3 --hand-to ana`

    Example: `onboard calls --since 2026-09-01 --until 2026-11-30 --language es`
    """
    if number is not None:
        _one(office, number, settled, machine)
    if settled != Settled():
        raise FileTrouble(
            "Say which call, by its number: onboard calls NUMBER. To see them: onboard calls"
        )
    done = count_calls(office, *between(office, span.since, span.until), language)
    own_words = office.settings.templates is not None
    zone = ZoneInfo(office.settings.timezone)
    answer(reports.pieces(done, zone, has_own_words=own_words), reports.as_json(done), machine)
    raise typer.Exit(DONE)


def _ended(settled: Settled) -> Ended | None:
    if settled.close and settled.reopen:
        raise FileTrouble(
            "A call cannot be closed and opened again at once. Leave one of them out."
        )
    return Ended.HELPED if settled.close else Ended.OPEN if settled.reopen else None


def _one(office: Office, number: int, settled: Settled, machine: bool) -> NoReturn:
    """Show one call, or do something with it."""
    if settled == Settled():
        shown = one_call(office, number)
        zone = ZoneInfo(office.settings.timezone)
        answer(reports.one_call(shown, zone), [reports.call_as_json(shown)], machine)
    else:
        ended = _ended(settled)
        done = settle_call(office, number, ended=ended, hand_to=settled.hand_to, note=settled.note)
        said = reports.call_as_json(done.call) | {"undo": done.number or None}
        answer(reports.settled(done), [said], machine)
    raise typer.Exit(DONE)
