"""`onboard packets`: write and send what is due."""

from __future__ import annotations

import json
import logging
import signal
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Annotated

import typer

from onboard import welcome
from onboard.cli import mail_by_hand
from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    console,
    errors,
    lines,
    progress_bar,
    say,
    show,
    typed,
)
from onboard.errors import FileTrouble
from onboard.mail import post
from onboard.model import PacketQuestion, State, Way, What
from onboard.office import Office
from onboard.reports import packets as report
from onboard.reports.counts import counted
from onboard.reports.table import Words
from onboard.roster import outgoing
from onboard.tasks import mail_letters, settings_doubts, where_questions
from onboard.tasks.export_accounts import has_told
from onboard.tasks.held_packets import held_packets
from onboard.tasks.send_packets import Posted, send_packets
from onboard.tasks.write_packets import write_packets

log = logging.getLogger(__name__)

# How packets stand, as they are counted. One that is being sent is not sent yet.
COUNTED = {
    "due": (State.DUE,),
    "written": (State.WRITTEN, State.CLAIMED),
    "sent": (State.SENT, State.PRINTED),
    "unsure": (State.UNSURE,),
    "barred": (State.WAITING,),
    "refused": (State.REFUSED, State.RETURNED),
}


Write = Annotated[bool, typer.Option("--write", help="Make the packets that are due.")]
Send = Annotated[
    bool,
    typer.Option("--send", help="Preview the emails in the outbox. With --really, they are sent."),
]
Really = Annotated[
    bool,
    typer.Option(
        "--really",
        help="With --send or --test-mail: send now. With --mailed: save it.",
    ),
]
Again = Annotated[
    list[str] | None,
    typer.Option(
        "--again",
        help="A sign-in name: make a new packet. The old temporary password stops working.",
    ),
]
Letters = Annotated[
    Path | None,
    typer.Option(
        "--letters",
        help="Put the letters of those who get one by mail into this file (PDF), to print.",
    ),
]
Labels = Annotated[
    Path | None,
    typer.Option(
        "--labels", help="Make labels for their envelopes (PDF), 30 on a letter-size sheet."
    ),
]
Mailed = Annotated[
    bool,
    typer.Option(
        "--mailed",
        help="Preview which letters are to be marked as printed and mailed. With --really, they are.",
    ),
]
Only = Annotated[
    list[str] | None,
    typer.Option(
        "--only",
        help="With --send, --letters, --labels or --mailed: only the member with this sign-in name.",
    ),
]
TestMail = Annotated[
    str,
    typer.Option(
        "--test-mail",
        help="Your own email address: preview a test email with an invented member's packet. With "
        "--really, it is sent.",
    ),
]
WordsTo = Annotated[
    Path | None,
    typer.Option(
        "--words-to",
        help="Copy the templates of the packets to a folder, so that you can change them.",
    ),
]


@dataclass(frozen=True, slots=True)
class Steps:
    """What is done with the packets on this machine."""

    write: Write = False
    send: Send = False
    really: Really = False
    again: Again = None


@dataclass(frozen=True, slots=True)
class Printed:
    """What is printed and mailed by hand, for whom, and the test mail."""

    letters: Letters = None
    labels: Labels = None
    mailed: Mailed = False
    only: Only = None
    test_mail: TestMail = ""


