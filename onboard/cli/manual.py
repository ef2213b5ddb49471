"""The page of all commands, made from their own help: `python -m onboard.cli.manual`.

The help texts are Markdown already, so the page does not depend on how a terminal draws them.
"""

from __future__ import annotations

from inspect import cleandoc

import typer

from onboard.cli.commands import COMMANDS, load

HEAD = """# Commands

Every command, as `onboard COMMAND --help` tells it. [using.md](using.md) shows them at work;
[python.md](python.md) has the same as Python calls.

Looking is the default: what records, writes or sends something says so in an option. A command ends with
0 when all is done, 1 when something needs a person, and 2 when it could not run; trouble is told in words.

This page is made from the program itself (`python -m onboard.cli.manual`).
"""


def commands() -> dict[str, typer.core.TyperCommand]:
    """The commands by name, in the order of their help."""
    return {name: load(name) for name in COMMANDS}


def page() -> str:
    """Every command with its help, arguments and options, as Markdown."""
    return "\n".join([HEAD, *(_section(name, command) for name, command in commands().items())])


def _section(name: str, command: typer.core.TyperCommand) -> str:
    lines = [f"## onboard {name}", "", cleandoc(command.help or ""), "", "| | |", "|---|---|"]
    for param in command.params:
        if isinstance(param, typer.core.TyperArgument):
            option = f"`{(param.name or '').upper()}`"
            if not param.required:
                option += ", may be left out"
        else:
            option = f"`{max(param.opts, key=len)}`"
            if param.required:
                option += ", needed"
        words = " ".join(str(getattr(param, "help", None) or "").split())
        lines.append(f"| {option} | {words.replace('|', chr(92) + '|')} |")
    return "\n".join([*lines, ""])


if __name__ == "__main__":
    print(page(), end="")
