"""The co-op's mailbox read and taken in, part by part; each message once."""

from __future__ import annotations

import os
import ssl
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

from onboard.errors import FileTrouble
from onboard.intake import imap
from onboard.office import Act, Office
from onboard.returned import Action
from onboard.roster import came_back
from onboard.tasks.take_returned import LATELY, ReturnedReport, take_returned


@dataclass(frozen=True, slots=True)
class Afterwards:
    """What is done in the mailbox with email that was taken in, and that nobody has to read; nothing, unless said."""

    mark_seen: bool = False
    move_to: str = ""  # a folder


@dataclass(frozen=True, slots=True)
class Reaching:
    """How the mailbox is reached."""

    environ: Mapping[str, str] = field(default_factory=lambda: os.environ)  # has the secret
    context: ssl.SSLContext | None = None  # the authorities to trust; the system's unless given


def take_mailbox(
    office: Office,
    *,
    keep: bool,
    afterwards: Afterwards | None = None,
    reaching: Reaching | None = None,
) -> Iterator[ReturnedReport]:
    """What `take_returned` says of the email that came to the mailbox of the settings, a report for each part.

    The first time, email of the last two months is read; after that what has come since, as the roster keeps how
    far it was read. The mailbox itself stays as it is, also what is unseen; with `afterwards`, email that was taken
    in (not what somebody has to read) is marked or moved once it is saved. Raises `SettingsTrouble`, `FileTrouble`
    where the mailbox can't be read, and `StoreTrouble`; the parts before are saved then.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.TELL)
    box, way = office.settings.mailbox, reaching or Reaching()
    if not box.host:
        raise FileTrouble(
            f"No mailbox is set in {office.settings.file}. Fill in host, under [mailbox], or name a folder of saved email: "
            "onboard returned saved-mail/"
        )
    with office.reading() as connection:
        read_to = came_back.read_to(connection, imap.place_of(box))
    since = office.today() - LATELY
    for part in imap.parts(box, way.environ, read_to, since=since, context=way.context):
        names = {str(uid): uid for uid, _ in part.messages}
        report = take_returned(
            office, [(str(uid), raw) for uid, raw in part.messages], source=box.folder, keep=keep,
            remember=partial(came_back.note_read, place=part.place, validity=part.validity, uid=part.last),
        )  # fmt: skip
        if keep and afterwards:
            done = [names[one.file] for one in report.mails if one.found.action is not Action.READ]
            imap.tidy(box, way.environ, part, done, move_to=afterwards.move_to, context=way.context)
        yield report
