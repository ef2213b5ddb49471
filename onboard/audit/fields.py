"""Fields: what the clean rules say of stored values, and what no rule of one field can see."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields as dataclass_fields
from dataclasses import replace

from onboard.audit import newer
from onboard.audit.observation import Observation, about
from onboard.audit.record import Record, Rules, shown
from onboard.clean import name as names
from onboard.match import frequencies
from onboard.match.folds import family_name, given_name
from onboard.model import Change, Finding, Kind, PersonName, Weight

SWAPPED = Kind(
    "fields.swapped", Weight.DOUBTFUL,
    "The first and last name may be switched.",
    "given: Smith; family: Michael; email: michaelsmith@example.org",
    "given: Michael; family: Smith; email: michaelsmith@example.org",
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
# given names and family names alike (James Thomas) are left in peace.
MUCH_LIKELIER = 300.0


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


_PARTS = tuple(part.name for part in dataclass_fields(PersonName) if part.name != "joint")


def _is_name(stored: Mapping[str, object], value: PersonName) -> bool:
    return all((stored.get(part) or "") == getattr(value, part) for part in _PARTS)


def _swapped(account: Record) -> Observation | None:
    """First and last name in each other's place, as the names themselves and the mailbox tell."""
    value = account.applicant.name.value
    if value is None or value.joint or not (value.given and value.family):
        return None
    given, family = given_name(value.given)[0], family_name(value.family)[0]
    if " " in family or given == family:
        return None
    shares, rare = frequencies.shipped(), 1e-7
    as_said = shares.given.get(given, rare) * shares.family.get(family, rare)
    exchanged = shares.given.get(family, rare) * shares.family.get(given, rare)
    least = MUCH_LIKELIER
    email = account.applicant.email.value
    box = _letters(email.identity.partition("@")[0]) if email else ""
    if _is_made_of(box, family, given) or _is_made_of(_letters(account.handle), family, given):
        least = 5.0  # the mailbox or the sign-in name speaks for the other order too
    elif _is_made_of(box, given, family):
        least = MUCH_LIKELIER**2
    if exchanged < least * as_said:
        return None
    better = replace(value, given=value.family, family=value.given)
    shown_now, shown_then = names.show(value), names.show(better)
    note = (
        f"{value.family} is much more common as a first name, and {value.given} as a last name. Ask if "
        f"the name is {shown_then}. The sign-in name stays the same."
    )
    return about(account, SWAPPED, shown_now, note, change=_exchange(account, better, shown_now))


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
