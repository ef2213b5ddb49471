"""Access: whether members can sign in, with handles that nobody mistakes."""

from __future__ import annotations

import re
from array import array
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA

from onboard import handles
from onboard.audit.briefs import Briefs
from onboard.audit.observation import Observation, about
from onboard.audit.record import Brief, Record, Rules
from onboard.match.blocks import begins
from onboard.match.columns import Index
from onboard.match.folds import family_name, given_name
from onboard.model import Kind, PersonName, State, Weight

CAPITALS = Kind(
    "access.capitals", Weight.DOUBTFUL,
    "The sign-in name has capital letters. Members leave them out when they sign in.",
    "handle: PatLee", "handle: patlee",
)  # fmt: skip
SPACES = Kind(
    "access.spaces", Weight.DOUBTFUL,
    "The sign-in name has spaces in it.",
    "handle: pat lee", "handle: patlee",
)  # fmt: skip
EMAIL = Kind(
    "access.email", Weight.DOUBTFUL,
    "The sign-in name is an email address.",
    "handle: patlee@example.org", "handle: patlee",
)  # fmt: skip
SIGNS = Kind(
    "access.signs", Weight.DOUBTFUL,
    "The sign-in name has characters other than a to z and 0 to 9.",
    "handle: pat-lee", "handle: patlee",
)  # fmt: skip
NO_HANDLE = Kind(
    "access.no_handle", Weight.BLOCKING,
    "The account has no sign-in name.",
    "handle: ", "handle: patlee",
)  # fmt: skip
RESERVED = Kind(
    "access.reserved", Weight.BLOCKING,
    "The sign-in name is a reserved word.",
    "handle: admin", "handle: patlee",
)  # fmt: skip
UNLIKE_NAME = Kind(
    "access.unlike_name", Weight.DOUBTFUL,
    "The sign-in name does not match the name.",
    "given: Pat; family: Quill; handle: patlee", "given: Pat; family: Lee; handle: patlee2",
)  # fmt: skip
NEAR = Kind(
    "access.near", Weight.MENDED,
    "Two accounts have sign-in names that are one keystroke apart.",
    "handle: patlee| handle: patley; family: Ley", "handle: patlee| handle: patrivers; family: Rivers",
)  # fmt: skip
LOOKALIKE = Kind(
    "access.lookalike", Weight.DOUBTFUL,
    "Two accounts have sign-in names that look alike on screen or paper.",
    "handle: patlee; given: Pat| handle: pat1ee; given: Pat", "handle: patlee| handle: kimlee; given: Kim",
)  # fmt: skip
FIRST_EXPIRED = Kind(
    "access.first_expired", Weight.BLOCKING,
    "The temporary password expired before it was used.",
    "expires: 2026-10-01", "expires: 2026-12-01",
)  # fmt: skip
NEVER_SIGNED_IN = Kind(
    "access.never_signed_in", Weight.BLOCKING,
    "The member has never signed in, long after they joined.",
    "joined: 2026-01-15; page_seen: 2026-11-20", "joined: 2026-11-15; page_seen: 2026-11-20",
)  # fmt: skip
WEAK_HASH = Kind(
    "access.weak_hash", Weight.DOUBTFUL,
    "The temporary password is stored with a hash weaker than today's rule.",
    "hash: stale", "hash: good",
)  # fmt: skip
NO_PACKET = Kind(
    "access.no_packet", Weight.BLOCKING,
    "The account was made, but as far as we know its welcome packet has not reached the member.",
    "packet: due; joined: 2026-11-20", "packet: written",
)  # fmt: skip
KINDS = (
    CAPITALS, SPACES, EMAIL, SIGNS, NO_HANDLE, RESERVED, UNLIKE_NAME, NEAR, LOOKALIKE, FIRST_EXPIRED,
    NEVER_SIGNED_IN, WEAK_HASH, NO_PACKET,
)  # fmt: skip

