"""Every kind of finding that the program makes, out of the rules' own lists."""

from __future__ import annotations

from onboard import audit, handles, intake
from onboard.audit import newer
from onboard.clean import (
    address,
    anothers,
    day,
    deceased,
    email,
    filler,
    left,
    listed,
    name,
    on_behalf,
    other_of_two,
    phone,
    place,
    remarks,
    row,
    sites,
    statement,
)
from onboard.intake import boxes, mail_domains
from onboard.model import Kind

# Each has `KINDS`.
_MODULES = (
    address,
    anothers,
    audit,
    boxes,
    day,
    deceased,
    email,
    filler,
    handles,
    intake,
    left,
    listed,
    mail_domains,
    name,
    newer,
    on_behalf,
    phone,
    place,
    remarks,
    row,
    sites,
    other_of_two,
    statement,
)


def kinds() -> tuple[Kind, ...]:
    """Every kind of finding, by code."""
    return tuple(sorted((kind for m in _MODULES for kind in m.KINDS), key=lambda kind: kind.code))
