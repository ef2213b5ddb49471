"""An audit tells of every packet that its member has not got, with the right next step."""

from __future__ import annotations

import pytest
from audit.examples import accounts, found

from onboard.settings import Settings


@pytest.mark.parametrize(
    ("stands", "step"),
    [
        ("due", "onboard packets --write"),
        ("waiting", "onboard reissue patlee"),
        ("unsure", "onboard packets --again patlee"),
        ("refused", "onboard correct patlee --email"),
        ("written", ""),
        ("sent", ""),
    ],
)
def test_a_packet_that_the_member_has_not_got_is_told(
    coop: Settings, stands: str, step: str
) -> None:
    account = accounts(f"packet: {stands}; joined: 2026-11-20; handle: patlee", coop)
    notes = [
        one.finding.note for one in found(account, coop) if one.finding.code == "access.no_packet"
    ]
    assert len(notes) == bool(step)
    assert all(step in note for note in notes)
