"""`onboard export`: accounts for the ordering page, all or what changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, SettingsFile, Who, say
from onboard.errors import FileTrouble
from onboard.office import Office, open_office
from onboard.reports import accounts
from onboard.reports.accounts import News
from onboard.reports.counts import counted
from onboard.reports.private import private_file
from onboard.tasks.export_accounts import export_accounts, export_news, take_answer

WRITERS = {".csv": accounts.write_csv, ".json": accounts.write_scim}
NEWS_WRITERS = {".csv": accounts.write_news_csv, ".json": accounts.write_news_scim}


def export(
    file: Annotated[
        Path | None, typer.Argument(help="Where to: .csv, or .json for SCIM 2.0.")
    ] = None,
    changed: Annotated[
        bool, typer.Option("--changed", help="Only what changed since the page was last told.")
    ] = False,
    record: Annotated[
        bool, typer.Option("--record", help="Mark it as told: the page takes this file in.")
    ] = False,
    answer: Annotated[
        Path | None,
        typer.Option("--answer", help="What the page answered to a SCIM request: a JSON file."),
    ] = None,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Write the accounts that we made, for the ordering page to take in; or only what changed.

    With `--record` it is marked as told, and is no news the next time.

    Example: `onboard export accounts.csv --record`

    Example: `onboard export changes.csv --changed --record`

    Example: `onboard export changes.json --changed --record` writes SCIM 2.0 operations.

    Example: `onboard export --answer response.json --record` takes in what the page answered.
    """
    office = open_office(settings, who=who)
    if file is None and answer is None:
        raise FileTrouble(
            "Nothing to do: give a file to write, or --answer with the page's answer."
        )
    code = DONE
    if answer is not None:
        code = _take(office, answer, record)
    if file is not None:
        code = max(code, (_news if changed else _whole)(office, file, record))
    raise typer.Exit(code)


def _whole(office: Office, file: Path, record: bool) -> int:
    write = _writer(file, WRITERS)
    with private_file(file) as out:
        count = write(export_accounts(office, keep=record), office.settings, out)
    say(
        f"Wrote {counted(count, 'account')} to {file}. It holds password hashes: keep it private, delete it after use."
    )
    _say_cannot_hold(file, accounts.CANNOT_HOLD)
    return DONE


def _news(office: Office, file: Path, record: bool) -> int:
    write = _writer(file, NEWS_WRITERS)
    scim = file.suffix.casefold() == ".json"

    def to_file(news: Iterable[News]) -> int:
        with private_file(file) as out:
            return int(write(news, office.settings, out))

    done = export_news(office, to_file, keep=record, by_page_id=scim)
    say(
        f"Wrote {counted(done.count, 'account')} that changed to {file}. It may hold password hashes: "
        "keep it private, delete it after use."
    )
    if done.unnamed:
        say(
            f"{counted(done.unnamed, 'account')} that changed could not be written: SCIM names an account as "
            "the page calls it, and it has not told us. Give its answer to the first export, or a list of its "
            "users, with --answer; or write a .csv."
        )
    if not record:
        say(
            "It is not marked as told: the same will be news the next time. To mark it, add --record."
        )
    _say_cannot_hold(file, accounts.CANNOT_HOLD_NEWS)
    return NEEDS_A_PERSON if done.unnamed else DONE


def _take(office: Office, answer: Path, record: bool) -> int:
    done = take_answer(office, answer, keep=record)
    say(
        f"{answer}: the page's names of {counted(done.named, 'account')}, {done.failed:,} operations "
        f"refused, {done.unknown:,} of nobody we know."
    )
    if done.failed:
        say("What was refused is told again with the next export --changed. Ask the page why.")
    if not record:
        say("This was a look: nothing was kept. To keep it, add --record.")
    return NEEDS_A_PERSON if done.failed else DONE


def _writer(file: Path, writers: dict[str, Callable[..., int]]) -> Callable[..., int]:
    write = writers.get(file.suffix.casefold())
    if write is None:
        raise FileTrouble(f"{file}: name it .csv, or .json for SCIM 2.0.")
    return write


def _say_cannot_hold(file: Path, words: dict[str, tuple[str, ...]]) -> None:
    say("What the page cannot hold, or must be able to do:")
    for sentence in words["csv" if file.suffix.casefold() == ".csv" else "scim"]:
        say(f"- {sentence}")
