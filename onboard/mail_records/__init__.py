"""What the records of a sender's domain say to the mail servers of others: SPF, DKIM, DMARC and MX.

Pure rules: `ask` is whatever knows the records. What nobody answered is "could not tell", never "missing".
"""

from __future__ import annotations

from onboard.mail_records import dkim, dmarc, mx, spf
from onboard.mail_records.kinds import Answer, Ask, Grade, Point, Sending

__all__ = ["Answer", "Ask", "Grade", "Point", "Sending", "points"]


def points(sending: Sending, ask: Ask) -> list[Point]:
    """All there is to know, by subject: SPF, DKIM, DMARC, MX; what is good as well.

    >>> found = points(Sending("example.org"), lambda name, kind: Answer())
    >>> [point.code for point in found]
    ['spf.missing', 'dkim.no_selector', 'dmarc.missing', 'mx.missing']
    """
    return [point for rule in (spf, dkim, dmarc, mx) for point in rule.points(sending, ask)]
