"""Why a member could not sign in: all that can be wrong, most likely first."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from onboard.model import Standing, State
from onboard.reports.dates import day
from onboard.settings import Settings
from onboard.signin import page as pages
from onboard.signin.account import UNSENT, UNWRITTEN, Account, At, Cause
from onboard.signin.causes import BY_CODE, NO_WINDOW, ORDER, ORDERING, SET_WINDOWS
from onboard.signin.guesses import GUESSES
from onboard.signin.typed import Taken, explain
from onboard.windows import Standing as Ordering
from onboard.windows import standing, standing_at

_LEAST = 0.005  # what is less likely is not told
_SURE = 0.9  # the weight from which a cause alone explains all
_UNKNOWN = 0.02  # what none of the causes explains
_REFUSED = 0.5  # the share of what is wrong with the password where the page says that it is
_OF_THE_PASSWORD = frozenset(code for code in BY_CODE if code.startswith("password.")) | {
    *UNSENT.values()
}
# What hardly matters once something is found that stops the sign-in by itself.
_BESIDE = 0.02


# What a page says only to who is not in yet.
_NOT_LET_IN = frozenset(("password", "name", "refused"))


def why(
    account: Account,
    *,
    today: date,
    now: datetime | None = None,
    settings: Settings,
    typed: str | None = None,
    page: str = "",
    said: str = "",
    others: Taken = (),
) -> tuple[Cause, ...]:
    """The causes of a failed sign-in, most likely first; never empty.

    `typed` is what stood in the user name box (None: not known), `page` the address or the words
    for the page, `said` what the page answered. `others` tells which texts are other members'
    handles: a container of them, or a function that gives a text for one and None otherwise. Whether
    a window is open is judged by the moment `now` and the account's time zone; without them by the day.

    >>> from types import SimpleNamespace
    >>> from onboard.model import Handle, PersonName
    >>> settings = SimpleNamespace(ordering_page="https://order.example.org", shop_page="")
    >>> account = Account(Handle("patlee"), (PersonName("Pat", family="Lee"),))
    >>> causes = why(account, typed="Pat lee", today=date(2026, 11, 25), settings=settings)
    >>> [cause.code for cause in causes]
    ['typed.capitals', 'typed.spaces']
    """
    are_in = pages.are_in(said)
    attempt = _Attempt(
        account,
        today,
        pages.which(page, settings),
        # Whoever tells what nobody understands most likely tells of a page that does not let them in.
        pages.says(said) or ("refused" if said.strip() else ""),
        None if are_in else typed,
        _standing(account, today, now),
        are_in,
    )
    found = _Found()
    for code, words, when in _stops(attempt):
        found.add(code, 1.0, words, when)
    is_stopped = bool(found.weights)
    if attempt.typed is not None:
        for code, one in explain(account, attempt.typed, others).items():
            found.add(code, one.likely, one.seen)
    _weigh_beside(attempt, found)
    guessed = _guess(found)
    if sum(found.weights.values()) - guessed < 0.5:
        if are_in:
            found.add("unexplained", 1.0, *_of_who_is_in(attempt))
        else:
            found.add("unexplained", 0.5)
    return _causes(attempt, found, is_stopped)


@dataclass(slots=True)
class _Found:
    """The causes found: how much each weighs, what was seen of it, and its day."""

    weights: dict[str, float] = field(default_factory=dict)
    seen: dict[str, str] = field(default_factory=dict)
    days: dict[str, date] = field(default_factory=dict)

    def add(self, code: str, weight: float, seen: str = "", when: date | None = None) -> None:
        self.weights[code] = weight
        if seen:
            self.seen[code] = seen
        if when:
            self.days[code] = when


def _weigh_beside(attempt: _Attempt, found: _Found) -> None:
    """Add what may be the cause when nothing else is; it hardly matters beside what surely is."""
    stopped = min(1.0, sum(found.weights.values()))
    beside = 1.0 - (1.0 - _BESIDE) * stopped
    refused = attempt.told == "password"  # then the password is spoken of, whatever else is wrong
    for code, weight, when in _beside(attempt):
        if code not in found.weights:
            share = max(beside, _REFUSED) if refused and code in _OF_THE_PASSWORD else beside
            found.add(code, weight * share, when=when)


def _guess(found: _Found) -> float:
    """Say of each guess that it is one; what they weigh together."""
    guesses = {
        code: words
        for code, words in GUESSES.items()
        if code not in found.seen and 0.0 < found.weights.get(code, 0.0) < 1.0
    }
    found.seen |= guesses
    return sum(found.weights[code] for code in guesses)


def _causes(attempt: _Attempt, found: _Found, is_stopped: bool) -> tuple[Cause, ...]:
    """The causes in words, most likely first."""
    has_next = attempt.ordering is None or attempt.ordering.next is not None
    of_ordering = _of_the_site(attempt.account)
    if not has_next:
        of_ordering["window.closed"] = NO_WINDOW
    elif is_stopped:  # whether they can sign in is another matter
        of_ordering["window.closed"] = "Ordering is not open now."
    do = {} if has_next else {"window.closed": SET_WINDOWS}
    total = max(_SURE, sum(found.weights.values())) + _UNKNOWN
    seen = of_ordering | found.seen
    causes = [
        BY_CODE[code].found(
            weight / total, seen.get(code, ""), found.days.get(code), do.get(code, "")
        )
        for code, weight in found.weights.items()
    ]
    # What keeps them from ordering is worth telling even where it stops nobody from signing in.
    told = [c for c in causes if c.confidence >= _LEAST or c.code in ORDERING]
    return tuple(sorted(told, key=lambda c: (-c.confidence, ORDER[c.code])))


@dataclass(frozen=True, slots=True)
class _Attempt:
    """A sign-in that failed, as far as it is known."""

    account: Account
    today: date
    where: str  # which page they were at, as `page.which` tells it
    told: str  # what the page answered, as `page.says` tells it
    typed: str | None
    ordering: Ordering | None  # how the account's group stands; None: it has none
    are_in: bool  # they say that they are signed in


def _standing(account: Account, today: date, now: datetime | None) -> Ordering | None:
    if account.group is None or account.at is not At.OPEN:
        return None
    if now and account.zone:
        return standing_at(account.group, now, account.zone)
    return standing(account.group, today)


def _stops(attempt: _Attempt) -> list[tuple[str, str, date | None]]:
    """What is known to stop a sign-in whatever is typed, with what was seen and its day."""
    account, first = attempt.account, attempt.account.password
    found: list[tuple[str, str, date | None]] = []
    if account.standing is not Standing.OPEN:
        found.append((f"account.{account.standing}", _why_closed(account), None))
    if account.packet and account.packet in UNWRITTEN and not attempt.are_in:
        found.append((UNWRITTEN[account.packet], _why_held(account), None))
    if attempt.where in ("shop", "other"):
        found.append((f"page.{attempt.where}", "", None))
    # Whoever is at the ordering page is not at another.
    elsewhere = attempt.where == "ordering" and attempt.told in ("page.shop", "page.link")
    if attempt.told in pages.STOPS and not elsewhere:
        found.append((attempt.told, "", None))
    if (
        first
        and not first.used
        and first.expires < attempt.today
        and account.packet not in UNWRITTEN
        and not attempt.are_in
    ):
        words = f"The temporary password expired on {day(first.expires)}."
        found.append(("password.expired", words, first.expires))
    return found


def _of_who_is_in(attempt: _Attempt) -> tuple[str, date | None]:
    """What is seen where nothing keeps whoever is signed in from ordering, and the last day of it."""
    if attempt.ordering and attempt.ordering.open:
        return (
            "They are signed in, and ordering is open for their group.",
            attempt.ordering.open.closes,
        )
    return "They are signed in, and nothing that we can check keeps them from ordering.", None


def _why_closed(account: Account) -> str:
    """What is seen of a closed account: its drop site, too, which matters if it is opened again."""
    if account.standing is not Standing.CLOSED:
        return ""
    match account.at:
        case At.CLOSED:
            return f"The account is closed, and so is its drop site, {account.site}."
        case At.NONE:
            return "The account is closed, and it has no drop site."
        case At.UNKNOWN:
            return f"The account is closed. The settings do not have its drop site, {account.site}."
    return f"The account is closed. Its drop site is {account.site}." if account.site else ""


def _of_the_site(account: Account) -> dict[str, str]:
    """What is wrong with a member's drop site, with its name."""
    return {
        "site.closed": f"Their drop site, {account.site}, has closed for good, so they can't order there.",
        "site.unknown": f"The settings do not have the drop site that is on file for them, {account.site}, so they can't order.",
    }


