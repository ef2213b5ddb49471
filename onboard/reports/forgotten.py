"""What deleting a member for good came to, or would: what goes, what stays and why, what is left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from onboard.model import Owner
from onboard.reports.counts import LINES, counted, counted_of_tables
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.roster.spoken_of import Spoken
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
SHOWN = 20  # records, or files, that are listed
SERVER = (
    "The roster is on a database server. The server's disk, logs and copies keep traces of what was deleted "
    "until its keeper rewrites them (VACUUM FULL) and deletes the old logs and copies. This program can't "
    "see or promise that."
)


def pieces(done: Forgotten, *, kept: bool) -> Iterator[Piece]:
    """What goes, what stays and why, and what is left for people to do."""
    whom = ", ".join(f"{h} (member {n})" for h, n in zip(done.handles, done.numbers, strict=True))
    removed = counted_of_tables(done.removed)
    said = "Deleted for" if kept else "Would be deleted for"
    yield Words(f"{said} {whom or 'a join form'}: {removed}.", is_strong=True)
    yield from map(Words, _masked(done, kept))
    yield from map(Words, _unsure(done, kept))
    yield Words("What stays, and why:")
    yield from (Words(f"- {words}") for words in STAYS)
    yield from map(Words, _elsewhere(done, kept))
    yield Words("Left for you to do:")
    yield from (Words(f"- {words}") for words in _left_to_do(done, kept))
    if not kept:
        yield Words(LAW)
        yield Words(PREVIEW, is_strong=True)


def _masked(done: Forgotten, kept: bool) -> Iterator[str]:
    """Where others' records spoke of the member."""
    if not done.masked:
        return
    places = counted(sum(one.places for one in done.masked), "place")
    verb = "now say" if kept else "would say"
    yield f"{places} in {counted(len(done.masked), 'record')} of others {verb} “[deleted member]” instead:"
    by_whose = Counter[str]()
    for one in done.masked:
        by_whose[_record(one, done)] += one.places
    for record, number in list(by_whose.items())[:SHOWN]:
        yield f"- {record}: {counted(number, 'place')}"
    if len(by_whose) > SHOWN:
        yield f"- and {len(by_whose) - SHOWN:,} more (--json has them all)"


def _unsure(done: Forgotten, kept: bool) -> Iterator[str]:
    """What could be about the member, or about somebody else."""
    if not done.unsure:
        return
    stay = "stay" if kept else "would stay"
    yield (
        f"{counted(len(done.unsure), 'record')} of others may mean this member, or somebody else with the "
        f"same name, email or phone. They {stay} as they are, and the program can't decide. Read each:"
    )
    for one in done.unsure[:SHOWN]:
        when = f", {one.at[:10]}" if one.at else ""
        yield f"- {_record(one, done)}{when}: “{one.text}”"
    if len(done.unsure) > SHOWN:
        yield f"- and {len(done.unsure) - SHOWN:,} more (--json has them all)"


def _record(one: Spoken, done: Forgotten) -> str:
    """What a record is, and whose."""
    name = LINES.get(one.table, (one.table.replace("_", " "),))[0]
    return f"{name} of {_whose(one.whose, done)}"


def _whose(said: str, done: Forgotten) -> str:
    owner = Owner(said)
    if owner.member_id is not None:
        return f"{done.names.get(owner.member_id, 'member')} (member {owner.member_id})"
    return owner.shown if owner.is_row else said or "the roster"


def _elsewhere(done: Forgotten, kept: bool) -> Iterator[str]:
    """Whether anybody else on the roster has what is theirs."""
    if not done.left:
        searched = ", ".join(counted(n, what) for what, n in sorted(done.searched.items()))
        yet = "" if kept else " Nothing has been deleted yet."
        yield f"Nobody else on the roster has these: {searched or 'nothing'}.{yet}"
    else:
        kinds = sorted({place.what for place in done.left})
        yield f"Others on the roster have the same {' and '.join(kinds)}:"
        for what, whose in dict.fromkeys((place.what, place.whose) for place in done.left):
            yield f"- {what}: {_whose(whose, done)}"
        yield (
            "Check each: a household shares a phone, and two people can share a name. Those stay. If it is the "
            "same person, delete that one too."
        )
    if done.signed:
        yield (
            f"Somebody worked on the roster as {', '.join(done.signed)}. Who did what stays in the change log."
        )


def _left_to_do(done: Forgotten, kept: bool) -> Iterator[str]:
    if done.trouble:
        yield done.trouble
    elif done.traces:
        yield (
            f"Traces of the member are still in {', '.join(done.traces)}. End other programs that use the "
            "roster. Then run: onboard forget --record"
        )
    if done.on_server:
        yield SERVER
    if done.on_page:
        yield (
            f"The ordering page has the account. {'Tell' if kept else 'Afterward, tell'} it: onboard export "
            "changes.csv --changed --record. Until then the sign-in name stays with the number. Orders there "
            "are not ours."
        )
    if done.files:
        verb = "were" if kept else "would be"
        yield f"These files {verb} taken out of the outbox: {_listed(done.files)}."
    if done.cut:
        yield (
            f"Their letter {'was' if kept else 'would be'} taken out of files with others': {_listed(done.cut)}. "
            "If it is printed, throw it away."
        )
    if done.letters:
        yield (
            f"Letters in the outbox that may include theirs: {_listed(done.letters)}. The program can't look "
            "inside. Take theirs out, and throw it away."
        )
    if done.copies:
        yield f"Copies of the roster that still have the member. Delete them: {_listed(done.copies)}."
    if sure := [name for name in done.holding if name not in done.maybe]:
        yield (
            "Files in the co-op's folder that name the member. Delete them, or take the member out: "
            f"{_listed(sure)}."
        )
    if done.maybe:
        yield (
            "Files that name the member, or somebody else with the same name. Look whether it is the member "
            f"before you take anything out: {_listed(done.maybe)}."
        )
    if done.others:
        yield (
            "Emails to other members that have the same name, or speak of it. They are those members' own: do "
            f"not delete them. Look whether they say anything about this member: {_listed(done.others)}."
        )
    if done.unread:
        yield f"Files that the program can't look inside. Check them yourself: {_listed(done.unread)}."
    if done.forms:
        yield f"The files that their forms came from: {_listed(done.forms)}."
    yield (
        "What the program can't see: emails and letters that went out, files in other places, backups of this "
        "computer, and what the ordering page keeps. If you put back an old copy of the roster, the member is "
        "back in it."
    )


def _listed(names: Sequence[str]) -> str:
    more = f", and {len(names) - SHOWN:,} more" if len(names) > SHOWN else ""
    return ", ".join(names[:SHOWN]) + more


def receipts(
    deleted: Sequence[tuple[int, str, str]], *, written_anew: bool, files: Sequence[str] = ()
) -> Iterator[Piece]:
    """Who was deleted so far, by number."""
    for number, at, by in deleted:
        yield Words(f"{at}: member {number}, by {by}")
    if not deleted:
        yield Words("Nobody has been deleted so far.")
    if files:
        yield Words(f"These files were taken out of the outbox: {_listed(files)}.")
    if written_anew:
        yield Words("The roster's file was written again. Nothing that was deleted is left in it.")


def as_json(done: Forgotten, *, kept: bool) -> dict[str, Any]:
    """The same for a program."""
    return asdict(done) | {"recorded": kept}
