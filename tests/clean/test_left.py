"""Notes of old lists that somebody has left: heard there, and in no join form."""

from __future__ import annotations

import pytest
from coop_forms import form

from onboard.clean import left, row


@pytest.mark.parametrize(
    "note",
    ["closed account 5/2023", "acct closed", "BAJA 03/2024", "se dio de baja en 2020", "moved to FL Nov 2024, forwarding: 14 Palm Ct",
     "moved to Ocala, Florida", "Se mudó a Texas", "inactive", "INACTIVE since 2022", "left the co-op", "left 2021", "quit 3/2022",
     "no longer a member", "no longer orders", "membership canceled", "moved out of state", "ya no pide", "ex-member", "dropped out",
     "relocated to Texas", "se fue a vivir a Arizona", "Closed", "Inactivo"],
)  # fmt: skip
def test_a_note_that_somebody_has_left_is_heard(note: str) -> None:
    (found,) = left.in_notes([note], "patlee")
    assert found.note == (
        f"A note says “{note}”. Ask if they have left. If so, close the account: onboard close patlee"
    )


@pytest.mark.parametrize(
    "note",
    ["moved to Dixon drop when Peñasco closed", "left two crates", "quit smoking", "dado de baja de correos", "closed on Mondays",
     "moved pickup to Taos", "se mudó a la otra calle", "resigned from the board", "she moved to OK drop site", ""],
)  # fmt: skip
def test_a_note_about_something_else_is_not(note: str) -> None:
    assert not left.in_notes([note], "patlee")


def test_only_lists_of_members_are_heard() -> None:
    said = {"full_name": "Pat Lee", "notes": "we moved to Ohio in May"}
    assert "notes.left" in [f.code for f in row.clean(form(**said, handle="patlee")).findings]
    assert "notes.left" not in [f.code for f in row.clean(form(**said)).findings]


def test_a_column_that_says_that_somebody_is_not_active_is_heard() -> None:
    for heading, said, heard in (
        ("Active?", "N", True), ("Activo", "no", True), ("Active?", "Y", False), ("Not active?", "N", False),
    ):  # fmt: skip
        raw = form(full_name="Pat Lee", handle="patlee", **{f"aside:{heading}": said})
        assert bool([f for f in row.clean(raw).findings if f.code == "notes.left"]) is heard