def packets(
    office: Office,
    *,
    steps: Steps,
    printed: Printed,
    words_to: WordsTo = None,
    machine: Machine = False,
) -> None:
    """List the welcome packets that are due or waiting, make them, or send them.

    Where an email address may be wrong, or nobody can deliver a letter to the mailing address, the
    packet waits, and you get the lines that answer: the address is right, another one is, or a letter goes instead.

    Example: `onboard packets --write`

    Example: `onboard packets --send` is a preview; add `--really` to send.

    Example: `onboard packets --write --send --really` makes the packets, then sends them.

    Example: `onboard packets --send --only patlee --really` sends that member's emails, and nobody else's.

    Example: `onboard packets --again patlee`

    Example: `onboard packets --letters letters.pdf --labels labels.pdf`, and once they are mailed
    `onboard packets --mailed`

    Example: `onboard packets --test-mail me@example.org`
    """
    _see_that_they_go_together(steps, printed)
    if words_to:
        for file in welcome.copy_templates(words_to):
            say(f"Wrote {file}.")
        say("Change them as you like. Then name the folder in onboard.toml: [files] templates.")
        raise typer.Exit(DONE)
    if (steps, printed) == (Steps(), Printed()):
        _tell(office, machine)
        raise typer.Exit(DONE)
    only, really = printed.only or (), steps.really
    left = False
    if steps.write or steps.again:
        left = _write(office, tuple(steps.again or ()), steps.send, machine)
    if steps.send:
        left = _send(office, only, really, machine) or left
    if printed.letters:
        left = mail_by_hand.write_letters(office, printed.letters, only, machine) or left
    if printed.labels:
        left = mail_by_hand.write_labels(office, printed.labels, only, machine) or left
    if printed.mailed:
        left = mail_by_hand.mark_mailed(office, only, really, machine) or left
    if printed.test_mail:
        left = mail_by_hand.send_test_mail(office, printed.test_mail, really, machine) or left
    raise typer.Exit(NEEDS_A_PERSON if left else DONE)


def _see_that_they_go_together(steps: Steps, printed: Printed) -> None:
    """Raises `FileTrouble` for options that mean nothing without another."""
    if steps.really and not (steps.send or printed.mailed or printed.test_mail):
        raise FileTrouble(f"--really goes with --send. To send the emails: {typed('--send')}")
    if printed.only and not (steps.send or printed.letters or printed.labels or printed.mailed):
        raise FileTrouble(
            "--only goes with --letters, --labels or --mailed, or --send. Add one of them."
        )


def _write(office: Office, again: tuple[str, ...], sends: bool, machine: bool) -> bool:
    """Make the packets, which the next step `sends`, if that is so; whether some wait for a person."""
    with progress_bar("Packets", None, shown=not machine) as progress:
        done = write_packets(office, again=again, progress=progress)
    asked = where_questions.questions(office)  # of letters that are made, too
    log.info("%d packets made, %d wait for an answer", len(done.written), len(asked))
    if machine:
        console.file.write(
            json.dumps({**report.made_as_json(done.written, asked),
                        "by letter only": done.by_letter_only, "letters": [str(f) for f in done.letters],
                        "ends early": done.ends_early}) + "\n")  # fmt: skip
        _write_questions(office, asked)
    else:
        show(*map(Words, settings_doubts.doubts(office.settings)))
        has_mail = bool(office.settings.mail.host)
        show(
            *report.made(
                done.written,
                done.by_letter_only,
                done.folder,
                done.ends_early,
                has_mail=has_mail,
                secret=not office.settings.password.set_by_member,
            )
        )
        shows = where_questions.shows(office)
        show(*report.shared(where_questions.shared_mailboxes(office), lines(office), shows=shows))
        show(*report.questions(asked, lines(office), shows=shows))
        if done.written and not sends:
            letters = len(done.by_letter_only)
            steps = report.next_steps(
                len(done.written) - letters,
                letters,
                has_told=has_told(office),
                has_mail=has_mail,
                line=lines(office),
            )
            show(*map(Words, report.in_order(steps)))
    return bool(asked)


def _write_questions(office: Office, asked: Sequence[PacketQuestion]) -> None:
    shared = where_questions.shared_mailboxes(office) if where_questions.shows(office) else ()
    for one in report.shared_as_json(shared):
        console.file.write(json.dumps({"shared": one}) + "\n")
    for question in report.questions_as_json(asked) if where_questions.shows(office) else ():
        console.file.write(json.dumps({"question": question}) + "\n")


