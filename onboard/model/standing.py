"""Where somebody stands with the co-op, where they can go from there, and what it forbids."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class NoSuchStep(ValueError):
    """Something was to go from one state to another that does not follow it; nothing changed."""


class Deed(StrEnum):
    """What a standing may forbid."""

    SIGN_IN = "sign in"
    PACKET = "packet"  # a welcome packet, with a first password in it
    CORRECT = "correct"  # what is on file, by the help desk
    MERGE = "merge"  # into another account
    KEEP = "keep"  # be the account that stays when two are merged
    CLOSE = "close"  # because the member leaves
    REOPEN = "reopen"  # because the member comes back


class Standing(StrEnum):
    """Where somebody stands."""

    HOLD = "hold"  # a join form that waits for an answer: no account yet
    OPEN = "open"
    CLOSED = "closed"
    MERGED = "merged"  # the person's account is another one now

    def to(self, other: Standing) -> Standing:
        """The other standing. Raises `NoSuchStep` if it does not follow this one.

        >>> Standing.OPEN.to(Standing.CLOSED)
        <Standing.CLOSED: 'closed'>
        """
        if other not in FOLLOWS[self]:
            raise NoSuchStep(f"an account that is {self} cannot become {other}")
        return other

    def forbids(self, deed: Deed) -> bool:
        """Whether whoever stands so is kept from this.

        >>> Standing.CLOSED.forbids(Deed.SIGN_IN), Standing.CLOSED.forbids(Deed.CORRECT)
        (True, False)
        """
        return deed in FORBIDDEN[self]


# What may follow. A merge that is taken back gives the account the standing that it had.
FOLLOWS: Mapping[Standing, frozenset[Standing]] = {
    Standing.HOLD: frozenset({Standing.OPEN}),
    Standing.OPEN: frozenset({Standing.CLOSED, Standing.MERGED}),
    Standing.CLOSED: frozenset({Standing.OPEN, Standing.MERGED}),
    Standing.MERGED: frozenset({Standing.OPEN, Standing.CLOSED}),
}

FORBIDDEN: Mapping[Standing, frozenset[Deed]] = {
    # A form on hold is put right by the answer to its question.
    Standing.HOLD: frozenset(Deed),
    Standing.OPEN: frozenset({Deed.REOPEN}),
    Standing.CLOSED: frozenset({Deed.SIGN_IN, Deed.PACKET, Deed.KEEP, Deed.CLOSE}),
    Standing.MERGED: frozenset(Deed),
}
