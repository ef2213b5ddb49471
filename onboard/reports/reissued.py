"""A temporary password on its way, or why there is none."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from onboard.model import AddressQuestion
from onboard.reports import packets
from onboard.reports.sentences import CHANGES, PREVIEW, noticed, send
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.reissue import Reissued

TO = {"email": "the email address on file", "address": "the mailing address on file, as a letter"}


def _why(done: Reissued) -> str:
    if isinstance(done.asked[0], AddressQuestion):
        return "the mailing address on file may be wrong"
    return "the email address on file may be wrong"


def pieces(done: Reissued, outbox: Path, *, has_mail: bool = True) -> tuple[Piece, ...]:
    """What was made, and the steps that are left, in their order; never the password."""
    handle = done.member.handle.text
    by_email = done.to == "email" and has_mail
    where = TO["email" if by_email else "address"]
    if done.refused:
        return (Words(f"{handle}: {done.refused}", is_strong=True),)
    if done.packets is None:
        would = f"{handle}: a new temporary password would go to {where}."
        return (Words(would, is_strong=True), *packets.questions(done.asked), Words(PREVIEW))
    if done.asked:
        waits = (
            f"{handle}: the old temporary password no longer works once the ordering page knows. The new "
            f"one waits: {_why(done)}."
        )
        told = map(Words, noticed(done.notices, handle, kept=True, has_mail=has_mail))
        return (Words(waits, is_strong=True), *packets.questions(done.asked), *told)
    letters = ", ".join(file.name for file in done.packets.letters)
    last = f"Send it: {send(handle)}" if by_email else f"Print it and mail it: {letters}"
    return (
        Words(
            f"{handle}: a new temporary password is ready, not sent yet. It goes to {where}. The old "
            "one no longer works once the ordering page knows.",
            is_strong=True,
        ),
        Words(f"The welcome packet is in {outbox}. Keep it private."),
        Words(f"1. Tell the ordering page: onboard {CHANGES}\n2. {last}"),
        *map(Words, noticed(done.notices, handle, kept=True, has_mail=has_mail)),
    )


def as_json(done: Reissued, *, kept: bool) -> dict[str, Any]:
    """The same for a program."""
    asked = packets.questions_as_json(done.asked)
    return {
        "member": done.member.id,
        "handle": done.member.handle.text,
        "to": done.to,
        "refused": done.refused,
        "made": bool(done.packets and done.packets.written),
        "recorded": kept,
        "letters": [str(file) for file in done.packets.letters] if done.packets else [],
        "notices": list(done.notices),
    } | ({"questions": asked} if asked else {})
