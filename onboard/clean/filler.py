"""A form that says nobody: the name, the email address and the phone are all made up to fill the fields."""

from __future__ import annotations

from onboard.model import Cleaned, Email, Finding, Kind, PersonName, Phone, Weight

FILLER = Kind(
    "row.filler",
    Weight.BLOCKING,
    "The name, the email address and the phone number all seem to be made up.",
    wrong="asdf asdf, x@x.com, 111-111-1111",
    right="asdf asdf, pat@example.org, 111-111-1111",
)
KINDS = (FILLER,)  # of a whole row, not of one field

_NAMES = frozenset(("name.mash", "name.test", "name.joke", "name.no_letters", "name.initial"))
_EMAILS = frozenset(("email.placeholder", "email.filler", "email.missing", "email.unreadable"))
_PHONES = frozenset(
    (
        "phone.placeholder",
        "phone.missing",
        "phone.unreadable",
        "phone.too_short",
        "phone.impossible",
    )
)


def found(
    name: Cleaned[PersonName], email: Cleaned[Email], phone: Cleaned[Phone]
) -> tuple[Finding, ...]:
    """A finding if all three are; somebody whose email or phone is real can be asked."""
    said = ((name, _NAMES), (email, _EMAILS), (phone, _PHONES))
    if not all(any(f.code in codes for f in cleaned.findings) for cleaned, codes in said):
        return ()
    texts = ", ".join(filter(None, (" ".join(one.said.split())[:60] for one, _ in said)))
    note = "The name, the email address and the phone number all seem to be made up. Answer drop, unless you know whose form it is."
    return (FILLER.found(texts, note),)
