"""Whether a letter could be delivered at all, as far as the address itself tells."""

from __future__ import annotations

from collections.abc import Sequence

from onboard.clean import address
from onboard.clean.address import kinds

# Without these no carrier knows the door, the box or the town (Publication 28, 212 and 231).
_NO_DOOR = frozenset(
    kind.code
    for kind in (kinds.MISSING, kinds.NO_STREET, kinds.NO_NUMBER, kinds.CORNER, kinds.NO_BOX)
)
_NO_ZIP = frozenset((kinds.NO_ZIP.code, kinds.BAD_ZIP.code))
_NO_TOWN = frozenset((kinds.NO_CITY.code, kinds.NO_STATE.code))


def why_not(lines: Sequence[str]) -> tuple[str, ...]:
    """Why nobody could deliver a letter to an address of these lines, a sentence each with what to do;
    none if a carrier could. A town and state do without a ZIP code, and the other way round.

    >>> why_not(("12 N MAIN ST", "LIMA OH 45801"))
    ()
    >>> why_not(("MAIN ST", "LIMA OH 45801"))
    ('MAIN ST has no house number. Ask for it.',)
    """
    found = address.clean("\n".join(lines)).findings
    codes = {one.code for one in found}
    wrong = codes & _NO_DOOR
    if codes & _NO_ZIP and codes & _NO_TOWN:
        wrong |= codes & (_NO_ZIP | _NO_TOWN)
    return tuple(one.note for one in found if one.code in wrong)
