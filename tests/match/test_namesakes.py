"""Father and son, and names that are written short: whose form it is, in the whole of a batch."""

from __future__ import annotations

from typing import Any

import pytest
from coop_forms import PAT, ROBIN, form, office_of

from onboard.model import Decision, Enrol, Hold, SameAs
from onboard.roster import store
from onboard.settings import Settings
from onboard.tasks.process_batch import process_batch

HOME = {key: PAT[key] for key in ("phone", "street", "city", "state", "zip", "site")}
ELSEWHERE = {"phone": "740-555-0118", "street": "9 Ash St", "city": "Athens", "zip": "45701"}


def decided(coop: Settings, *people: tuple[str, str, dict[str, str]]) -> list[Decision]:
    """What becomes of a form for each name, email and what is else, one batch each."""
    office = office_of(coop, store.open_store("sqlite://"), ROBIN)
    found = []
    for line, (name, email, more) in enumerate(people, 2):
        raw = form(line, **(HOME | {"full_name": name, "email": f"{email}@example.org"} | more))
        told: list[Any] = []
        process_batch(office, [raw], file="forms.csv", keep=True, tell=told.append)
        found.append(next(o.decision for o in told if o.decision.applicant.raw.key == raw.key))
    return found


def one(name: str, email: str, **more: str) -> tuple[str, str, dict[str, str]]:
    return name, email, more


SENIOR, JUNIOR = one("Dell Marrow Sr.", "dmarrow"), one("Dell Marrow Jr.", "dell2")


@pytest.mark.parametrize(
    "known",
    [[JUNIOR], [SENIOR], [one("Dell Marrow III", "iii")], [one("Wm. Marrow IV", "wm")],
     [one("Dell Marrow Jr.", "dell2", phone="740-555-0118")],
     [one("Dell Marrow Jr.", "dell2", **(ELSEWHERE | {"phone": HOME["phone"]}))]],
)  # fmt: skip
def test_whoever_leaves_out_the_suffix_is_asked_about(coop: Settings, known: list[Any]) -> None:
    name = known[0][0].replace("Wm.", "Bill")
    plain = " ".join(name.split()[:2])
    *_, decision = decided(coop, *known, one(plain, "another"))
    assert isinstance(decision, Hold)
    assert decision.questions[0].ask == (
        f"Is this the same person as {decision.matches[0].person.shown} (member 1)? The names are alike but for a Sr, "
        "Jr or III: it may be a parent or a child. Ask which one filled out the form. If it is somebody new, answer "
        "enroll."
    )


def test_of_a_father_and_a_son_on_file_both_are_named(coop: Settings) -> None:
    father, son, decision = decided(coop, SENIOR, JUNIOR, one("Dell Marrow", "another"))
    assert isinstance(father, Enrol)
    assert isinstance(son, Enrol)
    assert isinstance(decision, Hold)
    assert "Dell Marrow Sr (member 1) or Dell Marrow Jr (member 2)?" in decision.questions[0].ask


def test_of_two_on_file_of_whom_one_has_a_suffix_both_are_named(coop: Settings) -> None:
    """However sure it is by name, home and phone that it is the father: the son has all three, too."""
    father, son = one("Zebulon Quillfeather", "zeb"), one("Zebulon Quillfeather Jr.", "zeb2")
    _, held, decision = decided(coop, father, son, one("Zebulon Quillfeather", "another"))
    assert isinstance(held, Hold)
    alone = decided(coop, father, one("Zebulon Quillfeather", "another"))
    assert isinstance(alone[-1], SameAs), "where there is no son"
    assert isinstance(decision, Hold)


def test_a_suffix_that_the_member_lacks_is_asked_about(coop: Settings) -> None:
    _, decision = decided(coop, one("Dell Marrow", "dmarrow"), JUNIOR)
    assert isinstance(decision, Hold)


def test_a_form_without_the_suffix_is_not_taken_for_the_members_alone(coop: Settings) -> None:
    """However much agrees: a son may use his father's mailbox."""
    long = "Thaddeus Quillon Wrayburn"
    *_, decision = decided(coop, one(f"{long} III", "twrayburn"), one(long, "twrayburn"))
    assert isinstance(decision, Hold)


@pytest.mark.parametrize(
    "new",
    [one("Dell Marrow", "another", **ELSEWHERE), one("Dolly Marrow", "another"),
     one("Dell Sparrow", "another")],
)  # fmt: skip
def test_who_shares_less_with_him_is_somebody_new(coop: Settings, new: Any) -> None:
    *_, decision = decided(coop, JUNIOR, new)
    assert isinstance(decision, Enrol)


def test_the_very_same_form_with_the_suffix_is_his(coop: Settings) -> None:
    *_, decision = decided(coop, SENIOR, JUNIOR, one("Dell Marrow, Jr", "dell2"))
    assert isinstance(decision, SameAs)
    assert decision.owner == "member:2"


# On file, on the form: with another email, and the same phone and street.
SHORT = [
    ("Wm. Tarbell", "William Tarbell"), ("Bill Tarbell", "Wm Tarbell"), ("Chas. Tarbell", "Chuck Tarbell"),
    ("Charles Tarbell", "Chas. Tarbell"), ("Robt. Tarbell", "Robert Tarbell"), ("Geo. Tarbell", "George Tarbell"),
    ("Fco. Tarbell", "Francisco Tarbell"), ("Pancho Tarbell", "Fco. Tarbell"), ("Gpe. Tarbell", "Guadalupe Tarbell"),
    ("Thos. Tarbell", "Tom Tarbell"), ("Dan'l Tarbell", "Daniel Tarbell"), ("Ma. Elena Tarbell", "María Elena Tarbell"),
]  # fmt: skip


@pytest.mark.parametrize(("known", "said"), SHORT, ids=[f"{a}, {b}" for a, b in SHORT])
def test_a_name_that_is_written_short_is_that_name(coop: Settings, known: str, said: str) -> None:
    first, decision = decided(coop, one(known, "first"), one(said, "second"))
    assert isinstance(first, Enrol)
    assert not isinstance(decision, Enrol)
    assert first.applicant.name.said == known, "as it was typed"
