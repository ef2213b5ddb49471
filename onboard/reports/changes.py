"""The review file: one row for each proposed change, for a person to approve or not.

`onboard.intake.changes` reads it back. The columns stand in onboard/tables/review_sheet.tsv, for
both. Beside what people read, a row holds the stored values exactly, so that nothing that a
spreadsheet program does to a cell can change what is applied.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from onboard.clean import stored
from onboard.model import Change, Proposal
from onboard.reports import cells
from onboard.reports.table import Table
from onboard.tables import review_sheet

FILLED_IN = ("approve", "after", "why")


def write(file: Path, proposals: Iterable[Proposal], *beside: cells.Page) -> None:
    """Write a row for each proposal to `file` (XLSX, or CSV without the instructions).

    None is approved. `beside` are further sheets, for people. A file that was there before is kept beside it as "… (earlier)": somebody
    may have worked in it. Raises `FileTrouble` when it cannot be written.
    """
    columns = review_sheet.columns()
    headings = [column.heading for column in columns.values()]
    page = cells.Page(
        "Changes",
        headings,
        (_line(proposal) for proposal in proposals),
        {column.heading: column.width for column in columns.values()},
        {columns["approve"].heading: ["yes", "no"]},
        frozenset(columns[name].heading for name in FILLED_IN),
        frozenset((columns["exact"].heading,)),
    )
    if file.exists():
        file.replace(file.with_name(f"{file.stem} (earlier){file.suffix}"))
    cells.write(file, page, *beside, _instructions())


def _line(proposal: Proposal) -> list[object]:
    change = proposal.change
    said = {
        "approve": "",
        "member": change.member_id,
        "handle": proposal.handle,
        "who": proposal.name,
        "field": change.field.replace("_", " "),
        "before": stored.show(change.field, change.before),
        "after": stored.show(change.field, change.after) or stored.NOTHING,
        "why": change.why,
        "code": proposal.code,
        "exact": review_sheet.exact(change.field, change.before, change.after),
    }
    return [said[name] for name in review_sheet.columns()]


def _instructions() -> cells.Page:
    rows: list[tuple[str, str]] = [
        ("What to do", "Each row of the sheet Changes proposes one change. Write yes where it is "
         "right, and save. Merges stand side by side on a sheet of their own. Preview it: onboard tidy FILE. Then apply it: onboard tidy FILE --record"),
        ("Nothing is lost", "The program applies only rows with yes, all of them or none. You can undo "
         "each: onboard undo. If a member has changed since the file was made, the program skips that "
         "row and tells you."),
    ]  # fmt: skip
    rows += [(column.heading, column.help) for column in review_sheet.columns().values()]
    rows += [
        ("merged into", "A row with this field makes two accounts one. All names, emails, phones "
         "and sign-in names of both stay known. What you change about the account that stays, in "
         "rows of the same file, comes before what the rules would choose."),
        ("Take care", "This sheet holds personal data. Keep it where only coordinators can read "
         "it, and delete it when all is done."),
    ]  # fmt: skip
    return cells.Page(
        "Instructions", ("What", "How"), rows, {"What": 26, "How": 90}, read_only_once=True
    )


# ---------------------------------------------------------------- on the screen

HERE = frozenset(("belongings", "spelling"))  # parts of a change that say nothing to people
# What goes with another change, and is for programs.
UNSHOWN = HERE | {"handle_steps", "hash", "password_hash"}
SHOWN = 60  # changes on a screen
CALLED = {
    "site": "drop site", "handle": "sign-in name", "born": "date of birth", "confirmed": "all is right as of",
}  # fmt: skip


def table(changes: Sequence[tuple[int, Change]], whose: Mapping[int, str], title: str) -> Table:
    """The changes row by row; `whose` are sign-in names by member number.

    Of very many the first are shown, and how many more there are.
    """
    told = [(line, change) for line, change in changes if change.field not in UNSHOWN]
    more = f"… and {len(told) - SHOWN:,} more: --json has them all." if len(told) > SHOWN else ""
    rows = [
        (
            str(line),
            whose.get(change.member_id, f"member {change.member_id}"),
            called(change.field),
            shown(change.field, change.before, whose),
            shown(change.field, change.after, whose),
        )
        for line, change in told[:SHOWN]
    ]
    headings = ("row", "sign-in name", "field", "before", "after")
    return Table.of(headings, rows, title=title, note=more, numbers=("row",))


def both_in_words(change: Change) -> tuple[str, str]:
    """Old and new in one line each, as people read them; as they are stored, where that alone tells them apart.

    >>> both_in_words(Change(1, "phone", "tel:(419) 555-0143", "tel:+14195550143"))
    ('(419) 555-0143', '+14195550143')
    """
    values = (change.before, change.after)
    for say in (stored.in_words, stored.show, stored.to_correct):
        was, now = (", ".join(say(change.field, value).splitlines()) for value in values)
        if was != now:
            break
    return was, now


# How an account stands, in words that stand alone.
STANDS = {
    "merged": "part of another account",
    "open": "an account of its own, open",
    "closed": "closed account",
}


def told(
    changes: Iterable[Change], whose: Mapping[int, str]
) -> Iterator[tuple[Change, str, str, str]]:
    """The changes that people need to read: what was changed, and old and new in one line each.

    >>> [one[1:] for one in told([Change(1, "phone", "", "tel:+14195550143"), Change(1, "handle_steps", [], [])], {})]
    [('phone', '(nothing)', '(419) 555-0143')]
    """
    for change in changes:
        if change.field in UNSHOWN or change.before == change.after:
            continue
        was, now = both_in_words(change)
        if change.field == "merged_into":
            was, now = (
                shown(change.field, value, whose) for value in (change.before, change.after)
            )
        if change.field == "standing":
            was, now = (STANDS.get(value, value) for value in (was, now))
        field = "account" if change.field == "standing" else called(change.field)
        yield change, field, was or stored.NOTHING, now or stored.NOTHING


def called(field: str) -> str:
    """What people call a field.

    >>> called("merged_into"), called("site")
    ('merged into', 'drop site')
    """
    return CALLED.get(field, field.replace("_", " "))


def shown(field: str, value: Any, whose: Mapping[int, str]) -> str:
    """A value in one line, with a handle in place of a member's number."""
    if field == "merged_into" and value is not None:
        return whose.get(value, f"member {value}")
    if field.startswith("call ") and value:
        value = {key.replace("_", " "): text for key, text in value.items() if text}
    return ", ".join(stored.in_words(field, value).splitlines()) or stored.NOTHING
