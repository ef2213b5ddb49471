"""Passwords that people choose: those that were stolen are known without asking anybody."""

from __future__ import annotations

import pytest
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from onboard.own_password import EASY, KNOWN, SHORT, WITH_CODE, trouble


def test_every_listed_password_that_is_long_enough_is_refused() -> None:
    listed = [one for one in FREQUENCY_LISTS["passwords"] if len(one) >= WITH_CODE]
    assert len(listed) > 3_000  # OWASP ASVS 5.0, 6.2.4
    assert {trouble(one, has_code=True, names=()) for one in listed} == {KNOWN}


@pytest.mark.parametrize(
    "password",
    [
        "SunShine",
        "1Princess!",
        "drowssap1234"[:8],
        "baseball99",
        "trustno1trustno1",
        "??butterfly??",
    ],
)
def test_a_listed_one_with_something_around_it_is_refused(password: str) -> None:
    assert trouble(password, has_code=True, names=()) == KNOWN


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("xk3#9fLq", ""),
        ("dragon 4820 7713 5529", ""),  # so many digits by chance are hard to guess
        ("the mat by our door is wet", ""),
        ("abcabcabc", EASY),
        ("sunset", SHORT),
    ],
)
def test_others_are_judged_by_how_hard_they_are(password: str, said: str) -> None:
    assert trouble(password, has_code=True, names=()) == said
