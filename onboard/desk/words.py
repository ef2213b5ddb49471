"""The words of the screens in English, and in Spanish by a table. What tasks say is told by `sentences`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, tzinfo
from functools import cache
from importlib import resources

from babel.dates import format_date, format_time
from babel.numbers import format_decimal

from onboard.model.outgoing import Outgoing, State, Way
from onboard.reports.table import Piece, Words
from onboard.windows import say_day

LANGUAGES = ("en", "es")
NAMES = {"en": "English", "es": "Español"}

# What was done, by the word in the address of the page that follows.
DONE = {
    "signed-out": "You are signed out.",
    "call-noted": "The call is written down.",
    "call-settled": "The call is saved as it stands now.",
    "reissued": "A new temporary password is ready, not sent yet. The old one stops working once the ordering page knows. Next: send the changes to the ordering page, then send the packet.",
    "waits": "The new temporary password waits: the email or mailing address on file may be wrong. Answer that first, under Mail.",
    "check-failed": "The failed check is counted. No temporary password was made.",
    "packets-made": "The welcome packets that were due are made. Next: send the changes to the ordering page, then the emails.",
    "stops-taken": "It is saved. Whoever asked gets no more email.",
    "asked-if-arrived": "It is saved what you found out.",
    "no-news": "There is nothing to tell the ordering page.",
    "answered": "The answer is saved. Now the welcome packet can be made.",
    "mailed": "The letters are marked as printed and mailed.",
    "moved-told": "The notices are made. They wait under Mail.",
    "moved-called": "It is saved that you called.",
    "test-sent": "The test email is sent. Nobody can sign in with it.",
    "corrected": "The correction is saved. The ordering page learns of it with the next export of changes.",
    "password-changed": "Your password is changed. Everywhere else you are signed out.",
    "code-ended": "You sign in without a code from now on.",
    "session-ended": "You are signed out there.",
    "role-changed": "The role is changed.",
    "staff-signed-out": "They are signed out everywhere.",
    "account-closed": "The account is closed.",
    "account-opened": "The account is open again.",
    "form-answered": "Your answer is saved.",
    "answer-taken-back": "The answer is taken back. The form is judged again.",
    "step-saved": "Saved. Here is the next step.",
    "settings-saved": "The settings are saved.",
    "days-saved": "The settings are saved. If members were told other ordering days, they are listed here.",
    "finding-open": "It is to do again. Here is the next one.",
    "finding-asked": "It is saved that you asked. Here is the next one.",
    "finding-left": "It stays as it is. Here is the next one.",
    "finding-done": "It is settled. Here is the next one.",
    "merged": "The two accounts are one. The ordering page learns of it with the next export of changes.",
    "closed": "The account is closed. The ordering page learns of it with the next export of changes.",
    "undone": "It is undone.",
}


MESSAGES = {
    "packet": "Welcome packet", "notice": "Notice of a change", "reminder": "Reminder of ordering days",
    "reply": "Answer to what they asked",
}  # fmt: skip
WAYS = {"email": "by email", "letter": "by letter", "text": "by text message"}
_NOT_GONE = (State.DUE, State.WAITING, State.WRITTEN)
STATES = {
    "due": "to be made", "waiting": "held: a question is open", "written": "ready, not sent yet",
    "claimed": "being sent", "sent": "sent", "unsure": "not sure whether it arrived",
    "refused": "refused by the mail server", "returned": "came back", "printed": "printed and mailed",
    "void": "canceled: something newer took its place",
}  # fmt: skip
# What the day of a cause says.
WHEN = {
    "window.closed": "It opens on {day}.", "unexplained": "It closes after {day}.", "password.unused": "It works through {day}.",
    "password.replaced": "The newest works through {day}.",
}  # fmt: skip
# What the settings file calls some values, and the days of a window.
CHOICES = {
    "all": "all of them", "first": "the first", "last": "the last", "starttls": "STARTTLS", "tls": "TLS",
    "call-back": "call back the number on file", "mail": "email the address on file", "initial": "first name and an initial",
    "full": "the whole name", "address": "the address", "host": "the host", "phone": "the host's phone",
}  # fmt: skip
LANGUAGE_CHOICES = {
    "en": "English only", "en es": "English first, then Spanish", "es en": "Spanish first, then English", "es": "Spanish only",
}  # fmt: skip
# The likeliest time zones; any other may be typed.
ZONES = (
    "America/New_York", "America/Chicago", "America/Denver", "America/Phoenix", "America/Los_Angeles", "America/Anchorage",
    "Pacific/Honolulu", "America/Puerto_Rico",
)  # fmt: skip
DAYS = {"opens": "First day", "closes": "Last day", "month": "Month"}
FORMS = {"phone": "On the phone", "mail": "By email", "text": "As a text message"}


def say(text: str, language: str, **values: object) -> str:
    """The text in the language, with values in place of {names}.

    >>> say("Today", "es"), say("Today", "en")
    ('Hoy', 'Today')
    """
    told = spanish().get(text, text) if language == "es" else text
    return told.format(**values) if values else told


@cache
def spanish() -> dict[str, str]:
    """The Spanish of each English text."""
    return table("spanish.tsv")


def setting(text: str, language: str) -> str:
    """What a setting is, or a note about it, in the language as far as there are words for it, with a capital."""
    told = settings_spanish().get(text, text) if language == "es" else text
    return told[:1].upper() + told[1:]


def in_quotes(text: str) -> str:
    """The text with the quotation marks of people, so that nobody types those of the file.

    >>> in_quotes('written "2026-12"')
    'written “2026-12”'
    """
    return re.sub(r'"([^"]*)"', r"“\1”", text)


def is_english(text: str, language: str) -> bool:
    """Whether `setting` tells this in English on a screen that is not."""
    return language != "en" and text not in settings_spanish()


@cache
def settings_spanish() -> dict[str, str]:
    """The Spanish of what settings are, and of the notes that a new co-op reads."""
    return table("settings_spanish.tsv")


def table(name: str) -> dict[str, str]:
    """A table of this room: English, a tab, Spanish."""
    text = resources.files("onboard.desk").joinpath(name).read_text("utf-8")
    lines = (line for line in text.splitlines() if line and not line.startswith("#"))
    return dict(line.split("\t") for line in lines)


# A sentence that says what to type into a terminal: on a page there is a button for it.
_TO_TYPE = re.compile(
    r"(?:^|(?<=[\s(“]))(?:onboard [a-z]+|--[a-z][a-z-]+)|[Ll]ines? to type|\bsame line\b"
)
_ENDS = re.compile(r"(?<=[.?!:]) +(?=[A-Z“])")


def on_screen(text: str) -> str:
    """What a task says, without the sentences that say what to type.

    >>> on_screen("They may have died. Ask the host first. If they live: onboard correct pat --all-right --record")
    'They may have died. Ask the host first.'
    >>> on_screen("Then say how you checked: --checked call-back or --checked mail. Ask Ana.")
    'Ask Ana.'
    """
    lines = (
        " ".join(part for part in _ENDS.split(line) if not _TO_TYPE.search(part)).strip()
        for line in text.split("\n")
    )
    return "\n".join(filter(None, lines))


def for_the_page(told: Iterable[Piece]) -> tuple[Piece, ...]:
    """What a report tells, without the sentences that say what to type."""
    kept = []
    for piece in told:
        if isinstance(piece, Words):
            piece = replace(piece, text=on_screen(piece.text))
            if not piece.text:
                continue
        kept.append(piece)
    return tuple(kept)


FOLDED = 72  # columns at which `signin.script` and the plain text of an email fold
_UNDERLINE = re.compile("[=-]+")
_SHORT = 16  # columns of such a line, which has room on any screen
_ITEM = re.compile(r"- |\d+\. ")


def unfolded(text: str) -> str:
    """The text without the ends of lines that only fold it: a page folds by itself.

    >>> unfolded("word " * 14 + chr(10) + "the end." + chr(10) + "- p as in Papa").splitlines()[-1]
    '- p as in Papa'
    >>> unfolded("word " * 14 + chr(10) + "which ends.")[-16:]
    'word which ends.'
    """
    told = ""
    last = ""
    for line in map(str.rstrip, text.strip().splitlines()):
        if _UNDERLINE.fullmatch(line):
            told, last = f"{told}\n{line[:_SHORT]}", ""
            continue
        word = line.split(" ", 1)[0] if not line.startswith(" ") else line.split()[0]
        is_next = not line or not last or _ITEM.match(line) or len(last) + 1 + len(word) <= FOLDED
        told += ("\n" if is_next else " ") + (line if is_next else line.strip())
        last = line
    return told.strip()


def day(when: date | str, language: str) -> str:
    """The day with its weekday."""
    return say_day(date.fromisoformat(when[:10]) if isinstance(when, str) else when, language)


def short_day(when: date | str, language: str) -> str:
    """The day, short.

    >>> short_day("2026-11-09", "en"), short_day("2026-11-09", "es")
    ('Nov 9, 2026', '9 nov 2026')
    """
    at = date.fromisoformat(when[:10]) if isinstance(when, str) else when
    return str(
        format_date(at, "medium" if language == "en" else "d MMM y", locale=_locale(language))
    )


def moment(when: datetime | str, zone: tzinfo, language: str) -> str:
    """The day and the time in a time zone, as people write them."""
    at = datetime.fromisoformat(when) if isinstance(when, str) else when
    there = at.astimezone(zone)
    clock = str(format_time(there, "short", locale=_locale(language))).replace("\u202f", " ")
    return f"{short_day(there.date(), language)}, {clock}"


def number(value: int | float, language: str) -> str:
    """The number with its thousands set apart."""
    return str(format_decimal(value, locale=_locale(language)))


def sure(part: float, language: str) -> str:
    """How sure it is, as people say it: no surer than the figure.

    >>> sure(0.999, "en"), sure(0.5, "en"), sure(0.004, "es")
    ('over 99%', '50%', 'menos del 1%')
    """
    if part > 0.99:
        return say("over 99%", language)
    return say("under 1%", language) if part < 0.01 else f"{part:.0%}"


def _locale(language: str) -> str:
    return "es_US" if language == "es" else "en_US"


def way_of(one: Outgoing, *, has_mail: bool) -> str:
    """By which way a message goes: with no mail server, what would still go by email is printed."""
    by_hand = one.way is Way.EMAIL and one.state in _NOT_GONE and not has_mail
    return WAYS[Way.LETTER if by_hand else one.way]
