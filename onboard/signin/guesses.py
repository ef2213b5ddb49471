"""What is only guessed of a caller, and what is known by the causes that were found."""

from __future__ import annotations

from collections.abc import Sequence

from onboard.signin.account import Cause
from onboard.signin.causes import ORDERING

# What nobody said, and most people do.
GUESSES = {
    "typed.email": "Nobody said what they typed. Many people type their email address.",
    "page.shop": "Nobody said which page they were on. Many people try the shop page.",
}
# What may be left to tell of whoever is signed in.
_OF_WHO_IS_IN = (*ORDERING, "unexplained")
_ALONE = 0.95  # as sure as nothing but what is known can be


def are_in(causes: Sequence[Cause]) -> bool:
    """Whether they are signed in: nothing but what keeps them from ordering, if anything does, explains
    the call."""
    return bool(causes) and causes[0].code in _OF_WHO_IS_IN and causes[0].confidence >= _ALONE


def is_known(causes: Sequence[Cause]) -> bool:
    """Whether what is told first explains the call, and is not what is guessed of everybody."""
    first = causes[0] if causes else None
    return (
        first is not None and first.code != "unexplained" and first.seen != GUESSES.get(first.code)
    )
