"""What people call kinds of findings: in words, short enough for the tab of a workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from types import MappingProxyType

from onboard.model import Weight
from onboard.tables import rows

# How much a finding matters, in words.
WEIGHTS = {
    Weight.BLOCKING: "needs an answer", Weight.DOUBTFUL: "please check", Weight.MENDED: "fixed",
}  # fmt: skip


@cache
def _names() -> dict[str, str]:
    return dict(rows("finding_names"))  # type: ignore[arg-type]


def called(code: str) -> str:
    """The kind in a few words, of at most 31 letters.

    >>> called("email.slip"), called("email.something_new")
    ('maybe a typo in the email', 'email: something new')
    """
    return _names().get(code) or _humanized(code)


def _humanized(code: str) -> str:
    return code.replace(".", ": ").replace("_", " ")[:31]


def titled(code: str) -> str:
    """The same as a heading or a tab has it.

    >>> titled("site.far")
    'Another site much closer'
    """
    name = called(code)
    return name[:1].upper() + name[1:]


def every() -> list[str]:
    """All names, as headings have them."""
    return [titled(code) for code in _names()]


MOST = 15  # kinds that one line tells


def told(
    counts: Mapping[str, int], where: Mapping[str, Sequence[str]] = MappingProxyType({})
) -> str:
    """How often each was met, the most frequent first, in one line, with the first rows `where`; "" for none.

    >>> told({"email.slip": 2, "email.missing": 1200})
    '1,200 × no email address, 2 × maybe a typo in the email'
    """
    ordered = sorted(counts.items(), key=lambda item: (-item[1], called(item[0])))
    some = [
        f"{number:,} × {called(code)}{_in_rows(where.get(code, ()), number)}"
        for code, number in ordered[:MOST]
    ]
    more = [f"{len(ordered) - MOST:,} other kinds"] if len(ordered) > MOST else []
    return ", ".join([*some, *more])


def _in_rows(rows: Sequence[str], number: int) -> str:
    """Where it was met first; "" if that is not known.

    >>> _in_rows(["2", "5"], 7), _in_rows(["9"], 1)
    (' (rows 2, 5, …)', ' (row 9)')
    """
    if not rows:
        return ""
    return f" ({'row' if number == 1 else 'rows'} {', '.join(rows)}{', …' if number > len(rows) else ''})"