# How a packet stands that the member has not got, as far as we know, and what to do about it.
PACKETS = {
    State.DUE: "The packet is still to be made{since}. Make it: `onboard packets --write`.",
    State.WAITING: (
        "The packet is held: its email address may be wrong, or the contact info changed before it went out. "
        "Look with `onboard packets`. If it asks about the email address, answer that. If not, check them with "
        "contact info that was on file before. Then: `onboard reissue {handle}`."
    ),
    State.UNSURE: (
        "Nobody knows if the packet was sent. Ask the member. If it did not come: `onboard packets "
        "--again {handle}`."
    ),
    State.REFUSED: (
        "The mail server refused the packet. Print its letter, or ask for another email address: "
        "`onboard correct {handle} --email ADDRESS`."
    ),
}

_ADDRESS = re.compile(r"[^@\s]+@[^@\s]+")
_BY_RULE = re.compile("[a-z0-9]+")
KEPT = "Change it only if the member asks: they sign in with it."
LONG_UNUSED = 90  # days without a sign-in, where it is not known when they could have ordered
# Accounts that lack the same letter of their handles; more than these are not compared.
CROWD = 60
# Among many members, many handles are near each other as many names are: Maryhill and Maryhall. Such
# pairs are told one by one while there is no more than one for so many accounts.
FEW = 50
RARE = 3  # a name that no more than these bear may be a slip in another's
ONE_DESK = 500  # members of a site at most whose names somebody there knows from each other


def look(account: Record, rules: Rules) -> Iterator[Observation]:
    """What may keep this member from signing in."""
    if not account.is_open:
        return
    if account.could_say("handle"):
        yield from _handle(account, rules)
    yield from _password(account, rules)


def _handle(account: Record, rules: Rules) -> Iterator[Observation]:
    said = account.handle
    if not said:
        yield about(
            account, NO_HANDLE, "", "There is no sign-in name. Look it up on the ordering page."
        )
        return
    if handles.is_reserved(said.casefold(), rules.settings.handle):
        note = (
            f"People or programs take “{said}” for something else. Give the member a sign-in name made "
            "from their name, and tell them."
        )
        yield about(account, RESERVED, said, note)
        return
    if _ADDRESS.fullmatch(said):
        note = f"The sign-in name is an email address. Others know it, and it can change. {KEPT}"
        yield about(account, EMAIL, said, note)
        return
    if any(map(str.isspace, said)):
        note = (
            f"The sign-in name has a space in it. Say so when you help the member sign in. {KEPT}"
        )
        yield about(account, SPACES, said, note)
    elif said.casefold() != said:
        note = f"The sign-in name has capitals. Say so when you help the member sign in. {KEPT}"
        yield about(account, CAPITALS, said, note)
    elif not _BY_RULE.fullmatch(said):
        note = f"The sign-in name has characters other than a to z and 0 to 9. {KEPT}"
        yield about(account, SIGNS, said, note)
    name = account.applicant.name.value
    if name is not None and not account.applicant.name.blocked and not _is_like(said, name):
        note = (
            f"The sign-in name “{said}” does not come from “{account.name}”, so it is hard to remember. "
            "Ask if the name changed, and if the account is theirs. The sign-in name can stay."
        )
        yield about(account, UNLIKE_NAME, said, note)


def _is_like(handle: str, name: PersonName) -> bool:
    """Whether a handle can have come from the name, by our rule or by one like it."""
    base = "".join(filter(str.isalnum, handle.casefold()))
    base = base.rstrip("0123456789") or base
    if name.joint:
        return True  # whose handle it is, is another question
    given, middle = given_name(name.given)
    families = [
        part for one in (name.family, name.former) for part in family_name(one)[0].split() if part
    ]
    firsts = {
        f for f in (given, middle, given_name(name.called)[0], given_name(name.middle)[0]) if f
    }
    for family in families:
        if len(family) > 2 and family in base:
            return True
        rests = (base.replace(first, "", 1) for first in firsts if first in base)
        if any(family.startswith(rest) for rest in rests):  # "robertm", or "robert" alone
            return True
    made = handles.clean(name).value  # last, as it takes longest and is seldom needed
    wanted = made.text if made else ""
    if not wanted:
        return True  # no Latin letters to compare
    return wanted.startswith(base) or OSA.distance(wanted, base, score_cutoff=2) <= 2


