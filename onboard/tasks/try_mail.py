"""A test mail: the packet of an invented member, to see how it looks and that the mail server takes it."""

from __future__ import annotations

import re
from datetime import timedelta

from onboard import handles, welcome
from onboard.clean import name as names
from onboard.errors import SendTrouble
from onboard.mail import post
from onboard.mail.line import Line
from onboard.model import FirstPassword, Member
from onboard.office import Act, Office
from onboard.welcome import letters
from onboard.welcome.message import mailbox

# By language: an invented member, and what stands in place of a password. It is nobody's.
INVENTED = {
    "en": ("Pat Lee", "this-is-only-a-test"),
    "es": ("Ana Ruiz Soto", "esta-es-solo-una-prueba"),
}


def send_test(
    office: Office, to: str, *, really: bool, line: Line | None = None
) -> list[post.Outcome]:
    """What became of a test mail to the address `to`, one for each language of the settings.

    The roster and the outbox are not touched, and no password is made. Nothing is sent unless
    `really`. Raises `SendTrouble` where `to` is no email address, or no mail server can be used.
    """
    office.see_that_one_may(Act.TELL)
    settings = office.settings
    if mailbox("", to) is None:
        raise SendTrouble(f"“{to}” is not an email address. Give your own, like hello@example.org.")
    if really and not settings.mail.host:
        raise SendTrouble(f"No mail server is set in {settings.file}. Fill in host, under [mail].")
    mails = [
        post.Mail(number, _message(office, to, language))
        for number, language in enumerate(settings.languages, start=1)
    ]
    return list(post.send(mails, line or Line(settings.mail), dry_run=not really))


def _message(office: Office, to: str, language: str) -> bytes:
    made = sample(office, language, to)
    return re.sub(rb"^Subject: ", b"Subject: TEST: ", made.message, count=1, flags=re.MULTILINE)


def letter(office: Office, language: str) -> bytes:
    """The letter (PDF) of the invented member. Raises what `letters.pdf` does."""
    return letters.pdf([sample(office, language)], office.settings)


def sample(office: Office, language: str, to: str = "") -> welcome.Packet:
    """The packet of an invented member, to the address `to`, or else to the co-op's own. Nothing is sent."""
    settings, today = office.settings, office.today()
    name, phrase = INVENTED.get(language, INVENTED["en"])
    person, handle = names.clean(name).value, handles.clean(name).value
    assert person is not None
    assert handle is not None
    site = next((site.name for site in settings.sites if not site.closed), "")
    member = Member(
        id=0, handle=handle, name=person, email=to or settings.sender, phone="", address=(), site=site,
        language=language, consent=True, joined=office.now(),
    )  # fmt: skip
    first = FirstPassword(phrase, today + timedelta(days=settings.password.valid_days))
    return welcome.packet(member, first, settings, today, handles.tell(handle, language))
