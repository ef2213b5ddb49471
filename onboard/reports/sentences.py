"""Sentences that more than one report ends with."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from shlex import join, quote

PREVIEW = "This was a preview. Nothing was saved. To save it, run the same line with --record."
CHANGES = (
    "export changes.csv --changed --record"  # what the page is told, once it was told of anybody
)
LETTERS = "packets --letters letters.pdf"  # to print
PAGE_IS_BEHIND = f"The ordering page does not know yet. To tell it: onboard {CHANGES}"
ORDERS = (
    "Orders are on the ordering page, not here. Before you close an account there, check whether it has "
    "open orders or money on it, and have them moved."
)
PREVIEW_EMAILS = "onboard packets --send"


def send(handle: str) -> str:
    """The line that sends the emails to one member, and nobody else's."""
    return f"onboard packets --send --only {quote(handle)} --really"


def print_letter(handle: str) -> str:
    """The line that makes the letters to one member to print, and nobody else's."""
    return f"onboard packets --letters letter.pdf --only {quote(handle)}"


def tell_the_page(has_told: bool, line: Callable[[str], str]) -> str:
    """How the ordering page learns of new accounts; `has_told` says that it was told of some before."""
    command = CHANGES if has_told else "export accounts.csv"
    return f"Give the ordering page the new accounts: {line(command)}"


def reissue_line(handle: str, checks: Iterable[str], *, record: bool = True) -> str:
    """The line that issues a new temporary password to a member, once the caller was checked so.

    >>> reissue_line("patlee", ("call-back",))
    'onboard reissue patlee --checked call-back --record'
    """
    checked = [word for check in checks for word in ("--checked", check)]
    return join(["onboard", "reissue", handle, *checked, *(["--record"] if record else [])])


def saved(number: int) -> str:
    """That it is saved, and how to take it back."""
    return f"Saved as number {number}. To undo it: onboard undo {number} --record"


def noticed(
    files: Iterable[str], handle: str, *, kept: bool, has_mail: bool = True
) -> Iterator[str]:
    """What becomes of each notice to contact info that was on file before a change of a member, who has
    the sign-in name `handle` now. Without a mail server (`has_mail`) each one is printed."""
    for file in files:
        is_email = file.endswith(".eml") and has_mail
        if not kept:
            yield f"{'An email' if is_email else 'A letter'} would tell the old contact about it."
        elif is_email:
            yield (
                f"A notice to the old contact is in the outbox, not sent yet: {file}. To send it: {send(handle)}"
            )
        else:
            yield (
                f"A letter to the old contact is in the outbox: {file}. To print it: {print_letter(handle)}\n"
                f"Once it is mailed: onboard packets --mailed --only {quote(handle)} --really"
            )
