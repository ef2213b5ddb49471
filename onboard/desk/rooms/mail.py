"""Mail: what is due, waiting, sent, unsure and returned; previews, letters, a test mail."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Literal

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk.rooms import Room, mail_reminders
from onboard.desk.visit import Here, Mistake, Visit
from onboard.desk.words import STATES, on_screen
from onboard.errors import FileTrouble, SendTrouble
from onboard.mail import post
from onboard.model import Answer, Ruling
from onboard.model.outgoing import ASKED
from onboard.reports.packets import why_held
from onboard.tasks import mail_letters
from onboard.tasks.export_accounts import export_file, has_told
from onboard.tasks.mail_stands import mail_stands, read_message
from onboard.tasks.send_some import SentSome, send_some
from onboard.tasks.settle_question import CORRECTIONS, settle_question
from onboard.tasks.shown import note_page
from onboard.tasks.take_clicks import take_stops
from onboard.tasks.told_files import FILES, told_file, told_files
from onboard.tasks.try_mail import letter, sample, send_test
from onboard.tasks.write_packets import write_packets

ROOM = Room("/mail", "Mail")
router = APIRouter(prefix="/mail")
router.include_router(mail_reminders.router)
AT_ONCE = 50  # emails that go out while somebody waits for the page
ANSWERS = {"right": Answer.RIGHT, "other": Answer.RIGHT, "letter": Answer.LETTER}
OTHERS = "Other letters wait by now. Print them first."
SURE = "First say that all of the letters are in the mail."
WORDS = (
    OTHERS,
    "sent",
    "it may not have arrived",
    "not sent",
    "to be sent",
    SURE,
    *sorted(ASKED),
    *mail_reminders.WORDS,
)


@router.get("")
def standing(here: Here) -> Response:
    """How all mail stands."""
    return _standing(here)


def _standing(here: Visit, *mistakes: Mistake) -> Response:
    mail = here.counted("/mail", mail_stands)
    named = [one.member for one in mail.questions]
    named += [member for mailbox in mail.shared for member in mailbox.members]
    noted = note_page(here.office, ROOM.name, (member.id for member in named))
    return here.page(
        "mail",
        mistakes=mistakes,
        mail=mail if noted else replace(mail, questions=(), shared=()),
        not_shown=not noted,
        states=STATES,
        why_held=why_held,
    )


@router.post("/make")
def make(here: Here) -> Response:
    """Make the packets that are due."""
    write_packets(here.office)
    return here.go("/mail", done="packets-made")


# ---------------------------------------------------------------- the ordering page


@router.post("/tell")
def tell(here: Here) -> Response:
    """Write what the ordering page is to be told next to the settings, and mark it as told."""
    file = here.office.settings.file.parent / FILES[has_told(here.office)]
    done = export_file(here.office, file, changed=has_told(here.office), keep=True)
    return here.go("/mail/told" if done.count else "/mail", done="" if done.count else "no-news")


@router.get("/told")
def told(here: Here) -> Response:
    """Where the files are that the ordering page takes in."""
    folder = here.office.settings.file.parent
    return here.page("mail_told", folder=folder, there=told_files(here.office))


@router.get("/told/{name}")
def file_told(here: Here, name: Literal["accounts.csv", "changes.csv"]) -> Response:
    """One of these files. It holds the hashes of passwords."""
    named = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(told_file(here.office, name), media_type="text/csv", headers=named)


# ---------------------------------------------------------------- emails


@router.get("/message/{number}")
def message(here: Here, number: int) -> Response:
    """One email, to be read."""
    return here.page("mail_message", message=read_message(here.office, number), number_of=number)


@router.get("/send")
def before_sending(here: Here) -> Response:
    """What would go out, and to whom."""
    done = send_some(here.office, really=False, most=AT_ONCE)
    noted = note_page(here.office, ROOM.name, (member.id for _, member in done.whose.values()))
    return _sent(here, done, really=False, noted=noted)


@router.post("/send")
def send(here: Here) -> Response:
    """Send the first emails; the page has what became of each."""
    try:
        done = send_some(here.office, really=True, most=AT_ONCE)
    except SendTrouble as trouble:
        return _standing(here, Mistake(on_screen(str(trouble))))
    return _sent(here, done, really=True)


def _sent(here: Visit, done: SentSome, *, really: bool, noted: bool = True) -> Response:
    lines = []
    for one in done.posted:
        state, more = _outcome(one.outcome)
        lines.append((one.name, done.whose.get(one.outcome.id), state, more if noted else ""))
    return here.page(
        "mail_sent", lines=lines, more=done.more, busy=done.busy, really=really, not_shown=not noted
    )


def _outcome(outcome: post.Outcome) -> tuple[str, str]:
    match outcome:
        case post.Sent():
            return WORDS[1], ""
        case post.Unsure():
            return WORDS[2], outcome.why
        case post.Ready():
            return WORDS[4], outcome.to
        case _:
            return WORDS[3], on_screen(outcome.why)


@router.post("/question/{number}")
def question(here: Here, number: int) -> Response:
    """Answer a question about an email address or a mailing address."""
    said = {field: here.said(field) for field in CORRECTIONS if here.said(field)}
    try:
        if here.said("do") not in ANSWERS or (here.said("do") == "other") is not bool(said):
            raise FileTrouble("Type the right address.")
        answer = ANSWERS[here.said("do")]
        settle_question(
            here.office, Ruling(f"member:{number}", answer, here.office.who, corrections=said)
        )
    except FileTrouble as trouble:
        return _standing(here, Mistake(on_screen(str(trouble)), f"where-{number}"))
    return here.go("/mail", done="answered")


@router.post("/stops")
def stops(here: Here) -> Response:
    """Save who asked for no more email by one click at the porch."""
    take_stops(here.office)
    return here.go("/mail", done="stops-taken")


# ---------------------------------------------------------------- letters


@router.get("/letters.pdf")
def letters(here: Here) -> Response:
    """The letters to print. They hold temporary passwords."""
    return _pdf(lambda file: mail_letters.write_letters(here.office, file))


@router.get("/labels.pdf")
def labels(here: Here) -> Response:
    """Labels for their envelopes."""
    return _pdf(lambda file: mail_letters.write_labels(here.office, file))


@router.post("/mailed")
def mailed(here: Here) -> Response:
    """The letters are printed and mailed: those that the page spoke of, and no newer ones."""
    if not here.said("sure"):
        return _standing(here, Mistake(SURE))
    if mail_stands(here.office).letters_shown != here.said("letters"):
        return _standing(here, Mistake(OTHERS))
    mail_letters.mark_mailed(here.office, keep=True)
    return here.go("/mail", done="mailed")


def _pdf(write: Callable[[Path], object]) -> Response:
    with tempfile.TemporaryDirectory() as folder:  # only its owner can look into it
        file = Path(folder) / "to-print.pdf"
        write(file)
        if not file.exists():
            raise FileTrouble("There are no letters to mail.")
        return Response(file.read_bytes(), media_type="application/pdf")


# ---------------------------------------------------------------- a test


@router.get("/test")
def before_test(here: Here) -> Response:
    """The packet of an invented member, as email."""
    return _test(here)


@router.get("/test/letter.pdf")
def test_letter(here: Here) -> Response:
    """The same as a letter."""
    return Response(letter(here.office, _language(here)), media_type="application/pdf")


@router.post("/test")
def test(here: Here) -> Response:
    """Send the test emails."""
    mistakes = []
    try:
        outcomes = send_test(here.office, here.said("to"), really=True)
        mistakes = [
            Mistake(on_screen(one.why))
            for one in outcomes
            if isinstance(one, post.NotSent | post.Unsure)
        ]
    except SendTrouble as trouble:
        mistakes = [Mistake(on_screen(str(trouble)), "to")]
    if mistakes:
        return _test(here, *mistakes)
    return here.go("/mail/test", done="test-sent")


def _test(here: Visit, *mistakes: Mistake) -> Response:
    shown = _language(here)
    return here.page("mail_test", mistakes=mistakes, sample=sample(here.office, shown), shown=shown)


def _language(here: Visit) -> str:
    """The language of the packet that is shown."""
    asked = here.request.query_params.get("language", here.language)
    languages = here.office.settings.languages
    return asked if asked in languages else languages[0]
