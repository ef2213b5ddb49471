"""Forms whose email address or phone number is somebody else's, or whose member cannot talk on a phone."""

from __future__ import annotations

import pytest
from coop_forms import PAT, form
from hypothesis import given
from hypothesis import strategies as st

from onboard.clean import anothers, on_behalf, row, shared_mailbox
from onboard.clean.email.doubts import is_doubted
from onboard.model import Finding, RawRow


def found(said: str) -> dict[str, Finding]:
    return {f.code: f for f in row.clean(form(**(PAT | {"notes": said}))).findings}


@pytest.mark.parametrize(
    "said",
    ["That email is my son's", "the email is my daughter Rosa's", "This is my neighbor's email, I have none", "I'm using my mom's email for now",
     "the email address belongs to my nephew", "that's not my email", "that email isn't mine", "My daughter-in-law's email is what I put down",
     "email given is my brother's, he lives with me", "I don't have email so I listed my niece's email address", "el correo es de mi hijo",
     "puse el correo de mi hija", "uso el correo de mi esposo", "el correo no es mío", "di el correo de mi yerno porque no tengo"],
)  # fmt: skip
def test_a_mailbox_of_somebody_else_is_asked_about_before_a_packet_goes_there(said: str) -> None:
    assert is_doubted(found(said)["email.anothers"])
    assert found(said)["email.anothers"].note == (
        f"The form says “{said}”. Ask if the welcome packet may go there: it has a password in it, and whoever reads it can sign in as the member."
    )
    assert not shared_mailbox.says(said)


@pytest.mark.parametrize(
    "said",
    ["Same email as my husband", "We share an email", "email is my husband's and mine", "comparto el correo con mi esposa", "our family email",
     "we both use this email", "mismo correo que mi hermana", "el correo es de la familia"],
)  # fmt: skip
def test_a_mailbox_that_two_share_is_nobody_elses(said: str) -> None:
    assert shared_mailbox.says(said)
    assert "email.anothers" not in found(said)


@pytest.mark.parametrize(
    "said",
    ["The phone is my daughter's", "that number is my neighbor's", "I gave my son's cell number", "it's my mother's landline",
     "el teléfono es de mi hermana", "puse el número de mi comadre"],
)  # fmt: skip
def test_a_phone_of_somebody_else_is_asked_about(said: str) -> None:
    assert found(said)["phone.anothers"].note == (
        f"The form says “{said}”. Ask whose number it is, before you trust a call from it."
    )


@pytest.mark.parametrize(
    "said",
    ["I'm deaf, text me", "I am hard of hearing so calls don't work", "Deaf. Use relay service", "I can't talk on the phone at all",
     "I have a speech disability", "she is deaf", "soy sorda", "no oigo bien por teléfono", "mi papá es sordo", "no puedo hablar por teléfono"],
)  # fmt: skip
def test_who_cannot_talk_on_the_phone_is_written_to(said: str) -> None:
    assert found(said)["phone.cannot_talk"].note == (
        f"The form says “{said}”. They may not be able to talk on the phone: write to them, and ask what is best."
    )


@pytest.mark.parametrize(
    "said",
    ["Please use my number, she is deaf", "call me, not her, she can't hear", "use my cell for her", "Contact me at this number, he has dementia",
     "My father doesn't hear, call me at this number", "llámenme a mí, ella no oye", "usen mi número, mi mamá no oye bien"],
)  # fmt: skip
def test_a_helper_who_wants_to_be_called_instead_is_heard(said: str) -> None:
    assert on_behalf.helped(said)
    assert {"phone.helper", "email.helper"} & found(said).keys()


@pytest.mark.parametrize(
    "said",
    ["use my cell number, not the landline", "my dog is deaf", "I can't talk before noon", "my number is new", "number of people: 4",
     "My email is my son's name and 99", "my son has an email too", "email my son when it's ready", "call me if she isn't home",
     "call me or my wife", "I speak Spanish on the phone", "mi esposo habla español", "I talk to her on the phone"],
)  # fmt: skip
def test_a_remark_about_something_else_says_nothing_of_whose_they_are(said: str) -> None:
    assert (
        not {
            "email.anothers",
            "phone.anothers",
            "phone.cannot_talk",
            "phone.helper",
            "email.helper",
        }
        & found(said).keys()
    )


@given(st.text())
def test_no_text_makes_it_raise(said: str) -> None:
    raw = RawRow("", 2, (), {"notes": said})
    anothers.of_email(raw)
    anothers.of_phone(raw)
