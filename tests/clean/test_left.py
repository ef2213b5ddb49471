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
     "relocated to Texas", "se fue a vivir a Arizona", "Closed", "Inactivo", "not coming back", "won't be back", "not renewing", "wants out",
     "take off roster", "membership lapsed", "stopped ordering in 2021", "joined another co-op", "ya no quiere ser socia", "no va a regresar",
     "dejó la cooperativa", "se salió en 2021"],
)  # fmt: skip
def test_a_note_that_somebody_has_left_is_heard(note: str) -> None:
    (found,) = left.in_notes([note], "patlee")
    assert found.note == (
        f"A note says “{note}”. Ask if they have left. If so, close the account: onboard close patlee"
    )


@pytest.mark.parametrize(
    "note",
    ["moved to Dixon drop when Peñasco closed", "left two crates", "quit smoking", "dado de baja de correos", "closed on Mondays",
     "moved pickup to Taos", "se mudó a la otra calle", "resigned from the board", "she moved to OK drop site", "", "will be back in May",
     "not returning my calls", "not coming back to the phone", "returns jars", "done with canning", "dejó recado", "se fue temprano", "ya no maneja"],
)  # fmt: skip
def test_a_note_about_something_else_is_not(note: str) -> None:
    assert not left.in_notes([note], "patlee")


@pytest.mark.parametrize(
    ("note", "heard"),
    [("moved to Tucson in 2024", True), ("lives in Phoenix now", True), ("went to live with son in El Paso", True), ("se fue a Chihuahua", True),
     ("moved to Santa Fe", False), ("moved to Dixon", False), ("lives in Velarde now", False), ("her son moved to Tucson", False),
     ("moved to second shift", False), ("moved to Tucson drop", False), ("back from Tucson", False)],
)  # fmt: skip
def test_a_move_to_a_town_of_another_state_is_heard(note: str, *, heard: bool) -> None:
    said = {
        "full_name": "Pat Lee",
        "handle": "patlee",
        "city": "Velarde",
        "state": "NM",
        "zip": "87582",
        "notes": note,
    }
    assert ("notes.left" in [f.code for f in row.clean(form(**said)).findings]) is heard
    assert not left.in_notes([note], "patlee"), "nobody knows where they lived"


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
