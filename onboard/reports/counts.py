"""How many there are of what, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

# What the lines of a table are: one of them, and several.
LINES: Mapping[str, tuple[str, ...]] = {
    "handle": ("sign-in name",),
    "member": ("account",), "person": ("spelling",), "row": ("form",), "apart": ("decision that they are not the same",
    "decisions that they are not the same"), "journal": ("change log entry", "change log entries"),
    "applied_change": ("change",), "call_cause": ("cause of a call", "causes of a call"),
    "came_back": ("email that came back", "emails that came back"),
    "attempt": ("try", "tries"), "outgoing": ("message",),
    "texts about others": ("text about others", "texts about others"),
}  # fmt: skip


def counted(number: int, what: str, several: str = "") -> str:
    """The number with its noun; `several` is the noun's plural where it takes more than an s.

    >>> counted(1, "email"), counted(1200, "email"), counted(2, "address", "addresses")
    ('1 email', '1,200 emails', '2 addresses')
    """
    return f"{number:,} {what if number == 1 else several or f'{what}s'}"


def counted_of_tables(numbers: Mapping[str, int]) -> str:
    """How many lines there are of each table of the roster, in people's words.

    >>> counted_of_tables({"member": 1, "attempt": 2, "call": 0})
    '1 account, 2 tries'
    """
    return ", ".join(
        counted(number, *LINES.get(name, (name.replace("_", " "),)))
        for name, number in numbers.items()
        if number
    )


NAMED = 20  # sign-in names in one line


def first_of(names: Sequence[str]) -> str:
    """The names behind a colon; of very many the first, and how many more there are.

    >>> first_of(["patlee", "kimvale"])
    ': patlee, kimvale'
    """
    more = f" … and {len(names) - NAMED:,} more (--json has all)" if len(names) > NAMED else ""
    return f": {', '.join(names[:NAMED])}{more}"
