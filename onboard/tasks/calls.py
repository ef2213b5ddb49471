"""Calls noted, and what they are about: which cause, where, when, and which words would spare them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from shlex import quote
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard import passwords
from onboard.clean import row, secret
from onboard.errors import FileTrouble
from onboard.model import Change, Owner, PersonName
from onboard.office import Act, Office
from onboard.roster import calls, change, journal, member_lines, search
from onboard.roster.calls import Count, Noted
from onboard.roster.change import Occasion
from onboard.roster.journal import Entry
from onboard.settings import Settings
from onboard.signin import KINDS
from onboard.tasks import meant as who
from onboard.welcome import words
from onboard.welcome.words import Sentence

FIRST = datetime(1970, 1, 1)  # nobody noted a call before that
LONGEST_NOTE = 1000  # characters
LONGEST_NAME = 80  # of whoever a call is handed to
LARGEST = 2**31 - 1  # number that the roster could hold


# What calls are about besides a sign-in that failed, by what `--about` takes.
TOPICS: Mapping[str, tuple[str, str]] = {
    "dates": ("about.dates", "They asked when they can order, or pick up."),
    "leaving": ("about.leaving", "They want to leave."),
    "order": ("about.order", "It was about an order."),
}
OTHER = ("about.other", "It was about something else.")
ABOUTS: Mapping[str, str] = {
    **{kind.code: kind.about for kind in KINDS}, **dict(TOPICS.values()), OTHER[0]: OTHER[1],
}  # fmt: skip
CODES = tuple(ABOUTS)


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
    in_words: tuple[tuple[str, int], ...] = ()  # what no code says, the most frequent first


@dataclass(frozen=True, slots=True)
class Calls:
    """What the calls of some time were about."""

    calls: int
    ended: dict[str, int]
    causes: tuple[CauseCount, ...]  # the most frequent first
    counts: tuple[Count, ...]  # cause by site and month
    open: tuple[Shown, ...] = ()  # to come back to, whenever they were; the oldest first


@dataclass(frozen=True, slots=True)
class Shown:
    """A call, and who it was."""

    noted: Noted
    name: PersonName
    handle: str  # "" for a form on hold
    owner: Owner


@dataclass(frozen=True, slots=True)
class Settled:
    """What became of a call."""

    call: Shown  # as it is now
    number: int  # by which it is taken back; 0 for a form on hold, of which nothing can be


def note_call(
    office: Office,
    meant: str,
    causes: Sequence[str],
    ended: Ended,
    *,
    about: Sequence[str] = (),
    note: str = "",
    hand_to: str = "",
    keep: bool = True,
) -> int:
    """The number of the call, kept with what it was about and the caller's drop site.

    `meant` is a handle or a member's number, or "row:" with the first letters of the key of a row
    on hold. `causes` are codes of a failed sign-in; `about` is "dates", "leaving", "order", or anything
    in words. `hand_to` is who is to come back to a call that is open. Raises `SettingsTrouble` where the
    settings let others look members up, `FileTrouble` for nobody, for a cause that there is not, or for
    a text that seems to hold a password, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    settings, signature = office.settings, office.signature()
    causes, words = _about(causes, about)
    if hand_to and ended is not Ended.OPEN:
        raise FileTrouble(
            "A call that is handed to somebody is still open. Say --ended open, or leave out --hand-to."
        )
    with office.transaction(keep=keep) as connection:
        names: tuple[str, ...] = ()
        if (beginning := Owner(meant).row_key) is not None:
            raw = who.form_on_hold(connection, beginning)
            form = row.clean(raw, region=settings.region, sites=settings.sites)
            owner = Owner.of_row(raw.key)
            site = form.site.value or ""
        else:
            member = who.member(connection, meant)
            owner, site = member.owner, member.site
            names = (member.handle.text, member.name.given + member.name.family)
        _see_no_password(settings, (note, words, hand_to), names)
        kept = calls.Call(
            owner, site, causes, str(ended), note[:LONGEST_NOTE], words[:LONGEST_NOTE],
            _name(hand_to),
        )  # fmt: skip
        number = calls.keep(connection, kept, signature)
        after = {"call": number, "ended": str(ended)}
        after |= {"handed_to": kept.handed_to} if hand_to else {}
        journal.write(connection, [Entry("call noted", owner, after=after)], signature)
    return number


