"""Which mailbox an address reaches, and how two mailboxes stand to each other."""

from __future__ import annotations

from enum import StrEnum

from rapidfuzz.distance import OSA

from onboard.clean.email.providers import providers
from onboard.clean.email.slips import suggestion


def identity(local: str, domain: str) -> str:
    """The mailbox that an address reaches, as far as the provider's rules are known.

    `domain` as A-labels in small letters. Capitals are folded everywhere: RFC 5321, 2.4 lets
    a host tell them apart, and none in use does (common practice). Dots and tags are dropped
    only where the provider is known to ignore them. For matching only, never to write to.

    >>> identity("Pat.Lee+coop", "googlemail.com"), identity("Pat.Lee+coop", "example.org")
    ('patlee@gmail.com', 'pat.lee+coop@example.org')
    """
    local = local.casefold()
    provider = providers().get(domain)
    if provider is None:
        return f"{local}@{domain}"
    if provider.tag and not local.startswith(provider.tag):
        local = local.partition(provider.tag)[0]
    bare = local
    for mark in provider.ignores:
        bare = bare.replace(mark, "")
    return f"{bare or local}@{provider.mailbox}"


class Relation(StrEnum):
    """What two identities say of each other."""

    SAME = "same mailbox"
    LIKELY = "likely the same person's"  # one provider's two domains; a tag at an unknown host
    SLIP = "slip"  # one is the other with a mistyped domain
    NEAR = "near"  # one letter apart at one domain: ask
    DIFFERENT = "different"


def relation(a: str, b: str) -> Relation:
    """How two values of `Email.identity` stand to each other; the order does not matter.

    >>> str(relation("patlee@gmail.com", "patlee@gmial.com"))
    'slip'
    >>> str(relation("patlee@me.com", "patlee@icloud.com"))
    "likely the same person's"
    """
    if a == b:
        return Relation.SAME
    here, _, there = a.rpartition("@")
    others_here, _, others_there = b.rpartition("@")
    if there == others_there:
        return _at_one_domain(here, others_here, there)
    if _kin(there) == _kin(others_there) and here == others_here:
        return Relation.LIKELY
    if _means(here, there, others_here, others_there) or _means(
        others_here, others_there, here, there
    ):
        return Relation.SLIP
    return Relation.DIFFERENT


def slip(a: str, b: str) -> bool:
    """Whether one of two identities is likely the other with its domain mistyped.

    >>> slip("patlee@gmail.com", "pat.lee@gmial.com"), slip("patlee@gmail.com", "patlee@aol.com")
    (True, False)
    """
    return relation(a, b) is Relation.SLIP


def _kin(domain: str) -> str:
    provider = providers().get(domain)
    return provider.kin or domain if provider else domain


def _means(local: str, domain: str, other_local: str, other_domain: str) -> bool:
    """Whether `local@domain` is the other address once its slip is put right."""
    meant = suggestion(domain)
    return bool(meant) and identity(local, meant) == f"{other_local}@{other_domain}"


def _at_one_domain(local: str, other: str, domain: str) -> Relation:
    # tags that only some hosts understand: "+", and "-" at Yahoo (common practice)
    mark = "-" if domain.startswith("yahoo.") else "+"
    bare, other_bare = local.partition(mark)[0], other.partition(mark)[0]
    if bare and bare == other_bare and local in (bare, local) and (local == bare or other == bare):
        return Relation.LIKELY
    return Relation.NEAR if OSA.distance(local, other) == 1 else Relation.DIFFERENT
