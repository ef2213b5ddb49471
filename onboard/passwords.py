"""Passwords: made, hashed, checked; and the tokens of the desk. With `codes`, what makes secrets.

Phrases of plain words in the member's language (tables/password_words.tsv and password_words_es.tsv
say where they are from), drawn by the operating system's secure source.
"""

from __future__ import annotations

import base64
import hashlib
import os
import secrets
import unicodedata
import warnings
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from functools import cache
from math import log2
from threading import Lock

from argon2 import Type, extract_parameters
from argon2.exceptions import InvalidHashError

from onboard.model import FirstPassword
from onboard.settings import PasswordRule
from onboard.tables import rows

LEAST_BITS = 50.0

# OWASP Password Storage Cheat Sheet: argon2id with 19 MiB, 2 passes, 1 lane, or stronger.
MEMORY_KIB, PASSES, LANES = 19 * 1024, 2, 1
# KiB and passes that the same sheet calls equally strong (its middle three from memory).
STRONG_ENOUGH = ((47_104, 1), (MEMORY_KIB, PASSES), (12_288, 3), (9_216, 4), (7_168, 5))

_LOADING = Lock()

# The words of a language, by its ISO 639 code; whoever reads another gets the English ones.
TABLES = {"en": "password_words", "es": "password_words_es"}


@cache
def words(language: str = "en") -> tuple[str, ...]:
    """The words that phrases are drawn from, in the language: three to eight small letters each."""
    table = TABLES.get(language.partition("-")[0], TABLES["en"])
    return tuple(word for (word,) in rows(table))


def bits(rule: PasswordRule, language: str = "en") -> float:
    """How many bits of chance a phrase of that many words holds.

    >>> bits(PasswordRule(words=5)) > LEAST_BITS, bits(PasswordRule(words=5), "es") > LEAST_BITS
    (True, True)
    """
    return rule.words * log2(len(words(language)))


def make(
    rule: PasswordRule, today: date, *, language: str = "en", through: date | None = None
) -> FirstPassword:
    """A new phrase, small letters with hyphens between the words, and its last day.

    It lasts as long as the rule says, and on to the day `through` which it should not end before,
    as far as the rule allows. Raises `ValueError` for a rule that gives less than `LEAST_BITS`;
    settings refuse it before.

    >>> first = make(PasswordRule(words=5, valid_days=14), date(2026, 11, 25))
    >>> first.phrase.count("-"), first.expires.isoformat()
    (4, '2026-12-09')
    >>> make(PasswordRule(), date(2026, 11, 25), through=date(2026, 12, 20)).expires.isoformat()
    '2026-12-20'
    >>> print(first)
    FirstPassword(hidden)
    """
    if bits(rule, language) < LEAST_BITS:
        raise ValueError(f"a phrase of {rule.words} words is too easy to guess: take 5 or more")
    phrase = "-".join(secrets.choice(words(language)) for _ in range(rule.words))
    last = today + timedelta(days=rule.valid_days)
    if through:
        last = max(last, min(through, today + timedelta(days=rule.longest_days)))
    return FirstPassword(phrase, last)


def address_token() -> str:
    """A part of an email address that nobody can guess: 26 small letters and digits, 128 bits of chance.

    >>> len(address_token()), address_token().isalnum()
    (26, True)
    """
    return base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=").lower()


def hash_all(firsts: Sequence[FirstPassword]) -> list[str]:
    """Their argon2id hashes, in order, made on all cores: argon2 lets other threads run."""
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        return list(pool.map(hashed, firsts))


def hashed(first: FirstPassword) -> str:
    """Its argon2id hash."""
    return str(_hasher().hash(first.phrase))


def verify(typed: str, stored: str) -> bool:
    """Whether what was typed is the phrase behind the stored hash; never raises on text.

    Blanks around it are forgiven, and Unicode is normalized (NFKC), as NIST SP 800-63B-4,
    section 3.1.1.2, advises a verifier to; nothing else is: capitals and lost hyphens are wrong.
    """
    if not _hasher().identify(stored):
        return False
    try:
        return bool(_hasher().verify(unicodedata.normalize("NFKC", typed).strip(), stored))
    except (ValueError, TypeError):  # a NUL, a lone surrogate, more than passlib hashes; a cut hash
        return False


def hash_chosen(password: str) -> str:
    """The argon2id hash of a password that somebody chose, every letter of it (`verify_chosen`)."""
    return str(_hasher().hash(unicodedata.normalize("NFKC", password)))


def verify_chosen(typed: str, stored: str) -> bool:
    """Whether what was typed is the password behind the hash: nothing is forgiven but how Unicode writes a letter.

    Without a hash it takes as long, and is wrong: how long it takes does not tell who has an account.
    """
    try:
        fits = _hasher().verify(unicodedata.normalize("NFKC", typed), stored or _nobodys())
    except (ValueError, TypeError):
        return False
    return bool(fits) and bool(stored)


@cache
def _nobodys() -> str:
    """The hash of a password that nobody knows."""
    return str(_hasher().hash(token()))


def stale(stored: str) -> bool:
    """Whether the hash is weaker than today's rule, or not argon2id at all.

    One that costs more than ours is not stale; so each of `STRONG_ENOUGH` does.
    """
    try:
        found = extract_parameters(stored)
    except (ValueError, InvalidHashError):
        return True
    return found.type is not Type.ID or not any(
        found.memory_cost >= memory and found.time_cost >= passes
        for memory, passes in STRONG_ENOUGH
    )


@cache
def _hasher():  # type: ignore[no-untyped-def]  # passlib has no types
    # passlib loads what it needs in a way that two threads must not do at once.
    with _LOADING, warnings.catch_warnings():
        # passlib 1.7.4 asks argon2-cffi for its version in a way that newer ones warn of.
        warnings.simplefilter("ignore", DeprecationWarning)
        from passlib.hash import argon2

        hasher = argon2.using(
            type="ID", memory_cost=MEMORY_KIB, time_cost=PASSES, parallelism=LANES
        )
        hasher.hash("the first call loads the engine")
    return hasher


def token() -> str:
    """32 random bytes that nobody can guess, as letters, digits, "-" and "_": 43 of them.

    >>> len(token()), token() == token()
    (43, False)
    """
    return secrets.token_urlsafe(32)


def digest(token: str) -> str:
    """What may be kept of a token: its SHA-256, from which nobody gets it back. One that long needs no salt.

    >>> digest("a")[:8]
    'ca978112'
    """
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def is_same(token: str, other: str) -> bool:
    """Whether two tokens are one, told in a time that says nothing of where they differ."""
    return secrets.compare_digest(
        token.encode("utf-8", "replace"), other.encode("utf-8", "replace")
    )
