"""What a member's later form says otherwise than the roster: kept as a doubt until it is settled."""

from __future__ import annotations

from onboard.clean import stored
from onboard.model import Change, Finding, Kind, Weight

_ABOUT = {
    "email": ("another email address", "email: ana@example.org; a later form: ana@example.net"),
    "phone": ("another phone number", "phone: 419-234-5678; a later form: 419-234-5679"),
    "address": (
        "another mailing address",
        "address: 12 Main St, Lima; a later form: PO Box 4, Athens",
    ),
    "site": ("another drop site", "site: Lima Grange; a later form: Athens Barn"),
    "name": ("another last name", "name: Ana Ruiz; a later form: Ana Moor"),
    "consent": ("a yes to email", "no email; a later form: you may email me"),
}
BY_FIELD = {
    field: Kind(
        f"{field}.newer", Weight.DOUBTFUL, f"A later form of this member gives {what}.", wrong,
        "the same on both",
    )
    for field, (what, wrong) in _ABOUT.items()
}  # fmt: skip
KINDS = tuple(BY_FIELD.values())
CODES = frozenset(kind.code for kind in KINDS)


def doubt(change: Change) -> Finding:
    """The finding about a field that a later form says otherwise."""
    kind, said = (
        BY_FIELD[change.field],
        stored.to_correct(change.field, change.after).replace("\n", ", "),
    )
    what = _ABOUT[change.field][0] + ("" if change.field == "consent" else f", {said}")
    note = (
        f"A later form gives {what}. Anybody can fill out a form in a member's name: "
        "ask the member first, by the phone or email on file. If what is on file is right, note that they "
        f"said so: onboard correct {change.member_id} --all-right --record"
    )
    return kind.found(said, note)


def proposed(found: Finding, member_id: int, before: object) -> Change | None:
    """The change that would settle such a finding."""
    is_name = found.field == "name"
    after = stored.told_name(found.said) if is_name else stored.clean(found.field, found.said).value
    return Change(member_id, found.field, before, after, found.note) if after else None
