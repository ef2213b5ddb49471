"""Every kind of finding about an email address."""

from __future__ import annotations

from onboard.model import Kind, Weight

_RIGHT = "pat@example.org"


def _blocking(what: str, about: str, wrong: str) -> Kind:
    return Kind(f"email.{what}", Weight.BLOCKING, about, wrong, _RIGHT)


def _doubtful(what: str, about: str, wrong: str) -> Kind:
    return Kind(f"email.{what}", Weight.DOUBTFUL, about, wrong, _RIGHT)


def _mended(what: str, about: str, wrong: str) -> Kind:
    return Kind(f"email.{what}", Weight.MENDED, about, wrong, _RIGHT)


MISSING = _blocking(
    "missing",
    "There is no email address, so nothing can be told by mail.",
    "none",
)
UNREADABLE = _blocking(
    "unreadable",
    "What was typed cannot be an email address.",
    "pat..lee@example.org",
)
UNCLEAR = _blocking(
    "unclear",
    "The address can be read in more than one way, and a wrong guess would write to a stranger.",
    "pat lee@example.org",
)
WRONG_FIELD = _blocking(
    "wrong_field",
    "Something else stands where the email address should be.",
    "(419) 555-0143",
)
PLACEHOLDER = _blocking(
    "placeholder",
    "The address is made up to fill the field.",
    "none@none.com",
)
UNUSUAL = _blocking(
    "unusual",
    "The address is legal, but of a form that hardly any mail program accepts.",
    '"pat lee"@example.org',
)
LONG = _doubtful(
    "long",
    "The cell is far too long for an email address; only its beginning was read.",
    "pat@example.org" + " and so on" * 50,
)
SPACES = _mended(
    "spaces",
    "Spaces around the address or its @ were taken out.",
    " pat @example.org",
)
CHARACTERS = _mended(
    "characters",
    "Full-width or invisible characters were put right.",
    "pat＠example.org",
)
WRAPPING = _mended(
    "wrapping",
    "Brackets, quotation marks, a name, mailto: or punctuation around the address was left off.",
    "Pat Lee <pat@example.org>",
)
WORDS = _doubtful(
    "words",
    "There are other words beside the address.",
    "pat@example.org after June",
)
SPELLING = _doubtful(
    "spelling",
    "The address was mistyped or spelled out, and there is only one way to read it.",
    "pat (at) example (dot) org",
)
SEVERAL = _doubtful(
    "several",
    "There is more than one address; the first is used and the others are kept.",
    "pat@example.org or pat@example.net",
)
SLIP = _doubtful(
    "slip",
    "The part after the @ looks like a slip of a well-known one.",
    "pat@gmial.com",
)
WEB = _doubtful(
    "web",
    "The address begins like that of a web page.",
    "www.pat@example.org",
)
CONFUSABLE = _doubtful(
    "confusable",
    "The address has letters that look like others, perhaps from another alphabet.",
    "pat@ex\N{CYRILLIC SMALL LETTER A}mple.org",
)
INTERNATIONAL = _doubtful(
    "international",
    "The name before the @ has letters beyond a-z, which some mail systems cannot send to.",
    "pelé@example.org",
)
ROLE = _doubtful(
    "role",
    "The address belongs to a job or a group, so others may read the mail.",
    "office@example.org",
)
THROWAWAY = _doubtful(
    "throwaway",
    "The mailbox is of a service whose mailboxes are thrown away.",
    "pat@mailinator.com",
)
SPECIAL_USE = _doubtful(
    "special_use",
    "The domain is reserved for tests or private networks; mail never arrives there.",
    "pat@example.test",
)
COUNTRY_ONLY = _doubtful(
    "country_only",
    "There is only a country's ending after the @.",
    "pat@io",
)

KINDS = (
    MISSING, UNREADABLE, UNCLEAR, WRONG_FIELD, PLACEHOLDER, UNUSUAL, LONG, SPACES, CHARACTERS,
    WRAPPING, WORDS, SPELLING, SEVERAL, SLIP, WEB, CONFUSABLE, INTERNATIONAL, ROLE, THROWAWAY,
    SPECIAL_USE, COUNTRY_ONLY,
)  # fmt: skip
