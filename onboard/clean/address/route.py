"""Rural routes (Publication 28, 24; Puerto Rico 295.7, I51.6) and highway contract routes (25)."""

from __future__ import annotations

import re

from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lookups import bag

WORDS = bag("RR RFD RD R RURAL RUTA RT RTE ROUTE HC H HCR HIGHWAY HWY STAR CONTRACT BOX HCSR SR")
_NO = r"(?:NO |NUMBER |NUM |NUMERO |# )?"
_BOX = rf"(?:,? ?(?:BOX|BX|BZN|BUZON|#)) {_NO}(?P<box>\d+[A-Z0-9]*(?:-[0-9A-Z]+)*|[A-Z]\d*(?:-[0-9A-Z]+)*)(?P<letter> [A-Z](?=,|$))?(?![^ ,])"
_RURAL = r"RR ROUTE|RR|R R|RURAL (?:ROUTE|RTE|RT|ROAD|RD|DELIVERY)|RFD (?:ROUTE|RTE|RT)|RFD|R F D|RUTA RURAL"
_CONTRACT = (
    r"HC (?:ROUTE|RTE|RT|R)|HC|H C|HCR|HCSR|(?:HIGHWAY|HWY) CONTRACT(?: (?:ROUTE|RTE|RT))?|STAR (?:ROUTE|RTE|RT)|"
    r"CONTRACT (?:ROUTE|RTE|RT)"
)  # 253: the old name was star route
# RD, RT and ROUTE are a route only when a box follows (241; 295.7 for Puerto Rico)
RURAL = re.compile(
    rf"(?P<name>{_RURAL}|RD|R D|RUTA|RTE|RT|ROUTE|R) {_NO}0*(?P<no>\d+[A-Z]{{0,2}}){_BOX}"
)
RURAL_ALONE = re.compile(rf"(?P<name>{_RURAL}) {_NO}0*(?P<no>\d+[A-Z]?)(?![^ ,])(?P<box>)")
CONTRACT = re.compile(rf"(?P<name>{_CONTRACT}|SR) {_NO}0*(?P<no>\d+[A-Z]{{0,2}}){_BOX}")
CONTRACT_ALONE = re.compile(
    rf"(?P<name>{_CONTRACT})(?: {_NO}0*(?P<no>\d+[A-Z]?))?(?:{_BOX})?(?![^ ,])"
)
REVERSED = re.compile(
    rf"BOX {_NO}(?P<box>\d+[A-Z0-9-]*),? ?(?P<name>{_RURAL}|RD|R D|RTE|RT|ROUTE|{_CONTRACT}) {_NO}0*(?P<no>\d+[A-Z]?)(?![^ ,])"
)


def rural(match: re.Match[str]) -> DeliveryLine:
    """A rural route line (241: RR n BOX n)."""
    part = _line("rural route", "RR", match)
    part.rules.append("241")
    if match["name"] in ("RT", "RTE", "ROUTE", "R"):
        part.may_be(f"ROUTE {part.text[3:]}", "ROUTE may be a highway's name")
    return part


def contract(match: re.Match[str]) -> DeliveryLine:
    """A highway contract route line (251: HC n BOX n)."""
    part = _line("highway contract", "HC", match)
    part.rules.append("251")
    if word := re.search(r" (?:BZN|BUZON) ", match[0]):  # I51.7's example does not fit its rule
        said = f"{part.street[:2]} {match[0][match.end('name') - match.start() :].strip()}"
        part.may_be(
            said.replace(",", ""),
            f"the postal guide leaves open what happens to{word[0]}".strip(),
            form=True,
        )
    if "STAR" in match["name"]:
        part.rules.append("253")
    if match["name"] == "SR":
        part.may_be(f"STATE ROAD {part.text[3:]}", "SR may be a state road")
    return part


def either(match: re.Match[str]) -> DeliveryLine:
    """A route line whose box was written first."""
    return (contract if re.fullmatch(_CONTRACT, match["name"]) else rural)(match)


def _line(kind: str, short: str, match: re.Match[str]) -> DeliveryLine:
    number, box = match["no"] or "", match["box"] or ""
    box += (match.groupdict().get("letter") or "").strip()
    part = DeliveryLine(kind, " ".join(filter(None, (short, number, "BOX" if box else "", box))))
    part.number = box
    part.street = f"{short} {number}".strip()
    if not box and number:
        part.may_be(f"{short} BOX {number}", "the number may be the box's")
    if not box:
        part.marks.append(("box", part.text))
    if match["name"] not in ("RR", "HC", "R R", "H C"):
        part.marks.append(("old", match["name"]))
    return part