def _why_held(account: Account) -> str:
    if account.packet is not State.WAITING:
        return ""
    if account.in_doubt:
        return "The welcome packet waits, because the email or mailing address may be wrong."
    return "The welcome packet is held, because the contact info changed before it went out."


def _beside(attempt: _Attempt) -> list[tuple[str, float, date | None]]:
    """What may be the cause when nothing else is, with how often it is."""
    account, told = attempt.account, attempt.told
    found: list[tuple[str, float, date | None]] = []
    can_get_in = account.standing is Standing.OPEN and (
        attempt.are_in or account.packet not in UNWRITTEN
    )
    if can_get_in and not attempt.are_in:
        found += _of_the_password(attempt)
    first = account.password
    been_in = first is None or first.used  # as far as we know
    refused = told in _NOT_LET_IN
    closed = 0.9 if told == "window.closed" else 0.6 if been_in and not refused else 0.1
    if attempt.are_in:
        closed = 1.0
    if can_get_in and account.at is not At.OPEN:  # then no window is theirs
        found.append((f"site.{account.at}", closed, None))
    elif can_get_in and attempt.ordering and not attempt.ordering.open:
        following = attempt.ordering.next
        found.append(("window.closed", closed, following.opens if following else None))
    if attempt.are_in:
        return found
    if attempt.typed is None:
        # Nobody knows what was typed: most who are locked out have tried their email address. A page
        # that speaks of the password alone knew the name, and one that speaks of ordering let them in.
        of_email = {
            "password": 0.05, pages.FORGOTTEN: 0.05, "window.closed": 0.05, "name": 0.7,
        }.get(told, 0.3)  # fmt: skip
        found.append(("typed.email", of_email, None))
    if not attempt.where:
        found.append(("page.shop", 0.1, None))
    return found


