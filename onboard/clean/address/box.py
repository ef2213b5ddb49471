"""Post office boxes (Publication 28, 28; Puerto Rico 293, 295.6) and general delivery (261)."""

from __future__ import annotations

import re

from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lookups import bag

# the words that may begin one of these lines: the others are not looked at
WORDS = bag(
    "BOX PO P AP P/O POST POB POBOX POSTAL APARTADO APDO APTDO APTADO APTO CAJA CALL CALLBOX BUZON BZN CASILLA CALLER FIRM BIN LOCKBOX LOCK "
    "DRAWER GENERAL GEN GENL ENTREGA GPO"
)
_ID = r"(?:NO |NUMBER |NUM |NUMERO |# )?(?P<id>-?\d[\dA-Z]*(?:-[\dA-Z]+)*|[A-Z](?:-?\d+)?)(?P<letter> [A-Z](?=,|$))?(?![^ ,])"
# 281: any spelling of PO BOX; 283: designations that become PO BOX
PATTERN = re.compile(
    r"(?P<box>(?:P O|P/O|PO|POST OFFICE|POST OFC|POSTAL|G P O|GPO|US PO|P)(?: DRAWER| DRWR| LOCK)? (?:BOX|BX|DRAWER|BOXES)|PO DRAWER"
    rf"|POB|POBOX|LOCK BOX|LOCKBOX|APARTADO POSTAL|APARTADO|APDO POSTAL|AP POSTAL|APDO|APTDO|APTADO|APTO POSTAL|CASILLA|CAJA POSTAL|CALL BOX|CALLBOX) {_ID}"
)
# common practice: 281, 283 and 295.6 do not print them
_NOT_PRINTED = bag("POSTAL P/O CALL CALLBOX CAJA CASILLA BX")
# only where nothing stands before them on the line
ALONE = re.compile(
    rf"(?:BOX|BX|FIRM CALLER|CALLER SERVICE|CALLER BOX|CALLER|BIN|LOCKBOX|LOCK BOX|DRAWER|BUZON|BZN|PO|P O),? {_ID}"
)
GENERAL = re.compile(
    r"(?:GENERAL|GEN|GENL) (?:DELIVERY|DELIV|DELV|DEL|DLVRY|DELY)(?![^ ,])|ENTREGA GENERAL"
)


def box(match: re.Match[str]) -> DeliveryLine:
    """A box line out of a match of `PATTERN` or `ALONE`."""
    name = match["id"]
    part = DeliveryLine("po box", "", rules=["281"])
    if name.startswith("-"):
        name = "0" + name[1:]  # 282: a hyphen before the number becomes a zero
        part.rules.append("282")
        if len(name) < 5:  # the section prints five digits, and says nothing of fewer
            part.may_be(f"PO BOX {name.zfill(5)}", "the box can be written with five digits")
    if name.isdigit():
        name += (match["letter"] or "").strip()
    part.number = name
    part.text = f"PO BOX {name}"
    called = match[0][: match.start("id") - match.start()].strip()
    if called.split()[0] not in (
        "PO",
        "P",
        "P/O",
        "POB",
        "POBOX",
        "POST",
        "APARTADO",
        "APDO",
        "APTDO",
        "GPO",
    ):
        part.rules.append("283")
        if called.startswith(("BOX", "BX", "BUZON", "BZN")):
            part.may_be(f"BOX {name}", "the box may belong to a route that was left out")
    if called.split()[0] in _NOT_PRINTED or called == "P BOX":
        part.may_be(f"PMB {name}", "it may be a box at a private mail store, rule 285", form=True)
    if re.fullmatch(r"[A-Z]-?\d+", name):
        part.may_be(f"PO BOX {name[1:].lstrip('-')}", "the letter may not be part of the number")
    return part


def general(match: re.Match[str]) -> DeliveryLine:
    """General delivery, spelled out (261)."""
    part = DeliveryLine("general delivery", "GENERAL DELIVERY", rules=["261"])
    if match[0].startswith("ENTREGA"):
        part.may_be("GEN DEL", "the postal guide shortens it, rule 293", form=True)
    return part
