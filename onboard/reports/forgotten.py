"""What deleting a member for good came to, or would: what goes, what stays and why, what is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from onboard.reports.counts import counted, counted_of_tables
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.forget_member import Forgotten

STAYS = (
    "The sign-in names, without a person. They are never given again, so nobody inherits an account.",
    "The member numbers, and the key of each join form (a digest of its cells), so that giving a file again "
    "brings nobody back.",
    "That something was done, by whom and when, but not what it was about. That there was a call and its "
    "cause, but not whose.",
)
LAW = (
    "What must be deleted, what must be kept (orders, taxes, a dispute), and how soon, differs by state and "
    "country. This program does not know. Ask somebody qualified before you delete."
)
PREVIEW = (
    "This was a preview. Nothing has been deleted yet. To delete for good, run the same line with --record. "
    "Nothing can undo that."
)


def pieces(done: Forgotten, *, kept: bool) -> Iterator[Piece]:
    """What goes, what stays and why, and what is left for people to do."""
    whom = ", ".join(f"{h} (member {n})" for h, n in zip(done.handles, done.numbers, strict=True))
    removed = counted_of_tables(done.removed)
    said = "Deleted for" if kept else "Would be deleted for"
    yield Words(f"{said} {whom or 'a join form'}: {removed}.", is_strong=True)
    yield Words("What stays, and why:")
    yield from (Words(f"- {words}") for words in STAYS)
    yield from map(Words, _elsewhere(done, kept))
    yield Words("Left for you to do:")
    yield from (Words(f"- {words}") for words in _left_to_do(done, kept))
    if not kept:
        yield Words(LAW)
        yield Words(PREVIEW, is_strong=True)


def _elsewhere(done: Forgotten, kept: bool) -> Iterator[str]:
    """Whether anybody else on the roster has what is theirs."""
    searched = ", ".join(counted(n, what) for what, n in sorted(done.searched.items()))
    if not done.left:
        yet = "" if kept else " Nothing has been deleted yet."
        yield f"Nobody else on the roster has these: {searched or 'nothing'}.{yet}"
        return
    yield f"Others on the roster have some of these too ({searched}):"
    for place in done.left:
        yield f"- {place.what}: {place.whose} ({place.table.replace('_', ' ')})"
    yield (
        "Check each: a household shares a phone, and two people can share a name. Those stay. If it is the "
        "same person, delete that one too."
    )


def _left_to_do(done: Forgotten, kept: bool) -> Iterator[str]:
    if done.on_page:
        yield (
            f"The ordering page has the account. {'Tell' if kept else 'Afterward, tell'} it: onboard export "
            "changes.csv --changed --record. Until then the sign-in name stays with the number. Orders there "
            "are not ours."
        )
    if done.files:
        verb = "were" if kept else "would be"
        yield f"These files {verb} taken out of the outbox: {', '.join(done.files)}."
    if done.letters:
        yield f"Letters in the outbox that may include theirs: {', '.join(done.letters)}."
    if done.forms:
        yield f"The files that their forms came from: {', '.join(done.forms)}."
    yield (
        "Audit reports, question sheets, review files and exports that you made; emails and letters that went "
        "out; copies of the roster. If you put back an old copy, they are back in it."
    )


def receipts(deleted: Sequence[tuple[int, str, str]], *, written_anew: bool) -> Iterator[Piece]:
    """Who was deleted so far, by number."""
    for number, at, by in deleted:
        yield Words(f"{at}: member {number}, by {by}")
    if not deleted:
        yield Words("Nobody has been deleted so far.")
    if written_anew:
        yield Words("The roster's file was written again. Nothing that was deleted is left in it.")


def as_json(done: Forgotten, *, kept: bool) -> dict[str, Any]:
    """The same for a program."""
    return asdict(done) | {"recorded": kept}
