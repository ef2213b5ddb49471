"""Doubts about where an email to a member would go, of all that their forms said of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from onboard.clean.email import clean
from onboard.clean.email.address import parse
from onboard.clean.email.characters import plain
from onboard.clean.email.kinds import DOUBTS_WHERE_IT_GOES
from onboard.clean.email.mailbox import Relation, relation
from onboard.model import Cleaned, Email, EmailDoubt, Finding, PersonName, Weight

_TELLS = 3  # letters of a name that is known in a mailbox


def is_doubted(finding: Finding) -> bool:
    """Whether a finding about an email, or about its cell, leaves open where an email would go."""
    if finding.code.startswith("row."):  # what a spreadsheet did to the cell
        return finding.field == "email" and finding.weight is not Weight.MENDED
    return finding.code in DOUBTS_WHERE_IT_GOES


def doubt(
    address: str,
    forms: Sequence[Cleaned[Email]] = (),
    *,
    proven: bool = False,
) -> EmailDoubt | None:
    """What leaves open where an email to the address would go; None if nothing does.

    `forms` are what the member's join forms said, each with all findings about that cell.
    `proven` says that emails went there before: then another form with another mailbox tells only
    that the member has two, unless one could be the other mistyped.

    >>> doubt("pat@gmail.con").suggestions
    ('pat@gmail.com',)
    >>> doubt("pat@example.org") is None
    True
    """
    own = clean(address)
    if own.value is None:
        return EmailDoubt(address, tuple(f.note for f in own.findings))
    mine = own.value.identity
    notes = [f.note for f in own.findings if is_doubted(f)]
    meant = list(_meant(address)) if notes else []
    read = [form for form in forms if form.value and form.value.identity == mine]
    if all(any(map(is_doubted, form.findings)) for form in read):  # none gives it clearly
        notes += [f.note for form in read for f in form.findings if is_doubted(f)]
        meant += [other for form in read if form.value for other in form.value.others]
    others = [form.value for form in forms if form.value and form not in read]
    told = [other.address for other in others if _could_be_meant(mine, other, notes, proven)]
    if told:
        notes.append(
            f"Another form of theirs says {' or '.join(dict.fromkeys(told))}. Ask which one is right."
        )
    likely = [next(_meant(one), one) for one in (*told, *meant)]  # not another typo
    suggestions = {_identity(one): one for one in reversed(likely)}
    suggestions.pop(mine, None)
    if not notes:
        return None
    said = {form.said.strip(): None for form in read if form.said.strip() != address}
    return EmailDoubt(
        address, tuple(dict.fromkeys(notes)), tuple(reversed(suggestions.values())), tuple(said)
    )


def is_theirs(address: str, name: PersonName, other: PersonName) -> bool:
    """Whether a mailbox that two people gave is as much the one's as the other's, by the names in it.

    >>> pat, chris = PersonName("Pat", "", "Lee"), PersonName("Chris", "", "Lee")
    >>> [is_theirs(f"{box}@example.org", chris, pat) for box in ("pat.lee", "thelees", "chrisandpat")]
    [False, True, True]
    """
    mailbox = _letters(address.rpartition("@")[0])
    mine, others = (_firsts(one) for one in (name, other))
    if any(first in mailbox for first in mine - others):
        return True
    if any(first in mailbox for first in others):
        return False
    family, another = _letters(name.family), _letters(other.family)
    is_others = bool(another) and any(mailbox.startswith(first[0] + another) for first in others)
    return len(family) >= _TELLS and family in mailbox and not is_others


def bears(address: str, name: PersonName) -> bool:
    """Whether a mailbox has somebody's own name in it: the last name alone is their family's.

    >>> ana = PersonName("Ana", "", "Weld")
    >>> [bears(f"{box}@example.org", ana) for box in ("aweld", "ana_81", "weldana", "thewelds", "bert.weld")]
    [True, True, True, False, False]
    """
    mailbox, family = _letters(address.rpartition("@")[0]), _letters(name.family)
    firsts = _firsts(name)
    initials = {first[0] for first in firsts}
    return any(first in mailbox for first in firsts) or (
        len(family) >= _TELLS
        and mailbox
        in {f"{one}{family}" for one in initials} | {f"{family}{one}" for one in initials}
    )


def _firsts(name: PersonName) -> set[str]:
    """The first names, and the name they go by, that are long enough to be known in a mailbox."""
    said = f"{name.given} {name.called}".split()
    return {letters for one in said if len(letters := _letters(one)) >= _TELLS}


def _letters(text: str) -> str:
    return "".join(filter(str.isalpha, plain(text).casefold()))


def _could_be_meant(mine: str, other: Email, notes: Sequence[str], proven: bool) -> bool:
    """Whether the member may rather mean the other mailbox, which another form of theirs says."""
    match relation(mine, other.identity):
        case Relation.SAME | Relation.LIKELY:
            return False
        case Relation.SLIP:
            return bool(notes)  # or the other one has the typo
        case Relation.NEAR:
            return True
        case Relation.DIFFERENT:
            return not proven


def _identity(address: str) -> str:
    value = clean(address).value
    return value.identity if value else address


def _meant(address: str) -> Iterator[str]:
    """What an address is likely to be, if it is mistyped."""
    parsed = parse(address)
    if parsed is None:
        return
    local, domain = parsed.local, parsed.domain
    www = local[:4].lower() == "www."
    if domain.suggestion or www:
        yield f"{local[4:] if www else local}@{domain.suggestion or domain.shown}"
    if not address.isascii() and plain(address).isascii():
        yield plain(address)
