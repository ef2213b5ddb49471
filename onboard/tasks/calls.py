"""Calls noted, and what they are about: which cause, where, when, and which words would spare them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from onboard import passwords
from onboard.clean import row, secret
from onboard.errors import FileTrouble
from onboard.model import Owner
from onboard.office import Act, Office
from onboard.roster import calls, journal
from onboard.roster.calls import Count
from onboard.roster.journal import Entry
from onboard.signin import KINDS
from onboard.tasks import meant as who
from onboard.welcome import words
from onboard.welcome.words import Sentence

CODES = tuple(kind.code for kind in KINDS)
FIRST = datetime(1970, 1, 1)  # nobody noted a call before that
LONGEST_NOTE = 1000  # characters


class Ended(StrEnum):
    """How a call ended."""

    HELPED = "helped"
    OPEN = "open"  # somebody has to come back to it
    PASSED_ON = "passed-on"  # to whoever runs the ordering page, a coordinator, a host


@dataclass(frozen=True, slots=True)
class CauseCount:
    """A cause: how often it was met, and the sentence of the packet that speaks of it."""

    cause: str
    about: str
    calls: int
    by_site: tuple[tuple[str, int], ...]  # the most first
    by_month: tuple[tuple[str, int], ...]  # in order
    sentence: Sentence | None  # None: no sentence of the packet can help


@dataclass(frozen=True, slots=True)
class Calls:
    """What the calls of some time were about."""

    calls: int
    ended: dict[str, int]
    causes: tuple[CauseCount, ...]  # the most frequent first
    counts: tuple[Count, ...]  # cause by site and month


def note_call(
    office: Office,
    meant: str,
    causes: Sequence[str],
    ended: Ended,
    *,
    note: str = "",
    keep: bool = True,
) -> int:
    """The number of the call, kept with its causes and the caller's drop site.

    `meant` is a handle or a member's number, or "row:" with the first letters of the key of a row
    on hold. Raises `SettingsTrouble` where the settings let others look members up, `FileTrouble`
    for nobody, for a cause that there is not, or for a note that seems to hold a password, and
    `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    settings, signature = office.settings, office.signature()
    if unknown := [cause for cause in causes if cause not in CODES]:
        near = sorted(
            code for code in CODES if code.partition(".")[0] == unknown[0].partition(".")[0]
        )
        raise FileTrouble(
            f"There is no cause {unknown[0][:40]!r}. Use one of these: {', '.join(near or CODES)}."
        )
    if not causes:
        raise FileTrouble(
            "Say what the cause was: --cause CODE, with a code that onboard why lists."
        )
    with office.transaction(keep=keep) as connection:
        names: tuple[str, ...] = ()
        if (beginning := Owner(meant).row_key) is not None:
            raw = who.form_on_hold(connection, beginning)
            form = row.clean(raw, region=settings.region, sites=settings.sites)
            about = Owner.of_row(raw.key)
            site = form.site.value or ""
        else:
            member = who.member(connection, meant)
            about, site = member.owner, member.site
            names = (member.handle.text, member.name.given + member.name.family)
        if secret.is_in(note, passwords.words(), names):
            raise FileTrouble(
                "The note seems to hold a password, so nothing was saved. A note must never hold one: say "
                "what happened without it. If somebody told you a password, it is no longer safe: issue a "
                "new temporary one (onboard reissue), or have the member choose a new one."
            )
        causes = tuple(dict.fromkeys(causes))
        kept = calls.Call(about, site, causes, str(ended), note[:LONGEST_NOTE])
        number = calls.keep(connection, kept, signature)
        entry = Entry("call noted", about, after={"call": number, "ended": str(ended)})
        journal.write(connection, [entry], signature)
    return number


def between(office: Office, first: str, last: str) -> tuple[datetime, datetime]:
    """The beginning of the first day at the co-op, and the end of the last, of days as 2026-11-01.

    Without a first day it is the last year; without a last, up to today. Raises `FileTrouble`.
    """
    zone = ZoneInfo(office.settings.timezone)
    today = _day(str(office.today()), "", zone)
    since = _day(first, "--since", zone) if first else today - timedelta(365)
    until = _day(last, "--until", zone) if last else today
    if until < since:
        raise FileTrouble(
            "--until is before --since. Swap them."
            if last
            else f"--since {first} is a day to come. Use one up to today."
        )
    # No call is noted for a day to come; and no engine could compare with any day there is.
    return max(since, FIRST.replace(tzinfo=zone)), min(until, today) + timedelta(1)


def _day(said: str, option: str, zone: ZoneInfo) -> datetime:
    try:
        return datetime.strptime(said, "%Y-%m-%d").replace(tzinfo=zone)
    except ValueError as error:
        raise FileTrouble(f"{option} {said!r} is not a date. Write it as 2026-11-01.") from error


def count_calls(office: Office, since: datetime, until: datetime, language: str = "") -> Calls:
    """What the calls from `since` on and before `until` (both with a time zone) were about.

    Each cause comes with the sentence of the packet, in `language` (else the settings' first),
    that speaks of it: the one to improve. Raises `StoreTrouble`, and `SettingsTrouble` when the
    co-op's own packet words cannot be read or the settings let others look members up.
    """
    office.see_that_one_may(Act.LOOK_UP)
    settings = office.settings
    with office.reading() as connection:
        counts = calls.counts(connection, since, until, ZoneInfo(settings.timezone))
        ended = calls.endings(connection, since, until)
    sentences = words.sentences(language or settings.languages[0], settings)
    abouts = {kind.code: kind.about for kind in KINDS}
    total: Counter[str] = Counter()
    by_site: dict[str, Counter[str]] = {}
    by_month: dict[str, Counter[str]] = {}
    for count in counts:
        total[count.cause] += count.calls
        by_site.setdefault(count.cause, Counter())[count.site] += count.calls
        by_month.setdefault(count.cause, Counter())[count.month] += count.calls
    told = tuple(
        CauseCount(
            cause, abouts.get(cause, ""), number, tuple(by_site[cause].most_common()),
            tuple(sorted(by_month[cause].items())), sentences.get(cause),
        )
        for cause, number in sorted(total.items(), key=lambda item: (-item[1], item[0]))
    )  # fmt: skip
    return Calls(sum(ended.values()), ended, told, tuple(counts))
