"""Who may be written to by email: what the box says, and what is said in their own words."""

from __future__ import annotations

import time

import pytest
from coop_forms import form
from hypothesis import given
from hypothesis import strategies as st

from onboard.clean import consent, language, remarks, row
from onboard.clean.email.doubts import is_doubted
from onboard.model import RawRow, Weight


@pytest.mark.parametrize(
    "said",
    ["Yes", "I agree", "x", "☑", "TRUE", "1", "Sí, acepto", "Yes, I agree to receive emails", "OK",
     "checked", "Email updates", "Sign me up for the newsletter", "Yes please!", "Claro que sí", "de acuerdo", "You may email me", "No problem"],
)  # fmt: skip
def test_a_yes_is_a_yes(said: str) -> None:
    assert consent.clean(said).value is True
    assert consent.opted_out(said).value is False


@pytest.mark.parametrize(
    "said",
    ["hates email", "took her off the email list", "please take me off", "send me letters", "please call me first",
     "dado de baja de correos", "nada de correos", "doesn't want email", "email bounced", "loathes the weekly email updates",
     "ok to remove from the email list", "quiero cartas", "por favor quítenme de la lista", "add me to the phone tree"],
)  # fmt: skip
def test_a_word_about_email_that_takes_it_back_is_no_yes(said: str) -> None:
    assert consent.clean(said).value is False


@pytest.mark.parametrize(
    "said",
    ["S", "s", "fine", "I'd like to receive emails about orders", "add me to the email list", "keep me on the mailing list",
     "Correos de la cooperativa", "wants email", "Please email me"],
)  # fmt: skip
def test_a_yes_in_other_words_is_a_yes(said: str) -> None:
    assert consent.clean(said).value is True


@pytest.mark.parametrize(
    "said",
    ["unsubscribed from emails", "Unsubscribed 3/2024", "took her off email list", "hates email", "take me off the list",
     "dado de baja de correos", "opts out of email", "removed from the newsletter", "doesnt use email",
     "I prefer not to receive mail electronically", "no me manden nada por internet"],
)  # fmt: skip
def test_a_note_of_somebody_else_that_they_want_no_email_is_heard(said: str) -> None:
    assert remarks.clean(said).value is False


@pytest.mark.parametrize(
    "said",
    [
        "lives off the county road",
        "took her order off the truck",
        "was on baja trip",
        "remove cones from the list price",
    ],
)
def test_a_note_about_something_else_refuses_nothing(said: str) -> None:
    assert remarks.clean(said).value is None


@pytest.mark.parametrize(
    "said", ["no", "No thanks", "0", "FALSE", "No, gracias", "I do not agree", "opt out", "nunca"]
)
def test_a_no_is_a_no(said: str) -> None:
    assert (consent.clean(said).value, consent.clean(said).findings) == (False, ())


@pytest.mark.parametrize(
    "said",
    [
        "",
        "  ",
        "☐",
        "-",
        "unchecked",
        "maybe",
        "yes but not weekly",
        "email only if urgent",
        "phone instead of email",
        "ana@example.org email",
    ],
)
def test_what_is_no_yes_counts_as_no_until_somebody_asks(said: str) -> None:
    assert consent.clean(said).value is False
    assert [f.field for f in consent.clean(said).findings] == ["consent"]
    assert consent.opted_out(said).value is False


def test_a_form_that_does_not_ask_has_no_answer_and_one_that_asks_needs_a_yes() -> None:
    assert row.clean(form(full_name="Pat Lee")).consent.value is None
    assert row.clean(form(full_name="Pat Lee", consent="")).consent.value is False
    assert row.clean(form(full_name="Pat Lee", opt_out="x")).consent.value is False
    assert row.clean(form(full_name="Pat Lee", opt_out="No")).consent.value is True


@pytest.mark.parametrize(
    "said",
    ["No quiero correos", "no emails please", "please don't email me", "Do not e-mail.",
     "I'd rather not get emails", "I prefer letters to email", "Sin correos, por favor",
     "call me instead of emailing", "no me manden correos", "Prefiero cartas, no correos",
     "Phone only", "take me off the mailing list", "solo por teléfono", "Emails, no gracias",
     "I grow garlic. Please DON’T email. Thanks!", "I get too many emails already", "text me instead",
     "Emails? No thanks", "Snail mail please", "mejor por teléfono", "mándeme cartas", "No me manden emails",
     "Only contact by text", "keep my email off your list", "I would rather you call than email", "Por favor no me envíen mensajes al correo"],
)  # fmt: skip
@pytest.mark.parametrize("column", ["aside:Anything else?", "extra:How did you hear about us?"])
def test_no_emails_is_heard_wherever_it_is_said(column: str, said: str) -> None:
    heard = row.clean(form(full_name="Pat Lee", consent="Yes", **{column: said})).consent
    assert heard.value is False
    assert [f.code for f in heard.findings] == ["consent.in_remark"]
    assert said[:20] in heard.findings[0].note


