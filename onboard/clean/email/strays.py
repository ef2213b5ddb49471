"""A stray sign inside an address: which whole it is a part of, so that no half is ever taken.

Fingers that look for a dot meet a comma, a semicolon or the space bar, and a form lets them:
"pat@gm,ail.com" is not pat@gm, which is a mailbox in Gambia, and "pat,lee@gmail.com" is not lee.
Which signs people hit is common practice; what a domain may have in it is RFC 1035, 2.3.1.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from onboard.clean.email.address import ATEXT, domain_of
from onboard.clean.email.providers import endings, providers
from onboard.clean.email.slips import COMMON, suggestion
from onboard.late import late
from onboard.tables import words

# what keys and spreadsheets write; any other sign is no slip of the fingers
_STRAY = late(r"[\s!-,/:-@\[-`{-~‘’“”„«»‹›´·•]+")
_LOCAL = late(rf"(?:^|[\s<(\[{{\"'“‘«:=])([{ATEXT}.]*\w[{ATEXT}.]*)\s*$")
_ENDS = ".,;:!?/'\"`´‘’“”«»‹›<>()[]{}*"  # what stands after an address and is no part of it
PAIRS = {
    "<": ">", "(": ")", "[": "]", "{": "}", "‘": "’", "“": "”", "„": "“", "«": "»", "‹": "›",
    **{quote: quote for quote in "\"'`´"},
}  # fmt: skip
# a word glued to an address that is one name of its mailbox: "Robin,robin@example.org"
_SHORTEST_NAME = 3


def across(text: str) -> tuple[str, ...]:
    """The addresses that a text with a stray sign after its one @ can mean, best first.

    () where the sign is none, or parts the address from other words.

    >>> across("pat@comcast.ne,t"), across("pat@gm ,ail.com"), across("pat@example.org/home")
    (('pat@comcast.net',), ('pat@gmail.com',), ())
    >>> across("pat@par,ish.org")
    ('pat@parish.org', 'pat@par.ish.org')
    """
    before, at, after = text.partition("@")
    local = _LOCAL.search(before)
    if not at or "@" in after or local is None or torn_before(before, "", after):
        return ()
    whole = after.strip()
    meant = (
        [c for c in _joinings(_pieces(whole)) if c in providers()] if _STRAY.search(whole) else []
    )
    if not meant or _pieces(whole)[0] in providers():
        meant = list(domains(whole.split()[0]) if whole else ())
    return tuple(f"{local[1]}@{domain}" for domain in meant)


def domains(run: str) -> tuple[str, ...]:
    """The domains that `run`, what stands between an @ and the next space, can mean.

    () where its beginning is a whole domain and the rest something else, or nothing can be told.

    >>> domains("gmail.com,Lima"), domains("aol.com,mx"), domains(".gmail.com")
    ((), ('aol.com.mx', 'aol.com'), ('gmail.com',))
    """
    pieces = _pieces(run)
    if not pieces:
        return ()
    first = pieces[0]
    if len(pieces) == 1:
        bare = _tidied(first)
        return (bare,) if bare != run.lower().rstrip(_ENDS) and _stands(bare) else ()
    candidates = _joinings(pieces)
    known = [c for c in candidates if c in providers()]
    if first in providers():
        return (*known, first) if known else ()
    meant = _each_once(meant for c in candidates if (meant := suggestion(c)))
    if known := known or [c for c in meant if c in providers()]:
        return tuple(known)
    if _of_no_matter(pieces[1:]) and _stands(first):
        return ()
    if first.rpartition(".")[2] in COMMON and _stands(first):
        # whole as it is, unless a country follows: "parish.org,uk"
        candidates = [c for c in candidates if re.search(r"\.(?:com?|org|net|ac)\.[a-z]{2}$", c)]
    standing = [c for c in candidates if _stands(c)]
    return (*standing, first) if standing and _stands(first) else tuple(standing or meant)


def half(after: str) -> bool:
    """Whether an address is only a half, as what was written from its @ on goes on: `after` is
    its domain and what stands glued to it.

    >>> half("gm,ail.com"), half("gmail.com,"), half("st.mary s.org")
    (True, False, True)
    """
    run = after.split()[0]
    if domains(run):
        return True
    domain, *further = _STRAY.split(run.lower()) + after.split()[1:]
    if not "".join(further).strip(_ENDS):
        return False
    if not _stands(domain):  # a country alone, or an ending that there is not
        return not suggestion(domain) or len("".join(further)) <= 2
    # "pat@st.ma rys.org", "pat@corner.st ore": a country, and what reads like the rest of the domain
    goes_on = _stands(further[0]) or _stands(domain + further[0])
    return domain[-3] == "." and goes_on and domain not in providers()


def torn_before(before: str, local: str, after: str) -> str:
    """The word glued to the front of an address by a stray sign, or "".

    `before` is all that stands before the name `local`, and `after` all after it.

    >>> torn_before("pat,", "lee", "@gmail.com"), torn_before("Email:", "lee", "@gmail.com")
    ('pat', '')
    """
    glued = re.search(r"([^\s@]*\w)([^\w\s@]+)$", before)
    if glued is None:
        return ""
    word, sign = glued.groups()
    said = [w.lower() for w in re.findall(r"[^\W_]+", before)]
    apart = (
        _of_no_matter([word.lower()])
        or sum(c.isdigit() for c in word) >= 7  # a phone number
        or re.fullmatch(r"\d{1,2}", word)  # a number in a list
        or PAIRS.get(sign[-1], "@") in after.partition("@")[2]
        or any(len(w) >= _SHORTEST_NAME and w in local.lower() for w in said)
    )
    return "" if apart else word


def _pieces(written: str) -> list[str]:
    pieces = [p for p in _STRAY.split(written.lower()) if p.strip(".-")]
    return pieces if all(re.fullmatch(r"[\w.\-]+", piece) for piece in pieces) else []


def _tidied(domain: str) -> str:
    """A domain without the dots and hyphens that are where none can be."""
    return re.sub(r"-*\.[.\-]*", ".", domain).strip(".-")


def _joinings(pieces: Iterable[str]) -> list[str]:
    """The pieces put together, as if the sign were too much, and as if it were a dot."""
    return _each_once(_tidied(mark.join(pieces)) for mark in ("", "."))


def _each_once(found: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(found))


def _of_no_matter(pieces: Iterable[str]) -> bool:
    """Whether pieces are words that people write beside an address: "/work"."""
    found = [w for piece in pieces for w in re.findall(r"[^\W_]+", piece)]
    return all(w in words("contact_words", "email") for w in found)


def _stands(domain: str) -> bool:
    """Whether a domain can be whole: two labels, and an ending that exists."""
    name, dot, ending = domain.rpartition(".")
    return bool(name and dot) and ending in endings() and not isinstance(domain_of(domain), str)
