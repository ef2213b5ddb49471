"""Mail that no header tells apart: absences, wishes, requests and reports in the words of people and of their mail systems."""

from __future__ import annotations

import pytest

from onboard import returned
from onboard.returned import Action, Kind


def mail(
    said: str, subject: str = "Re: Your ordering days", sender: str = "pat@example.net"
) -> bytes:
    return (
        f"From: {sender}\nTo: hello@growers.example.org\nSubject: {subject}\nMIME-Version: 1.0\n"
        f"Content-Type: text/plain; charset=utf-8\nContent-Transfer-Encoding: 8bit\n\n{said}\n"
    ).encode()


@pytest.mark.parametrize(
    ("subject", "said"),
    [
        ("Away until Dec 9 Re: welcome", "Hi! I am traveling and will not look at my inbox before December 9."),
        ("Re: Welcome", "I am currently out of the office and will return on Monday. For urgent matters call 555-0100."),
        ("Re: Welcome", "Thank you for your email. I will be away until December 12 with no access to email."),
        ("OOO: Re: Welcome", "Back on Thursday."),
        ("Not available", "I'm unavailable until Tuesday. Your message will be answered after that."),
        ("Re: Bienvenida", "Me encuentro de viaje sin internet; en cuanto vuelva le contesto."),
        ("Estaré fuera hasta el 9 de diciembre", "Le contesto cuando regrese."),
        ("Re: Bienvenida", "Este es un mensaje automático. Estoy de vacaciones y regreso el 5 de enero."),
        ("Contestación automática: Bienvenida", "Gracias por escribir. Regreso el lunes."),
        ("Ausencia", "No tengo acceso a mi correo esta semana."),
    ],
)  # fmt: skip
def test_an_absence_in_plain_words_needs_nobody(subject: str, said: str) -> None:
    found = returned.read(mail(said, subject))
    assert (found.kind, found.action) == (Kind.AUTOMATIC_REPLY, Action.NONE)


@pytest.mark.parametrize(
    "said",
    [
        "I will be away until December 12. Can my sister pick up for me?", "I'm away until Friday, please give my box to Otis.",
        "I was on leave until last week, so I never signed in.", "Mi papá está ausente de la mente, le ayudo yo",
        "I was out of the office and missed the window.", "Estaré fuera hasta el viernes, que mi hija recoja la caja.",
        "Estoy de vacaciones y no puedo entrar a mi cuenta.", "We will be back in the office of the church on Monday.",
        # about an order, or about the address
        "Please stop sending my box to Lima, I moved to Troy", "Can you take me off the Saturday pickup and put me on Friday?",
        "No quiero recibir mi pedido en Lima, ¿puedo cambiar?", "¿Puedo dar de baja un producto de mi pedido?",
        "Please take me off the egg list, the rest stays as it is", "Please remove my old email address and use this one",
        "No quiero perderme los avisos", "I don't want my neighbor to see my emails",
    ],
)  # fmt: skip
def test_who_asks_for_something_is_read_by_somebody(said: str) -> None:
    found = returned.read(mail(said))
    assert (found.kind, found.action) == (Kind.REPLY, Action.READ)


@pytest.mark.parametrize("subject", ["Where is the next stop?", "La temperatura baja mañana"])
def test_a_word_of_a_subject_is_no_wish(subject: str) -> None:
    assert returned.read(mail("See you there.", subject)).kind is Kind.REPLY


@pytest.mark.parametrize(
    "said",
    [
        "UNSUBCRIBE", "un-subscribe please", "unsuscribe", "Stop please", "no more please", "Baja por favor", "BAJA.",
        "Please delete me from your mailing list", "I'd like to be taken off this email list.", "please stop the reminders",
        "Favor de quitarme de su lista de correos", "Por favor no me escriban más", "No quiero que me manden más correos",
        "Unsubscribe me. I'm away until May.", "Bájenme de la lista", "Ya no me envíe nada, por favor", "Please end these emails", "No más recordatorios, gracias",
    ],
)  # fmt: skip
def test_who_wants_no_more_in_other_words(said: str) -> None:
    assert returned.read(mail(said)).kind is Kind.UNSUBSCRIBE


@pytest.mark.parametrize(
    ("said", "is_gone", "action"),
    [
        ("Nobody by the name dee@example.com: no such account here.", True, Action.CHECK_ADDRESS),
        ("Your message to dee@example.com was rejected because the mailbox is no longer active.", True, Action.CHECK_ADDRESS),
        ("Su correo para dee@example.com fue devuelto. El usuario no está registrado.", True, Action.CHECK_ADDRESS),
        ("La dirección dee@example.com no es válida.", True, Action.CHECK_ADDRESS),
        ("dee@example.com was not served: the user has no room left.", False, Action.RETRY_THEN_CALL),
        ("dee@example.com: the recipient's mailbox has exceeded its size limit.", False, Action.RETRY_THEN_CALL),
        ("El mensaje para dee@example.com no se entregó: el buzón ha superado su límite.", False, Action.RETRY_THEN_CALL),
        ("Your message to dee@example.com has not arrived in 4 hours. We keep trying.", False, Action.RETRY),
        ("Su mensaje a dee@example.com sigue en espera. Lo intentaremos durante 3 días más.", False, Action.RETRY),
    ],
)  # fmt: skip
def test_a_report_in_other_words(said: str, is_gone: bool, action: Action) -> None:
    """A full mailbox or a delay marks no address, and voids no password."""
    found = returned.read(mail(said, "Notice", "Mail System <mailer-daemon@mx.example.com>"))
    named = ("dee@example.com",)
    assert (found.permanent, found.temporary) == ((named, ()) if is_gone else ((), named))
    assert (found.kind, found.action) == (Kind.PLAIN_REPORT, action)
