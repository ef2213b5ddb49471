"""`onboard packets`, for letters that go by mail and for a test mail: what it does and says."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from onboard.cli.common import console, lines, say, show, typed
from onboard.mail import post
from onboard.office import Office
from onboard.reports import packets as report
from onboard.reports.table import Piece
from onboard.tasks import mail_letters
from onboard.tasks.mail_letters import ToMail
from onboard.tasks.try_mail import send_test


def write_letters(office: Office, file: Path, only: Sequence[str], machine: bool) -> bool:
    """Write the letters to mail; whether some need a person."""
    done = mail_letters.write_letters(office, file, only)
    secret = done.has_packets and not office.settings.password.set_by_member
    told = report.letters_written(done.names, file, lines(office), secret=secret)
    return _tell(done, machine, *told)


def write_labels(office: Office, file: Path, only: Sequence[str], machine: bool) -> bool:
    """Write labels for their envelopes; whether some need a person."""
    done = mail_letters.write_labels(office, file, only)
    return _tell(done, machine, *report.labels_written(done.names, file))


def mark_mailed(office: Office, only: Sequence[str], really: bool, machine: bool) -> bool:
    """Note them as mailed, or preview that; whether some need a person."""
    done = mail_letters.mark_mailed(office, only, keep=really)
    again = "" if really else typed("--really")
    return _tell(done, machine, *report.marked_mailed(done.names, again))


def _tell(done: ToMail, machine: bool, *pieces: Piece) -> bool:
    if machine:
        console.file.write(json.dumps({"letters": done.names, "left out": done.left}) + "\n")
    else:
        show(*pieces)
        for why in done.left:
            say(why)
    return bool(done.left)


def send_test_mail(office: Office, to: str, really: bool, machine: bool) -> bool:
    """Send a test mail, or preview that; whether it did not go out."""
    outcomes = send_test(office, to, really=really)
    for one in outcomes:
        if machine:
            console.file.write(json.dumps({"outcome": type(one).__name__.lower(), "to": to}) + "\n")
        elif isinstance(one, post.NotSent | post.Unsure):
            say(f"The test email was not sent. {one.why}")
        else:
            say(
                f"A test email to {to}: {'sent' if really else 'ready'}. Nobody can sign in with it."
            )
    if not really and not machine:
        say(f"This was a preview. Nothing was sent. To send it: {typed('--really')}")
    return any(isinstance(one, post.NotSent | post.Unsure) for one in outcomes)
