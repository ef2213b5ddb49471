"""`onboard find`: who on the roster is meant by whatever a caller says."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Annotated

import typer
from rich.table import Table

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
from onboard.lookup import words as in_words
from onboard.office import open_office
from onboard.tasks.look_up import Finds, Found, look_up

ASK = "-"
FAR_BEHIND = 0.01  # of the confidence of the first: who has less is not shown
STANDING = {"open": "", "hold": "sign-up on hold", "closed": "account closed",
            "merged": "merged into another"}  # fmt: skip
CAUTION = (
    "Being found is no proof of who calls: check the caller as the settings say before you tell or "
    "change anything, and read nothing of this list out to them."
)


def find(
    said: Annotated[
        list[str],
        typer.Argument(
            metavar="WORDS...",
            help="Whatever the caller says: names, email, phone or its last four digits, sign-in name, "
            "drop site, street, ZIP, a whole sentence. “-” asks for it, so that the shell does not "
            "remember it.",
        ),
    ],
    site: Annotated[
        str, typer.Option("--site", help="The drop site, if you know it already.")
    ] = "",
    most: Annotated[int, typer.Option("--most", min=1, max=50, help="How many are listed.")] = 5,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Find a member by whatever a caller says, slips of every kind included. Changes nothing.

    Held sign-ups, closed accounts, former names, old emails and phones are found too. Where it is
    not certain who is meant, one question to the caller is named that tells most.

    Example: `onboard find Jeaanne something like Benack, at Prairie Hall`

    Example: `onboard find 0143 Lee --site "Lima Grange"`

    Example: `onboard find -`
    """
    office = open_office(settings, who=who)
    text = " ".join(said)
    if text.strip() == ASK:
        text = typer.prompt("What they say", default="", show_default=False, err=True)
    if not any(map(str.isalnum, text)):
        raise FileTrouble("Say something of who it is: a name, an email, a phone, a drop site.")
    finds = _told_apart(look_up(office, text, site=site, most=most))
    if machine:
        console.file.write(json.dumps(as_json(finds)) + "\n")
    else:
        _print(finds)
    raise typer.Exit(DONE if finds.safe_to_open else NEEDS_A_PERSON)


def _told_apart(finds: Finds) -> Finds:
    """Only those who have to be told apart: of others nobody needs to know that they are members."""
    shown = finds.found[:1] if finds.safe_to_open else finds.found
    least = FAR_BEHIND * max((one.confidence for one in shown), default=0.0)
    return replace(finds, found=tuple(one for one in shown if one.confidence >= least))


def as_json(finds: Finds) -> dict[str, object]:
    """The answer for a program; as little of the people in it as on the screen."""
    return {
        "safe_to_open": finds.safe_to_open,
        "lead_bits": round(finds.lead, 1),
        "ask": finds.ask or None,
        "more": finds.more,
        "notes": list(finds.notes),
        "found": [
            {
                "owner": one.owner,
                "confidence": round(one.confidence, 4),
                "name": names.show(one.name),
                "handle": one.handle or None,
                "site": one.site,
                "standing": one.standing,
                "part_of": one.part_of or None,
                "evidence": [in_words.evidence(clue) for clue in one.clues],
                "beside": in_words.beside(finds.ask, one.facts) or None,
            }
            for one in finds.found
        ],
    }


def _print(finds: Finds) -> None:
    for note in finds.notes:
        say(note)
    if not finds.found:
        none = "That fits many: say more." if finds.more else "Nobody on the roster fits."
        say(none, style="bold")
        say(f"Ask: {in_words.QUESTIONS[finds.ask]}" if finds.ask else "")
        return
    table = Table(box=None, pad_edge=False, header_style="dim")
    besides = [in_words.beside(finds.ask, one.facts) for one in finds.found]
    heads = ["sure", "who", "name", "drop site", "evidence"]
    if any(besides):
        heads.insert(4, finds.ask)
    for head in heads:
        table.add_column(head, overflow="fold")
    for one, beside in zip(finds.found, besides, strict=True):
        cells = [_sure(one), _whose(one), names.show(one.name), one.site, _evidence(one)]
        if any(besides):
            cells.insert(4, beside)
        table.add_row(*map(plain, cells))
    console.print(table)
    if finds.more and not finds.safe_to_open:
        say("Others fit as well: say more, or see more of them with --most.")
    first = finds.found[0]
    say("")
    if finds.safe_to_open:
        say(f"Safe to open: {_whose(first)}. {CAUTION}", style="bold")
    else:
        say("Not certain yet. Ask: " + in_words.QUESTIONS[finds.ask], style="bold")
        say(CAUTION)


def _sure(one: Found) -> str:
    if one.confidence > 0.99:
        return "over 99%"
    return "under 1%" if one.confidence < 0.01 else f"{one.confidence:.0%}"


def _whose(one: Found) -> str:
    whose = f"{one.owner.shown}, {one.handle}" if one.owner.is_member else one.owner.shown
    standing = (
        f"merged into {one.part_of}" if one.part_of else STANDING.get(one.standing, one.standing)
    )
    return f"{whose} ({standing})" if standing else whose


def _evidence(one: Found) -> str:
    return "; ".join(in_words.evidence(clue) for clue in one.clues)
