"""What the commands share: the consoles, the options, the progress bar."""

from __future__ import annotations

import json
import re
import shlex
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from rich.console import Console
from rich.text import Text

from onboard.cli.commands import COMMANDS
from onboard.errors import FileTrouble, SettingsTrouble
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from rich.table import Table as RichTable

    # loading these takes longer than all else here
    from onboard.intake import Sheet
    from onboard.office import Office

DONE, NEEDS_A_PERSON, COULD_NOT_RUN = 0, 1, 2

console = Console()
errors = Console(stderr=True)

Machine = Annotated[bool, typer.Option("--json", help="One JSON object a line, for programs.")]
Record = Annotated[
    bool, typer.Option("--record", help="Save it. Without this you only get a preview.")
]
Told = Annotated[
    list[str] | None,
    typer.Option(
        "--column",
        help='What a column holds, as "Heading=field". You can give it more than once.',
    ),
]

Remember = Annotated[
    bool, typer.Option("--remember", help="Remember the columns for files like this one.")
]

SheetName = Annotated[
    str, typer.Option("--sheet", help="Which sheet of a workbook to read, if several hold forms.")
]


@dataclass(frozen=True, slots=True)
class Reading:
    """How a spreadsheet is read."""

    column: Told = None
    sheet_name: SheetName = ""


@dataclass(frozen=True, slots=True)
class Remembered(Reading):
    """How a spreadsheet is read, and whether files like it are read so from here on."""

    remember: Remember = False


@dataclass(frozen=True, slots=True)
class Shown:
    """How much is shown, and to whom."""

    whole: Annotated[bool, typer.Option("--all", help="Show every row of every list.")] = False
    machine: Machine = False


On = Annotated[
    str,
    typer.Option(
        "--on",
        help="Where to work: here:2 for two processes, or the address of a Dask scheduler (tls://…). Needs "
        "onboard[cluster].",
        show_default=False,
    ),
]


@contextmanager
def progress_bar(what: str, total: int | None, *, shown: bool) -> Iterator[Callable[[int], None]]:
    """A function that moves the bar on; the bar is on the error console, and only on a screen."""
    if not shown or not errors.is_terminal:
        yield lambda done: None
        return
    from rich.progress import (  # most commands show no bar
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=errors, transient=True) as bar:
        task = bar.add_task(what, total=total)
        yield lambda done: bar.advance(task, done)


@contextmanager
def share_bar(what: str) -> Iterator[Callable[[float], None]]:
    """A function that puts the bar at a share of the whole work, 0 to 1, which says how much time is left."""
    if not errors.is_terminal:
        yield lambda share: None
        return
    from rich.progress import (  # most commands show no bar
        BarColumn,
        Progress,
        TaskProgressColumn,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TaskProgressColumn(),
        TimeRemainingColumn(),
    )
    # By the speed from the beginning on: the share is one of time.
    with Progress(*columns, console=errors, transient=True, speed_estimate_period=86_400) as bar:
        task = bar.add_task(what, total=1.0)
        yield lambda share: bar.update(task, completed=share)


def told_columns(
    told: list[str] | None, option: str = "--column", form: str = "Heading=field"
) -> dict[str, str]:
    """{left: right} of what the command line says as "left=right"."""
    found = {}
    for text in told or ():
        left, equals, right = (text.partition if option == "--correct" else text.rpartition)("=")
        if not equals or not left.strip() or not right.strip():
            raise FileTrouble(f'{option} {text!r} is not clear. Write it as {option} "{form}".')
        found[left.strip()] = right.strip()
    return found


def open_sheet(
    office: Office,
    file: Path,
    reading: Reading,
    *,
    needed: tuple[str, ...] = ("name", "email"),
    quiet: bool = False,
) -> Sheet:
    """The file with its columns recognised, and shown; trouble while a question is open.

    Columns are remembered in columns.toml beside the settings: see `remember_columns`.
    """
    # a command that helps a caller reads no sheet
    from onboard.tasks.open_forms import open_forms, see_columns_are_clear

    told = told_columns(reading.column)
    sheet = open_forms(office, file, told=told, needed=needed, sheet=reading.sheet_name)
    if not quiet:
        _show_columns(sheet)
    see_columns_are_clear(sheet)
    return sheet


def open_sheets(
    office: Office, files: Sequence[Path], reading: Reading, *, needed: tuple[str, ...], quiet: bool
) -> list[Sheet]:
    """These files, or those that a pattern stands for, as `open_sheet` has each; the columns of parts that are alike are
    shown once."""
    from onboard.tasks.open_forms import files_meant, open_forms, see_columns_are_clear

    told = told_columns(reading.column)
    sheets: list[Sheet] = []
    for file in files_meant(files):
        sheet = open_forms(office, file, told=told, needed=needed, sheet=reading.sheet_name)
        if not quiet and all(sheet.columns != one.columns for one in sheets):
            _show_columns(sheet)
        see_columns_are_clear(sheet)
        sheets.append(sheet)
    return sheets


def see_roster(office: Office, *, record: bool, quiet: bool = False) -> None:
    """Say which roster is made anew, where the one that the settings name is not there."""
    if quiet or not office.lacks_roster:
        return
    made = "A new one is made" if record else "With --record, a new one is made"
    say(
        f"There is no roster at {office.roster_name}, where {office.settings.file.name} says it is. {made} "
        "there, with no members. If you had a roster before, put it back first."
    )


def remember_columns(office: Office, sheet: Sheet, *, record: bool) -> None:
    """Keep what the columns of the file hold, for files like this one."""
    from onboard.tasks import open_forms

    kept = open_forms.remember_columns(office, sheet)
    yet = "" if record else " They stay remembered, even if this is a preview."
    say(f"Remembered the columns in {kept}.{yet}")


