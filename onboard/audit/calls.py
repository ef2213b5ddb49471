"""The calls worth making first: each with whom, about what, what to ask, and how many members it helps.

Every finding that a talk can settle has points (onboard/tables/audit_calls.tsv): the more, the more
it keeps a member from ordering. They count for whoever can be called about it: the member; the host
of the site, for members who have no phone or whose site is closed or gone; whoever answers a phone
that many have. They count twice for members whose window is open, or opens within `SOON` days.
Members to whom mail is known not to arrive (`CUT_OFF`) are always among the first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from functools import cache, partial
from heapq import nlargest
from typing import NamedTuple

from onboard import windows
from onboard.audit.briefs import Briefs
from onboard.audit.observation import Observation
from onboard.audit.record import Brief, Rules
from onboard.clean import phone as phones
from onboard.model import Phone
from onboard.settings import Site
from onboard.tables import rows

SOON = 14  # days
# Mail came back, was refused or is held: of ten calls so many are theirs, however many others wait.
CUT_OFF = ("reach.bounced", "access.no_packet/")
AT_LEAST = 4


class Topic(NamedTuple):
    """What a finding is worth a call: points, why in a few words, and what to ask whom."""

    points: int
    why: str
    ask_member: str
    ask_host: str  # "" if that is not for a host to answer


@cache
def topics() -> Mapping[str, Topic]:
    """The topics by the code of the finding; one of what a finding says has "code/said".

    >>> topics()["reach.none"].why, "access.no_packet/due" in topics()
    ("can't be reached", False)
    """
    return {code: Topic(int(points), *words) for code, points, *words in rows("audit_calls")}


def topic_of(one: Observation) -> str:
    """The code of the topic of a finding; "" if no talk can settle it."""
    said = f"{one.code}/{one.finding.said}"
    return said if said in topics() else one.code if one.code in topics() else ""


@dataclass(slots=True)
class Call:
    """A call worth making."""

    whom: str
    phone: str  # as it is said
    why_them: str  # "" if the member
    is_host: bool = False
    points: int = 0
    helps: dict[str, str] = field(default_factory=dict)  # owners and their names
    about: dict[str, list[str]] = field(default_factory=dict)  # code: owners
    asks: list[str] = field(default_factory=list)  # what to ask them
    notes: list[str] = field(default_factory=list)
    soon: bool = False

    def reasons(self) -> list[str]:
        """What it is about, what concerns most members first."""
        concerned: dict[str, set[str]] = {}  # several codes may have one why
        for code, owners in sorted(
            self.about.items(), key=lambda item: -len(item[1]) * topics()[item[0]].points
        ):
            concerned.setdefault(topics()[code].why, set()).update(owners)
        return [
            why + (f" ({len(owners):,} members)" if len(owners) > 1 else "")
            for why, owners in concerned.items()
        ]

    @property
    def is_of_cut_off(self) -> bool:
        """Whether it is about somebody to whom mail is known not to arrive."""
        return any(code.startswith(CUT_OFF) for code in self.about)


class _Callee(NamedTuple):
    """Who can be called about a finding."""

    helps: str  # the owner whom it helps
    brief: Brief | None  # theirs; of a drop site there is none
    key: str  # the same for all that one call is about
    call: Callable[[], Call]


def first(found: Iterable[Observation], briefs: Briefs, rules: Rules, most: int = 10) -> list[Call]:
    """The calls that help most, at most `most` of them, the first to make first."""
    found = list(found)
    sites = {site.name: site for site in rules.settings.sites}
    soon = _soon(rules)
    cut_off = {one.owner for one in found if one.code in ("reach.none", "reach.letter_only")}
    worth = [
        (code, one)
        for one in found
        if (code := topic_of(one)) and not (code.startswith("email.") and one.owner in cut_off)
    ]
    worth.sort(key=lambda pair: -topics()[pair[0]].points)

    def in_hurry(callee: _Callee) -> bool:
        site = sites.get(callee.brief.site) if callee.brief else None
        return site is not None and site.group in soon

    def callees(one: Observation) -> Iterator[_Callee]:
        return _callees(one, briefs.by_owner, sites, rules.settings.region)

    # First the points alone: of a million members, the calls would be some hundred thousand.
    points: Counter[str] = Counter()
    of_cut_off: set[str] = set()
    for code, one in worth:
        for callee in callees(one):
            points[callee.key] += topics()[code].points * (2 if in_hurry(callee) else 1)
            if code.startswith(CUT_OFF):
                of_cut_off.add(callee.key)
    least = _least(points.values(), most)
    least_of_cut_off = _least((points[key] for key in of_cut_off), AT_LEAST)
    calls: dict[str, Call] = {}
    for code, one in worth:
        for callee in callees(one):
            total, key = points[callee.key], callee.key
            if total < least and not (key in of_cut_off and total >= least_of_cut_off):
                continue
            if key not in calls:
                calls[key] = callee.call()
                calls[key].points = total
            _tell(calls[key], code, one, callee, in_hurry(callee))
    ranked = sorted(calls.values(), key=lambda c: (-c.points, -len(c.helps), c.whom, c.phone))
    kept = [call for call in ranked if call.is_of_cut_off][: min(AT_LEAST, most)]
    first_of_all = [call for call in ranked if call not in kept][: most - len(kept)]
    return [call for call in ranked if call in kept or call in first_of_all]


def _least(points: Iterable[int], most: int) -> int:
    """The points that those have at least who may be among so many."""
    return min(nlargest(most, points), default=0)


def _tell(call: Call, code: str, one: Observation, callee: _Callee, hurry: bool) -> None:
    """Put a finding to what a call is about."""
    topic = topics()[code]
    call.soon |= hurry
    call.helps[callee.helps] = callee.brief.name if callee.brief else ""
    call.about.setdefault(code, []).append(callee.helps)
    ask = topic.ask_host if call.is_host else topic.ask_member
    # A note says what to do about a member; a host is asked for something else.
    note = one.finding.note if not call.is_host or one.owner.startswith("site:") else ""
    for told, words in ((call.asks, ask), (call.notes, note)):
        if words and len(told) < 4 and words not in told:
            told.append(words)


def _soon(rules: Rules) -> frozenset[str]:
    """The groups whose window is open or opens soon."""
    until = rules.today + timedelta(days=SOON)
    found = set()
    for group in rules.settings.groups:
        standing = windows.standing(group, rules.today)
        if standing.open or (standing.next and standing.next.opens <= until):
            found.add(group.name)
    return frozenset(found)


def _callees(
    one: Observation, by_owner: Mapping[str, Brief], sites: Mapping[str, Site], region: str
) -> Iterator[_Callee]:
    """Who is called about a finding."""
    if one.owner.startswith("site:"):
        if host := _host(sites.get(one.owner.removeprefix("site:")), region):
            yield _Callee(one.owner, None, *host)
        return
    briefs = [(o, brief) for o in (one.owner, *one.others) if (brief := by_owner.get(o))]
    if one.code in ("reach.helper", "reach.shared") and one.finding.said.startswith("+"):
        number = _aloud(one.finding.said)
        call = partial(Call, "Whoever answers", number, "many members have this number")
        yield from (_Callee(owner, brief, number, call) for owner, brief in briefs)
        return
    if one.code.startswith("twice."):
        briefs = briefs[:1]
    for owner, brief in briefs:
        closed_or_gone = one.code == "site.closed"
        host = _host(sites.get(one.finding.said if closed_or_gone else brief.site), region)
        if "phone" in brief.ways and not (closed_or_gone and host):
            yield _Callee(owner, brief, owner, partial(_to_member, brief))
        elif host and (code := topic_of(one)) and topics()[code].ask_host:
            yield _Callee(owner, brief, *host)


def _to_member(brief: Brief) -> Call:
    return Call(brief.name, _aloud(brief.phone), "")


def _host(site: Site | None, region: str) -> tuple[str, Callable[[], Call]] | None:
    if site is None or not site.host_phone:
        return None
    return f"host:{site.name}", partial(_to_host, site, region)


def _to_host(site: Site, region: str) -> Call:
    number = phones.said_aloud(site.host_phone, region=region)
    return Call(site.host, number, f"host of {site.name}", is_host=True)


def _aloud(e164: str) -> str:
    return phones.read_aloud(Phone(e164))
