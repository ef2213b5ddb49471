"""Who may look members up: every command that shows or changes a member asks it, and shows nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.office import listing, onboard

from onboard.model import Change, Proposal
from onboard.reports import changes

MEMBERS = (
    ("find", "pat lee"),
    ("why", "patlee", "--member", "1"),
    ("why", "patlee"),
    ("correct", "1", "--site", "Lima Grange"),
    ("reissue", "patlee", "--checked", "call-back"),
    ("call", "1", "--cause", "typed.spaces", "--ended", "helped"),
    ("calls",),
    ("disclose", "patlee", "--to", "all.json"),
    ("merge", "patlee", "kimvale"),
    ("close", "patlee"),
    ("reopen", "patlee"),
    ("forget", "patlee"),
    ("forget",),
    ("undo",),
    ("undo", "1"),
    ("tidy", "review.csv"),
    ("audit", "--to", "audit"),
)
RECORDS = {"correct", "reissue", "merge", "close", "reopen", "forget", "undo", "tidy"}
# The intake and the clockwork: whoever can open the roster, as a job that runs by itself.
OPEN = (
    ("batch", "forms.csv"),
    ("answer",),
    ("packets",),
    ("packets", "--send"),
    ("export", "accounts.csv"),
    ("audit", "forms.csv"),  # of a spreadsheet that they have
)


@pytest.fixture
def named(office: Path) -> Path:
    """The folder, a change applied and another to apply; only Robin may look members up."""
    assert onboard("correct", "1", "--phone", "419-555-0190", "--record").code == 0
    change = Change(2, "phone", "tel:+14195550177", "tel:+14195550178", "said so")
    changes.write(office / "review.csv", [Proposal(change, "kimvale", "Kim Vale", "code")])
    first, rest = (office / "review.csv").read_text("utf-8-sig").split("\n", 1)
    (office / "review.csv").write_text(f"{first}\nyes{rest}", "utf-8")
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace("[desk]", '[desk]\nmay_look_up = ["robin"]'))
    return office


@pytest.mark.parametrize("words", MEMBERS, ids=" ".join)
def test_whom_the_settings_do_not_name_sees_and_changes_nothing(
    named: Path, words: tuple[str, ...]
) -> None:
    before = listing(named)
    for more in ((), ("--record",)) if words[0] in RECORDS else ((),):
        said = onboard(*words, *more, "--by", "lou")
        assert said.code == 2
        assert said.err.startswith("lou is not allowed to look up members.")
        assert not said.out
        assert listing(named) == before
    assert onboard(*words, "--by", "robin").code in (0, 1)


@pytest.mark.parametrize("words", OPEN, ids=" ".join)
def test_the_intake_is_open_to_whoever_can_open_the_roster(
    named: Path, words: tuple[str, ...]
) -> None:
    assert onboard(*words, *(() if words[0] == "audit" else ("--by", "lou"))).code in (0, 1)