@pytest.mark.parametrize(
    "said",
    ["", "None", "no", "I grow garlic. Email me!", "no problem emailing me", "I can't drive on Tuesdays",
     "I have not received your email yet", "Please do not share my email", "no tengo carro",
     "my phone only works evenings", "I don't check my phone, email is better", "correo es lo mejor",
     "I only have a post office box", "prefer email over phone", "Please don't leave the box outside",
     "Don't call, email", "No dejen la caja afuera", "Texts are fine", "send letters to PO box", "Call only after six", "No olviden mandarme el correo"],
)  # fmt: skip
def test_other_remarks_refuse_nothing(said: str) -> None:
    heard = row.clean(form(full_name="Pat Lee", consent="Yes", **{"aside:Notes": said})).consent
    assert (heard.value, heard.findings) == (True, ())


@pytest.mark.parametrize(
    "said",
    ["STOP", "No correspondence electronically", "emails go to my son, write to me instead", "texting is better than email", "mail only",
     "cero correos", "prefiero todo por carta", "Send paper notices please", "Nothing by e-mail", "quiero todo en papel", "do not add my email to anything", "Emails? never", "sin correos ni llamadas"],
)  # fmt: skip
def test_a_no_in_few_words_is_heard(said: str) -> None:
    assert remarks.clean(said).value is False


@pytest.mark.parametrize(
    "said",
    ["don't know about email - ask", "has no email yet", "no email on file", "did not answer my email", "No one else reads my email",
     "I have no objection to emails", "email only for orders, no newsletter", "no rush on the email", "please don't stop emailing me",
     "no tengo inconveniente con los correos", "¿por qué no mandan más correos?", "don't lose my email", "No spam please"],
)  # fmt: skip
def test_a_no_to_something_else_is_no_no_to_email(said: str) -> None:
    assert remarks.clean(said).value is None


@pytest.mark.parametrize(
    "said",
    ["mi correo no sirve", "no internet", "no tengo internet", "my email quit working", "I rarely check email", "no sé leer correos",
     "I have no email", "forgot my email password", "mis correos los lee mi hija", "our computer died", "se descompuso la computadora", "no puedo entrar a mi correo", "never on the computer", "my inbox is always full", "hard for me to read emails", "I lost access to this email", "se me olvidó la clave del correo", "email keeps bouncing", "inbox is full"],
)  # fmt: skip
def test_that_email_may_not_reach_them_is_asked_about_and_the_password_waits(said: str) -> None:
    cleaned = row.clean(
        form(full_name="Pat Lee", email="pat@example.org", consent="Yes", notes=said)
    )
    (finding,) = [f for f in cleaned.email.findings if f.code == "email.unread"]
    assert is_doubted(finding)
    assert cleaned.consent.value is True
    assert finding.note == (
        f"The form says “{said}”. Ask if they read email at this address: the welcome packet has a password in it."
    )


@pytest.mark.parametrize(
    "said",
    ["my old email quit working", "nobody else reads my email", "not good with computers but my email works", "I check my email twice a day",
     "did not see your email until today", "el correo me llega bien", "my internet is slow but ok", "I never got your email", "I can't wait for your emails", "I have no trouble reading email", "nunca me pierdo un correo", "No emails please"],
)  # fmt: skip
def test_email_that_reaches_them_or_is_refused_is_not_asked_about(said: str) -> None:
    cleaned = row.clean(
        form(full_name="Pat Lee", email="pat@example.org", consent="Yes", notes=said)
    )
    assert "email.unread" not in {f.code for f in cleaned.email.findings}


def test_the_example_of_unread_email_holds() -> None:
    assert remarks.unread(remarks.UNREAD.wrong).value is True
    assert remarks.unread(remarks.UNREAD.right).value is None


@pytest.mark.parametrize(
    "said",
    ["I don't do computers", "my grandson reads my mail", "Computers and I don't get along", "I'm computer illiterate",
     "the internet is a mystery to me", "I only look at email when I go to the library", "My niece prints out my emails for me",
     "don't count on me seeing an email", "email isn't a good way to get hold of me", "I'm locked out of my email",
     "your emails always go to spam", "My phone is too old for email", "The kids handle anything on the computer",
     "We do without internet", "I check my email once a month", "mi nieto me lee los correos", "no le entiendo a la computadora",
     "mi nuera es la que abre el correo", "no me llevo con la tecnología", "yo de computadoras no sé nada", "me cortaron el internet"],
)  # fmt: skip
def test_that_email_does_not_reach_them_is_told_by_how_a_sentence_is_built(said: str) -> None:
    assert remarks.unread(said).value is True


