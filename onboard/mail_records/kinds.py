"""What the name servers said, and what is to be said about it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class Answer:
    """What the name servers have of one name and type; each record as its text: a TXT record's parts
    joined, an MX record as "10 mail.example.org", an address or a name without its last dot."""

    records: tuple[str, ...] = ()
    known: bool = True  # False: nobody answered, so that nothing can be told


Ask = Callable[[str, str], Answer]  # by name and type: TXT, MX, A, AAAA, PTR


class Grade(StrEnum):
    """How good something is; the worst first."""

    WRONG = "wrong"  # mail may be refused, or land in spam
    WEAK = "weak"  # it works, and could be better
    UNKNOWN = "could not tell"
    GOOD = "good"


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to know about how a domain sends mail."""

    code: str  # stable: "spf.missing"
    grade: Grade
    says: str  # what is so, in plain words
    ask: str = ""  # what to ask of whoever runs the domain; "" where there is nothing to do
    record: str = ""  # the record that it is about

    @property
    def subject(self) -> str:
        """What it is about: "spf", "dkim", "dmarc" or "mx"."""
        return self.code.partition(".")[0]


@dataclass(frozen=True, slots=True)
class Sending:
    """How the co-op sends mail, as far as the settings tell."""

    domain: str  # what follows the @ of the sender
    path: str = ""  # the same of the address that reports come back to; "" if it is the sender's
    server: str = ""  # the host that mail goes out through
    selectors: tuple[str, ...] = ()  # names under which the domain publishes its DKIM keys
    public_key: str = ""  # of the key that we sign with, in base64; "" if we do not sign


def tags(text: str) -> list[tuple[str, str]]:
    """The name and value of each tag of a list as RFC 6376, 3.2, and RFC 9989, 4.6, write it.

    Raises ValueError with the piece that is no tag.

    >>> tags("v=DKIM1; k=rsa;p=MIG f;")
    [('v', 'DKIM1'), ('k', 'rsa'), ('p', 'MIG f')]
    """
    found = []
    for piece in text.split(";"):
        name, equals, value = piece.partition("=")
        if not equals:
            if piece.strip():
                raise ValueError(piece.strip())
            continue
        found.append((name.strip().lower(), value.strip()))
    return found
