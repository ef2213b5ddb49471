"""Keeps a text from being taken for a formula by the program that opens a spreadsheet.

Whoever fills in a join form can type `=HYPERLINK(...)` as a name; a spreadsheet program that
opens our file must not run it. The rule is that of OWASP, "CSV Injection".
"""

from __future__ import annotations

import re

# OWASP: = + - @ tab, carriage return, line feed, and the full-width = + - @. White space before
# them does not stop every program, so it does not stop us. Apostrophes are let through so that
# guarding can be undone: what is guarded twice has two.
_LIVE = re.compile(r"'*\s*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")


def is_live(text: str) -> bool:
    """Whether a spreadsheet program could take `text` for a formula.

    >>> is_live("=1+1"), is_live(" @SUM(1)"), is_live("Ana")
    (True, True, False)
    """
    return _LIVE.match(text) is not None


def guard(text: str) -> str:
    """`text`, behind an apostrophe if it could be taken for a formula.

    >>> guard("=1+1"), guard("Ana")
    ("'=1+1", 'Ana')
    """
    return f"'{text}" if is_live(text) else text


def unguard(text: str) -> str:
    """What `guard` was given.

    >>> unguard("'=1+1"), unguard("'Okina")
    ('=1+1', "'Okina")
    """
    return text[1:] if text.startswith("'") and is_live(text[1:]) else text
