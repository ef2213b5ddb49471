"""How long the program goes on trying to send what a server put off, as data (RFC 5321, 4.5.4.1).

Each pause is as long as the message has waited already, which doubles the wait: 5, 5, 10, 20, 40
minutes, then 4,000 seconds each, for five days. These are the figures that mail servers have in common use.
"""

from __future__ import annotations

from datetime import datetime, timedelta

FIRST, LONGEST = timedelta(minutes=5), timedelta(seconds=4000)
END = timedelta(days=5)


def next_try(since: datetime, now: datetime) -> datetime:
    """When to try again what was first put off at a time, and was just put off again.

    >>> noon = datetime(2026, 11, 29, 12)
    >>> [str(next_try(noon, noon + timedelta(minutes=m)).time()) for m in (0, 5, 40, 600)]
    ['12:05:00', '12:10:00', '13:20:00', '23:06:40']
    """
    return now + min(max(now - since, FIRST), LONGEST)
