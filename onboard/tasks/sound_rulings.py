"""Answers to rows on hold, seen to be about rows and members that there are."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.model import Ruling
from onboard.reports.batch import BatchReport
from onboard.roster import search


def sound_rulings(
    connection: Connection, given: Sequence[Ruling], report: BatchReport
) -> list[Ruling]:
    """The rulings that still have something to say; trouble if one is about nobody."""
    rows = search.seen(connection, [ruling.row for ruling in given])
    meant = {ruling.member.member_id or 0 for ruling in given if ruling.member}
    members = search.existing(connection, meant)
    wrong, sound = [], []
    for ruling in given:
        was = rows.get(ruling.row)
        if was is None:
            wrong.append(f"No form has the key {ruling.row}. Was it saved in another roster?")
        elif ruling.member and ruling.member.member_id not in members:
            wrong.append(f"Form {ruling.row}: there is no {ruling.member.shown}.")
        elif was.decision != "hold":
            report.notes.append(
                f"The answer about row {was.line} came too late. That row is no longer on hold."
            )
        else:
            sound.append(ruling)
    if wrong:
        raise FileTrouble("Can't use these answers:\n" + "\n".join(f"- {line}" for line in wrong))
    return sound
