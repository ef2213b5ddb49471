"""`onboard find`: who on the roster is meant by whatever a caller says."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import (
    NEEDS_A_PERSON,
    Machine,
    answer,
    asked_for,
)
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.reports import found
from onboard.tasks.look_up import look_up


def find(
    office: Office,
    said: Annotated[
        list[str],
        typer.Argument(
            metavar="WORDS...",
            help="Whatever the caller says: names, email, phone or its last four digits, sign-in name, "
            "drop site, street, ZIP, a whole sentence. Type “-” to be asked for it, so that the shell "
            "does not remember it.",
        ),
    ],
    site: Annotated[str, typer.Option("--site", help="The drop site, if you know it.")] = "",
    most: Annotated[
        int, typer.Option("--most", min=1, max=50, help="How many people to list.")
    ] = 5,
    machine: Machine = False,
) -> None:
    """Find a member by whatever a caller says, typos and all. Changes nothing.

    A match does not tell you who is calling. It finds join forms on hold, closed accounts, former
    names, and old emails and phones too. If it is not certain who is meant, it gives you the one
    question to ask the caller. If it is, whoever may issue temporary passwords sees the phone and email
    on file, to call back on; the change log says so.

    Example: `onboard find Jeaanne something like Benack, at Prairie Hall`

    Example: `onboard find 0143 Lee --site "Lima Grange"`

    Example: `onboard find -`
    """
    text = asked_for(" ".join(said).strip(), "What they say")
    if not any(map(str.isalnum, text)):
        raise FileTrouble("Say something about them: a name, an email, a phone, a drop site.")
    finds = look_up(office, text, site=site, most=most)
    if not finds.safe_to_open:
        answer(found.pieces(finds), [found.as_json(finds)], machine)
        raise typer.Exit(NEEDS_A_PERSON)
    # What a card needs takes a quarter of the time to load that all of this takes.
    from onboard.reports import card as cards
    from onboard.tasks.card import card

    at_hand = card(office, finds.found[0].owner)
    told = (*found.pieces(finds), *cards.pieces(at_hand))
    answer(told, [found.as_json(finds) | cards.as_json(at_hand)], machine)
