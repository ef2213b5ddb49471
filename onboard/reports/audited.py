"""What an audit found as a report: kind by kind, beside the audit before, with the calls to make."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from onboard.clean import place as places
from onboard.errors import FileTrouble
from onboard.model import Owner, Place, Proposal, Weight
from onboard.reports import cells, changes, sheet_changes, side_by_side
from onboard.reports.audit import (
    MOST_HISTORY,
    CallTo,
    Dot,
    Earlier,
    KindOf,
    Report,
    read_earlier,
    write_json,
)
from onboard.reports.audit_items import Items
from onboard.reports.audit_page import write_page
from onboard.reports.audit_sheets import pairs_to_rule, write_csv, write_pairs, write_workbook
from onboard.reports.side_by_side import Both
from onboard.windows import say_day

if TYPE_CHECKING:
    from onboard.audit.calls import Call
    from onboard.audit.observation import Observation
    from onboard.audit.outcome import Audit
    from onboard.audit.record import Brief

MOST_NAMED = 12  # members that a call to somebody else is about
NEARLY_ALL, FEW = 0.8, 20  # a share of at least so many accounts: the roster's matter, not theirs
FAR_OFF = 300.0  # miles from every site: not drawn, or the map would be of nothing else
OFF_THE_MAINLAND = frozenset(("AK", "HI", "PR", "VI", "GU", "MP", "AS"))  # in frames of their own


def report_of(done: Audit, earlier: Earlier | None = None) -> Report:
    """The report; `earlier` is the audit that it is compared with."""
    by_owner = done.briefs.by_owner
    found: dict[str, list[Observation]] = defaultdict(list)
    for one in done.found:
        found[one.code].append(one)
    codes = list(found)
    if earlier:
        codes += [code for code, keys in earlier.keys.items() if keys and code not in found]
    opened = done.briefs.opened
    kinds = [
        _kind(done, code, found.get(code, []), earlier, opened)
        for code in codes
        if code in done.kinds  # an earlier program may have had more
    ]
    groups = done.groups
    order = {Weight.BLOCKING: 0, Weight.DOUBTFUL: 1, Weight.MENDED: 2}
    kinds.sort(key=lambda k: (groups.index(k.group), order[k.weight], -k.count, k.code))
    settings, at = done.rules.settings, done.at.astimezone(UTC).isoformat(timespec="seconds")
    counts = {"at": at, "open": opened, "counts": {kind.code: kind.count for kind in kinds}}
    homes, elsewhere = _homes(done)
    nearly_all = [kind for kind in kinds if kind.is_nearly_all]
    return Report(
        coop=settings.coop,
        at=at,
        day=say_day(done.rules.today),
        source=done.source,
        members=len(done.briefs),
        open=opened,
        touched=len(_touched(done, by_owner, nearly_all)),
        kinds=kinds,
        proposed=len(done.cells)
        if not done.is_roster
        else sum(one.change is not None for one in done.found),
        calls=[call for call, _ in first_calls(done, kinds)],
        notes=(*done.notes, *map(_of_nearly_all, nearly_all)),
        households=done.households,
        sites=_sites(done),
        homes=homes,
        elsewhere=elsewhere,
        before=earlier.day if earlier else "",
        history=_history(earlier, counts, ZoneInfo(settings.timezone)),
    )


def _touched(done: Audit, by_owner: Mapping[str, Brief], apart_from: Sequence[KindOf]) -> set[str]:
    """The accounts of which something is said that wants doing, beside what is said of nearly all."""
    told = {kind.code for kind in apart_from}
    return {
        owner
        for one in done.found
        if one.finding.weight is not Weight.MENDED and one.code not in told
        for owner in (one.owner, *one.others)
        if owner in by_owner
    }


def _without(done: Audit, nearly_all: Sequence[KindOf]) -> Audit:
    """The audit without what nearly all accounts have: no call is about that."""
    codes = {kind.code for kind in nearly_all}
    return replace(done, found=[one for one in done.found if one.code not in codes])


def first_calls(done: Audit, kinds: Sequence[KindOf]) -> list[tuple[CallTo, tuple[str, ...]]]:
    """The calls to make first, each with the owners whom it helps."""
    nearly_all = [kind for kind in kinds if kind.is_nearly_all]
    return [(_call(call), tuple(call.helps)) for call in _without(done, nearly_all).calls()]


def _of_nearly_all(kind: KindOf) -> str:
    """That a finding is no matter of single accounts."""
    return (
        f"{kind.about} That is so of nearly all accounts ({kind.count:,}), so it is not counted or listed "
        "for each. Check whether something put it into the roster, or left it out, all at once."
    )


def _history(
    earlier: Earlier | None, now: Mapping[str, Any], zone: ZoneInfo
) -> list[Mapping[str, Any]]:
    """The counts of the audits so far, this one's the last; of a day at the co-op the last counts."""
    so_far = [*(earlier.history if earlier else ()), now]
    of_day: dict[str, Mapping[str, Any]] = {
        day: {**audit, "on": day}
        for audit in so_far
        for day in [datetime.fromisoformat(audit["at"]).astimezone(zone).date().isoformat()]
    }
    return list(of_day.values())[-MOST_HISTORY:]


