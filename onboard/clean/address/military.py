"""Military and Department of State addresses (Publication 28, 225.1, 238, 239)."""

from __future__ import annotations

import re

from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lookups import bag

WORDS = bag(
    "PSC P POSTAL CMR CPR OPC UPR UNIT COMMUNITY CONSOLIDATED OVERSEAS OFFICIAL OPERATIONAL USS USNS USCGC"
)
# Postal Bulletin 22609 (2022): CMR, the community mail room, became CPR
_TYPES = {
    "PSC": "PSC", "P S C": "PSC", "POSTAL SERVICE CENTER": "PSC", "POSTAL SERVICE CTR": "PSC",
    "POSTAL SVC CTR": "PSC", "CMR": "CPR", "COMMUNITY MAIL ROOM": "CPR", "COMMUNITY MAILROOM": "CPR",
    "CPR": "CPR", "CONSOLIDATED POSTAL ROOM": "CPR", "CONSOLIDATED MAIL ROOM": "CPR", "OPC": "OPC",
    "OFFICIAL POSTAL CENTER": "OPC", "OFFICIAL POSTAL CTR": "OPC", "OVERSEAS POSTAL CENTER": "OPC",
    "OFFICIAL MAIL CENTER": "OPC", "UPR": "UPR", "UNIT POSTAL ROOM": "UPR", "UNIT": "UNIT",
}  # fmt: skip
_NAMES = "|".join(sorted(_TYPES, key=len, reverse=True))
PATTERN = re.compile(
    rf"(?P<name>{_NAMES}) (?:NO |NUMBER |# )?(?P<no>\d+[A-Z]?),? ?(?:BOX|BX) (?:NO |NUMBER |# )?(?P<box>\d+[A-Z]?(?:-[0-9A-Z]+)?|[A-Z]\d*)(?![^ ,])"
)
ALONE = re.compile(
    r"(?P<name>PSC|P S C|POSTAL SERVICE CENTER|CMR|CPR|OPC|UPR) (?:NO |# )?(?P<no>\d+[A-Z]?)(?![^ ,])(?P<box>)"
)
UNIT_ALONE = re.compile(r"(?P<name>UNIT) (?:NO |# )?(?P<no>\d+[A-Z]?)(?![^ ,])(?P<box>)")
SHIP = re.compile(r"(?P<name>USS|USNS|USCGC) (?P<no>[A-Z][A-Z0-9 -]*)")


def read(match: re.Match[str]) -> DeliveryLine:
    """A military line out of a match of one of the patterns (238.1, 239)."""
    kind = _TYPES[match["name"]]
    number, box = match["no"], match["box"]
    text = f"{kind} {number} BOX {box}" if box else f"{kind} {number}"
    part = DeliveryLine("military", text, number=box, street=f"{kind} {number}", rules=["238.1"])
    if match["name"] in ("CMR", "COMMUNITY MAIL ROOM", "COMMUNITY MAILROOM"):
        part.marks.append(("old", match["name"]))
        part.may_be(
            text.replace("CPR", "CMR", 1),
            "CMR was renamed CPR in 2022, and people still use the old name",
        )
    if not box:
        part.may_be(f"{kind} BOX {number}", "the number may be the box's")
        part.marks.append(("box", text))
    return part


def ship(match: re.Match[str]) -> DeliveryLine:
    """A ship's name; the box is not in Publication 28's text for ships (from memory)."""
    return DeliveryLine("military", match[0].strip(), street=match[0].strip(), rules=["238.1"])
