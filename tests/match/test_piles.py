"""Columns that are put together part by part."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator

import numpy as np

from onboard.match.columns import column
from onboard.match.piles import Piles
from onboard.match.texts import Letters, texts


def test_pieces_are_one_array_in_their_order() -> None:
    piles = Piles()
    for piece in ([3, 1], [], [2]):
        piles.add("numbers", np.array(piece, np.int32))
        piles.add_texts("names", texts([str(n) for n in piece]))
    assert piles.whole("numbers").tolist() == [3, 1, 2]
    assert piles.texts("names").at(np.arange(3)) == ["3", "1", "2"]


def test_texts_that_come_again_are_kept_once() -> None:
    piles = Piles()
    for part in (["Barn", "", "Hall"], [], ["Hall", "Barn", "Hall"]):
        piles.add_column("site", column(part))
        piles.add_letters("name", Letters.of(part))
    sites = piles.column("site")
    assert sites.texts.tolist() == ["", "Barn", "Hall"]
    assert sites.codes.tolist() == [1, 0, 2, 2, 1, 2]
    names = piles.letters("name")
    assert names.at(np.arange(6)) == ["Barn", "", "Hall", "Hall", "Barn", "Hall"]
    assert names.lengths().tolist() == [4, 0, 4, 4, 4, 4]


def test_nothing_is_an_array_too() -> None:
    piles = Piles()
    piles.add("numbers", np.array([], np.int32))
    assert piles.whole("numbers").tolist() == []


def test_what_is_put_together_is_not_held_twice() -> None:
    def pieces() -> Iterator[np.ndarray]:
        for number in range(400):
            yield np.full(2_000, number)

    piles = Piles()
    tracemalloc.start()
    for piece in pieces():
        piles.add("numbers", piece)
    whole = piles.whole("numbers")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 1.3 * whole.nbytes