def proposals(done: Audit) -> Iterator[Proposal]:
    """Every change of the roster that is proposed, for a person to approve."""
    by_owner = done.briefs.by_owner
    for one in done.found:
        if one.change is not None and done.is_roster:
            whose = by_owner[Owner.of_member(one.change.member_id)]
            yield Proposal(one.change, whose.handle, whose.name, one.code)


def _kind(
    done: Audit, code: str, found: Sequence[Observation], earlier: Earlier | None, opened: int
) -> KindOf:
    kind = done.kinds[code]
    known = Counter(earlier.keys.get(code, {})) if earlier else Counter()
    items = Items(found, done.briefs, known if earlier else None)
    wants = kind.weight is not Weight.MENDED
    alone = {one.owner for one in found if not one.others}  # of a pair each is another matter
    return KindOf(
        code, done.group_of(code), kind.weight, kind.about, items,
        before=known.total() if earlier else None,
        new=items.new,
        gone=known.total() - (len(found) - items.new) if earlier else 0,
        is_nearly_all=wants and opened >= FEW and len(alone) >= NEARLY_ALL * opened,
    )  # fmt: skip


def _call(call: Call) -> CallTo:
    members = sum(not owner.startswith("site:") for owner in call.helps)
    return CallTo(
        call.whom, call.phone, call.why_them, members, tuple(call.reasons()),
        tuple(call.notes), call.soon, call.points, _named(call), tuple(call.asks),
    )  # fmt: skip


def _named(call: Call) -> tuple[str, ...]:
    """Whom the call is about, if that is not the one who is called."""
    if not call.why_them:
        return ()
    return tuple(islice(filter(None, call.helps.values()), MOST_NAMED))


# ---------------------------------------------------------------- the map


def _sites(done: Audit) -> list[Dot]:
    members = done.briefs.counted("site")
    written = {site.name.casefold(): site.name for site in done.rules.settings.sites}
    for one in done.found:
        if one.code == "site.closed":  # nobody's site any more, as rules go
            members[written.get(" ".join(one.finding.said.split()).casefold(), "")] += 1
    found = []
    for site in done.rules.settings.sites:
        spot = places.find(site.zip5)
        if spot and spot.latitude is not None and spot.longitude is not None:
            found.append(
                Dot(
                    site.name,
                    spot.latitude,
                    spot.longitude,
                    members[site.name],
                    site.closed,
                    where=_where(spot),
                )
            )
    return found


def _where(spot: Place) -> str:
    return f"{spot.city.title()}, {spot.state} {spot.zip5}"


def _homes(done: Audit) -> tuple[list[Dot], int]:
    """Members by ZIP code, and how many are nowhere near."""
    far = {one.owner for one in done.found if one.code in ("site.far", "site.closed")}
    members = done.briefs.counted("zip5")
    known = filter(None, map(done.briefs.by_owner.get, far))
    odd = Counter(brief.zip5 for brief in known if brief.is_open)
    sites = [spot for s in done.rules.settings.sites if (spot := places.find(s.zip5))]
    found, elsewhere = [], 0
    for zip5, count in sorted(members.items()):
        spot = places.find(zip5)
        near = spot is not None and (
            spot.state in OFF_THE_MAINLAND
            or any(places.miles(spot, site) <= FAR_OFF for site in sites)
        )
        if spot and near and spot.latitude is not None and spot.longitude is not None:
            found.append(Dot(_where(spot), spot.latitude, spot.longitude, count, odd=odd[zip5]))
        else:
            elsewhere += count
    return found, elsewhere


