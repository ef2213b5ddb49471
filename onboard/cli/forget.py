"""`onboard forget`: a member deleted on request."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    SettingsFile,
    Who,
    console,
    say,
)
from onboard.office import open_office
from onboard.reports.counts import counted
from onboard.tasks.forget_member import Forgotten, forget_member, receipts, write_anew

STAYS = (
    "the sign-in names, bound to nobody: they are never given again, so nobody inherits an account",
    "the member numbers, and the key of each join form (a digest of its cells): a file that is given again "
    "brings nobody back",
    "that something was done, by whom and when, without what it was about; that there was a call and its cause, "
    "without whose",
)
# What the lines of a table are, one of them.
LINES = {
    "member": "account", "person": "spelling", "row": "form", "journal": "line of the journal",
    "applied_change": "change", "apart": "ruling that they are another", "call_cause": "cause of a call",
    "attempt": "try", "texts about others": "text about others",
}  # fmt: skip
LAW = (
    "What must be deleted, what must be kept (orders, taxes, a dispute), and how soon, differs by state and "
    "country: this program does not know. Ask somebody qualified before you record it."
)


def forget(
    member: Annotated[
        str,
        typer.Argument(help="The member's number or sign-in name, or row: and the key of a form."),
    ] = "",
    record: Record = False,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Delete a member on request, in all their accounts: for good. Nothing takes it back.

    See first that it is they who ask: call back, or write to the contact on file. Give them what is
    known of them, if they ask for it (`onboard disclose`). Looks and says what would be removed; with
    `--record` it happens. Without MEMBER it lists when whom was deleted, by number.

    Example: `onboard forget patlee`

    Example: `onboard forget 17 --record`
    """
    office = open_office(settings, who=who)
    if not member:
        deleted = receipts(office)
        for number, at, by in deleted:
            say(f"{at}: member {number}, by {by}")
        if not deleted:
            say("Nobody was deleted so far.")
        if record:
            write_anew(office)
            say("The roster's file was written anew: nothing of what was deleted is left in it.")
        raise typer.Exit(DONE)
    done = forget_member(office, member, keep=record)
    if machine:
        console.file.write(json.dumps(asdict(done) | {"recorded": record}) + "\n")
    else:
        _print(done, record)
    raise typer.Exit(NEEDS_A_PERSON if done.left or done.letters or done.on_page else DONE)


def _print(done: Forgotten, record: bool) -> None:
    whom = ", ".join(f"{h} (member {n})" for h, n in zip(done.handles, done.numbers, strict=True))
    removed = ", ".join(
        _lines(n, LINES.get(name, name.replace("_", " "))) for name, n in done.removed.items() if n
    )
    say(f"{'Removed' if record else 'Would be removed'} of {whom or 'a join form'}: {removed}.",
        style="bold")  # fmt: skip
    say("What stays, and why:")
    for words in STAYS:
        say(f"- {words}")
    searched = ", ".join(counted(n, what) for what, n in sorted(done.searched.items()))
    if not done.left:
        say(f"The whole roster was searched for {searched or 'nothing'}: none is left.")
    else:
        say(f"The whole roster was searched for {searched}. As somebody else's there still stand:")
        for place in done.left:
            say(f"- {place.what}: {place.whose} ({place.table.replace('_', ' ')})")
        say("Look at each: a household shares a phone, and namesakes a name. Those stay. If it is the same "
            "person, delete that one too.")  # fmt: skip
    say("Left for you to do:")
    for words in _left_to_do(done, record):
        say(f"- {words}")
    say(LAW)
    if not record:
        say("This was a look: nothing was removed. To do it, for good, add --record.")


def _lines(number: int, what: str) -> str:
    """The number with its noun.

    >>> _lines(2, "try"), _lines(3, "line of the journal"), _lines(1, "account")
    ('2 tries', '3 lines of the journal', '1 account')
    """
    noun, *rest = what.split(" ", 1)
    if number != 1 and noun.endswith("y"):
        noun = f"{noun[:-1]}ie"
    return " ".join((counted(number, noun), *rest))


def _left_to_do(done: Forgotten, record: bool) -> list[str]:
    words = []
    if done.on_page:
        words.append(
            "The ordering page has the account: onboard export FILE --changed --record tells it. Until "
            "then the sign-in name stays with the number. Orders there are not ours."
        )
    if done.files:
        verb = "were" if record else "would be"
        words.append(f"Out of the outbox {verb} taken: {', '.join(done.files)}.")
    if done.letters:
        words.append(
            f"Letters in the outbox that may hold theirs among others': {', '.join(done.letters)}."
        )
    if done.forms:
        words.append(f"The files that their forms came from: {', '.join(done.forms)}.")
    words.append(
        "Reports of audits, sheets of questions, review files and exports that were written; mails "
        "and letters that went out; copies of the roster: put back an old copy, and they are back "
        "in it."
    )
    return words
