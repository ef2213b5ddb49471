"""Fields: what the clean rules say of stored values, and what no rule of one field can see."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from onboard.audit import newer
from onboard.audit.observation import Observation, about
from onboard.audit.record import Record, Rules, shown
from onboard.clean import name as names
from onboard.match import frequencies
from onboard.match.folds import PARTICLES, family_name, given_name
from onboard.model import Change, Finding, Kind, PersonName, Weight

SWAPPED = Kind(
    "fields.swapped", Weight.DOUBTFUL,
    "The first and last name may be switched.",
    "given: Smith; family: Michael; email: msmith@example.org",
    "given: Michael; family: Smith; email: msmith@example.org",
)  # fmt: skip
UNCLEANED = Kind(
    "fields.uncleaned", Weight.MENDED,
    "The value is not in the standard form.",
    "phone: (419) 234-5678", "phone: tel:+14192345678",
)  # fmt: skip
KINDS = (SWAPPED, UNCLEANED)

COLUMNS = ("name", "email", "phone", "address", "site")
# Words for the columns of the member table, as coordinators know them.
WORDS = {
    "name": "name",
    "email": "email",
    "phone": "phone",
    "address": "address",
    "site": "drop site",
}

# What is not missing in a spreadsheet that has a column for none of these fields.
STAND_IN: Mapping[str, tuple[str, ...]] = {
    "email.missing": ("email",),
    "phone.missing": ("phone",),
    "site.missing": ("site",),
    "name.one_word": ("full_name", "family"),
    **dict.fromkeys(
        ("address.missing", "address.no_street", "address.no_number"), ("address", "street")
    ),
    **dict.fromkeys(("address.no_city", "place.city_filled"), ("address", "last_line", "city")),
    **dict.fromkeys(("address.no_state", "place.state_filled"), ("address", "last_line", "state")),
    **dict.fromkeys(
        ("address.no_zip", "place.zip_missing", "place.zip_filled"), ("address", "last_line", "zip")
    ),
    "place.missing": ("address", "last_line", "city", "state", "zip"),
}

# What is said of a field in which nothing is on file.
MISSING = frozenset(("email.missing", "phone.missing", "site.missing", "address.missing"))

# What is said of a join form, where a member cannot be told to answer it.
OF_A_MEMBER: Mapping[str, str] = {
    "email.missing": "No email address. Ask for one by phone.",
    "name.test": "This looks like a test of the form. Ask who it is. If it is nobody, {close}.",
}

# How much likelier the other order of two names must be, before it is asked about: names that are
# given names and family names alike (James Thomas) are left in peace. Less, where the mailbox or the
# sign-in name speaks for the other order too; least, where both do. A mailbox alone speaks for less
# where the sign-in name has the order on file: many people write their last name first in it.
LIKELIER = (300.0, 3.0, 1.0)
LIKELIER_THAN_THE_SIGN_IN_NAME = 100.0
RARE = 1e-7  # the share of people with a name that no list has


def look(account: Record, rules: Rules) -> Iterator[Observation]:
    """Everything the clean rules find in an open account, whatever group tells it, and names that
    changed places."""
    if not account.is_open:
        return
    changes = {c: change for c in COLUMNS if (change := mending(account, c))}
    told: set[str] = set()
    codes = {finding.code for finding in account.applicant.findings}
    doubts = [
        d
        for d in account.doubts
        if d.weight is not Weight.MENDED and (d.code not in codes or (d.code in MISSING and d.said))
    ]
    doubted = {doubt.field for doubt in doubts}
    for finding in account.applicant.findings:
        if finding.code in MISSING and finding.field in doubted:
            continue  # something was said, which tells more
        if finding.code in STAND_IN and not account.could_say(*STAND_IN[finding.code]):
            continue
        if finding.code in OF_A_MEMBER:
            finding = finding._replace(note=OF_A_MEMBER[finding.code].format(close=account.close))
        column = _column(finding)
        change = changes.get(column)
        first = change is not None and column not in told
        told.add(column)
        yield Observation(
            account.owner, finding, replace(change, why=finding.note) if first and change else None
        )
    for doubt in _newest(doubts):
        later = (
            newer.proposed(doubt, account.number, account.stored.get(doubt.field))
            if doubt.code in newer.CODES
            else None
        )
        yield Observation(account.owner, doubt, later)
    for column, change in changes.items():
        if column not in told and account.stored:
            said = str(account.cleaned(column).said)
            note = (
                f"The {WORDS[column]} is not in the standard form. You don't need to ask: "
                "use the standard form."
            )
            yield about(account, UNCLEANED, said, note, change=change)
    if swapped := _swapped(account):
        yield swapped


def _newest(doubts: Sequence[Finding]) -> Iterator[Finding]:
    """The doubts; of what later forms say of one field, what the last one says."""
    last = {doubt.code: doubt for doubt in doubts if doubt.code in newer.CODES}
    yield from (doubt for doubt in doubts if last.get(doubt.code, doubt) is doubt)


def _column(finding: Finding) -> str:
    return "address" if finding.field == "place" else finding.field


def mending(account: Record, column: str) -> Change | None:
    """The change from the stored value to its standard form, where nothing about it is in doubt."""
    cleaned = account.cleaned(column)
    if cleaned.value is None or any(f.weight is not Weight.MENDED for f in cleaned.findings):
        return None
    if not account.stored:  # a spreadsheet: only what a rule has mended
        if not cleaned.findings:
            return None
        text = names.show(cleaned.value) if column == "name" else shown(column, cleaned.value)
        return Change(account.number, column, cleaned.said, text, "")
    before = account.stored[column]
    if column == "name" and _is_name(before, cleaned.value):
        return None
    after = shown(column, cleaned.value)
    return None if before == after else Change(account.number, column, before, after, "")


_PARTS = tuple(part for part in PersonName._fields if part != "joint")


def _is_name(stored: Mapping[str, object], value: PersonName) -> bool:
    return all((stored.get(part) or "") == getattr(value, part) for part in _PARTS)


def _swapped(account: Record) -> Observation | None:
    """First and last name in each other's place, as the names themselves and the mailbox tell."""
    value = account.applicant.name.value
    if value is None or value.joint or not (value.given and family_name(value.family)[0]):
        return None
    given, family = _given(value.given), family_name(value.family)[0].split()
    if given == "".join(family):
        return None
    one = frequencies.borne(given)[0], _family_share(value.given)
    other = min(frequencies.borne(word)[0] for word in family), _family_share(value.family)
    as_said, exchanged = (
        (first or RARE) * (last or RARE) for first, last in ((one[0], other[1]), (other[0], one[1]))
    )
    email = account.applicant.email.value
    box = _letters(email.identity.partition("@")[0]) if email else ""
    handle = _letters(account.handle)
    speak = [
        what
        for what, text in (("email address", box), ("sign-in name", handle))
        if _is_made_of_any(text, family, given)
    ]
    least = LIKELIER[len(speak)]
    if len(speak) == 1 and _is_made_of(handle, given, "".join(family)):
        least = LIKELIER_THAN_THE_SIGN_IN_NAME
    if least == LIKELIER[0] and _is_made_of(box, given, "".join(family)):
        least = LIKELIER[0] ** 2
    if exchanged < least * as_said:
        return None
    better = value._replace(given=value.family, family=value.given)
    shown_now, shown_then = names.show(value), names.show(better)
    why = f"{value.family} is much more common as a first name, and {value.given} as a last name."
    if exchanged < LIKELIER[0] * as_said:
        why = f"The {' and the '.join(speak)} {'has' if len(speak) == 1 else 'have'} {value.family} as the first name."
    note = f"{why} Ask if the name is {shown_then}. The sign-in name stays the same."
    return about(account, SWAPPED, shown_now, note, change=_exchange(account, better, shown_now))


def _given(text: str) -> str:
    """The first given name; all of a text that begins as last names do: "Van Dyke"."""
    first, second = given_name(text)
    return family_name(text)[0].replace(" ", "") if second and first in PARTICLES else first


def _family_share(text: str) -> float:
    """The share of people with a last name, of two last names with the more common one."""
    return max((frequencies.borne(part)[1] for part in family_name(text)[0].split()), default=0.0)


def _is_made_of_any(text: str, givens: Sequence[str], family: str) -> bool:
    return any(_is_made_of(text, given, family) for given in (*givens, "".join(givens)))


def _letters(text: str) -> str:
    return "".join(filter(str.isalpha, text.casefold()))


def _is_made_of(text: str, given: str, family: str) -> bool:
    """Whether a mailbox or a sign-in name was made of these names: "patlee", "plee"."""
    return text.startswith(f"{given}{family}") or (
        len(family) > 3 and text == f"{given[:1]}{family}"
    )


def _exchange(account: Record, better: PersonName, said: str) -> Change:
    if account.stored:
        before = account.stored["name"]
        after = {**before, "given": better.given, "family": better.family}
        return Change(account.number, "name", before, after, "")
    return Change(account.number, "name", said, names.show(better), "")