def _password(account: Record, rules: Rules) -> Iterator[Observation]:
    today, used = rules.today, account.last_use is not None  # who ordered has signed in
    if account.hash == "stale":
        note = (
            "The hash of the temporary password is weaker than today's rule. Make a new packet: "
            f"`onboard packets --again {account.handle}`. It goes to the contact info on file."
        )
        yield about(account, WEAK_HASH, "", note)
    # What is due since today is made today; what waits for a person, waits.
    is_new = account.packet is State.DUE and account.joined is not None and account.joined >= today
    if account.packet and account.packet in PACKETS and not is_new:
        since = f", since {account.joined}" if account.joined else ""
        note = PACKETS[account.packet].format(since=since, handle=account.handle)
        yield about(account, NO_PACKET, account.packet, note)
    elif _ran_out(account, today):
        note = (
            f"The temporary password expired on {account.expires}, unused. Make a new packet: "
            f"`onboard packets --again {account.handle}`. Then call the member and say that it is on its way."
        )
        yield about(account, FIRST_EXPIRED, str(account.expires), note)
    if account.page_seen and not used and (unused := _unused(account, rules)):
        note = (
            f"{unused} Call: most who never sign in are on the wrong page or never saw the packet."
        )
        yield about(account, NEVER_SIGNED_IN, str(account.joined or ""), note)


def _unused(account: Record, rules: Rules) -> str:
    """That somebody never signed in though they could have ordered, in words; "" if they joined of late.

    Where the settings name too few past windows of their group, the days since they joined tell it.
    """
    least, joined = rules.settings.audit.unused_windows, account.joined
    if joined is None:
        return "The ordering page shows no sign-in, and nobody knows when they joined."
    missed = rules.windows_since(account, joined)
    since = f"The ordering page shows no sign-in since {joined}."
    if missed >= least:
        return f"{since} {missed} ordering windows have passed."
    seen = min(account.page_seen or rules.today, rules.today)
    if rules.windows_known(account) < least and (seen - joined).days >= LONG_UNUSED:
        return f"{since} That is {(seen - joined).days:,} days."
    return ""


def _ran_out(account: Record, today: date) -> bool:
    """Whether a first password that was never used is past its last day."""
    unused = account.hash and account.must_change and account.last_use is None
    return bool(unused and account.expires and account.expires < today)


# ---------------------------------------------------------------- handles among each other


def among(briefs: Briefs) -> Iterator[Observation]:
    """Handles of open accounts that look alike, or are one keystroke apart.

    Handles that differ by their number alone are made so by the rule, and left out. Where very many
    are one keystroke apart, only those that may be mixed up are told, and how many others there are.
    """
    places = briefs.known("handle")
    said = list(briefs.at("handle", places))
    told = dict.fromkeys(_lookalikes(said))
    for pair in told:
        note = "“{}” and “{}” look alike. When one of them calls, have them spell it, one letter at a time."
        yield _pair(LOOKALIKE, briefs, places[[*pair]], note)
    near = [pair for pair in _one_keystroke(said) if pair not in told]
    worth = _worth_telling(near, briefs, places)
    for pair in worth:
        note = (
            "“{}” and “{}” are one keystroke apart. Nothing to do. When one of them can't sign in, check if "
            "the other account is locked, too."
        )
        yield _pair(NEAR, briefs, places[[*pair]], note)
    if left := len(near) - len(worth):
        note = (
            f"{left:,} other pairs of sign-in names are one keystroke apart, at different drop sites. "
            "Nothing to do. When one of them calls, have them spell it."
        )
        yield Observation("roster", NEAR.found(f"{left:,} pairs", note))


