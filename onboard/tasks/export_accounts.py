"""Accounts for the ordering page: all of them, or what changed since it was last told.

What the page was told is marked with each member, so that "changed" means what it says whatever
happened meanwhile: a change that was taken back before the page heard of it is no news.
"""

from __future__ import annotations

import filecmp
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, count
from pathlib import Path
from typing import Any, TextIO

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.model import Deed, Member, Signature, State, What
from onboard.office import Act, Office
from onboard.reports import accounts
from onboard.reports.accounts import News, PageAccount
from onboard.reports.exported import Exported
from onboard.reports.private import private_file
from onboard.roster import journal, members, outgoing, page, search
from onboard.roster.among import parts
from onboard.roster.page import Mark
from onboard.settings import Settings

AT_ONCE = 1000
# Packets that nobody can have: the page needs to know no first password.
NOBODYS = (None, State.DUE, State.WAITING)


WRITERS = {".csv": accounts.write_csv, ".json": accounts.write_scim}
NEWS_WRITERS = {".csv": accounts.write_news_csv, ".json": accounts.write_news_scim}


def export_file(office: Office, file: Path, *, changed: bool, keep: bool) -> Exported:
    """What was written to `file`, .csv or .json (SCIM 2.0): the accounts, or with `changed` what
    changed since the page was last told. With `keep` it is marked as told. What had that name
    before and says something else is kept under another. Where nothing changed, no file is written and
    none has the name.

    Raises `FileTrouble` where the file has another name or cannot be written, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.TELL)
    kind = file.suffix.casefold()
    if kind not in WRITERS:
        raise FileTrouble(f"{file}: give it a name that ends in .csv, or in .json for SCIM 2.0.")

    done = Exported()

    def write_news(news: Iterable[News]) -> int:
        waiting = iter(news)
        first = next(waiting, None)
        if first is None:  # what a program finds under the name is not to be taken in a second time
            done.earlier = _keep_earlier(file)
            return 0
        with private_file(file) as out:
            number = NEWS_WRITERS[kind](chain([first], waiting), office.settings, out)
            done.earlier = _keep_earlier(file)
        return number

    if changed:
        told = export_news(office, write_news, keep=keep, by_page_id=kind == ".json")
        done.count, done.unnamed = told.count, told.unnamed
        return done
    with office.work(keep=keep) as connection:  # marked as told once the file is in its place
        with private_file(file) as out:
            made = _accounts(connection, office, keep, done)
            done.count = WRITERS[kind](made, office.settings, out)
            done.is_as_before = _says_the_same(out, file)
            if not done.is_as_before:
                done.earlier = _keep_earlier(file)
    return done


def has_told(office: Office) -> bool:
    """Whether the ordering page was told of anybody so far: from then on it is told what changed.
    Raises `StoreTrouble`."""
    with office.reading() as connection:
        return page.has_marks(connection)


@dataclass(frozen=True, slots=True)
class ToTell:
    """How many accounts the page is to be told of, and whether the list of what changed is the one that tells all of it."""

    count: int
    as_changes: bool


def to_tell(connection: Connection, settings: Settings) -> ToTell:
    """How many accounts a page is to be told of, among those of which something was noted since it was last told.

    Of a page that was told of nobody so far: whose packets wait to be sent, as it must know them before, and whom of
    those that it had before us changes are about.
    """
    last, behind = page.last_told(connection), page.behind(connection)
    if last is not None:
        behind |= journal.members_since(connection, last)
    news = _news(connection, settings, None, False, Exported(), sorted(behind))
    if last is not None:
        return ToTell(sum(1 for _ in news), as_changes=True)
    waits = outgoing.number(connection, What.PACKET, State.WRITTEN)
    changed = [one.account.member for one in news if one.what != "new" and one.account]
    more = sum(member.packet is not State.WRITTEN for member in changed)
    return ToTell(waits + more, as_changes=bool(changed))


def _says_the_same(new: TextIO, file: Path) -> bool:
    """Whether the file of before holds just what the new one does."""
    new.flush()
    try:
        return filecmp.cmp(new.name, file, shallow=False)
    except OSError:  # there is none, or it is for `_keep_earlier` to tell
        return False


def _keep_earlier(file: Path) -> Path | None:
    """Where the file is kept that had this name before: it may be of use, and changes are told once."""
    try:
        if not file.is_file() or not file.stat().st_size:
            return None
        names = (
            f"{file.stem} (earlier{n}){file.suffix}"
            for n in chain([""], map(" {}".format, count(2)))
        )
        kept = next(one for one in map(file.with_name, names) if not one.exists())
        return file.rename(kept)
    except OSError as error:
        raise FileTrouble(
            f"There is a file {file} already, and it cannot be set aside ({error.strerror}). "
            "Give another name for the new one."
        ) from error


def export_accounts(office: Office, *, keep: bool = False) -> Iterator[PageAccount]:
    """Every open account that we made and whose packet was written, by member number.

    Where members set their password on the page, no hash is given. Members who had an account before they were adopted are left out: the page has them, and we
    have no hash of theirs. An account whose packet is still due is left out too: nobody could
    sign in with it. With `keep`, what was given is marked as told. Raises `StoreTrouble`.
    """
    office.see_that_one_may(Act.TELL)
    with office.work(keep=keep) as connection:
        yield from _accounts(connection, office, keep, Exported())


def _accounts(
    connection: Connection, office: Office, keep: bool, done: Exported
) -> Iterator[PageAccount]:
    """The accounts; `done` counts those whose password the page had before."""
    for some in _members(connection):
        made = [
            _account(member, office.settings)
            for member in some
            if _is_ready(member, office.settings)
        ]
        if hashed := [account.member.id for account in made if account.password_hash]:
            done.resets += len(page.marks(connection, hashed))
        yield from made
        if keep:
            told = {a.member.id: accounts.told(a, office.settings) for a in made}
            page.keep(connection, told, office.signature())


def export_news(
    office: Office,
    write: Callable[[Iterable[News]], int],
    *,
    keep: bool,
    by_page_id: bool,
) -> Exported:
    """What was written of the accounts that changed since the page was last told.

    With `keep` it is marked as told, once `write` has written it. `by_page_id`: accounts can be
    named only as the page calls them; those of which that is not known are counted and stay news.
    Raises `StoreTrouble`.
    """
    office.see_that_one_may(Act.TELL)
    done = Exported()
    with office.work(keep=keep) as connection:
        told = office.signature() if keep else None
        news = _news(connection, office.settings, told, by_page_id, done)
        done.count = write(news)
    return done


def _news(
    connection: Connection,
    settings: Settings,
    signature: Signature | None,
    by_page_id: bool,
    done: Exported,
    of: Sequence[int] | None = None,
) -> Iterator[News]:
    """The accounts that changed, of all or `of` some; with a signature they are marked as told."""
    for some in _members(connection) if of is None else _some(connection, of):
        before = page.marks(connection, [member.id for member in some])
        # Who had an account before us is told apart by the handle: we did not make it.
        adopted = {m.id for m in some if m.id not in before and not m.handle.steps}
        first = page.first_values(connection, adopted)
        stayed = _stayed(connection, some)
        told: dict[int, Mapping[str, Any]] = {}
        for member in some:
            number, handle = member.id, member.handle.text
            mark = before.get(number)
            if number in adopted and (number in first or member.password_hash):
                mark = Mark(had_before(member, first.get(number, {}), settings), "")
            after = _told(member, settings, mark)
            if mark is None:
                if not _is_ready(member, settings) or number in adopted:
                    continue
                one = News(number, handle, "new", _account(member, settings), after)
            else:
                paths = accounts.news_of(mark.account, after)
                if not paths:
                    continue
                what = {True: "opened", False: "closed"}.get(paths.get("active"), "changed")  # type: ignore[arg-type]
                if not mark.account:  # not known what the page has: it is told all
                    what = "closed" if member.standing.forbids(Deed.SIGN_IN) else "changed"
                one = News(
                    number, handle, what, _account(member, settings), paths, mark.page_id,
                    stayed.get(number, ""),
                )  # fmt: skip
            if by_page_id and one.what != "new" and not one.page_id:
                done.unnamed += 1
                continue
            yield one
            told[number] = after
        if signature:
            page.keep(connection, told, signature)
    gone = []
    for mark_line in page.deleted(connection):
        one = News(
            mark_line.member_id, mark_line.account.get("userName", ""), "deleted", None,
            page_id=mark_line.page_id or "",
        )  # fmt: skip
        if by_page_id and not one.page_id:
            done.unnamed += 1
            continue
        yield one
        gone.append(one.number)
    if signature:
        page.drop(connection, gone)


def _members(connection: Connection) -> Iterator[list[Member]]:
    after = 0
    while some := search.members(connection, after=after, most=AT_ONCE):
        after = some[-1].id
        yield some


def _some(connection: Connection, numbers: Sequence[int]) -> Iterator[list[Member]]:
    for part in parts(numbers, AT_ONCE):
        yield list(search.members_by_number(connection, part).values())


def _is_ready(member: Member, settings: Settings) -> bool:
    has_way_in = member.password_hash or settings.password.set_by_member
    made = has_way_in and member.packet not in NOBODYS
    return bool(made) and not member.standing.forbids(Deed.SIGN_IN)


def _account(member: Member, settings: Settings) -> PageAccount:
    by_member = settings.password.set_by_member
    known = _is_ready(member, settings) and not by_member
    return PageAccount(
        member=member,
        password_hash=member.password_hash if known else "",
        must_change=member.must_change and not by_member,
        expires=member.password_expires if known else None,
    )


def _told(member: Member, settings: Settings, mark: Mark | None) -> dict[str, Any]:
    """What the page is to know of a member; of a password that no packet tells, what it knows now."""
    told = accounts.told(_account(member, settings), settings)
    if accounts.HASH not in told and mark is not None:
        for part in ("passwordHash", "mustChange", "expires"):
            path = f"{accounts.OURS}:{part}"
            if path in mark.account:
                told[path] = mark.account[path]
    return told


def had_before(member: Member, first: Mapping[str, Any], settings: Settings) -> dict[str, Any]:
    """What the page had of a member before our first change of them, when it alone had a password of theirs; `first` are
    the values that were changed."""
    as_it_was = replace(members.with_columns(member, first), password_hash="")
    return _told(as_it_was, settings, None)


def _stayed(connection: Connection, some: Iterable[Member]) -> dict[int, str]:
    """Handles of the accounts that stayed, by the numbers of those merged with them."""
    stays = search.stays(connection, [member.id for member in some if member.merged_into])
    kept = search.members_by_number(connection, set(stays.values()))
    return {number: kept[to].handle.text if to in kept else "" for number, to in stays.items()}
