"""Millions of pairs are settled as arrays: no pair, word or group is made before somebody asks for it."""

from __future__ import annotations

import tracemalloc
from itertools import combinations
from pathlib import Path
from random import Random

import numpy as np
import people_with_truth as facts
import pytest

from onboard.match.found_groups import Groups
from onboard.match.hanging import hanging, together
from onboard.match.judged import Judged, never_compared
from onboard.match.levels import FIELDS
from onboard.model import Verdict
from onboard.reports import pairs as made
from onboard.reports.duplicates import Duplicates
from onboard.reports.pairs import Pairs

SIGNUPS = Path(__file__).parents[1] / "facts" / "duplicates" / "signups_open_5k.csv"


@pytest.fixture(scope="module")
def found() -> Duplicates:
    return facts.find(SIGNUPS)


def by_hand(pairs: list[tuple[int, int]]) -> list[set[int]]:
    """Who hangs together, found the plain way."""
    sets: list[set[int]] = []
    for pair in pairs:
        met = [some for some in sets if some & set(pair)]
        sets = [some for some in sets if some not in met] + [set(pair).union(*met)]
    return sets


@pytest.mark.parametrize("seed", range(30))
def test_rows_hang_together_as_they_do_by_hand(seed: int) -> None:
    chance = Random(seed)
    size = chance.choice((2, 9, 60))
    pairs = [tuple(chance.sample(range(size), 2)) for _ in range(chance.choice((0, 1, size)))]
    one, other = np.array(pairs, np.int32).reshape(-1, 2).T
    rows, top = hanging(one, other)
    told: dict[int, set[int]] = {}
    for row, first in zip(rows.tolist(), top.tolist(), strict=True):
        told.setdefault(rows[first].item(), set()).add(row)
    assert sorted(told.values(), key=min) == sorted(by_hand(pairs), key=min)
    assert all(first == min(some) for first, some in told.items())
    every = np.array(list(combinations(range(size), 2)), np.int32)
    for (here, there), same in zip(every.tolist(), together(rows, top, *every.T), strict=True):
        assert same == any({here, there} <= some for some in told.values())


def test_a_long_chain_hangs_together() -> None:
    turned = np.array(Random(1).sample(range(20_000), 20_000), np.int32)
    rows, top = hanging(turned[1:], turned[:-1])
    assert len(rows) == 20_000
    assert not top.any()


@pytest.mark.parametrize("seed", range(10))
def test_who_hangs_together_unseen_is_compared_unless_they_are_too_many(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("onboard.match.judged.LARGEST", 5)
    chance = Random(seed)
    size = 40
    pairs = sorted(chance.sample(list(combinations(range(size), 2)), 25))
    here, there = np.array(pairs, np.int32).T
    sure = np.array([chance.choice((0.2, 0.9, 0.9)) for _ in pairs])
    flags, none = np.zeros(len(pairs), np.bool_), np.empty(0, np.int32)
    judged = Judged(here, there, sure, flags, flags, none, np.empty((0, len(FIELDS)), np.int8))
    tied = [pair for pair, confidence in zip(pairs, sure, strict=True) if confidence > 0.65]
    wanted = {
        pair
        for some in by_hand(tied)
        if 2 < len(some) <= 5
        for pair in combinations(sorted(some), 2)
    }
    found = zip(*(side.tolist() for side in never_compared(judged, size, 0.65)), strict=True)
    assert list(found) == sorted(wanted - set(pairs))


def test_no_words_are_made_before_a_pair_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    def words(*_: object) -> str:
        raise AssertionError("words that nobody asked for")

    monkeypatch.setattr(made, "_words", words)
    found = facts.find(SIGNUPS)
    assert len(found.pairs) > 300
    assert len(found.of(Verdict.SAME)) > 200
    with pytest.raises(AssertionError, match="nobody asked for"):
        found.pairs[0]


def test_a_pair_that_waits_to_be_asked_for_takes_a_tenth_of_what_it_takes_as_a_value(
    found: Duplicates,
) -> None:
    held = sum(
        array.nbytes
        for array in (getattr(found.pairs, name) for name in found.pairs.__slots__)
        if isinstance(array, np.ndarray)
    )
    tracemalloc.start()
    values = list(found.pairs)
    taken, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(values) == len(found.pairs)
    assert held / len(values) < 40 < taken / len(values) / 4


def test_pairs_and_groups_are_sequences(found: Duplicates, monkeypatch: pytest.MonkeyPatch) -> None:
    every, groups = list(found.pairs), list(found.groups)
    monkeypatch.setattr(Pairs, "at_once", 7)
    monkeypatch.setattr(Groups, "at_once", 7)
    assert list(found.pairs) == every == found.pairs
    assert list(found.groups) == groups == found.groups
    for place in (0, 3, -1):
        assert (found.pairs[place], found.groups[place]) == (every[place], groups[place])
    for some in (slice(2, 9), slice(None, None, 50), slice(9, 2)):
        assert list(found.pairs[some]) == every[some]
        assert found.groups[some] == groups[some]
    assert found.pairs != every[1:]
    assert found.groups != groups[:-1]
    with pytest.raises(IndexError):
        found.pairs[len(every)]
    for verdict in Verdict:
        assert list(found.of(verdict)) == [pair for pair in every if pair.verdict is verdict]
