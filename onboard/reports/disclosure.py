"""All that is known of one member, for that member: JSON for programs, sheets for people."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from onboard.errors import FileTrouble
from onboard.reports import cells
from onboard.reports.counts import counted, counted_of_tables
from onboard.reports.private import private_file
from onboard.reports.table import Piece, Words

# What each part is, in the order in which it is told.
PARTS = {
    "member": "The account as it is now",
    "handle": "Sign-in names, now and earlier. They are never given to anybody else",
    "person": "Names, emails, phones and addresses by which you were ever known to us",
    "row": "Join forms, as they came",
    "finding": "What we noticed about them",
    "decision": "What we decided, and why",
    "ruling": "Answers that a coordinator gave",
    "apart": "People a coordinator said you are not",
    "applied_change": "Changes to the account that can be undone",
    "journal": "What was done, and when",
    "call": "Calls to the help desk",
    "call_cause": "Why a sign-in failed",
    "attempt": "When somebody asked for a new temporary password",
    "outgoing": "What was written to you",
    "exported": "When the ordering page was last told of the account",
}
NOTES = (
    "Orders and payments are on the ordering page, not here. Ask there too.",
    "Not included: who at the co-op worked on it, texts that name somebody else, and the hash of a password.",
    "Files outside the roster (join forms as they came in, letters, emails, copies of the roster) are "
    "not in this list.",
)

Told = Mapping[str, Sequence[Mapping[str, Any]]]


def write(file: Path, told: Told, *, coop: str, when: datetime) -> None:
    """Writes all of it to `file`, .json or .xlsx, readable to its owner only.

    Raises `FileTrouble`.
    """
    if file.suffix.casefold() == ".json":
        said = {"from": coop, "at": when.isoformat(timespec="seconds"), "notes": NOTES}
        parts = {
            name: {"about": about, "lines": told.get(name, [])} for name, about in PARTS.items()
        }
        with private_file(file) as out:
            json.dump(said | parts, out, indent=1, ensure_ascii=False)
            out.write("\n")
        return
    if file.suffix.casefold() != ".xlsx":
        raise FileTrouble(f"{file} must end in .xlsx (for people) or .json (for programs).")
    about = [("From", coop), ("Made", when.isoformat(timespec="seconds"))]
    about += [
        (name.replace("_", " "), f"{what}: {len(told.get(name, []))}")
        for name, what in PARTS.items()
    ]
    about += [("Note", note) for note in NOTES]
    first = cells.Page(
        "About", ("What", "How much"), about, {"What": 20, "How much": 90}, read_only_once=True
    )
    cells.write(file, first, *(_page(name, told[name]) for name in PARTS if told.get(name)))


def pieces(told: Told, file: Path) -> tuple[Piece, ...]:
    """What was written, and how to treat it."""
    parts = counted_of_tables({name: len(lines) for name, lines in told.items()})
    total = counted(sum(map(len, told.values())), "row")
    care = "It holds everything we know about a person. Give it to nobody else, and delete it after use."
    return (
        Words(f"Wrote {total} to {file}: {parts}."),
        Words(care),
        *(Words(f"- {note}") for note in NOTES),
    )


def _page(name: str, lines: Sequence[Mapping[str, Any]]) -> cells.Page:
    heads = list(dict.fromkeys(key for line in lines for key in line))
    rows = [[_text(line.get(head)) for head in heads] for line in lines]
    return cells.Page(name.replace("_", " "), [h.replace("_", " ") for h in heads], rows)


def _text(value: Any) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case dict():
            return "\n".join(f"{key}: {_text(item)}" for key, item in value.items() if item)
        case list():
            return "\n".join(
                ": ".join(map(_text, i)) if isinstance(i, list) else _text(i) for i in value
            )
    return str(value)
