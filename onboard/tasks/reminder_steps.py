"""The steps that reminders take: made, sent, put into files. With many members each is long, so they are for a process of
their own, as whoever asks for them waits for a page."""

from __future__ import annotations

import re
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from onboard.errors import FileTrouble, SendTrouble
from onboard.mail import post
from onboard.model import Member, Outgoing, Way
from onboard.office import Act, Office, Seat
from onboard.roster import reminded, search
from onboard.tasks import settings_doubts
from onboard.tasks.reminders_by_hand import ByHand, write_postcards, write_texts
from onboard.tasks.send_packets import Posted
from onboard.tasks.send_reminders import send_reminders
from onboard.tasks.write_reminders import RemindersReport, write_reminders

MOST = 100  # reminders, or files, that are listed
_FILE = re.compile(r"(?:texts|postcards)-\d{4}-\d\d-\d\d-\d{6}\.(?:csv|pdf)")


class Step(StrEnum):
    """What becomes of reminders next."""

    MAKE = "make"
    SEND = "send"
    TEXTS = "texts"
    POSTCARDS = "postcards"


@dataclass(slots=True)
class SentReminders:
    """What became of the emails that went out."""

    sent: int = 0
    others: int = 0  # not sent, or nobody knows
    listed: list[Posted] = field(default_factory=list)  # the first of the others


class _Stopped(Exception):
    """Somebody asked to stop."""


def see_that_it_may_begin(office: Office, step: Step) -> None:
    """Raises `SettingsTrouble` where somebody else may do this or the settings are still samples, and `SendTrouble` where
    nothing can be sent."""
    office.see_that_one_may(Act.TELL)
    if step is Step.MAKE:
        settings_doubts.see_that_they_are_your_own(office.settings, "reminder")
    if step is Step.SEND and not office.settings.mail.host:
        raise SendTrouble("No mail server is set. Until then, reminders are postcards.")


def take_step(
    seat: Seat, step: Step, *, progress: Callable[[int], None]
) -> RemindersReport | SentReminders | ByHand:
    """What a step with the reminders of this moment came to; `progress` hears of each that is done.

    Texts and postcards are in a file next to the settings: see `files`. Raises what the tasks of these steps do.
    """
    office = seat.office()
    try:
        see_that_it_may_begin(office, step)
        if step is Step.MAKE:
            return write_reminders(office, progress=progress)
        if step is Step.SEND:
            return _send(office, progress)
        kind, write = ("csv", write_texts) if step is Step.TEXTS else ("pdf", write_postcards)
        at = office.now().astimezone(office.settings.zone())
        return write(office, _folder(office) / f"{step}-{at:%Y-%m-%d-%H%M%S}.{kind}")
    finally:
        office.close()


def _send(office: Office, progress: Callable[[int], None]) -> SentReminders:
    """Send them until all are sent, or this process is asked to end: that is heard between two emails, so that
    everybody knows of each what became of it."""
    done, asked = SentReminders(), False

    def ask(*_: object) -> None:
        nonlocal asked
        asked = True

    def tell(posted: Posted) -> None:
        if isinstance(posted.outcome, post.Sent):
            done.sent += 1
        else:
            done.others += 1
            done.listed += [posted][: MOST - len(done.listed)]
        progress(1)
        wait(0)

    def wait(seconds: float) -> None:
        until = time.monotonic() + seconds
        while not asked and (left := until - time.monotonic()) > 0:
            time.sleep(min(left, 0.2))
        if asked:
            raise _Stopped

    before = signal.signal(signal.SIGTERM, ask)
    try:
        send_reminders(office, really=True, tell=tell, wait=wait)
    except _Stopped:
        pass
    finally:
        signal.signal(signal.SIGTERM, before)
    if not office.may(Act.LOOK_UP):
        done.listed = []
    return done


# ---------------------------------------------------------------- what waits, and what was written


def waiting_emails(office: Office) -> list[tuple[Outgoing, Member]]:
    """The first reminders that wait to go out by email, each with its member. Raises `StoreTrouble`.

    Nobody is named to whom the settings let look nobody up.
    """
    if not office.may(Act.LOOK_UP):
        return []
    with office.reading() as connection:
        lines = reminded.written(connection, way=Way.EMAIL, most=MOST)
        members = search.members_by_number(connection, {line.member_id for line in lines})
    return [(line, members[line.member_id]) for line in lines]


def files(office: Office) -> list[str]:
    """The names of the files with texts and postcards, the newest first. Raises `SettingsTrouble` where somebody else may
    do this."""
    office.see_that_one_may(Act.TELL)
    names = [file.name for file in _folder(office).iterdir() if _FILE.fullmatch(file.name)]
    return sorted(names, key=lambda name: name.partition("-")[2], reverse=True)[:MOST]


def file(office: Office, name: str) -> bytes:
    """What one of them holds: names, addresses and phone numbers. Raises `FileTrouble`, and what `files` raises."""
    if name not in files(office):
        raise FileTrouble("There is no such file.")
    return (_folder(office) / name).read_bytes()


def _folder(office: Office) -> Path:
    return office.settings.file.parent
