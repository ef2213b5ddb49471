"""One address in its parts: what email-validator and the table of domains make of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from onboard.clean.email import characters, kinds, providers, slips
from onboard.clean.email.mailbox import identity
from onboard.model import Kind

if TYPE_CHECKING:
    from email_validator import ValidatedEmail


@dataclass(frozen=True, slots=True)
class Domain:
    """A well-formed domain in small letters, and what is to be said of it."""

    ascii: str  # A-labels, RFC 5890, 2.3.2.1
    shown: str
    kinds: tuple[Kind, ...] = ()
    suggestion: str = ""


@dataclass(frozen=True, slots=True)
class Parsed:
    """A well-formed address: the local part as typed, and the domain."""

    local: str
    domain: Domain

    @property
    def address(self) -> str:
        """The address as it is to be written to."""
        # RFC 6531, 3.2: a server without SMTPUTF8 takes A-labels only, so that is the form
        # wherever the local part allows it
        domain = self.domain.ascii if self.local.isascii() else self.domain.shown
        return f"{self.local}@{domain}"

    @property
    def identity(self) -> str:
        return identity(self.local, self.domain.ascii)


LONGEST_ADDRESS = 254  # octets; a path of 256 (RFC 5321, 4.5.3.1.3) without its brackets

# RFC 5322, 3.2.3: atext
ATEXT = r"A-Za-z0-9!#$%&'*+/=?^_`{|}~\-"
_PLAIN = re.compile(rf"([{ATEXT}.]{{1,64}})@([A-Za-z0-9.\-]{{1,253}})")

# Legal (RFC 5322, 3.2.3), but where an address begins with one, a spreadsheet or a form has put it there
SPREADSHEET_MARKS = ("'", "=", "*")

# Reserved for tests and private use: RFC 6761, 6.2 and 6.4; ICANN, 29 July 2024 ("internal").
# "example" is not among them: RFC 6761, 6.5 asks programs not to treat it as special, so it counts as an ending.
_SPECIAL_USE = (".test", ".invalid", ".internal")
# What IDNA takes for a dot (UTS 46, 2.3)
_DOTS = dict.fromkeys((0x3002, 0xFF0E, 0xFF61), ".")


def library(address: str) -> ValidatedEmail | str:
    """What email-validator makes of an address, or in its words why it is none."""
    # Only now: whoever looks a member up by name would wait for it.
    from email_validator import EmailNotValidError, validate_email

    try:
        return validate_email(
            address, check_deliverability=False, strict=True, test_environment=True,
            allow_quoted_local=True, allow_domain_literal=True, allow_display_name=True,
        )  # fmt: skip
    except EmailNotValidError as wrong:
        return str(wrong)


@lru_cache(maxsize=8_192)
def domain_of(written: str) -> Domain | str:
    """The domain, in whatever letters it is written, or why it is none."""
    folded = written.lower()
    if re.fullmatch(r"[a-z]{2}", folded) and folded in providers.endings():
        # RFC 5321, 2.3.5: a top-level domain may stand alone. ICANN forbids it to all but
        # the countries (resolution of 13 August 2013), whose endings have two letters.
        return Domain(folded, folded, (kinds.COUNTRY_ONLY,))
    if "." not in folded.translate(_DOTS).strip("."):
        return "There is no dot after the @."
    # RFC 6761, 6.4 reserves .invalid just as 6.2 does .test; the library has a switch for one
    stand_in = re.sub(r"\.invalid$", ".test", folded)
    checked = library(f"x@{stand_in}")
    if isinstance(checked, str):
        return checked
    if stand_in != folded:
        return Domain(folded, folded, (kinds.SPECIAL_USE,))
    ascii_domain = (checked.ascii_domain or "").lower()
    found = []
    if ascii_domain.endswith(_SPECIAL_USE):
        found.append(kinds.SPECIAL_USE)
    suggestion = slips.suggestion(ascii_domain)
    ending = ascii_domain.rpartition(".")[2]
    if not (found or suggestion or ending in providers.endings() or ending == "example"):
        found.append(kinds.NO_ENDING)
    if not suggestion and providers.throwaway(ascii_domain):
        found.append(kinds.THROWAWAY)
    if any(characters.confusable(label) for label in checked.domain.split(".")):
        found.append(kinds.CONFUSABLE)
    return Domain(ascii_domain, checked.domain, tuple(found), suggestion)


def plain(text: str) -> Parsed | None:
    """The parts of an address in plain ASCII, as nearly all are; None if it is not one."""
    match = _PLAIN.fullmatch(text)
    if match is None or len(text) > LONGEST_ADDRESS:
        return None
    local, written = match.groups()
    if local[0] in SPREADSHEET_MARKS or local[0] == "." or local[-1] == "." or ".." in local:
        return None
    domain = domain_of(written.lower())
    return None if isinstance(domain, str) else Parsed(local, domain)


def parse(text: str) -> Parsed | None:
    """The parts of an address as people write them, with letters of any alphabet.

    >>> parse("pelé@bücher.example").address, parse("info@bücher.example").address
    ('pelé@bücher.example', 'info@xn--bcher-kva.example')
    """
    if parsed := plain(text):
        return parsed
    if text.isascii() or text.count("@") != 1 or '"' in text:
        return None
    local, _, written = text.partition("@")
    if len(written) > 253:  # RFC 1035, 2.3.4, as text; and what is remembered stays small
        return None
    domain = domain_of(written)
    if isinstance(domain, str) or local[:1] in SPREADSHEET_MARKS:
        return None
    checked = library(f"{local}@example.org")
    if isinstance(checked, str) or checked.domain != "example.org":
        return None
    parsed = Parsed(checked.local_part, domain)
    # in octets, and in whichever form a mail program may send it
    forms = (text, parsed.address, f"{parsed.local}@{domain.ascii}")
    return parsed if max(len(form.encode()) for form in forms) <= LONGEST_ADDRESS else None
