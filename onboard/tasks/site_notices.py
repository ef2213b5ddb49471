"""Notices about drop sites: each member is told a piece of news once, by the way they have."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import Connection

from onboard.mail import outbox
from onboard.model import Deed, Event, Member, Outgoing, SiteNews, State, ToldSite, Way
from onboard.office import Office
from onboard.roster import outgoing
from onboard.settings import Settings
from onboard.tasks import known_windows, ways
from onboard.tasks.days_heard import CAME_BACK, HEARD
from onboard.welcome import letters
from onboard.welcome.notice import Notice
from onboard.welcome.site_news import about, site_news
from onboard.windows import Known

ANEW = "To make it anew, run the line again that made it: onboard sites"


@dataclass(frozen=True, slots=True)
class ToTell:
    """A member who is told news of a drop site, and how."""

    member: Member
    news: ToldSite
    by: Way
    why: str = ""  # why not by email
    file: str = ""  # in the outbox; "" in a preview, and where somebody calls


@dataclass(slots=True)
class Telling:
    """Who is told now, who was told before, and what goes out no more."""

    told: list[ToTell] = field(default_factory=list)
    told_before: set[int] = field(default_factory=set)
    overtaken: list[str] = field(default_factory=list)  # notices in the outbox that hold no longer


History = Mapping[
    int, Sequence[Outgoing]
]  # by member, what told them of drop sites, the oldest first


def history(connection: Connection) -> History:
    """What told members with open accounts of drop sites, by number; nothing that is void."""
    found: dict[int, list[Outgoing]] = defaultdict(list)
    for line in outgoing.telling_sites(connection):
        found[line.member_id].append(line)
    return found


def last_told(lines: Sequence[Outgoing], news: SiteNews, site: str) -> ToldSite | None:
    """The latest that a member was told of this news of the site, or is about to be."""
    of_it = [
        line.told_site
        for line in lines
        if line.told_site
        and (line.told_site.news, line.told_site.site) == (news, site)
        and line.state not in CAME_BACK
    ]
    return of_it[-1] if of_it else None


def tell(
    connection: Connection,
    office: Office,
    members: Mapping[int, Member],
    wanted: Mapping[int, ToldSite],
    before: History,
    *,
    called: Collection[int] = (),
    keep: bool,
) -> Telling:
    """Who is told, of what is `wanted` by number; with `keep` a notice to each of them is in the outbox, and those whose
    numbers are `called` were told on the phone. Raises `FileTrouble` and `SettingsTrouble`."""
    known = known_windows.follow(connection, office.settings, office.now(), keep=keep)
    open_ones = [
        members[n] for n in wanted if n in members and not members[n].standing.forbids(Deed.PACKET)
    ]
    back = [n for n, lines in before.items() if _last_email_came_back(lines)]
    how = ways.of(connection, office.settings, open_ones, back)
    telling = Telling()
    for member in open_ones:
        news, lines = wanted[member.id], before.get(member.id, ())
        if member.id not in how:
            continue  # they may have died
        by = Way.CALL if member.id in called else how[member.id].by
        stale = [
            line
            for line in lines
            if line.state is State.WRITTEN
            and line.told_site
            and _is_about(line.told_site, news)
            and not _still_holds(line, member, news, by, office, known)
        ]
        telling.overtaken += [line.file for line in stale]
        if keep:
            _cancel(connection, office, stale)
        if _has_heard([line for line in lines if line not in stale], news):
            telling.told_before.add(member.id)
            continue
        one = ToTell(member, news, by, how[member.id].why)
        telling.told.append(_write(connection, office, one, known) if keep else one)
    return telling


def overtaken(line: Outgoing, member: Member, settings: Settings) -> str:
    """Why a notice of a drop site that waits in the outbox holds no longer; "" if it does, or tells of none."""
    told = line.told_site
    if told is None:
        return ""
    site = settings.site(told.site)
    if told.news is SiteNews.OPENS:
        gone = site is None or site.closed or member.site == told.site
    elif told.news is SiteNews.MOVED:
        gone = (
            site is None
            or member.site != told.site
            or told.address != address_of(settings, told.site)
        )
    else:
        gone = member.site != told.site
    return f"It tells of a drop site that holds no longer. {ANEW}" if gone else ""


def address_of(settings: Settings, name: str) -> str:
    """Where a site is, in one line; "" if the settings don't have it."""
    site = settings.site(name)
    return f"{' '.join(site.address.split())} {site.zip5}" if site else ""