def _send(office: Office, only: Sequence[str], really: bool, machine: bool) -> bool:
    """Send the emails, or preview them; whether some need a person."""
    stop = Stop()
    hidden = ("id",) if where_questions.shows(office) else ("id", "to")

    def tell(one: Posted) -> None:
        if machine:
            said = {"outcome": type(one.outcome).__name__.lower(), "handle": one.name}
            said |= {key: v for key, v in asdict(one.outcome).items() if key not in hidden}
            console.file.write(json.dumps(said, default=str) + "\n")
        else:
            say(words_of(one, shows="to" not in hidden))
        stop.look()

    with stop.heard():
        posted = send_packets(office, really=really, only=only, wait=stop.wait, tell=tell)
    failed = sum(isinstance(one.outcome, post.NotSent | post.Unsure) for one in posted)
    log.info("%d emails sent, %d to check", len(posted) - failed if really else 0, failed)
    if not machine:
        went = sum(isinstance(one.outcome, post.Sent | post.Ready) for one in posted)
        say(
            f"{counted(went, 'email')} {'sent' if really else 'to send'}. {failed:,} for you to check.",
            style="bold",
        )
        if not really and posted:
            settings = office.settings
            nowhere = None if settings.mail.host else settings.file
            say(report.to_send(went, nowhere, typed("--really"), lines(office)))
    return bool(failed)


class Stop:
    """Ctrl-C while emails are sent. Python drops it where it comes in the middle of tidying up: then it is
    looked for before the next email, so that no more than one goes out after it."""

    def __init__(self) -> None:
        self.pressed = False

    @contextmanager
    def heard(self) -> Iterator[None]:
        """Ctrl-C is noted, and stops what is at work, as ever."""

        def note(*_: object) -> None:
            self.pressed = True
            raise KeyboardInterrupt

        if threading.current_thread() is not threading.main_thread():
            yield  # only the main thread hears it
            return
        before = signal.signal(signal.SIGINT, note)
        try:
            yield
        finally:
            signal.signal(signal.SIGINT, before)

    def look(self) -> None:
        """Raises `KeyboardInterrupt` if Ctrl-C was pressed."""
        if self.pressed:
            raise KeyboardInterrupt

    def wait(self, seconds: float) -> None:
        """Waits for the next try, and says so."""
        say(
            f"The mail server is busy or does not answer. The next try is in {seconds:.0f} seconds. "
            "To stop instead, press Ctrl-C. The program has saved what was sent.",
            to=errors,
        )
        time.sleep(seconds)
        self.look()


def words_of(posted: Posted, *, shows: bool = True) -> str:
    """What became of a message, in words; with the address that it goes to, if it `shows` that."""
    outcome = posted.outcome
    match outcome:
        case post.Sent():
            return f"{posted.name}: sent."
        case post.Ready():
            return f"{posted.name}: {f'to {outcome.to}' if shows else 'to send'}."
        case post.Later():
            return f"{posted.name}: waits. {outcome.why}"
        case post.Unsure():
            return f"{posted.name}: it may not have arrived. {outcome.why}"
        case post.NotSent():
            return f"{posted.name}: not sent. {outcome.why}"


def _tell(office: Office, machine: bool) -> None:
    asked = where_questions.questions(office)
    with office.reading() as connection:
        stands = where_questions.count_packets(connection, office.settings)
        held = held_packets(connection)
        notices = outgoing.by_state(connection, What.NOTICE, State.WRITTEN)
    counts = {word: sum(stands.get(s, 0) for s in states) for word, states in COUNTED.items()}
    if machine:
        console.file.write(json.dumps(counts) + "\n")
        _write_questions(office, asked)
        return
    outbox, shows = office.settings.outbox, where_questions.shows(office)
    show(*map(Words, settings_doubts.doubts(office.settings)))
    to_mail = mail_letters.letters_to_mail(office)
    has_mail = bool(office.settings.mail.host)
    show(
        *report.standing(
            counts,
            held if shows else (),
            outbox,
            lines(office),
            len(to_mail.lines),
            has_mail=has_mail,
            not_yet=len(to_mail.left),
            notices=sum(line.way is Way.EMAIL for line in notices) if has_mail else 0,
        )
    )
    show(*report.shared(where_questions.shared_mailboxes(office), lines(office), shows=shows))
    show(*report.questions(asked, lines(office), shows=shows))