# ---------------------------------------------------------------- written

PAGE, BOOK, LIST, WHOLE = "audit.html", "audit.xlsx", "findings.csv", "audit.json"
PAIRS, REVIEW = "pairs.xlsx", "changes.xlsx"
Ruling = tuple[str, str, str]  # two ids, "same" or "different"


def earlier_in(folder: Path) -> Earlier | None:
    """The audit that was written into the folder before, if any. Raises `FileTrouble`."""
    file = folder / WHOLE
    return read_earlier(file) if file.exists() else None


def write(done: Audit, report: Report, folder: Path, ruled: Sequence[Ruling] = ()) -> list[Path]:
    """Write every form of the report into the folder; the files. Raises `FileTrouble`.

    `ruled` are rulings on pairs given so far: they are kept in the new list of pairs.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise FileTrouble(
            f"The folder {folder} can't be made ({error.strerror}). Choose another place."
        ) from error
    files = [folder / name for name in (PAGE, BOOK, LIST, WHOLE)]
    write_page(report, files[0])
    write_workbook(report, files[1])
    write_csv(report, files[2])
    if files[3].exists():
        files[3].replace(folder / "audit (earlier).json")
    write_json(report, files[3])
    if done.is_roster and report.proposed:
        changes.write(folder / REVIEW, proposals(done), *_merges(done))
        files.append(folder / REVIEW)
    elif done.cells:
        _put_by(folder / REVIEW)
        sheet_changes.write(folder / REVIEW, done.cells)
        files.append(folder / REVIEW)
    else:
        _put_by(folder / REVIEW)
    pairs = [kind for kind in report.kinds if kind.group == "twice" and kind.count]
    if pairs or ruled:
        write_pairs(pairs, ruled, folder / PAIRS, _beside(done, pairs, ruled))
        files.append(folder / PAIRS)
    else:
        _put_by(folder / PAIRS)
    return files


def _merges(done: Audit) -> list[cells.Page]:
    """The accounts of the merges among the proposals, side by side; the rows are those of the changes."""
    by_owner = done.briefs.by_owner
    merges = (
        (row, side_by_side.of_accounts(goes, stays))
        for row, one in enumerate(proposals(done), start=2)
        if one.change.field == "merged_into"
        and (goes := by_owner.get(Owner.of_member(one.change.member_id)))
        and (stays := by_owner.get(Owner.of_member(one.change.after)))
    )
    pairs = list(islice(merges, side_by_side.MOST))
    headings = ("Row in Changes", "Goes", "Stays")
    return [side_by_side.page("Merges", headings, pairs)] if pairs else []


def _beside(
    done: Audit, pairs: Sequence[KindOf], ruled: Sequence[Ruling]
) -> list[tuple[int, list[Both]]]:
    """Both accounts of each pair that somebody is to decide; the rows are those of the pairs."""
    found = list(islice(pairs_to_rule(pairs, ruled), side_by_side.MOST))
    accounts: Mapping[str, Brief] = done.briefs.by_owner
    if not done.is_roster:
        asked = {account for one, other, _ in found for account in (one, other)}
        lasting = ((brief.handle or brief.name, brief) for brief in done.briefs)
        accounts = {called: brief for called, brief in lasting if called in asked}
    return [
        (row, side_by_side.of_accounts(accounts[one], accounts[other]))
        for row, (one, other, _) in enumerate(found, start=2)
        if one in accounts and other in accounts
    ]


def _put_by(file: Path) -> None:
    """Keep a list of the audit before under another name: this one has nothing for it."""
    if file.exists():
        file.replace(file.with_name(f"{file.stem} (earlier){file.suffix}"))