def made_again(
    connection: Connection, office: Office, member: Member, line: Outgoing
) -> Notice | None:
    """A notice that is gone from the outbox, or goes to another address now. Raises `SettingsTrouble`."""
    if line.told_site is None:
        return None
    known = known_windows.follow(connection, office.settings, office.now(), keep=False)
    what = about(member, line.told_site, office.settings, known, office.now())
    return site_news(member, what, office.settings, office.now(), by_email=line.way is Way.EMAIL)


# ---------------------------------------------------------------- who heard what


def _is_about(told: ToldSite, news: ToldSite) -> bool:
    """Whether one takes the place of the other."""
    its = (SiteNews.CLOSES, SiteNews.NOW)  # both say where they pick up from some day on
    if news.news in its:
        return told.news in its
    return (told.news, told.site) == (news.news, news.site)


def _says_the_same(told: ToldSite, news: ToldSite) -> bool:
    if news.news is SiteNews.NOW and told.news is SiteNews.CLOSES:
        return told.instead == news.site
    day = told.on if news.on is None else news.on  # who gives no day asks for no other
    return replace(told, on=day) == replace(news, on=day) and told.on == day


def _has_heard(lines: Sequence[Outgoing], news: ToldSite) -> bool:
    """Whether the last word on it that the member has, or is about to get, says just this."""
    words = [
        line.told_site
        for line in lines
        if line.told_site
        and _is_about(line.told_site, news)
        and (line.state in HEARD or line.state is State.WRITTEN)
    ]
    return bool(words) and _says_the_same(words[-1], news)


def _still_holds(
    line: Outgoing, member: Member, news: ToldSite, by: Way, office: Office, known: Sequence[Known]
) -> bool:
    """Whether a notice that waits says what is to be said, by a way that the member has."""
    if line.told_site is None or not _says_the_same(line.told_site, news):
        return False
    if by is Way.CALL or (
        line.way is Way.EMAIL and by is not Way.EMAIL and office.settings.mail.host
    ):
        return False
    what = about(member, line.told_site, office.settings, known, office.now())
    return tuple(line.told or ()) == what.told_windows


def _last_email_came_back(lines: Sequence[Outgoing]) -> bool:
    emails = [
        line.state for line in lines if line.way is Way.EMAIL and line.state is not State.WRITTEN
    ]
    return bool(emails) and emails[-1] in CAME_BACK


# ---------------------------------------------------------------- written


def _cancel(connection: Connection, office: Office, lines: Sequence[Outgoing]) -> None:
    outgoing.step(connection, [line.id for line in lines], Event.CANCEL, office.signature())
    for line in lines:
        if line.file:
            outbox.take_away(office.settings.outbox, line.file)


def _write(connection: Connection, office: Office, one: ToTell, known: Sequence[Known]) -> ToTell:
    settings, signature, number = office.settings, office.signature(), one.member.id
    what = about(one.member, one.news, settings, known, office.now())
    told = what.told_windows or None
    if one.by is Way.CALL:
        return one
    notice = site_news(one.member, what, settings, office.now(), by_email=one.by is Way.EMAIL)
    name = outbox.notice_name(
        settings.outbox, number, signature.when, ".eml" if notice.message else ".pdf"
    )
    content = notice.message or letters.pdf([notice], settings)
    outbox.write_file(settings.outbox, name, content)
    outgoing.add_notice(connection, number, one.by, name, signature, told, one.news)
    return replace(one, file=name)


def mark_called(connection: Connection, office: Office, told: Sequence[ToTell]) -> None:
    """These members were told on the phone."""
    known = known_windows.follow(connection, office.settings, office.now(), keep=True)
    for one in told:
        what = about(one.member, one.news, office.settings, known, office.now())
        outgoing.add_notice(
            connection, one.member.id, Way.CALL, "", office.signature(), what.told_windows or None, one.news
        )  # fmt: skip
