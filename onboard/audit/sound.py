"""Sound: whether the roster itself is whole. What is compared, `onboard.roster.condition` reads."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.audit.observation import Observation
from onboard.model import Kind, Weight
from onboard.roster.condition import Flaw

_HELP = "Stop changing the roster, keep a copy of the file, and put back the last sound copy."

KINDS_BY_WHAT = {
    what: Kind(f"sound.{what}", Weight.BLOCKING, about, wrong, right)
    for what, about, wrong, right in (
        ("file", "The database says that its file is damaged.", "a page of the file overwritten", "as written"),
        ("dangling", "A line points to another that is not there.",
         "a member deleted, whose handle is left", "as written"),
        ("journal", "A change is not in the journal, or a line of the journal is gone.",
         "a line of the journal deleted", "as written"),
        ("handle", "The handle of a member and the table of handles do not agree.",
         "a handle changed in one table alone", "as written"),
        ("spelling", "A member has no spelling by which they could be found.",
         "the spellings of a member deleted", "as written"),
        ("index", "The index by which people are found does not agree with the rows.",
         "a key of a spelling deleted", "as written"),
    )
}  # fmt: skip
KINDS = tuple(KINDS_BY_WHAT.values())
_WHAT_TO_DO = {
    "file": _HELP,
    "dangling": _HELP,
    "journal": "Ask who worked on the database by other ways than this program.",
    "handle": "Ask who worked on the database by other ways than this program, and put it right there.",
    "spelling": "Give the member's row again, or correct their name once, so that it is made anew.",
    "index": "Until it is put right, who joins twice may be missed.",
}  # fmt: skip


def look(flaws: Iterator[Flaw]) -> Iterator[Observation]:
    """The flaws as findings."""
    for flaw in flaws:
        kind = KINDS_BY_WHAT[flaw.what]
        note = f"{flaw.words} {_WHAT_TO_DO[flaw.what]}"
        yield Observation(flaw.owner, kind.found(flaw.said, note))
