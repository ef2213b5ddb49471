"""Who wants no more email, who does not, and who only asks: in the words that people find."""

from __future__ import annotations

import pytest

from onboard import returned
from onboard.returned import Kind


def mail(said: str, subject: str = "Re: Your ordering days", head: str = "") -> str:
    return f"From: pat@example.net\nTo: hello@growers.example.org\nSubject: {subject}\n{head}\n{said}\n"


@pytest.mark.parametrize(
    "said",
    [
        "Please stop these emails, I moved away.\n\nOn Tue, Nov 24, 2026 the co-op <hello@growers.example.org> wrote:\n> hi",
        "I no longer wish to receive this. Thanks", "Quit sending me stuff please", "Don't send me any more of these.",
        "Por favor ya no me manden estos correos. Gracias.", "Sáquenme de su lista, por favor.", "Dejen de enviarme avisos",
        "Por favor, cancelen mi suscripción.", "How do I unsubscribe?",
        "please no more of these emails", "I want off this mailing list.",
    ],
)  # fmt: skip
def test_who_wants_no_more(said: str) -> None:
    assert returned.read(mail(said)).kind is Kind.UNSUBSCRIBE


@pytest.mark.parametrize(
    "said",
    [
        "Please don't unsubscribe me! I changed my mind and want to keep getting these.",
        "Why did you unsubscribe me? I never asked to.", "I hit unsubscribe by mistake, please add me back.",
        "Please do not take me off the list, I am only away.", "I did not unsubscribe, why do I get nothing?",
        "No me den de baja todavía, por favor. Estoy de viaje.", "Me di de baja por error. Quiero seguir recibiendo los avisos.",
        "Please do not send me the password by email. Call me instead.", "No me manden la contraseña por correo.",
        "Can I stop by the barn on Tuesday?", "La temperatura baja mañana, ¿abren?",
    ],
)  # fmt: skip
def test_who_wants_it_still_or_says_something_else(said: str) -> None:
    """To take a yes for a no is worse than to have somebody read it."""
    assert returned.read(mail(said)).kind is Kind.REPLY
    if "unsubscribe" in said:
        assert returned.read(mail(said, "unsubscribe")).kind is Kind.REPLY


def test_a_button_that_was_pressed_is_a_wish_and_an_absence_is_none() -> None:
    """RFC 2369, 3.2; RFC 3834, 5."""
    pressed = mail("", "Unsubscribe request", "Auto-Submitted: auto-generated\n")
    assert returned.read(pressed).kind is Kind.UNSUBSCRIBE
    away = mail("I am away. To unsubscribe me is not needed.", "Away", "Auto-Submitted: auto-replied\n")  # fmt: skip
    assert returned.read(away).kind is Kind.AUTOMATIC_REPLY


def test_a_complaint_whose_reader_is_blotted_out_is_known_by_our_own_message() -> None:
    """RFC 5965, 3.2: Original-Rcpt-To may be redacted (RFC 6590)."""
    text = (
        "From: fbl@provider.example\nTo: hello@growers.example.org\nSubject: FW\nMIME-Version: 1.0\n"
        'Content-Type: multipart/report; report-type=feedback-report; boundary="x"\n\n--x\n'
        "Content-Type: message/feedback-report\n\nFeedback-Type: abuse\nVersion: 1\nUser-Agent: a/1\n"
        "Original-Rcpt-To: <redacted-1f2e@provider.example>\n\n--x\nContent-Type: message/rfc822\n\n"
        "From: hello@growers.example.org\nTo: Lee <lee@provider.example>\nSubject: hi\n\nhi\n--x--\n"
    )
    assert "lee@provider.example" in returned.read(text).readers


@pytest.mark.parametrize(
    "said",
    [
        "Stop emailing me so often", "Please stop sending me so many emails.", "Can you stop emailing me every day? Thanks",
        "Please do not email me every week, once a month is enough.", "No me manden tantos correos, por favor.",
        "Por favor no me envíen más todos los días.", "I don't want these emails so often.", "No quiero recibir correos a diario",
    ],
)  # fmt: skip
def test_who_wants_fewer_is_asked_and_not_taken_off(said: str) -> None:
    assert returned.read(mail(said)).kind is Kind.REPLY
    assert returned.read(mail("", said)).kind is Kind.REPLY


@pytest.mark.parametrize(
    "said",
    [
        "Too many emails. Unsubscribe me!", "You write every day: please take me off.", "Demasiados correos, denme de baja.",
        "Stop emailing me so often. In fact, remove me.",
    ],
)  # fmt: skip
def test_who_gets_too_many_and_leaves_is_taken_off(said: str) -> None:
    assert returned.read(mail(said)).kind is Kind.UNSUBSCRIBE
