"""The second step of signing in at the desk: a code that changes every half minute (RFC 6238), and codes to use
once when the phone that shows it is lost.

Like `passwords`, this makes secrets.
"""

from __future__ import annotations

import base64
import hashlib
import re
import secrets
import warnings
from datetime import datetime
from functools import cache
from typing import Any

STEP = 30  # seconds that a code is shown (RFC 6238, 5.2)
DRIFT = 1  # steps that a phone's clock may be ahead or behind
RECOVERY_CODES = 10


@cache
def _kind() -> Any:
    with warnings.catch_warnings():
        # passlib 1.7.4 looks for modules in ways that newer Pythons warn of.
        warnings.simplefilter("ignore", DeprecationWarning)
        from passlib.totp import TOTP
    return TOTP.using(alg="sha1", digits=6, period=STEP)


def new_key() -> str:
    """A key that an app keeps and we keep: 160 bits of chance, in base 32 (RFC 4226, 4, R6)."""
    return str(_kind().new().base32_key)


def new_seal() -> bytes:
    """A secret by which keys are sealed: it is kept elsewhere than they are."""
    from cryptography.fernet import Fernet  # only whoever has a second step needs it

    return Fernet.generate_key()


def sealed(key: str, seal: bytes) -> str:
    """A key as it is kept: encrypted, and so that a changed one is noticed (Fernet: AES-128-CBC and HMAC-SHA256)."""
    from cryptography.fernet import Fernet

    return Fernet(seal).encrypt(key.encode()).decode()


def unsealed(kept: str, seal: bytes) -> str:
    """The key that was sealed. Raises ValueError where it was sealed by another secret, or changed.

    >>> seal = new_seal()
    >>> unsealed(sealed("ABCD", seal), seal), is_sealed(sealed("ABCD", seal)), is_sealed("ABCD")
    ('ABCD', True, False)
    """
    from cryptography.fernet import Fernet, InvalidToken

    try:
        return Fernet(seal).decrypt(kept.encode()).decode()
    except InvalidToken:
        raise ValueError("This was sealed by another secret.") from None


def is_sealed(kept: str) -> bool:
    """Whether a key is kept sealed; earlier versions kept it as it is, in base 32, which has no small letter."""
    return bool(re.search("[a-z]", kept))


def step_of(key: str, typed: str, when: datetime, last: int = 0) -> int | None:
    """The step whose code was typed; None if it is no code of now, or one no later than the step `last`, which
    was used before (RFC 6238, 5.2). Blanks and hyphens in it count for nothing.

    >>> from datetime import UTC
    >>> key = base64.b32encode(b"12345678901234567890").decode()
    >>> step_of(key, "287 082", datetime.fromtimestamp(59, UTC)), step_of(key, "287082", datetime.fromtimestamp(59, UTC), last=1)
    (1, None)
    """
    from passlib.exc import TokenError

    typed = re.sub(r"[\s-]", "", typed)
    if not re.fullmatch(r"[0-9]{6}", typed):
        return None
    try:
        # Negative: passlib knows no such step as "none yet" but one that no time has.
        found = _kind()(key=key).match(
            typed, int(when.timestamp()), window=STEP * DRIFT, last_counter=last or None
        )
    except TokenError:
        return None
    return int(found.counter)


def address(key: str, name: str, coop: str) -> str:
    """What the picture holds that an app reads: whose code it is, where, and the key."""
    label, issuer = (text.replace(":", " ") for text in (name, coop))
    return str(_kind()(key=key).to_uri(label=label, issuer=issuer))


def grouped(key: str) -> str:
    """The key as people type it: in groups of four.

    >>> grouped("ABCDEFGHIJ")
    'ABCD EFGH IJ'
    """
    return " ".join(re.findall(".{1,4}", key))


def recovery_codes() -> list[str]:
    """Codes to use once each: 120 bits of chance, so that their digests need no salt."""
    return [
        "-".join(re.findall("....", base64.b32encode(secrets.token_bytes(15)).decode().lower()))
        for _ in range(RECOVERY_CODES)
    ]


def recovery_digest(typed: str) -> str:
    """What is kept of such a code, and compared, however it is typed.

    >>> recovery_digest("abcd-efgh") == recovery_digest(" ABCD EFGH")
    True
    """
    plain = re.sub(r"[^a-z0-9]", "", typed.lower())
    return hashlib.sha256(plain.encode()).hexdigest()
