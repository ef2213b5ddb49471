"""The commands by heading, each with the sentence that lists it; its module is loaded when it is asked for.

All the modules together take longer to load than most commands take to run, and `onboard --help`
needs none of them.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any, get_type_hints

import typer
from typer import core

from onboard.cli import tend_memory

# The sentence is the first paragraph of the command's own help; a test holds them together.
HEADINGS = {
    "All in one": {
        "desk": "Open the desk: a page in your browser for all of this work, until you stop it with Ctrl-C.",
        "today": "Show what waits for you now, the most pressing first, each with the line to type. Changes nothing.",
        "numbers": "Count how it goes with those who joined: packets that arrived, sign-ins, orders, and what calls were about.",
    },
    "Join forms become accounts": {
        "start": "Write a settings file with notes, and an empty roster next to it.",
        "adopt": "Bring in existing members, with the sign-in names they have.",
        "batch": "Turn a file of join forms into accounts and welcome packets.",
        "answer": "List the forms on hold, or answer one of them.",
        "porch": "Open the porch: a page on which people join, until you stop it with Ctrl-C.",
        "packets": "List the welcome packets that are due or waiting, make them, or send them.",
        "windows": "Show when each ordering group may order in the next 18 months, and what to look at.",
        "remind": "List the reminders of ordering windows that are due, make them, or send them.",
        "guide": "Write pages with which members help themselves: where, when, how to sign in, and why no email came.",
        "mail-check": "Check whether your email domain is set up so that your email does not land in spam.",
        "sites": "List the drop sites with their members, how many they can serve, and when they order.",
        "returned": "Read email that came back to the co-op, and say what to do about it.",
        "export": "Write the new accounts, or only what changed, for the ordering page to take in.",
    },
    "A member calls": {
        "find": "Find a member by whatever a caller says, typos and all. Changes nothing.",
        "why": "Say why a sign-in failed, what to ask, and the words to say. Changes nothing.",
        "reissue": "Issue a new temporary password to a member who lost theirs. The old one no longer works.",
        "correct": "Correct a member's name, email, phone, address, drop site, date of birth, or whether you may email them.",
        "call": "Write down a call: what it was about, and how it ended.",
        "calls": "List the open calls, the oldest first, then count what calls were about.",
    },
    "The roster is kept clean": {
        "duplicates": "List who is in a spreadsheet twice, how sure that is, and why.",
        "activity": "Take in when members last signed in and ordered, so that an audit can find idle accounts.",
        "audit": "Check every account for problems and out-of-date information. Nothing is changed.",
        "tidy": "Apply the approved changes of a review file, all of them together. You can undo each.",
        "merge": "Make two accounts of one person one.",
        "close": "Close the accounts of members who leave. You can undo it.",
        "reopen": "Open closed accounts again, for members who come back. You can undo it.",
        "undo": "List what was changed together, or undo it: all of it, or some rows.",
        "disclose": "Give a member a copy of their data, from all their accounts.",
        "forget": "Delete a member for good, in all their accounts, when they ask. Nothing can undo it.",
        "move-roster": "Copy the roster from a file to a PostgreSQL database, or back.",
    },
}
COMMANDS = {name: heading for heading, named in HEADINGS.items() for name in named}
MODULES = {"call": "calls", "reopen": "close"}  # a command whose module has another name


def load(name: str) -> core.TyperCommand:
    """The command itself, with its arguments and its help."""
    known_as = name.replace("-", "_")
    function = getattr(import_module(f"onboard.cli.{MODULES.get(name, known_as)}"), known_as)
    alone = typer.Typer(add_completion=False, rich_markup_mode="markdown")
    alone.command(name, rich_help_panel=COMMANDS[name])(_at_the_office(name, function))
    command = typer.main.get_command(alone)
    assert isinstance(command, core.TyperCommand)
    return command


# What a clock may run, and with what options two of it at once would do the same work. A preview never waits.
RUN_ALONE: Mapping[str, Callable[[Mapping[str, Any]], bool]] = {
    "packets": lambda said: bool((said["write"] or (said["send"] and said["really"])) and not said["only"]),
    "remind": lambda said: bool(said["write"] or (said["send"] and said["really"])),
    "returned": lambda said: bool(said["record"]),
    "today": lambda said: bool(said["mail"]),
}  # fmt: skip

FROM_NOTHING = ("desk",)  # in an empty folder they make what a co-op begins with

SettingsFile = Annotated[
    Path | None,
    typer.Option(
        "--settings",
        help="The co-op's settings file. If left out: $ONBOARD_SETTINGS, or onboard.toml in this "
        "folder or next to FILE.",
    ),
]
Who = Annotated[
    str,
    typer.Option("--by", help="Your name, for the change log. If left out, your computer login."),
]


def _begin() -> None:
    """The settings file of a new co-op, if nothing is here and no other file is meant."""
    import os

    from onboard.cli.common import say
    from onboard.tasks.start_folder import start_where_nothing_is

    if not os.environ.get("ONBOARD_SETTINGS") and (made := start_where_nothing_is(Path.cwd())):
        say(
            f"This folder was empty. Made {made.name} and an empty roster: the desk leads you through the first steps."
        )


def _at_the_office(called: str, command: Callable[..., None]) -> Callable[..., None]:
    """The command as Typer reads it: --settings and --by in place of the office that it is given, and
    in place of options that belong together (a dataclass) each by itself.

    Settings that are not named are looked for beside the file that it reads, too.
    """
    asked = inspect.signature(command, eval_str=True)
    together: dict[str, Any] = {
        name: each.annotation
        for name, each in asked.parameters.items()
        if name != "office" and is_dataclass(each.annotation)
    }
    has_office = "office" in asked.parameters
    if not has_office and not together:
        return command

    def run(**said: Any) -> None:
        runs_alone = called in RUN_ALONE and RUN_ALONE[called](said)
        given: dict[str, Any] = {
            name: kind(**{part.name: said.pop(part.name) for part in fields(kind)})
            for name, kind in together.items()
        }
        if has_office:
            from onboard.cli.common import work_at
            from onboard.office import open_office  # not for the help

            settings, who = said.pop("settings"), said.pop("who")
            if called in FROM_NOTHING and not settings:
                _begin()
            beside = said.get("file") or said.get("answered")
            given["office"] = open_office(settings, beside=beside, who=who)
            work_at(given["office"], settings, who)
        if not runs_alone:
            return command(**given, **said)
        from onboard.cli import clock  # few commands need it

        with clock.alone(given["office"], called):
            return command(**given, **said)

    parameters: list[inspect.Parameter] = []
    for name, each in asked.parameters.items():
        if name in together:
            kinds = get_type_hints(together[name], include_extras=True)
            parameters += [
                _option(part.name, kinds[part.name], part.default)
                for part in fields(together[name])
            ]
        elif name != "office":
            parameters.append(_option(name, each.annotation, each.default))
    if has_office:
        parameters += [_option("settings", SettingsFile, None), _option("who", Who, "")]
    run.__doc__ = command.__doc__
    run.__signature__ = asked.replace(parameters=parameters)  # type: ignore[attr-defined]
    run.__annotations__ = {each.name: each.annotation for each in parameters}
    return run


def _option(name: str, kind: Any, default: Any) -> inspect.Parameter:
    return inspect.Parameter(
        name, inspect.Parameter.POSITIONAL_OR_KEYWORD, default=default, annotation=kind
    )


class _Listed(core.TyperGroup):
    """The commands as they are listed; the one that is asked for is loaded."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command and its arguments, as Typer finds them."""
        if args and args[0] in COMMANDS:
            self.commands[args[0]] = load(args[0])
            tend_memory()
        return super().resolve_command(ctx, args)


def group() -> core.TyperGroup:
    """The command line."""
    made = typer.Typer(
        name="onboard",
        help="Looks after the members of a buying co-operative: join forms become working accounts, "
        "callers are helped to sign in, the roster is kept clean.",
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode="markdown",
        cls=_Listed,
    )
    for heading, named in HEADINGS.items():
        for name, sentence in named.items():
            made.command(name, short_help=sentence, rich_help_panel=heading)(_unloaded)
    return typer.main.get_group(made)


def _unloaded() -> None:
    """Stands for a command in the list."""