def _worth_telling(
    near: list[tuple[int, int]], briefs: Briefs, places: NDArray[np.int64]
) -> list[tuple[int, int]]:
    """All pairs while they are few; else those that could come of a slip, or be mixed up at a desk."""
    if len(near) * FEW <= len(places):
        return near
    bearers = Counter(word for name in briefs.at("name", places) for word in _words(name))
    members = Counter(briefs.at("site", places))

    def of_a_slip(one: Brief, other: Brief) -> bool:
        here, there = _words(one.name), _words(other.name)
        apart = (here - there, there - here)
        return not all(apart) or min(bearers[w] for some in apart for w in some) <= RARE

    def is_worth_it(one: Brief, other: Brief) -> bool:
        at_one_desk = one.site and one.site == other.site and members[one.site] <= ONE_DESK
        return bool(at_one_desk or of_a_slip(one, other))

    return [pair for pair in near if is_worth_it(*(briefs[places[at]] for at in pair))]


def _words(name: str) -> set[str]:
    return set(name.casefold().split())


def _pair(kind: Kind, briefs: Briefs, pair: NDArray[np.int64], note: str) -> Observation:
    one, other = (briefs[place] for place in pair.tolist())
    both = (one.handle, other.handle)
    return Observation(
        one.owner, kind.found(", ".join(both), note.format(*both)), others=(other.owner,)
    )


def _lookalikes(said: Sequence[str]) -> Iterator[tuple[int, int]]:
    """The places of pairs of handles that look alike."""
    hashes = np.fromiter((hash(handles.skeleton(one)) for one in said), np.int64, len(said))
    _, whose, counts = np.unique(hashes, return_inverse=True, return_counts=True)
    alike: dict[str, list[int]] = defaultdict(list)
    for at in np.flatnonzero(counts[whose] > 1).tolist():
        alike[handles.skeleton(said[at])].append(at)
    for same in alike.values():
        if len(same) <= CROWD:
            yield from (pair for pair in combinations(same, 2) if said[pair[0]] != said[pair[1]])


def _one_keystroke(said: Sequence[str]) -> Iterator[tuple[int, int]]:
    """The places of pairs one insertion, deletion, substitution or exchange of neighbours apart.

    Two such handles have a text in common when each lacks one letter or none, so only handles that
    share such a text are compared; as numbers, they need 12 bytes each.
    """
    numbers = array("q")
    counts = array("i")
    for text in said:
        variants = {
            hash(text),
            *(hash(text[:i] + text[i + 1 :]) for i in range(min(len(text), 64))),
        }
        numbers.extend(variants)
        counts.append(len(variants))
    number = np.frombuffer(numbers, np.int64)
    owner = np.repeat(np.arange(len(counts), dtype=np.int32), counts)
    seen: set[tuple[int, int]] = set()
    for first in range(-1 << 63, 1 << 63, RANGE):  # sorted all at once, they need that three times
        some = (number >= first) & (number <= first + (RANGE - 1))
        for sharing in _sharing(number[some], owner[some]):
            for pair in combinations(sharing, 2):
                a, b = (said[at] for at in pair)
                if pair in seen or a == b or _stem(a) == _stem(b):
                    continue
                if OSA.distance(a, b, score_cutoff=1) == 1:
                    seen.add(pair)
                    yield pair


RANGE = 1 << 60  # of numbers that are sorted at a time


def _sharing(number: NDArray[np.int64], owner: Index) -> Iterator[list[int]]:
    """The owners of each number that several have, unless they are a crowd."""
    order = np.argsort(number, kind="stable")
    number, owner = number[order], owner[order]
    starts = np.flatnonzero(begins(number))
    lengths = np.diff(np.r_[starts, len(number)])
    few = (lengths > 1) & (lengths <= CROWD)
    for start, length in zip(starts[few].tolist(), lengths[few].tolist(), strict=True):
        yield owner[start : start + length].tolist()


def _stem(handle: str) -> str:
    return handle.rstrip("0123456789")
