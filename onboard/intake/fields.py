"""The fields a join form can have, and the words a coordinator knows them by."""

from __future__ import annotations

from onboard.model.form import EXTRA

__all__ = ["BOXES", "EMPTY", "EXTRA", "FIELDS", "known"]

# field: what a coordinator calls it. `extra:<question>` stands for each of the co-op's own
# questions and is not listed.
FIELDS: dict[str, str] = {
    "full_name": "the whole name in one column",
    "given": "first name",
    "middle": "middle name or initial",
    "family": "last name",
    "second_family": "second last name, in a column of its own",
    "suffix": "name suffix, such as Jr",
    "email": "email address",
    "phone": "phone number",
    "address": "the whole address in one column",
    "number": "house number in a column of its own",
    "street": "street address",
    "unit": "second address line: apartment, unit, PO box",
    "city": "city",
    "state": "state",
    "zip": "ZIP code",
    "last_line": "city, state and ZIP in one column",
    "site": "drop site",
    "language": "language",
    "consent": "whether we may write by email",
    "opt_out": "whether they asked for no email",
    "submitted": "when the form was sent, or the member joined",
    "born": "date of birth",
    "personal": "a number that one person alone has: tax, insurance or identity card",
    "notes": "notes about the member",
    "handle": "sign-in name of an existing member",
    "last_sign_in": "day of the last sign-in",
    "last_order": "day of the last order",
    "bounced": "day on which mail came back for good",
    "id": "number of the form or member",
}

# Fields that a box to check may answer, and what a person may say that a box left empty means:
# "consent:no". "ask": nobody knows; it counts as no until the member is asked.
BOXES = ("consent", "opt_out")
EMPTY = {"no": "no email", "yes": "email is OK", "ask": "not known, so ask each member"}


def known(field: str) -> bool:
    """Whether a column may be told to be `field`.

    >>> known("zip"), known("extra:Can you host?"), known("consent:no"), known("shoe size")
    (True, True, True, False)
    """
    box, _, empty = field.partition(":")
    return (
        field in FIELDS
        or (box in BOXES and empty in EMPTY)
        or (field.startswith(EXTRA) and len(field) > len(EXTRA))
    )
