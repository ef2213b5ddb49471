"""Which members each drop site has, and where they live."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, or_, select

from onboard.model import Standing
from onboard.roster import tables
from onboard.roster.among import among
from onboard.roster.journal import stamp


@dataclass(frozen=True, slots=True)
class AtSite:
    """An open account, by its drop site."""

    member_id: int
    address: tuple[str, ...]  # lines
    site: str  # "" if none


def counts(connection: Connection) -> Mapping[str, int]:
    """How many open accounts have each drop site, by its name; "" is none."""
    member = tables.member.c
    query = select(member.site, func.count()).where(member.standing == Standing.OPEN)
    return dict(tuple(line) for line in connection.execute(query.group_by(member.site)))


def ever(connection: Connection, site: str) -> int:
    """How many accounts have a drop site, in capitals or not, closed ones too; not those that were merged into another."""
    member = tables.member.c
    query = select(func.count()).where(
        func.lower(member.site) == site.lower(), member.standing != Standing.MERGED
    )
    return int(connection.scalar(query) or 0)


def members(connection: Connection, site: str | None = None) -> Iterator[AtSite]:
    """The open accounts of a drop site, or all, by number."""
    member = tables.member.c
    query = select(member.id, member.address, member.site).where(member.standing == Standing.OPEN)
    if site is not None:
        query = query.where(member.site == site)
    for number, address, name in connection.execute(query.order_by(member.id)):
        yield AtSite(number, tuple(address), name)


def by_member(connection: Connection, numbers: Collection[int] | None = None) -> dict[int, str]:
    """The drop site of each open account, or of those of these members, by number."""
    member = tables.member.c
    query = select(member.id, member.site).where(member.standing == Standing.OPEN)
    if numbers is None:
        return dict(tuple(line) for line in connection.execute(query))
    return dict(tuple(line) for line in among(connection, query, member.id, numbers))


def changed_since(connection: Connection, since: datetime) -> set[int]:
    """The numbers of the members whose drop site was changed, or changed back, since then."""
    made, change = tables.applied.c, tables.applied_change.c
    query = select(change.member_id).join(tables.applied, made.id == change.applied_id)
    at = stamp(since)
    query = query.where(change.field == "site", or_(made.at >= at, change.undone_at >= at))
    return set(connection.scalars(query))


def moved_from(connection: Connection, site: str, since: datetime) -> set[int]:
    """The numbers of the members who were moved from a site by approved changes since then that stand."""
    made, change = tables.applied, tables.applied_change
    query = (
        select(change.c.member_id, change.c.before)
        .join(made)
        .where(change.c.field == "site", change.c.undone_at.is_(None))
        .where(made.c.what == "tidied", made.c.at >= stamp(since))
    )
    return {number for number, before in connection.execute(query) if before == site}
