"""What a person's fields fold to, one person at a time and a column at a time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_people import JUNK_PEOPLE, PEOPLE

from onboard.clean import email
from onboard.clean.email.providers import providers
from onboard.match import folds, many
from onboard.match.columns import columns
from onboard.model import Person


@given(st.lists(PEOPLE | JUNK_PEOPLE, max_size=8))
@settings(max_examples=150, deadline=None)
def test_a_column_folds_to_what_each_of_its_people_does(people: list[Person]) -> None:
    alone = columns([folds.fold(person) for person in people])
    together = many.together([many.folded(people)]).fields
    for field in many.FIELDS:
        texts = alone[field].texts[alone[field].codes].tolist()
        assert together[field].at(np.arange(len(people))) == texts, field
    joint = many.folded(people).joint
    assert [joint.get(at, ()) for at in range(len(people))] == [
        folds.fold(person).joint for person in people
    ]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Pat-Lee@protonmail.com", "patlee@proton.me"),
        ("pat.lee@pm.me", "pat_lee+coop@protonmail.ch"),
        ("p.a.t.lee@gmail.com", "PatLee+x@googlemail.com"),
        ("pat.lee+coop@example.org", "Pat.Lee@Example.org"),
    ],
)
def test_two_spellings_of_one_mailbox_fold_to_one(one: str, other: str) -> None:
    assert folds.mailbox(one) == folds.mailbox(other) != ""


@given(
    st.from_regex(r"[a-zA-Z0-9][a-zA-Z0-9._+-]{0,12}[a-z0-9]", fullmatch=True),
    st.sampled_from([*sorted(providers()), "example.org", "Example.ORG"]),
)
@settings(max_examples=300, deadline=None)
def test_an_address_as_written_folds_to_what_its_mailbox_does(local: str, domain: str) -> None:
    """A spreadsheet has addresses as written, a roster has `Email.identity`."""
    written = f"{local}@{domain}"
    value = email.clean(written).value
    if value is not None and not value.others:
        assert folds.mailbox(written) == folds.mailbox(value.identity)