def _of_the_password(attempt: _Attempt) -> list[tuple[str, float, date | None]]:
    """What may be amiss with the password, or with the packet that tells it."""
    account, told, today = attempt.account, attempt.told, attempt.today
    first = account.password
    # What the page says counts for more than what is usual, for the one and against the other.
    password = 0.95 if told == "password" else 0.2 if told in ("window.closed", "name") else 0.9
    is_closed = account.at is not At.OPEN or (
        attempt.ordering is not None and not attempt.ordering.open
    )
    found: list[tuple[str, float, date | None]] = []
    unused = first is not None and first.expires >= today and not first.used
    # They may have nothing to read a password from. Who sets it on the page finds it there.
    if account.packet in UNSENT and (unused or account.set_by_member):
        found.append((UNSENT[account.packet], 0.7, None))
        password = 0.25
    if account.set_by_member:
        if told == "password" or account.packet in UNSENT:
            found.append(("password.set_by_member", password, None))
        return found
    if first is None:
        return [("password.page", password, None)] if told == "password" else []
    if unused:
        code = "password.replaced" if first.replaced else "password.unused"
        found.append((code, password, first.expires))
    elif first.used:
        # Who has been in most likely is in, and can't order.
        found.append(
            ("password.used", 0.15 if is_closed and told not in _NOT_LET_IN else password, None)
        )
    return found
