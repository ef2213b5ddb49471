"""Which of the things found about one account are told: each fact once, and nothing that was settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from onboard.audit.newer import CODES as NEWER
from onboard.audit.observation import Observation
from onboard.audit.record import Record
from onboard.clean import deceased
from onboard.model import Weight

DIED = frozenset(kind.code for kind in deceased.KINDS)

# By code, those that say the same and more.
SAID_BY: Mapping[str, frozenset[str]] = {
    "address.no_zip": frozenset(("place.zip_filled", "place.zip_missing", "place.missing")),
    "address.bad_zip": frozenset(("place.unknown_zip",)),
    "address.no_city": frozenset(("place.city_filled", "place.missing")),
    "address.no_state": frozenset(("place.state_filled", "place.missing")),
    "place.missing": frozenset(("address.missing",)),
    "place.zip_missing": frozenset(("address.bad_zip",)),
    "address.no_street": frozenset(("place.box_only",)),
    "name.order_unsure": frozenset(("fields.swapped",)),  # which proposes what to write
    "access.unlike_name": frozenset(
        (
            "name.test", "name.joke", "name.mash", "name.organisation", "name.household", "name.relative",
            "name.order_unsure", "fields.swapped",
        )
    ),
}  # fmt: skip

# The column that a finding is about, by its code or its field, where that is not its field.
_COLUMN = {"place": "address", "fields.swapped": "name", "access.unlike_name": "name"}
# What time brings about, whatever was right when somebody asked.
_OF_TODAY = frozenset(("site.closed", "site.unknown", "site.missing", "email.no_mail")) | NEWER


def is_settled(one: Observation, account: Record) -> bool:
    """Whether a person has said that what it asks about is right as it is."""
    if one.finding.weight is Weight.MENDED or one.code in _OF_TODAY:
        return False
    field = one.finding.field
    column = _COLUMN.get(one.code) or _COLUMN.get(field) or field
    return column in account.settled


def of_the_dead(found: Sequence[Observation]) -> list[Observation]:
    """The one thing to find out about somebody of whom it is said that they have died."""
    said = [one for one in found if one.code in DIED]
    return [next((one for one in said if one.code == deceased.BY_NAME.code), said[0])]
