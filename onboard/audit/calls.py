"""The calls worth making first: each with whom, about what, and how many members it helps.

Every finding that a talk can settle has points (`HELP`): the more, the more it keeps a member from
ordering. They count for whoever can be called about it: the member; the host of the site, for members
who have no phone or whose site is closed or gone; whoever answers a phone that many have. They
count twice for members whose window is open, or opens within `SOON` days.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

from onboard import windows
from onboard.audit.observation import Observation
from onboard.audit.record import Brief, Rules
from onboard.clean import phone as phones
from onboard.model import Phone
from onboard.settings import Site

SOON = 14  # days

# Points: 8, cannot sign in; 6, does not know where to collect, or nobody can tell them anything;
# 4, mail is lost; 3, an account too many, or somebody else's address; 1 to 2, to be asked when at it.
HELP: Mapping[str, int] = {
    "access.first_expired": 8, "access.never_signed_in": 8, "access.no_handle": 8, "access.reserved": 6,
    "site.closed": 6, "site.missing": 6, "site.unknown": 6, "site.ambiguous": 6, "reach.none": 6,
    "reach.bounced": 4, "email.missing": 4, "email.unreadable": 4, "email.unclear": 4, "email.slip": 4,
    "email.placeholder": 4, "email.wrong_field": 4, "email.no_mail": 4, "email.special_use": 4,
    "email.country_only": 4, "email.filler": 4, "email.signs": 4, "reach.letter_only": 4, "reach.helper": 3, "reach.shared": 3,
    "twice.certain": 3, "twice.likely": 3, "twice.possible": 2, "name.joint": 3, "name.empty": 3,
    "name.household": 3, "fields.swapped": 2, "access.unlike_name": 2, "site.far": 2, "upkeep.idle": 1,
    "address.missing": 1, "address.no_number": 1, "address.no_street": 1, "place.at_odds": 1,
    "place.state_at_odds": 1, "upkeep.no_consent": 1, "place.thin_site": 2, "place.crowded_site": 2,
}  # fmt: skip

# What a site's host can be asked about members who have no phone: not what is their own affair.
HOST_CAN = frozenset(
    code
    for code in HELP
    if code.startswith(("site.", "email.", "place.thin", "place.crowded"))
    or code in ("reach.none", "reach.letter_only", "reach.bounced", "access.never_signed_in",
                "access.first_expired")
)  # fmt: skip

# In a few words, for the page of calls: what is amiss with one, with several.
SAYS: Mapping[str, str] = {
    "access.first_expired": "temporary password expired, unused",
    "access.never_signed_in": "never signed in",
    "access.no_handle": "no sign-in name",
    "access.reserved": "reserved word as sign-in name",
    "site.closed": "drop site is closed",
    "site.missing": "no drop site",
    "site.unknown": "drop site is not in the settings",
    "site.ambiguous": "drop site not clear",
    "reach.none": "can't be reached",
    "reach.bounced": "emails come back",
    "reach.letter_only": "can only be reached by letter",
    "reach.helper": "share an email or phone",
    "reach.shared": "same email or phone as a stranger",
    "twice.certain": "very likely has two accounts",
    "twice.likely": "probably has two accounts",
    "twice.possible": "may have two accounts",
    "fields.swapped": "first and last name may be switched",
    "access.unlike_name": "sign-in name does not match the name",
    "site.far": "a closer drop site",
    "upkeep.idle": "not active for a long time",
    "upkeep.no_consent": "never asked about email",
    "place.thin_site": "few members at the drop site",
    "place.crowded_site": "many members at the drop site",
}


@dataclass(slots=True)
class Call:
    """A call worth making."""

    whom: str
    phone: str  # as it is said
    why_them: str  # "" if the member
    points: int = 0
    helps: dict[str, str] = field(default_factory=dict)  # owners and their names
    about: dict[str, list[str]] = field(default_factory=dict)  # code: owners
    notes: list[str] = field(default_factory=list)
    soon: bool = False

    def reasons(self) -> list[str]:
        """What it is about, what concerns most members first."""
        order = sorted(self.about.items(), key=lambda item: -len(item[1]) * HELP[item[0]])
        return [
            words(code) + (f" ({len(owners):,} members)" if len(owners) > 1 else "")
            for code, owners in order
        ]


def words(code: str) -> str:
    """A code in a few words.

    >>> words("reach.none"), words("email.no_mail")
    ("can't be reached", 'email: no mail')
    """
    what, _, rest = code.partition(".")
    return SAYS.get(code, f"{what}: {rest.replace('_', ' ')}")


def first(
    found: Iterable[Observation], briefs: Sequence[Brief], rules: Rules, most: int = 10
) -> list[Call]:
    """The calls that help most, at most `most` of them, the first to make first."""
    by_owner: dict[str, Brief] = {brief.owner: brief for brief in briefs}
    sites = {site.name: site for site in rules.settings.sites}
    soon = _soon(rules)
    calls: dict[str, Call] = {}
    found = list(found)
    cut_off = {one.owner for one in found if one.code in ("reach.none", "reach.letter_only")}
    for one in sorted(found, key=lambda one: -HELP.get(one.code, 0)):
        points = HELP.get(one.code)
        if points is None or (one.code.startswith("email.") and one.owner in cut_off):
            continue
        for owner, key, call in _callees(one, by_owner, sites, rules.settings.region):
            call = calls.setdefault(key, call)
            brief = by_owner.get(owner)
            site = sites.get(brief.site) if brief else None
            hurry = site is not None and site.group in soon
            call.points += points * (2 if hurry else 1)
            call.soon |= hurry
            call.helps[owner] = brief.name if brief else ""
            call.about.setdefault(one.code, []).append(owner)
            if len(call.notes) < 4 and one.finding.note not in call.notes:
                call.notes.append(one.finding.note)
    ranked = sorted(calls.values(), key=lambda c: (-c.points, -len(c.helps), c.whom, c.phone))
    return ranked[:most]


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
        elif host and one.code in HOST_CAN:
            found.append((owner, *host))
    return found


def _host(site: Site | None, region: str) -> tuple[str, Call] | None:
    if site is None or not site.host_phone:
        return None
    shown = phones.clean(site.host_phone, region=region).value
    number = phones.read_aloud(shown) if shown else site.host_phone
    return f"host:{site.name}", Call(site.host, number, f"host of {site.name}")


def _aloud(e164: str) -> str:
    return phones.read_aloud(Phone(e164))