def _about(causes: Sequence[str], about: Sequence[str]) -> tuple[tuple[str, ...], str]:
    """The codes of what a call was about, and what no code says. Raises `FileTrouble`."""
    if unknown := [cause for cause in causes if cause not in CODES]:
        near = sorted(
            code for code in CODES if code.partition(".")[0] == unknown[0].partition(".")[0]
        )
        raise FileTrouble(
            f"There is no cause {unknown[0][:40]!r}. Use one of these: {', '.join(near or CODES)}."
        )
    codes, words = list(causes), []
    for said in filter(None, map(str.strip, about)):
        topic = TOPICS.get(said.casefold(), OTHER)
        codes.append(topic[0])
        if topic is OTHER:
            words.append(said)
    if not codes:
        raise FileTrouble(
            "Say what it was about: --cause CODE, with a code that onboard why lists; or --about "
            f"{', '.join(TOPICS)}, or anything in your own words."
        )
    return tuple(dict.fromkeys(codes)), "; ".join(words)


def _see_no_password(settings: Settings, texts: Sequence[str], names: tuple[str, ...]) -> None:
    """Raises `FileTrouble` where a text seems to hold a password."""
    if not any(secret.is_in(text, passwords.words(), names) for text in texts):
        return
    remedy = (
        "have the member set a new one on the ordering page"
        if settings.password.set_by_member
        else "issue a new temporary one, or have the member choose a new one"
    )
    raise FileTrouble(
        "The note seems to hold a password, so nothing was saved. A note must never hold one: say "
        f"what happened without it. If somebody told you a password, it is no longer safe: {remedy}."
    )


def _name(hand_to: str) -> str:
    return " ".join(hand_to.split())[:LONGEST_NAME]


# ---------------------------------------------------------------- one call


def one_call(office: Office, number: int) -> Shown:
    """The call with this number.

    Raises `SettingsTrouble` where the settings let others look members up, `FileTrouble` where there is
    none, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        return _shown(connection, [_the_call(connection, number)])[0]


def open_calls(office: Office) -> tuple[Shown, ...]:
    """The calls that somebody has to come back to, the oldest first.

    Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        return tuple(_shown(connection, calls.noted(connection)))


