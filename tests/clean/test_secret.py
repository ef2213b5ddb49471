"""Notes that seem to hold a password, and notes that do not."""

from __future__ import annotations

import pytest

from onboard import passwords
from onboard.clean import secret

WORDS = passwords.words()


@pytest.mark.parametrize(
    "note",
    [
        "-".join(WORDS[10:15]), f"typed {' '.join(WORDS[100:105])} twice", f"had {'-'.join(WORDS[7:11])} only",
        "her password is tulips", "Password: hunter", "pw=rosebud", "the PIN is 4471", "contraseña: girasol",
        "la clave es girasol", "typed Tr0ub4dor&3 again", "chose Summer2026! for it", "uses gArden#99",
        "new password is now Bluebird7", "password was changed to bluebird",
        "use password mango#77 for me", "the password should be figtree", "mi clave perro8",
    ],
)  # fmt: skip
def test_what_looks_like_a_password_is_one(note: str) -> None:
    assert secret.is_in(note, WORDS)


@pytest.mark.parametrize(
    "note",
    [
        "", "calls again on Monday", "lost the password", "the password was wrong", "password is expired",
        "password reset sent", "her password was not accepted", "no password in the letter, she says",
        "wrote to pat.lee2@example.org on 11/25/2026", "cause typed.capitals, see https://order.example.org/A1",
        "call back at (419) 555-0143 before 5:30pm", "drop site is Lima Grange Hall", "asked for 3 boxes, $12.50",
        "typed patlee2 instead of PatLee", "member of the co-op since 2019", "la contraseña es incorrecta",
        "What is the password? she asked", "uses letters-1-2.pdf", "12 N Main St Apt 4B",
        "my password 2nd try failed", "changed her password 3 times",
    ],
)  # fmt: skip
def test_what_speaks_of_passwords_or_mixes_signs_is_none(note: str) -> None:
    assert not secret.is_in(note, WORDS)


@pytest.mark.parametrize(
    "note",
    [
        "comes 5:30-6:30pm", "on the 2nd-floor", "12-pack/box", "co-op2026 meeting", "member#1734",
        "24th/25th", "call 7:30pm-8", "order#44719 is missing", "lives at 12B/Rear-House",
    ],
)  # fmt: skip
def test_times_numbers_and_places_are_no_passwords(note: str) -> None:
    assert not secret.is_in(note, WORDS)


def test_a_sign_in_name_as_it_was_typed_is_none() -> None:
    assert secret.is_in("typed PatriciaLee2", WORDS)
    assert not secret.is_in("typed PatriciaLee2 and Patricia.Lee.22", WORDS, ("patricialee",))
