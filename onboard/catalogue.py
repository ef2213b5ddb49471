"""Every kind of finding that the program makes, out of the rules' own lists."""

from __future__ import annotations

from onboard import audit, handles, intake
from onboard.clean import address, email, name, phone, place, row, sites
from onboard.intake import mail_domains
from onboard.model import Kind

# Each has `KINDS`.
_MODULES = (address, audit, email, handles, intake, mail_domains, name, phone, place, row, sites)


def kinds() -> tuple[Kind, ...]:
    """Every kind of finding, by code."""
    return tuple(sorted((kind for m in _MODULES for kind in m.KINDS), key=lambda kind: kind.code))
