"""Reminders that do not go by email: texts, put into a file for whatever sends them, and postcards to print.

What is in such a file counts as sent: nobody can see what becomes of it. So it is in one file and in no other.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TextIO

from sqlalchemy import Connection

from onboard.guard import guard
from onboard.model import Event, Outgoing, Way
from onboard.office import Act, Office
from onboard.reports.private import private_file
from onboard.roster import members, outgoing, reminded
from onboard.roster.reminded import Reader
from onboard.tasks import due_reminders
from onboard.tasks.due_reminders import Agenda, Due
from onboard.tasks.write_reminders import Sayings, take_back_stale
from onboard.welcome import letters, postcard, texts, words

HEADINGS = ("phone", "message", "sign-in name")


@dataclass(slots=True)
class ByHand:
    """The reminders that a file holds, by sign-in name, and those that it could not take."""

    file: Path
    handles: list[str] = field(default_factory=list)
    too_long: list[str] = field(default_factory=list)  # no text message


def write_texts(office: Office, file: Path) -> ByHand:
    """The texts that wait, as a CSV file: phone (E.164), message, sign-in name. They count as sent from here on.

    A text that does not fit into one message stays, and is told. Where there is none, no file is written. Raises
    `StoreTrouble`, `FileTrouble` and `SettingsTrouble`; then nothing counts as sent.
    """
    office.see_that_one_may(Act.TELL)
    done = ByHand(file)
    sayings = Sayings(office.settings, office.today(), words.TEXT)

    def write(out: TextIO, due: list[tuple[Outgoing, Due]]) -> list[int]:
        lines, numbers = [], []
        for line, one in due:
            said = texts.text(sayings.of(one), office.settings)
            (done.handles if said else done.too_long).append(one.reader.handle)
            if said:
                phone = one.reader.phone.removeprefix("tel:").replace("-", "")
                lines.append((phone, guard(said), one.reader.handle))
                numbers.append(line.id)
        csv.writer(out, lineterminator="\r\n").writerows([HEADINGS, *lines])
        return numbers

    _hand_over(office, Way.TEXT, file, write)
    return done


def write_postcards(office: Office, file: Path) -> ByHand:
    """The postcards that wait, as a PDF with four on a sheet. They count as sent from here on.

    Where there is none, no file is written. Raises as `write_texts` does.
    """
    office.see_that_one_may(Act.TELL)
    done = ByHand(file)
    settings = office.settings
    sayings = Sayings(settings, office.today(), words.POSTCARD)
    said: dict[object, list[dict[str, object]]] = {}

    def write(out: TextIO, due: list[tuple[Outgoing, Due]]) -> list[int]:
        cards = []
        for _, one in due:
            says, reader = sayings.of(one), one.reader
            if says not in said:
                said[says] = postcard.message(says, settings)
            name = members.name_of(reader.id, reader.name)
            cards.append(postcard.card(said[says], says.language, name, reader.address, settings))
            done.handles.append(reader.handle)
        out.buffer.write(letters.postcards(cards, settings))
        return [line.id for line, _ in due]

    _hand_over(office, Way.LETTER, file, write)
    return done


def _hand_over(
    office: Office,
    way: Way,
    file: Path,
    write: Callable[[TextIO, list[tuple[Outgoing, Due]]], list[int]],
) -> None:
    """Writes the file of those that wait to go this way, and notes that they have: both, or neither."""
    take_back_stale(office)
    with office.transaction() as connection:
        lines = reminded.written(connection, way=way, lock=True)
        if not lines:
            return
        due = _due(connection, office, lines)
        if not due:
            return
        with private_file(file) as out:
            numbers = write(out, due)
        outgoing.step(connection, numbers, Event.PRINT, office.signature())


def _due(
    connection: Connection, office: Office, lines: list[Outgoing]
) -> list[tuple[Outgoing, Due]]:
    now, settings = office.now(), office.settings
    plan = due_reminders.agenda(connection, settings, now, due_reminders.is_due_at(now))
    question = settings.reminders.way_question
    numbers = {line.member_id for line in lines}
    readers = reminded.these_readers(connection, plan.by_site, question, numbers)
    found = [(line, _of(plan, line, readers.get(line.member_id), office)) for line in lines]
    return [(line, one) for line, one in found if one]


def _of(plan: Agenda, line: Outgoing, reader: Reader | None, office: Office) -> Due | None:
    if reader is None:
        return None
    hint = due_reminders.hint(reader, plan.settings, office.today())
    for one in plan.by_site[reader.site]:
        if one.kind is line.kind and line.told == (one.known.told,):
            return Due(reader, one, line.way, hint)
    return None
