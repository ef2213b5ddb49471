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
    "There is no email address, so we can't email this person.",
    "none",
)
UNREADABLE = _blocking(
    "unreadable",
    "What was typed can't be an email address.",
    "pat..lee@example.org",
)
UNCLEAR = _blocking(
    "unclear",
    "The email address can be read in more than one way. A wrong guess would reach a stranger.",
    "pat lee@example.org",
)
WRONG_FIELD = _blocking(
    "wrong_field",
    "Something else is where the email address should be.",
    "(419) 555-0143",
)
PLACEHOLDER = _blocking(
    "placeholder",
    "The email address is made up to fill the field.",
    "none@none.com",
)
UNUSUAL = _blocking(
    "unusual",
    "The email address is allowed, but almost no email program accepts its form.",
    '"pat lee"@example.org',
)
LONG = _doubtful(
    "long",
    "The cell is far too long for an email address. Only the beginning was read.",
    "pat@example.org" + " and so on" * 50,
)
SPACES = _mended(
    "spaces",
    "Spaces around the email address or its @ were removed.",
    " pat @example.org",
)
CHARACTERS = _mended(
    "characters",
    "Full-width or hidden characters were fixed.",
    "pat＠example.org",
)
WRAPPING = _mended(
    "wrapping",
    "Brackets, quotation marks, a name, mailto: or punctuation around the email address was removed.",
    "Pat Lee <pat@example.org>",
)
WORDS = _doubtful(
    "words",
    "There are other words next to the email address.",
    "pat@example.org after June",
)
SPELLING = _doubtful(
    "spelling",
    "The email address was mistyped or spelled out, and there is only one way to read it.",
    "pat (at) example (dot) org",
)
SEVERAL = _doubtful(
    "several",
    "There is more than one email address. The first one is used, and the others are kept.",
    "pat@example.org or pat@example.net",
)
SLIP = _doubtful(
    "slip",
    "The part after the @ looks like a typo of a well-known one.",
    "pat@gmial.com",
)
WEB = _doubtful(
    "web",
    "The email address starts like a web address.",
    "www.pat@example.org",
)
CONFUSABLE = _doubtful(
    "confusable",
    "The email address has letters that look like others, maybe from another alphabet.",
    "pat@ex\N{CYRILLIC SMALL LETTER A}mple.org",
)
INTERNATIONAL = _doubtful(
    "international",
    "The part before the @ has letters other than a to z. Some email systems can't send to it.",
    "pelé@example.org",
)
ROLE = _doubtful(
    "role",
    "The email address belongs to a job or a group, so other people may read what we send.",
    "office@example.org",
)
THROWAWAY = _doubtful(
    "throwaway",
    "The email address is from a service for short-lived addresses.",
    "pat@mailinator.com",
)
SPECIAL_USE = _doubtful(
    "special_use",
    "The part after the @ is reserved for tests or private networks. Email never arrives there.",
    "pat@example.test",
)
NO_ENDING = _doubtful(
    "no_ending",
    "The part after the @ ends in letters that no domain ends in. Email never arrives there.",
    "pat@parish.dv",
)
COUNTRY_ONLY = _blocking(
    "country_only",
    "There is only a country code after the @, so the rest is missing.",
    "pat@io",
)
SIGNS = _doubtful(
    "signs",
    "The part before the @ has a sign that the email provider gives out to nobody.",
    "pat#lee@gmail.com",
)
FILLER = _doubtful(
    "filler",
    "The email address may be made up to fill the field, or it is a stranger's.",
    "test@test.com",
)

KINDS = (
    MISSING, UNREADABLE, UNCLEAR, WRONG_FIELD, PLACEHOLDER, UNUSUAL, LONG, SPACES, CHARACTERS,
    WRAPPING, WORDS, SPELLING, SEVERAL, SLIP, WEB, CONFUSABLE, INTERNATIONAL, ROLE, THROWAWAY,
    SPECIAL_USE, NO_ENDING, COUNTRY_ONLY, SIGNS, FILLER,
)  # fmt: skip

# Whether a letter to a stranger, or to nobody, could come of it: then no temporary password goes to the
# address before a person has said that it is right. A kind that leaves no address at all stands in neither.
DOUBTS_WHERE_IT_GOES = frozenset(
    kind.code
    for kind in (
        UNUSUAL,  # an address with a comment or quotation marks may be meant without
        LONG, WORDS,  # what else stands there may say that it is old, or another's
        SPELLING, SEVERAL,  # we chose one reading, or one of two
        SLIP, SIGNS, WEB, CONFUSABLE, INTERNATIONAL, COUNTRY_ONLY,  # likely another is meant
        ROLE, THROWAWAY, FILLER,  # others read what comes there
        SPECIAL_USE, NO_ENDING,  # nobody does
    )
) | {"email.no_mail", "email.helper", "email.anothers", "email.unread"}  # fmt: skip
# Of the last four, the name servers know the first (onboard.intake.mail_domains): nobody reads it. The others
# take what else the form says (onboard.clean.on_behalf, anothers, remarks): the helper does, somebody else, or nobody.
GOES_WHERE_IT_SAYS = frozenset(kind.code for kind in (SPACES, CHARACTERS, WRAPPING))
