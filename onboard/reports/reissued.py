"""A temporary password on its way, or why there is none."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from onboard.reports.sentences import PREVIEW, SEND, noticed
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.reissue import Reissued

TO = {"email": "the email address on file", "address": "the mailing address on file, as a letter"}


def pieces(done: Reissued, outbox: Path) -> tuple[Piece, ...]:
    """What was made, and the steps that are left, in their order; never the password."""
    handle = done.member.handle.text
    if done.refused:
        return (Words(f"{handle}: {done.refused}", is_strong=True),)
    if done.packets is None:
        would = f"{handle}: a new temporary password would go to {TO[done.to]}."
        return (Words(would, is_strong=True), Words(PREVIEW))
    letters = ", ".join(file.name for file in done.packets.letters)
    last = f"Send it: {SEND}" if done.to == "email" else f"Print it and mail it: {letters}"
    return (
        Words(
            f"{handle}: a new temporary password is ready, not sent yet. It goes to {TO[done.to]}. The old "
            "one no longer works once the ordering page knows.",
            is_strong=True,
        ),
        Words(f"The welcome packet is in {outbox}. Keep it private."),
        Words(f"1. Tell the ordering page: onboard export accounts.csv\n2. {last}"),
        *map(Words, noticed(done.notices, kept=True)),
    )


def as_json(done: Reissued, *, kept: bool) -> dict[str, Any]:
    """The same for a program."""
    return {
        "member": done.member.id,
        "handle": done.member.handle.text,
        "to": done.to,
        "refused": done.refused,
        "made": bool(done.packets),
        "recorded": kept,
        "letters": [str(file) for file in done.packets.letters] if done.packets else [],
        "notices": list(done.notices),
    }
