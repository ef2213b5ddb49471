"""Codes of the second step: the test vectors of RFC 6238, and what is refused."""

from __future__ import annotations

import base64
from datetime import UTC, datetime

import pytest

from onboard import codes

# RFC 6238, appendix B, SHA-1: seconds since 1970, and the code of eight digits. One of six is its end (RFC 4226, 5.3).
KEY = base64.b32encode(b"12345678901234567890").decode()
VECTORS = [
    (59, "94287082"), (1111111109, "07081804"), (1111111111, "14050471"), (1234567890, "89005924"),
    (2000000000, "69279037"), (20000000000, "65353130"),
]  # fmt: skip


def at(seconds: int) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)


@pytest.mark.parametrize(("seconds", "code"), VECTORS)
def test_the_vectors_of_the_standard(seconds: int, code: str) -> None:
    assert codes.step_of(KEY, code[2:], at(seconds)) == seconds // 30
    assert codes.step_of(KEY, code[2:], at(seconds + 30)) == seconds // 30
    assert codes.step_of(KEY, code[2:], at(seconds - 29)) == seconds // 30
    assert codes.step_of(KEY, code[2:], at(seconds + 90)) is None
    assert codes.step_of(KEY, code[2:], at(seconds), last=seconds // 30) is None
    assert codes.step_of(KEY, code[2:], at(seconds), last=seconds // 30 - 1) == seconds // 30


@pytest.mark.parametrize(
    "typed", ["", "28708", "2870820", "28708२", "２８７０８２", "abcdef", "-287082x", "\x00" * 6]
)
def test_what_is_no_code_is_none(typed: str) -> None:
    assert codes.step_of(KEY, typed, at(59)) is None


def test_a_key_has_160_bits_and_a_recovery_code_120() -> None:
    assert len(base64.b32decode(codes.new_key())) == 20
    made = codes.recovery_codes()
    assert len(set(made)) == codes.RECOVERY_CODES
    assert all(len(one.replace("-", "")) == 24 for one in made)
    assert codes.new_key() != codes.new_key()


def test_the_picture_names_who_and_where() -> None:
    held = codes.address(KEY, "Sam: Moor", "Test Growers Co-op")
    assert held.startswith("otpauth://totp/Test%20Growers%20Co-op:Sam%20%20Moor?secret=")
    assert f"secret={KEY}" in held
