"""What correcting a member's contact info came to, or would come to."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.clean import stored
from onboard.model import Change, State
from onboard.reports import changes, kinds
from onboard.reports.sentences import PAGE_IS_BEHIND, PREVIEW, noticed, saved
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.correct_member import Corrected

CAUTION = "Never change contact info because a caller says so. Call back the number on file first."
CONTACTS = frozenset(("email", "phone", "address"))
# Of these, what was on file is for those who may issue temporary passwords: they call back on it.
PRIVATE = CONTACTS | {"born"}
NOT_SHOWN = "(not shown)"
BESIDE = frozenset(("handle_steps", "bounced"))  # what only goes with another change


def pieces(done: Corrected, *, kept: bool, has_mail: bool = True) -> tuple[Piece, ...]:
    """What is on file, what it is or would be, and what is left to do."""
    member = done.member
    whose = f"{names.show(member.name)}: {member.handle.text} (member {member.id})"
    found = [
        Words(
            f"{changes.called(finding.field).capitalize()}, {kinds.WEIGHTS[finding.weight]}: {finding.note}"
        )
        for finding in done.findings
        if finding.note not in done.refused
    ]
    died = [Words(done.died, is_strong=True)] if done.died else []
    head = (*died, Words(whose, is_strong=True), *found)
    if done.refused:
        wrong = [Words(f"- {note}") for note in done.refused]
        return (*head, Words("That can't be saved. Nothing was changed.", is_strong=True), *wrong)
    told = {change.field: change for change in done.changes if change.field not in BESIDE}
    if not told:
        return (*head, Words("That is on file already. There is nothing to change."))
    caution = [Words(CAUTION, is_strong=True)] if not kept and CONTACTS & told.keys() else []
    rows = [(changes.called(field), *_both(one, done)) for field, one in told.items()]
    table = Table.of(("what", "on file", "is now" if kept else "would be"), rows)
    return (
        *head[: len(died)],
        *caution,
        *head[len(died) :],
        table,
        *map(Words, _what_follows(done, kept, told.keys(), has_mail)),
    )


def _is_hidden(field: str, done: Corrected) -> bool:
    """Whether what was on file in the field is not for whoever is at work."""
    return field in PRIVATE and not done.shows_contact


def _both(one: Change, done: Corrected) -> tuple[str, str]:
    """The value before and after; a name that only parts otherwise has its last name first."""
    before, after = (
        stored.in_words(one.field, value) or stored.NOTHING for value in (one.before, one.after)
    )
    if one.before and _is_hidden(one.field, done):
        return NOT_SHOWN, after
    if one.field == "consent" and before == after:
        before = "no answer"  # which counts as no
    if one.field == "name" and before == after:
        before, after = (
            f"{value['family']}, {value['given']} {value['middle']}".strip()
            for value in (one.before, one.after)
        )
    return before, after


def _what_follows(
    done: Corrected, kept: bool, changed: Collection[str], has_mail: bool
) -> Iterator[str]:
    handle = next((c.after for c in done.changes if c.field == "handle"), done.member.handle.text)
    if "name" in changed and "handle" not in changed:
        yield (
            f"The sign-in name stays {done.member.handle.text}. To make one from the name as it is now: "
            "--new-handle"
        )
    yield from noticed(done.notices, handle, kept=kept, has_mail=has_mail)
    for words in done.to_do:
        yield f"Left to do: {words}"
    if done.packet_due and done.member.packet in (State.DUE, State.WAITING):
        yield f"The welcome packet can be made {'now' if kept else 'then'}: onboard packets --write"
    elif done.packet_due:
        yield (
            f"The welcome packet has old information, so it {'must' if kept else 'would have to'} be made "
            "again: onboard packets --write. If you have printed the old letter, throw it away."
        )
    if not kept:
        yield PREVIEW
        return
    yield saved(done.number)
    yield PAGE_IS_BEHIND


def as_json(done: Corrected, *, kept: bool) -> dict[str, Any]:
    """The same for a program."""
    return {
        "member": done.member.id,
        "handle": done.member.handle.text,
        "changes": [
            {
                "field": c.field,
                "before": None if _is_hidden(c.field, done) else c.before,
                "after": c.after,
            }
            for c in done.changes
        ],
        "findings": [finding._asdict() for finding in done.findings],
        "refused": list(done.refused),
        "notices": list(done.notices),
        "to_do": list(done.to_do),
        "may_have_died": done.died or None,
        "packet_due": done.packet_due,
        "recorded": kept and bool(done.changes),
        "undo": done.number if kept else None,
    }
