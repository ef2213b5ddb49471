"""The calls worth making first: each with whom, about what, what to ask, and how many members it helps.

Every finding that a talk can settle has points (onboard/tables/audit_calls.tsv): the more, the more
it keeps a member from ordering. They count for whoever can be called about it: the member; the host
of the site, for members who have no phone or whose site is closed or gone; whoever answers a phone
that many have. They count twice for members whose window is open, or opens within `SOON` days.
Members to whom mail is known not to arrive (`CUT_OFF`) are always among the first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from functools import cache
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


def first(found: Iterable[Observation], briefs: Briefs, rules: Rules, most: int = 10) -> list[Call]:
    """The calls that help most, at most `most` of them, the first to make first."""
    by_owner = briefs.by_owner
    sites = {site.name: site for site in rules.settings.sites}
    soon = _soon(rules)
    calls: dict[str, Call] = {}
    found = list(found)
    cut_off = {one.owner for one in found if one.code in ("reach.none", "reach.letter_only")}
    worth = [(code, one) for one in found if (code := topic_of(one))]
    for code, one in sorted(worth, key=lambda pair: -topics()[pair[0]].points):
        if code.startswith("email.") and one.owner in cut_off:
            continue
        topic = topics()[code]
        for owner, key, call in _callees(one, by_owner, sites, rules.settings.region):
            call = calls.setdefault(key, call)
            brief = by_owner.get(owner)
            site = sites.get(brief.site) if brief else None
            hurry = site is not None and site.group in soon
            call.points += topic.points * (2 if hurry else 1)
            call.soon |= hurry
            call.helps[owner] = brief.name if brief else ""
            call.about.setdefault(code, []).append(owner)
            ask = topic.ask_host if call.is_host else topic.ask_member
            # A note says what to do about a member; a host is asked for something else.
            note = one.finding.note if not call.is_host or one.owner.startswith("site:") else ""
            for told, words in ((call.asks, ask), (call.notes, note)):
                if words and len(told) < 4 and words not in told:
                    told.append(words)
    ranked = sorted(calls.values(), key=lambda c: (-c.points, -len(c.helps), c.whom, c.phone))
    kept = [call for call in ranked if call.is_of_cut_off][: min(AT_LEAST, most)]
    first_of_all = [call for call in ranked if call not in kept][: most - len(kept)]
    return [call for call in ranked if call in kept or call in first_of_all]


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
) -> list[tuple[str, str, Call]]:
    """Who is called about a finding: owner helped, a key of the one called, the call."""
    if one.owner.startswith("site:"):
        host = _host(sites.get(one.owner.removeprefix("site:")), region)
        return [(one.owner, *host)] if host else []
    owners = [owner for owner in (one.owner, *one.others) if owner in by_owner]
    if one.code in ("reach.helper", "reach.shared") and one.finding.said.startswith("+"):
        number = _aloud(one.finding.said)
        return [
            (o, number, Call("Whoever answers", number, "many members have this number"))
            for o in owners
        ]
    if one.code.startswith("twice."):
        owners = owners[:1]
    found = []
    for owner in owners:
        brief = by_owner[owner]
        closed_or_gone = one.code == "site.closed"
        host = _host(sites.get(one.finding.said if closed_or_gone else brief.site), region)
        if "phone" in brief.ways and not (closed_or_gone and host):
            number = _aloud(brief.phone)
            found.append((owner, owner, Call(brief.name, number, "")))
        elif host and (code := topic_of(one)) and topics()[code].ask_host:
            found.append((owner, *host))
    return found


def _host(site: Site | None, region: str) -> tuple[str, Call] | None:
    if site is None or not site.host_phone:
        return None
    number = phones.said_aloud(site.host_phone, region=region)
    return f"host:{site.name}", Call(site.host, number, f"host of {site.name}", is_host=True)


def _aloud(e164: str) -> str:
    return phones.read_aloud(Phone(e164))
