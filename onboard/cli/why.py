"""`onboard why`: why a sign-in failed, and what to say."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Annotated

import typer
from rich.table import Table

from onboard import signin
from onboard.clean import name as names
from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    SettingsFile,
    Who,
    console,
    plain,
    say,
)
from onboard.errors import FileTrouble
from onboard.lookup.words import QUESTIONS
from onboard.model import State
from onboard.office import open_office
from onboard.settings import LANGUAGES
from onboard.signin import Form
from onboard.tasks.explain_sign_in import Explained, explain_sign_in, whose

ASK = "-"

# How a packet stands, in the words that programs know.
PACKETS: dict[State | None, str] = {None: "none", State.WAITING: "barred"}


def why(
    typed: Annotated[
        str | None,
        typer.Argument(
            help="What stood in the user name box. “-” asks for it, so that the shell does not "
            "remember it. Leave it out if nobody knows."
        ),
    ] = None,
    member: Annotated[
        str,
        typer.Option(
            "--member",
            help="Whose sign-in it is: a handle, a member's number, or row: and the first letters "
            "of a key on hold. Else whoever has, or certainly meant, what was typed.",
        ),
    ] = "",
    page: Annotated[
        str, typer.Option("--page", help="Where they were: an address, or words like “the shop”.")
    ] = "",
    said: Annotated[str, typer.Option("--said", help="What the page answered.")] = "",
    form: Annotated[Form, typer.Option("--say", help="How you tell them.")] = Form.PHONE,
    language: Annotated[
        str, typer.Option("--language", help="en or es. Else the member's own.")
    ] = "",
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Say why a sign-in failed, what to ask, and the words to say. Changes nothing.

    Nobody needs to tell you a password. If you think that what was typed is one, do not type it.

    Example: `onboard why "Pat Lee" --member patlee`

    Example: `onboard why pat.lee@example.org --member 17 --page "the shop" --say mail`

    Example: `onboard why - --member patlee --say text --language es`
    """
    if language and language not in LANGUAGES:
        raise FileTrouble(
            f"--language {language!r}: there are words for {' and '.join(LANGUAGES)} only."
        )
    office = open_office(settings, who=who)
    if typed == ASK:
        typed = typer.prompt("Typed", default="", show_default=False, err=True)
    if not member:
        if not typed:
            raise FileTrouble("Say whose sign-in it is: --member HANDLE, or --member NUMBER.")
        found, ask = whose(office, typed)
        if len(found) != 1 or ask:
            raise FileTrouble(_not_one(found, ask))
        member = found[0]
    explained = explain_sign_in(office, typed, member, page=page, said=said)
    words = signin.script(
        explained.causes,
        explained.account,
        office.settings,
        language or explained.language or office.settings.languages[0],
        form,
    )
    if machine:
        console.file.write(json.dumps(_as_json(explained, words), default=str) + "\n")
    else:
        _print(explained, words)
    waits = explained.account.standing is not signin.Standing.OPEN
    raise typer.Exit(NEEDS_A_PERSON if waits else DONE)


def _not_one(found: Sequence[str], ask: str) -> str:
    if not found:
        return (
            "Nothing like that is known: find the member (onboard find), then say whose sign-in it "
            "is with --member."
        )
    named = ", ".join(owner.replace(":", " ", 1) for owner in found)
    question = QUESTIONS.get(ask, "Ask which it is.")
    return f"It is not certain whose that is ({named}). {question} Then say so with --member."


def _print(explained: Explained, words: str) -> None:
    account, owner = explained.account, explained.owner
    who = account.handle.text if account.handle else "no handle yet"
    whose = owner.shown if owner.is_member else f"on hold, {owner[:10]}"
    say(
        f"{names.show(explained.name)}: {who} ({whose}), {explained.site or 'no drop site'}",
        style="bold",
    )
    table = Table(box=None, pad_edge=False, header_style="dim")
    for head in ("cause", "sure", "what was seen", "ask", "then"):
        table.add_column(head, overflow="fold")
    for cause in explained.causes:
        table.add_row(
            cause.code,
            f"{cause.confidence:.0%}",
            plain(cause.seen + (f" ({cause.when:%Y-%m-%d})" if cause.when else "")),
            plain(cause.ask),
            plain(cause.do),
        )
    console.print(table)
    say("")
    say(words)


def _as_json(explained: Explained, words: str) -> dict[str, object]:
    """What was typed is not in it: it may be a password."""
    account = explained.account
    return {
        "owner": explained.owner,
        "handle": account.handle.text if account.handle else None,
        "site": explained.site,
        "standing": str(account.standing),
        "packet": PACKETS.get(account.packet, account.packet),
        "causes": [asdict(cause) for cause in explained.causes],
        "script": words,
    }
