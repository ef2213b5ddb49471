"""What a domain's records say about its email, in plain words: the worst first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from onboard.mail_records import Grade, Point
from onboard.reports.counts import counted
from onboard.reports.table import Piece, Words

HEADINGS = {
    Grade.WRONG: "Ask for these to be fixed, or your email may be refused or land in spam",
    Grade.WEAK: "These could be better",
    Grade.UNKNOWN: "The program could not tell",
    Grade.GOOD: "Good as it is",
}
NAMES = {
    "spf": "SPF, which servers may send your email",
    "dkim": "DKIM, the signature of your email",
    "dmarc": "DMARC, what to do with email that only claims to be yours",
    "mx": "MX, which server takes your email",
}
LONGEST = 200  # letters of a record that are shown


def needs_a_person(points: Sequence[Point]) -> bool:
    """Whether somebody has to do something about it."""
    return any(point.grade is not Grade.GOOD for point in points)


def pieces(domain: str, points: Sequence[Point]) -> Iterator[Piece]:
    """What is wrong, what to ask of whoever runs the domain, and what is good."""
    yield Words(
        f"What {domain} says to the mail servers of others. Whoever runs the domain can change it: a web host, a "
        "registrar, or a volunteer. Give them these lines as they are."
    )
    for grade, heading in HEADINGS.items():
        mine = [point for point in points if point.grade is grade]
        if not mine:
            continue
        yield Words(f"{heading} ({len(mine):,}):", is_strong=True)
        for point in mine:
            yield Words(f"- {NAMES[point.subject]}: {point.says}")
            if point.ask:
                yield Words(f"  {point.ask}")
            if point.record:
                shown = point.record[:LONGEST] + ("…" if len(point.record) > LONGEST else "")
                yield Words(f"  It is now: {shown}", is_faint=True)
    wrong = sum(point.grade is Grade.WRONG for point in points)
    yield Words(
        f"{counted(wrong, 'thing')} to fix. See too whether a test email lands in spam: onboard packets --test-mail "
        "YOUR-EMAIL --really",
        is_strong=True,
    )


def as_json(points: Sequence[Point]) -> Iterator[dict[str, Any]]:
    """One line a point, for a program."""
    for point in points:
        yield {
            "subject": point.subject,
            "code": point.code,
            "grade": str(point.grade),
            "says": point.says,
            "ask": point.ask,
            "record": point.record,
        }
