"""What becomes of the members of a drop site that closes or moves, and who may want to go to a new one.

Nothing here moves anybody. That a site is closed stands in the settings; members go to another site by changes that a person
approved, and that can be undone; whoever lives nearer to a new site is asked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from sqlalchemy import Connection

from onboard import nearby
from onboard.clean import name as names
from onboard.errors import FileTrouble
from onboard.model import Change, Member, Proposal, SiteNews, ToldSite
from onboard.nearby import Home, Nearer, Where
from onboard.office import Act, Office
from onboard.reports import changes as review
from onboard.roster import at_sites, search
from onboard.settings import Site
from onboard.tasks import meant, site_notices
from onboard.tasks.list_sites import home
from onboard.tasks.site_notices import History, Telling

LATELY = timedelta(days=90)  # how long after a move it is still worth a notice


@dataclass(slots=True)
class NewsReport:
    """Whom news of a drop site concerns, who is told now, and who was told before."""

    site: Site
    news: SiteNews
    on: date | None = None
    where: list[Where] = field(default_factory=list)  # of those at a site that closes
    nearer: list[Nearer] = field(default_factory=list)  # of those who live near to a new one
    least: float = 0  # how many miles closer these live at least
    members: dict[int, Member] = field(default_factory=dict)  # by number, all whom it concerns
    telling: Telling = field(default_factory=Telling)
    called: tuple[str, ...] = ()  # sign-in names of those who were told on the phone
    changes: Path | None = None  # the review file that was written

    @property
    def nowhere(self) -> list[Where]:
        """Those of whom nobody knows where they could go."""
        return [one for one in self.where if one.site is None]


def close_site(
    office: Office,
    said: str,
    on: date | None = None,
    *,
    changes: Path | None = None,
    called: Collection[str] = (),
    keep: bool,
) -> NewsReport:
    """Who is at a drop site that closes, and where each could go: the nearest open site with room.

    With `changes` a review file proposes these moves, for `tidy`. With `keep` each of them is told once, by a notice in the
    outbox; so is whoever was moved from there to another site than they were told; with `called`, only those are noted, as
    told on the phone. Raises `FileTrouble` where no one site is meant or a file cannot be written, `SettingsTrouble` and
    `StoreTrouble`.
    """
    site = _meant(office, said, on)
    report = NewsReport(site, SiteNews.CLOSES, on, called=tuple(sorted(called)))
    with office.work(keep=keep) as connection:
        before = site_notices.history(connection)
        there = [home(one) for one in at_sites.members(connection, site.name)]
        report.where = _where(connection, office, site, there, before)
        wanted = {
            one.home.member_id: ToldSite(
                SiteNews.CLOSES, site.name, on, one.site.name if one.site and not one.is_far else ""
            )
            for one in report.where
        }
        gone = _gone(connection, office, site, before) - wanted.keys()
        report.members = search.members_by_number(connection, wanted.keys() | gone)
        for number in gone & report.members.keys():
            name = report.members[number].site
            if name != site.name and office.settings.site(name):
                wanted[number] = ToldSite(SiteNews.NOW, name)
        _tell(connection, office, report, wanted, before, keep=keep)
    if changes:
        _propose(report, changes)
    return report


def move_site(
    office: Office,
    said: str,
    on: date | None = None,
    *,
    called: Collection[str] = (),
    keep: bool,
) -> NewsReport:
    """Who is told that a drop site has another address now, which stands in the settings. Each is told once of one address.

    Raises as `close_site`.
    """
    site = _meant(office, said, on)
    _see_that_it_is_open(site)
    report = NewsReport(site, SiteNews.MOVED, on, called=tuple(sorted(called)))
    address = site_notices.address_of(office.settings, site.name)
    with office.work(keep=keep) as connection:
        there = [one.member_id for one in at_sites.members(connection, site.name)]
        report.members = search.members_by_number(connection, there)
        wanted = {n: ToldSite(SiteNews.MOVED, site.name, on, address=address) for n in there}
        before = site_notices.history(connection)
        _tell(connection, office, report, wanted, before, keep=keep)
    return report


def open_site(
    office: Office,
    said: str,
    least: float = 5,
    *,
    called: Collection[str] = (),
    keep: bool,
) -> NewsReport:
    """Who lives at least so many miles nearer to a new drop site than to their own. With `keep` each of them is asked once;
    nobody is moved. Raises as `close_site`."""
    site = _meant(office, said, None)
    _see_that_it_is_open(site)
    if not nearby.is_on_map(site.zip5):
        raise FileTrouble(
            f"We don't know where ZIP code {site.zip5} of {site.name} is. Check it in the settings."
        )
    report = NewsReport(site, SiteNews.OPENS, called=tuple(sorted(called)), least=least)
    with office.work(keep=keep) as connection:
        homes = [home(one) for one in at_sites.members(connection)]
        report.nearer = nearby.nearer(homes, office.settings.sites, site, least)
        numbers = [one.home.member_id for one in report.nearer]
        report.members = search.members_by_number(connection, numbers)
        wanted = {number: ToldSite(SiteNews.OPENS, site.name) for number in numbers}
        before = site_notices.history(connection)
        _tell(connection, office, report, wanted, before, keep=keep)
    return report


# ---------------------------------------------------------------- whom it concerns


def _meant(office: Office, said: str, on: date | None) -> Site:
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.TELL)
    if on and on < office.today():
        raise FileTrouble(f"{on} is over. Give a day from today on, or leave --on out.")
    return meant.site(office.settings.sites, said)


def _see_that_it_is_open(site: Site) -> None:
    if site.closed:
        raise FileTrouble(
            f"{site.name} is closed. Take out closed under its [[site]] in the settings first."
        )


def _where(
    connection: Connection, office: Office, site: Site, there: Iterable[Home], before: History
) -> list[Where]:
    """Where each could go; whoever was told a site already keeps it while it is open."""
    others = [one for one in office.settings.sites if one.name != site.name and not one.closed]
    by_name = {one.name: one for one in others}
    promised: dict[int, Site] = {}
    homes = list(there)
    for one in homes:
        told = site_notices.last_told(before.get(one.member_id, ()), SiteNews.CLOSES, site.name)
        if told and told.instead in by_name:
            promised[one.member_id] = by_name[told.instead]
    counts = Counter(at_sites.counts(connection))
    counts.update(one.name for one in promised.values())
    left = [one for one in homes if one.member_id not in promised]
    found = {one.home.member_id: one for one in nearby.places_for(left, others, counts)}
    for one in homes:
        if other := promised.get(one.member_id):
            far = nearby.miles(one.zip5, other)
            found[one.member_id] = Where(
                one, nearby.near(one.zip5, others), other, far, "as told before"
            )
    return [found[one.member_id] for one in homes]


def _gone(connection: Connection, office: Office, site: Site, before: History) -> set[int]:
    """Those who were at the site, and have another one now by a change that a person approved or after they were told."""
    moved = at_sites.moved_from(connection, site.name, office.now() - LATELY)
    told = {
        number
        for number, lines in before.items()
        if site_notices.last_told(lines, SiteNews.CLOSES, site.name)
    }
    return set(moved) | told


def _tell(
    connection: Connection,
    office: Office,
    report: NewsReport,
    wanted: dict[int, ToldSite],
    before: History,
    *,
    keep: bool,
) -> None:
    if not report.called:
        report.telling = site_notices.tell(
            connection, office, report.members, wanted, before, keep=keep
        )
        return
    by_phone = {member.id for member in meant.by_handle(connection, report.called).values()}
    report.telling = site_notices.tell(
        connection, office, report.members, {n: wanted[n] for n in wanted if n in by_phone}, before,
        called=by_phone, keep=keep,
    )  # fmt: skip
    if strangers := by_phone - {one.member.id for one in report.telling.told}:
        whose = search.handles_of(connection, strangers)
        raise FileTrouble(
            f"There is nothing to tell {', '.join(sorted(whose.values()))}: it does not concern them, or they were told."
        )
    if keep:
        site_notices.mark_called(connection, office, report.telling.told)


def _propose(report: NewsReport, file: Path) -> None:
    """Write the moves for a person to approve."""
    proposals = []
    for one in report.where:
        member = report.members[one.home.member_id]
        if one.site is None or one.miles is None:
            continue
        why = f"{report.site.name} closes. {one.site.name} is {nearby.say_miles(one.miles)} away"
        why += f" ({one.why})." if one.why else "."
        change = Change(member.id, "site", report.site.name, one.site.name, why)
        proposals.append(Proposal(change, member.handle.text, names.show(member.name)))
    review.write(file, proposals)
    report.changes = file
