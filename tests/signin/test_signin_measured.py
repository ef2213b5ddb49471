"""How often the right cause is told first, measured on callers who are made up apart from the code.

The figures of docs/sign-in.md come from `measure_signin.py` with other seeds and more cases.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from measure_signin import COOP, Measured, measure
from wrong_callers import BLOCKS, ONE, TODAY, cases

from onboard import handles
from onboard.clean import name as names
from onboard.model import Handle
from onboard.signin import Account, why
from onboard.signin.marks import letters

SLIPS = Path(__file__).parents[1] / "facts" / "typed_slips.tsv"


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure(cases(seed=1, count=3000))


def test_the_first_cause_is_right_and_all_are_among_three(measured: Measured) -> None:
    for score in (measured.whole, measured.one, measured.two):
        assert score.all > 1000
        assert score.first / score.all >= 0.95
        assert score.three / score.all >= 0.99


def test_no_cause_is_left_behind(measured: Measured) -> None:
    assert set(measured.by_cause) == set(ONE)
    for code, score in measured.by_cause.items():
        assert score.first / score.all >= 0.9, code
        assert score.three / score.all >= 0.9, code


def test_confidence_is_what_comes_true(measured: Measured) -> None:
    assert measured.calibration <= 0.05


def test_the_measure_can_fail(measured: Measured) -> None:
    """Answers of other questions are rarely right."""
    made = list(cases(seed=1, count=400))
    wrong = [
        type(case)(case.account, other.typed, other.page, other.said, other.others, case.truth)
        for case, other in zip(made, made[7:] + made[:7], strict=True)
        if not case.truth & set(BLOCKS)
    ]
    found = measure(wrong)
    assert found.whole.first / found.whole.all < 0.5


def test_slips_that_others_made_up_are_found() -> None:
    """Names and handles with one slip, with two in each word, or written by ear."""
    count: dict[str, list[bool]] = {}
    for line in SLIPS.read_text("utf-8").splitlines():
        if line.startswith("#"):
            continue
        kind, text, meant = line.split("\t")
        if kind.startswith("handle"):
            account, typed = Account(Handle(meant)), text
        else:
            name = names.clean(meant).value
            handle = handles.clean(meant).value
            if name is None or handle is None:
                continue
            account, typed = Account(handle, (name,)), text.replace(" ", "").lower()
        if letters(typed) == account.handle.text:  # type: ignore[union-attr]
            continue
        told = why(account, typed=typed, today=TODAY, settings=COOP)
        count.setdefault(kind, []).append("typed.slip" in [c.code for c in told[:3]])
    assert sum(map(len, count.values())) > 400
    for kind, found in count.items():
        assert sum(found) / len(found) >= 0.97, (kind, sum(found), len(found))
