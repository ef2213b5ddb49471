"""`onboard why`: why a sign-in failed, and what to say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    answer,
    asked_for,
)
from onboard.errors import FileTrouble
from onboard.model import Standing
from onboard.office import Act, Office
from onboard.reports import card as cards
from onboard.reports import sign_in
from onboard.signin import Form
from onboard.tasks.card import card
from onboard.tasks.explain_sign_in import explain_sign_in, words_to_say


@dataclass(frozen=True, slots=True)
class Seen:
    """What the member saw as they tried."""

    page: Annotated[
        str,
        typer.Option(
            "--page", help="Which page they were on: its address, or words like “the shop”."
        ),
    ] = ""
    said: Annotated[str, typer.Option("--said", help="What the page said.")] = ""


@dataclass(frozen=True, slots=True)
class Told:
    """How they are told."""

    form: Annotated[Form, typer.Option("--say", help="How you will tell them.")] = Form.PHONE
    language: Annotated[
        str, typer.Option("--language", help="en or es. If left out, the member's own.")
    ] = ""


def why(
    office: Office,
    typed: Annotated[
        str | None,
        typer.Argument(
            help="What was in the sign-in name box. Type “-” to be asked for it, so that the shell does "
            "not remember it. Leave it out if nobody knows."
        ),
    ] = None,
    member: Annotated[
        str,
        typer.Option(
            "--member",
            help="Whose sign-in it is: a sign-in name, a member's number, or row: and the first letters "
            "of a form key. If left out, whoever certainly meant what was typed.",
        ),
    ] = "",
    *,
    seen: Seen,
    told: Told,
    machine: Machine = False,
) -> None:
    """Say why a sign-in failed, what to ask, and the words to say. Changes nothing.

    Whoever may issue temporary passwords sees the phone and email on file, to call back on; the change log
    says so. Nobody needs to tell you a password. If what they typed may be one, do not type it here.

    Example: `onboard why "Pat Lee" --member patlee`

    Example: `onboard why pat.lee@example.org --member 17 --page "the shop" --say mail`

    Example: `onboard why --member patlee --said "it says wrong password"`

    Example: `onboard why - --member patlee --say text --language es`
    """
    typed = asked_for(typed, "What they typed") if typed else typed
    if not (member or typed):
        raise FileTrouble("Say whose sign-in it is: --member NAME, or --member NUMBER.")
    explained = explain_sign_in(office, typed, member, page=seen.page, said=seen.said)
    at_hand = card(office, explained.owner)
    script = words_to_say(office, explained, told.form, told.language)
    if at_hand and at_hand.died:
        script = ""  # nobody is there to say it to
    may = office.may(Act.REISSUE)
    said = sign_in.pieces(explained, script, office.settings, at_hand, may_reissue=may)
    answer(said, [sign_in.as_json(explained, script) | cards.as_json(at_hand)], machine)
    waits = explained.account.standing is not Standing.OPEN
    raise typer.Exit(NEEDS_A_PERSON if waits else DONE)
