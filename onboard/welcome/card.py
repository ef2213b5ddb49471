"""The contact card that makes our address a known one, so that our mail is not taken for spam."""

from __future__ import annotations

from functools import lru_cache

from icalendar.parser import Contentline, Contentlines

from onboard.settings import Settings


@lru_cache(maxsize=4)
def card(settings: Settings) -> bytes:
    """The co-op's contact card: vCard 3.0 (RFC 2426), which every address book still reads.

    Its text is escaped and its lines are folded as those of a calendar are: RFC 2426, 2.6 and 4,
    say of vCards what RFC 5545, 3.1 and 3.3.11, say of iCalendar.
    """
    coop = _text(settings.coop)
    lines = ["BEGIN:VCARD", "VERSION:3.0"]
    lines.append(f"EMAIL;TYPE=INTERNET,PREF:{_text(settings.sender)}")
    lines.append(f"FN:{coop}")
    if settings.postal_address:
        lines.append(f"LABEL:{_text(settings.postal_address)}")
    lines.append(f"N:{coop};;;;")  # 3.1.2: must be there; of its five parts, one is the family
    lines.append(f"ORG:{coop}")
    if settings.reply_phone:
        lines.append(f"TEL;TYPE=WORK,VOICE:{_text(settings.reply_phone)}")
    lines.append(f"URL:{settings.ordering_page}")  # 3.6.8: a URI, in which nothing is escaped
    lines.append("END:VCARD")
    written = Contentlines(map(Contentline, lines)).to_ical()  # type: ignore[no-untyped-call]
    return bytes(written)


def _text(said: str) -> str:
    # Escaped here: icalendar takes a backslash and an N that somebody wrote for a new line.
    for sign in "\\;,":
        said = said.replace(sign, f"\\{sign}")
    return "\\n".join(said.splitlines())
