"""A correction that is undone, an account that is opened again: what was to go out, and what why says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from cli.office import onboard


def notices(folder: Path) -> list[str]:
    return sorted(file.name for file in (folder / "outbox").glob("notice-*"))


@pytest.mark.parametrize(
    ("field", "value"), [("email", "new@example.net"), ("phone", "419-555-0199")]
)
def test_the_notice_of_a_correction_that_is_undone_goes_nowhere(
    office: Path, field: str, value: str
) -> None:
    onboard("correct", "patlee", f"--{field}", value, "--record")
    onboard("correct", "kimvale", "--phone", "419-555-0188", "--record")
    mine, kims = notices(office)
    looked = onboard("undo", "1")
    assert "canceled" not in looked.out
    assert notices(office) == [mine, kims], "a preview changes nothing"
    said = onboard("undo", "1", "--record")
    assert (
        f"The notice to the old contact is canceled, and is out of the outbox: {mine}." in said.out
    )
    assert notices(office) == [kims], "another member's stays"
    assert mine not in onboard("packets", "--send").out


def test_a_notice_of_which_a_part_stays_is_sent(office: Path) -> None:
    onboard("correct", "patlee", "--phone", "419-555-0199", "--record")
    onboard("correct", "patlee", "--phone", "419-555-0190", "--record")
    said = onboard("undo", "1", "--record")
    assert "changed again later, under number 2" in said.words
    assert len(notices(office)) == 2


def test_why_names_a_packet_that_is_not_sent_whatever_came_before(office: Path) -> None:
    before = onboard("why", "patlee", "--member", "patlee").out
    assert "packet.written" in before
    onboard("close", "patlee", "--record")
    back = onboard("undo", "1", "--record").out
    assert re.search(r"packet +none +due", back)
    onboard("packets", "--write")
    after = onboard("why", "patlee", "--member", "patlee").out
    assert "packet.written" in after
    assert "password.replaced" in after