@pytest.mark.parametrize(
    "said",
    ["I don't do gluten", "my grandson reads my mind", "I fix computers for a living", "my wife reads your newsletter every week",
     "I check my email every day", "My phone doesn't get signal at the barn", "please use this email not the old one",
     "My account was closed in 2019, starting over", "my email has an underscore", "I filled this out online", "my sister gave me your email",
     "mi hija recoge la caja", "reviso los huevos cada mes", "mi tía abre el salón", "I don't know how this works", "do I get a confirmation email?"],
)  # fmt: skip
def test_a_sentence_that_is_built_alike_about_something_else_says_nothing_of_email(
    said: str,
) -> None:
    assert (remarks.unread(said).value, remarks.clean(said).value) == (None, None)


@pytest.mark.parametrize(
    "said",
    ["please don't put me on any list", "Don't sign me up for anything", "I'd prefer to be left out of email blasts", "Keep your newsletters",
     "please no weekly bulletins", "I don't want to hear from you by email", "Just mail me a letter", "use the post office, not the computer",
     "count me out of the email list", "don't flood my inbox", "spare me the emails", "We've had it with emails", "I want off the list",
     "can I get these on paper?", "never want to see another newsletter", "no me pongan en ninguna lista", "no me apunten a nada",
     "ya recibo demasiados correos", "no autorizo correos", "sin publicidad ni boletines", "mejor por carta que por correo electrónico", "los correos me molestan"],
)  # fmt: skip
def test_a_wish_to_be_left_out_is_a_no_to_email(said: str) -> None:
    assert remarks.clean(said).value is False


@pytest.mark.parametrize(
    "said",
    ["Please don't put me on the far route", "don't add onions to my order", "please don't take me off the list", "I don't want to miss an email",
     "put me on the waiting list", "I'd like a paper catalog too", "no email changes", "take me off the May order", "no lactose please"],
)  # fmt: skip
def test_a_wish_about_something_else_is_no_no_to_email(said: str) -> None:
    assert remarks.clean(said).value is None


@pytest.mark.parametrize(
    "said",
    [
        "ni ",
        "no interested ",
        "don't have a any ",
        "email no ",
        "my computer ",
        "my son read my ",
        "not use the too ",
    ],
)
def test_a_long_remark_is_read_in_no_time(said: str) -> None:
    began = time.process_time()
    for rule in (remarks.clean, remarks.wants_calls, remarks.unread):
        rule(said * 1_000)
    assert time.process_time() - began < 2


@given(st.text())
def test_no_text_makes_a_rule_raise(said: str) -> None:
    for rule in (
        consent.clean,
        consent.opted_out,
        remarks.clean,
        remarks.wants_calls,
        remarks.unread,
        language.clean,
    ):
        assert rule(said).said == said


@pytest.mark.parametrize(
    ("said", "code"),
    [("Spanish", "es"), ("español", "es"), ("ES", "es"), ("inglés", "en"), ("es-MX", "es"),
     ("Español / Spanish", "es"), ("Prefer Spanish", "es"), ("en_US", "en"), ("Spanish only", "es"),
     ("No English, Spanish", "es"), ("English (inglés)", "en"), ("Both", None), ("", None)],
)  # fmt: skip
def test_a_language_is_known_by_its_names(said: str, code: str | None) -> None:
    assert (language.clean(said).value, language.clean(said).findings) == (code, ())


@pytest.mark.parametrize(
    "said",
    ["Prefiero que me llamen", "I'd rather you called", "Mejor llámenme", "Phone calls are best",
     "I would prefer a text", "I'd rather you call me than write", "llámeme mejor", "please call me", "es más fácil por teléfono"],
)  # fmt: skip
def test_a_wish_for_calls_beside_a_yes_is_asked_about_and_is_no_no(said: str) -> None:
    fields = {"full_name": "Pat Lee", "consent": "yes", "notes": said}
    found = row.may_email(RawRow("f", 2, tuple(fields.items()), fields))
    assert found.value is True
    (finding,) = found.findings
    assert (finding.code, finding.weight) == ("consent.wants_calls", Weight.DOUBTFUL)
    assert said in finding.note
    assert "says yes to email" in finding.note


@pytest.mark.parametrize(
    "said", ["No emails, call me", "only by phone", "I prefer calls to email", "Solo por teléfono"]
)
def test_who_wants_calls_and_no_email_has_said_no(said: str) -> None:
    fields = {"full_name": "Pat Lee", "consent": "yes", "notes": said}
    assert row.may_email(RawRow("f", 2, tuple(fields.items()), fields)).value is False


@pytest.mark.parametrize("said", ["No me manden cartas", "Por favor no me envíen papeles"])
def test_who_wants_no_paper_has_not_said_no_to_email(said: str) -> None:
    assert remarks.clean(said).value is None
    assert remarks.clean("No me manden cartas ni correos").value is False
