"""What went out to the ordering page, what it answered, and what is left to do, for people."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from onboard.reports import accounts
from onboard.reports.counts import counted
from onboard.reports.sentences import CHANGES
from onboard.reports.table import Piece, Words


@dataclass(slots=True)
class Exported:
    """What was written, and what could not be."""

    count: int = 0
    resets: int = 0  # accounts whose password the page has had before, and would set again
    unnamed: int = 0  # changed accounts of which we do not know what the page calls them
    is_as_before: bool = False  # the file that had this name said just the same
    earlier: Path | None = None  # where the file is now that had this name before


@dataclass(slots=True)
class Answered:
    """What a page's answer told."""

    named: int = 0  # accounts of which we know now what the page calls them
    failed: int = 0  # operations that the page refused; they are told again
    unknown: int = 0  # accounts of the page that are no member's


NO_NEWS = "Nothing has changed since the last time, so no file was written."
PRIVATE = "Keep it private, and delete it after use."


def pieces(
    done: Exported,
    file: Path,
    *,
    changed: bool,
    marked: bool,
    again: str,
    line: Callable[[str], str] = "onboard {}".format,
) -> list[Piece]:
    """What the file holds, what comes next, and what the page must be able to do.

    `again` is the line that was typed with --record; `marked` says that it was there.
    """
    if changed and not done.count:
        said = _unnamed(done, line) or [NO_NEWS]
        return [Words(words) for words in (*said, *_earlier(done, changed=changed))]
    cannot = accounts.CANNOT_HOLD_NEWS if changed else accounts.CANNOT_HOLD
    said = []
    if changed:
        accounts_ = counted(done.count, "changed account")
        said.append(f"Wrote {accounts_} to {file}. It can hold password hashes. {PRIVATE}")
    else:
        said.append(
            f"Wrote {counted(done.count, 'account')} to {file}. It holds password hashes. {PRIVATE}"
        )
    if done.resets:
        has = (
            "of which the page has had 1"
            if done.resets == 1
            else f"of which the page has had {done.resets:,}"
        )
        said.insert(
            0,
            f"Careful: this file holds everybody, {has} before. If the page takes it in, those members get "
            "their temporary password again, also if they have chosen their own since. For only what changed: "
            f"{line(CHANGES)}",
        )
    if done.is_as_before:
        said.append(
            "The file that had this name said just the same, so there is nothing new in it."
        )
    said += [*_earlier(done, changed=changed), *_unnamed(done, line)]
    if done.count and not marked:
        said.append(
            "These changes are not marked as sent. The next export will list them again."
            if changed
            else "These accounts are not marked as sent."
        )
        said.append(f"When the page takes the file in, run: {again}")
    said.append("What the page must be able to do, and what it can't hold:")
    said += [f"- {words}" for words in cannot["csv" if is_csv(file) else "scim"]]
    return [Words(words) for words in said]


def _earlier(done: Exported, *, changed: bool) -> list[str]:
    if not done.earlier:
        return []
    first = "If the ordering page has not had it yet, give it that one first."
    return [
        f"There was a file of that name. It is now {done.earlier}. {first if changed else PRIVATE}"
    ]


def _unnamed(done: Exported, line: Callable[[str], str]) -> list[str]:
    if not done.unnamed:
        return []
    return [
        f"Could not write {counted(done.unnamed, 'changed account')}. SCIM names an account as the "
        "page calls it, and the page has not told us. Give its answer to your first export, or a "
        f"list of its users: {line('export --answer response.json --record')}. Or write a .csv."
    ]


def answer_pieces(
    done: Answered, file: Path, *, kept: bool, again: str, line: Callable[[str], str]
) -> list[Piece]:
    """What the page's answer told, and what comes next."""
    said = [
        f"{file}: the page has named {counted(done.named, 'account')}. It refused "
        f"{counted(done.failed, 'change')}. {counted(done.unknown, 'account')} in it "
        f"{'belongs' if done.unknown == 1 else 'belong'} to nobody we know."
    ]
    if done.failed:
        said.append(
            "Ask the page why it refused. The next export lists those again: "
            f"{line('export changes.json --changed')}"
        )
    if not kept:
        said += ["This was a preview. Nothing was saved.", f"To save it: {again}"]
    return [Words(words) for words in said]


def is_csv(file: Path) -> bool:
    """Whether the file is for a spreadsheet program, and not SCIM 2.0."""
    return file.suffix.casefold() == ".csv"
