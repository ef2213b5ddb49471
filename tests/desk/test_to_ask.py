"""What the forms of new members left in doubt stands somewhere after the batch, until it is settled."""

from __future__ import annotations

import json
from pathlib import Path

from cli.office import KIM, PAT, onboard, write_csv


def waiting() -> dict[str, int]:
    lines = onboard("today", "--json").out.splitlines()
    return {one["kind"]: one["count"] for one in map(json.loads, lines)}


def test_who_was_enrolled_with_a_doubt_is_asked_about_until_it_is_settled(office: Path) -> None:
    ana = ("Ana Ruiz", "ana@example.org", "419-555-0155", "Oak Ave", *KIM[4:])
    # No mail server is set: a letter waits for the number of the house.
    assert onboard("batch", write_csv(Path("more.csv"), [ana]), "--record").code == 1
    assert waiting()["new members to ask"] == 1
    said = onboard("answer", "--ask")
    assert said.code == 0
    assert "Ana Ruiz" in said.words
    assert "OAK AVE has no house number. Ask for it." in said.words
    assert "onboard correct anaruiz --all-right --record" in said.words
    assert "555-01XX" not in said.words, "nobody can be asked by such a number"
    assert "onboard answer --ask" in onboard("today").words
    assert onboard("correct", "anaruiz", "--all-right", "--record").code == 0
    assert "Ana Ruiz" not in onboard("answer", "--ask").words
    assert "new members to ask" not in waiting()


def test_an_email_that_a_packet_waits_for_is_asked_about_once(office: Path) -> None:
    bo = ("Bo Reed", "bo@hotmial.com", "", *PAT[3:])
    onboard("batch", write_csv(Path("more.csv"), [bo]), "--record")
    assert "hotmial" not in onboard("answer", "--ask").out
    assert "hotmial" in onboard("packets").out
