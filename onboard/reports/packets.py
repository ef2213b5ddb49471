"""What was made of the welcome packets that were due, and how all of them stand."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from onboard.reports.counts import counted
from onboard.reports.table import Piece, Words

SHOWN = 20  # sign-in names in a sentence


def made(
    written: Sequence[str],
    by_letter_only: Sequence[str],
    outbox: Path,
    ends_early: Sequence[str] = (),
) -> list[Piece]:
    """How many packets were made and where they are; members are named by their sign-in names.
    `ends_early` are those whose passwords end before their first ordering days are over."""
    emails = counted(len(written) - len(by_letter_only), "email")
    letters = counted(len(written), "letter")
    said = [f"Made {emails} to send and {letters} to print, in {outbox}."]
    if by_letter_only:
        said.append(
            "No email for these (no email address, or opted out). Print their letters: "
            f"{', '.join(by_letter_only)}."
        )
    if ends_early:
        said.append(
            "These passwords end before the member's next ordering days are over. The packet asks the "
            f"member to sign in before that: {_some(ends_early)}. To make passwords last longer, raise "
            "longest_days, under [first_password] in the settings."
        )
    if written:
        said.append("They hold temporary passwords. Keep them private.")
    return [Words(words) for words in said]


def standing(
    counts: Mapping[str, int],
    held: Sequence[str],
    outbox: Path,
    line: Callable[[str], str] = "onboard {}".format,
) -> list[Piece]:
    """How many packets stand how, each with the line that goes on from there; `held` are the
    sign-in names of those whose packets wait for a check."""
    said = [f"{counts['due']:,} to make: {line('packets --write')}"]
    said.append(
        f"{counts['written']:,} in the outbox, not sent. To preview the emails: "
        f"{line('packets --send')}. Letters to print are in {outbox}."
    )
    said.append(f"{counts['sent']:,} sent.")
    if counts["unsure"]:
        said.append(f"{counts['unsure']:,} may not have arrived. Ask the members.")
    if counts["barred"]:
        said.append(
            f"{counts['barred']:,} held until the caller is checked, because the contact info "
            f"changed: {_some(held)}. After the check: "
            f"{line('reissue MEMBER --checked call-back --record')}"
        )
    if counts["refused"]:
        said.append(
            f"{counts['refused']:,} refused by a mail server, or returned. Ask for another email "
            f"address ({line('correct MEMBER --email ADDRESS')}), or print the letters."
        )
    return [Words(words) for words in said]


def _some(handles: Sequence[str]) -> str:
    return ", ".join(handles[:SHOWN]) + (" …" if len(handles) > SHOWN else "")