def settle_call(
    office: Office,
    number: int,
    *,
    ended: Ended | None = None,
    hand_to: str = "",
    note: str = "",
) -> Settled:
    """A call closed (`ended` is not open), opened again, handed to somebody, or with a note more.

    Who did it, and who had it before, is in the change log. Raises `SettingsTrouble` where the settings
    let others look members up, `FileTrouble` where there is no such call, nothing would change, a closed
    call is handed to somebody, or a text seems to hold a password, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    signature = office.signature()
    with office.transaction() as connection:
        noted = _the_call(connection, number)
        shown = _shown(connection, [noted])[0]
        names = (shown.handle, shown.name.given + shown.name.family)
        _see_no_password(office.settings, (note, hand_to), names)
        before = calls.state(noted.call)
        after = _settled(noted, ended, _name(hand_to), note.strip())
        what = (
            "call handed over" if after["handed_to"] != before["handed_to"]
            else "call noted further" if after["ended"] == before["ended"]
            else "call opened again" if after["ended"] == Ended.OPEN
            else "call closed"
        )  # fmt: skip
        whose = noted.call.about
        taken_back_by = 0
        if whose.member_id is not None:
            made = Change(whose.member_id, member_lines.call_field(number), before, after)
            done = change.make(connection, [(1, made)], Occasion(signature, what))
            taken_back_by = done.number
        else:
            calls.set_state(connection, number, after)
            named = member_lines.call_field(number)
            entry = Entry(what, whose, before={named: before}, after={named: after})
            journal.write(connection, [entry], signature)
        return Settled(_shown(connection, calls.noted(connection, number=number))[0], taken_back_by)


def _settled(noted: Noted, ended: Ended | None, hand_to: str, note: str) -> dict[str, str]:
    """How the call stands afterward. Raises `FileTrouble`."""
    call, number = noted.call, noted.number
    is_open = (ended or call.ended) == Ended.OPEN
    if ended and (ended is Ended.OPEN) is (call.ended == Ended.OPEN) and not (hand_to or note):
        raise FileTrouble(f"Call {number} is {'open' if is_open else 'closed'} already.")
    if hand_to and not is_open:
        raise FileTrouble(
            f"Call {number} is closed. To open it again and hand it over: onboard calls {number} --reopen "
            f"--hand-to {quote(hand_to)}"
        )
    if hand_to and hand_to == call.handed_to and not note:
        raise FileTrouble(f"Call {number} is with {hand_to} already.")
    notes = "; ".join(filter(None, (call.note, note)))
    if len(notes) > LONGEST_NOTE:
        raise FileTrouble(
            f"The note of call {number} would be longer than {LONGEST_NOTE:,} letters. Say less, or write a call "
            "of its own down: onboard call"
        )
    return {
        "ended": str(ended or call.ended), "handed_to": hand_to or call.handed_to, "note": notes,
    }  # fmt: skip


def _the_call(connection: Connection, number: int) -> Noted:
    found = calls.noted(connection, number=number) if 0 < number <= LARGEST else []
    if not found:
        raise FileTrouble(f"There is no call {number}. To see the open calls: onboard calls")
    return found[0]


def _shown(connection: Connection, noted: Sequence[Noted]) -> list[Shown]:
    """The calls with the names of the callers; a form that has become a member's is that member's."""
    keys = [key for one in noted if (key := one.call.about.row_key) is not None]
    become = calls.members_of(connection, keys)
    owners = {
        one.number: Owner.of_member(become[key])
        if (key := one.call.about.row_key) in become
        else one.call.about
        for one in noted
    }
    numbers = {owner.member_id for owner in owners.values() if owner.member_id is not None}
    members = search.members_by_number(connection, numbers)
    forms = search.raw_rows(connection, keys) if keys else {}
    found = []
    for one in noted:
        owner = owners[one.number]
        member = members.get(owner.member_id or 0)
        raw = forms.get(owner.row_key or "")
        name = member.name if member else row.clean(raw).name.value if raw else None
        handle = member.handle.text if member else ""
        found.append(Shown(one, name or PersonName(""), handle, owner))
    return found


# ---------------------------------------------------------------- all calls


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
    that speaks of it: the one to improve. The open calls are told whenever they were. Raises `StoreTrouble`, and `SettingsTrouble` when the
    co-op's own packet words cannot be read or the settings let others look members up.
    """
    office.see_that_one_may(Act.LOOK_UP)
    settings = office.settings
    with office.reading() as connection:
        counts = calls.counts(connection, since, until, ZoneInfo(settings.timezone))
        ended = calls.endings(connection, since, until)
        own_words = calls.own_words(connection, since, until)
        still_open = tuple(_shown(connection, calls.noted(connection)))
    sentences = words.sentences(language or settings.languages[0], settings)
    total: Counter[str] = Counter()
    by_site: dict[str, Counter[str]] = {}
    by_month: dict[str, Counter[str]] = {}
    for count in counts:
        total[count.cause] += count.calls
        by_site.setdefault(count.cause, Counter())[count.site] += count.calls
        by_month.setdefault(count.cause, Counter())[count.month] += count.calls
    told = tuple(
        CauseCount(
            cause, ABOUTS.get(cause, ""), number, tuple(by_site[cause].most_common()),
            tuple(sorted(by_month[cause].items())), sentences.get(cause),
            tuple(own_words.most_common()) if cause == OTHER[0] else (),
        )
        for cause, number in sorted(total.items(), key=lambda item: (-item[1], item[0]))
    )  # fmt: skip
    return Calls(sum(ended.values()), ended, told, tuple(counts), still_open)
