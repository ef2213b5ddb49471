"""Sound: whether the roster itself is whole. What is compared, `onboard.roster.condition` reads."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.audit.observation import Observation
from onboard.model import Kind, Weight
from onboard.roster.condition import Flaw

_HELP = "Stop changing the roster. Keep a copy of the file. Then put back your last good backup."

KINDS_BY_WHAT = {
    what: Kind(f"sound.{what}", Weight.BLOCKING, about, wrong, right)
    for what, about, wrong, right in (
        ("file", "The database says its file is damaged.", "a page of the file overwritten", "as written"),
        ("dangling", "One record points to another record that is missing.",
         "a member deleted, whose handle is left", "as written"),
        ("journal", "A change is not in the change log, or an entry of the change log is missing.",
         "a line of the journal deleted", "as written"),
        ("handle", "A member's sign-in name and the list of sign-in names do not match.",
         "a handle changed in one table alone", "as written"),
        ("spelling", "A member has no spelling they can be found by.",
         "the spellings of a member deleted", "as written"),
        ("index", "The search index does not match the members.",
         "a key of a spelling deleted", "as written"),
    )
}  # fmt: skip
KINDS = tuple(KINDS_BY_WHAT.values())
_WHAT_TO_DO = {
    "file": _HELP,
    "dangling": _HELP,
    "journal": "Ask who changed the database without this program.",
    "handle": "Ask who changed the database without this program, and have them fix it.",
    "spelling": "Correct the member's name once (onboard correct). That makes the spelling again.",
    "index": "Until it is fixed, the program may miss somebody who joins twice.",
}  # fmt: skip


def look(flaws: Iterator[Flaw]) -> Iterator[Observation]:
    """The flaws as findings."""
    for flaw in flaws:
        kind = KINDS_BY_WHAT[flaw.what]
        note = f"{flaw.words} {_WHAT_TO_DO[flaw.what]}"
        yield Observation(flaw.owner, kind.found(flaw.said, note))