def _show_columns(sheet: Sheet) -> None:
    # A column that is no field is kept, and a no to email or a death that is told there is heard.
    rows = [
        (c.heading, c.field or ("(not used)" if c.second else "(kept, read for remarks)"), c.words)
        for c in sheet.columns.columns
    ]
    show(Table.of(("heading", "read as", "because"), rows, title=f"Columns of {sheet.file.name}"))
    for note in sheet.notes:
        say(note)
    console.print()


def asked_for(said: str, question: str) -> str:
    """What is said; where that is “-” it is asked for, so that the shell does not remember it."""
    return typer.prompt(question, default="", show_default=False, err=True) if said == "-" else said


def answer(pieces: Iterable[Piece], lines: Iterable[Mapping[str, Any]], machine: bool) -> None:
    """Show the pieces to people; or to programs the lines, a JSON object each."""
    if machine:
        for line in lines:
            console.file.write(json.dumps(line) + "\n")
    else:
        show(*pieces)


def show(*pieces: Piece) -> None:
    """Draw what a report shows: a table, then an empty line before what follows it."""
    before: Piece | None = None
    for piece in pieces:
        if isinstance(before, Table):
            console.print()
        if isinstance(piece, Words):
            say(
                _with_whole_lines(piece.text),
                "bold" if piece.is_strong else "dim" if piece.is_faint else "",
            )
        else:
            console.print(_drawn(piece))
        before = piece


def typed(*more: str) -> str:
    """The line that was typed, with these words more: it works when it is pasted into a shell."""
    said = sys.argv[1:]
    if any(said[at : at + len(more)] == [*more] for at in range(len(said))):
        more = ()  # it was typed already
    end = said.index("--") if "--" in said else len(said)  # what follows "--" is no option
    return shlex.join(["onboard", *said[:end], *more, *said[end:]])


# How a report names the line that goes on from here: it knows no terminal.
_SAME_LINE = re.compile(
    r"(,? and |, )run the same line with (--[a-z-]+(?: (?:'[^']*'|\S+?))?)\.(\s+|$)"
)


def _with_whole_lines(words: str) -> str:
    """The words with the line that was typed in place of "the same line"."""

    def whole(found: re.Match[str]) -> str:
        before = ". Then type" if "and" in found[1] else ""
        return f"{before}: {typed(*shlex.split(found[2]))}" + ("\n" if found[3] else "")

    return _SAME_LINE.sub(whole, words)


def lines(office: Office) -> Callable[[str], str]:
    """Makes a command the whole line that works here: with the settings, where they must be named."""
    named = _settings_named(office)
    return lambda command: f"onboard {command}{named}"


def _settings_named(office: Office) -> str:
    from onboard import settings

    try:
        found = settings.find()
    except SettingsTrouble:
        found = None
    here = found is not None and found.resolve() == office.settings.file.resolve()
    return "" if here else f" --settings {shlex.quote(str(office.settings.file))}"


# What every line to type must say here, for it to do the same as the line that was typed.
_named: list[str] = []
# A line to type stands at the beginning, behind a colon or in brackets, and goes on to the end of the
# sentence. What a sentence only speaks of is no such line.
_TO_TYPE = re.compile(
    rf"(?:^[ \d.-]*|(?<=: )|(?<=\())onboard (?:{'|'.join(set(COMMANDS) - {'start'})})\b"
    r"(?:'[^'\n]*'|\"[^\"\n]*\"|[^'\"\n)])*?(?=[.,;)]?\s*$|\)|[.,;] )",
    re.MULTILINE,
)


def work_at(office: Office, settings: Path | None, by: str) -> None:
    """From here on every line that is shown names the settings, as they were named or where it must, and
    who is at work, if that was said."""
    place = f" --settings {shlex.quote(str(settings))}" if settings else _settings_named(office)
    who = f" --by {shlex.quote(by)}" if by else ""
    _named[:] = filter(None, (place, who))


def work_elsewhere() -> None:
    """From here on lines are shown as they stand: they are for a folder of their own."""
    _named.clear()


def _with_place(words: str) -> str:
    """The words with what every line to type must say here, where a line does not say it yet."""

    def whole(found: re.Match[str]) -> str:
        more = (text for text in _named if f" {text.split()[0]} " not in found[0])
        return "".join((found[0], *more))

    return _TO_TYPE.sub(whole, words) if _named else words


def _drawn(table: Table) -> RichTable:
    from rich.table import Table as RichTable  # few commands show one

    drawn = RichTable(
        title=plain(table.title) if table.title else None,
        caption=plain(table.note) if table.note else None,
        title_justify="left", title_style="bold", caption_justify="left",
        box=None, pad_edge=False, header_style="dim",
    )  # fmt: skip
    for column in table.columns:
        drawn.add_column(
            column.heading, justify="right" if column.is_number else "left",
            no_wrap=column.is_number, overflow="fold",
        )  # fmt: skip
    for row in table.rows:
        drawn.add_row(*map(plain, row))
    return drawn


def say(words: str, style: str = "", to: Console = console) -> None:
    """Print words as they are: nothing in them steers the terminal or breaks a path. A line to type says
    where and by whom, as the line that was typed did."""
    to.print(plain(_with_place(words)), style=style, soft_wrap=True)


def plain(words: str) -> Text:
    """The words without what could steer a terminal, and never taken for markup."""
    return Text(
        "".join(c if c.isprintable() or c == "\n" else "\N{REPLACEMENT CHARACTER}" for c in words)
    )
