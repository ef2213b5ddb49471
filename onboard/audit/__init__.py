"""The roster's clean-up audit: what has decayed, and what to do about it.

One module a group. A rule about one account is in `look`, one about all of them in `among`; each
finding is of a `Kind` with an example either way, and carries a change where one is safe. Nothing
here reads or writes anything.
"""

from onboard.audit import access, fields, newer, place, reach, sound, told, twice, upkeep
from onboard.audit.observation import Observation
from onboard.audit.record import Brief, Record, Rules, of_member, of_row

# In the order in which they are told.
GROUPS = {
    "reach": reach,
    "access": access,
    "twice": twice,
    "place": place,
    "fields": fields,
    "upkeep": upkeep,
    "sound": sound,
}
KINDS = tuple(kind for module in GROUPS.values() for kind in module.KINDS)
_OWN = {kind.code: group for group, module in GROUPS.items() for kind in module.KINDS}


def group_of(code: str) -> str:
    """The group that tells a finding.

    >>> group_of("email.slip"), group_of("site.far"), group_of("name.capitals")
    ('reach', 'place', 'fields')
    """
    if code in _OWN:
        return _OWN[code]
    return (
        "reach"
        if code in reach.CODES | newer.CODES
        else "place"
        if code in place.CODES
        else "fields"
    )


def look(account: Record, rules: Rules) -> list[Observation]:
    """Everything found about one account by itself, each fact once.

    Of whoever may have died only that is told: nothing else is to be asked before somebody knows.
    """
    found = [
        one
        for module in (fields, reach, access, place, upkeep)
        for one in module.look(account, rules)
    ]
    if account.settled:
        found = [one for one in found if not told.is_settled(one, account)]
    if len(found) < 2:
        return found
    codes = {one.code for one in found}
    if not codes.isdisjoint(told.DIED):
        return told.of_the_dead(found)
    return [one for one in found if codes.isdisjoint(told.SAID_BY.get(one.code, ()))]


__all__ = [
    "GROUPS",
    "KINDS",
    "Brief",
    "Observation",
    "Record",
    "Rules",
    "group_of",
    "look",
    "of_member",
    "of_row",
]  # fmt: skip
