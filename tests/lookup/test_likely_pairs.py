"""Of all pairs of names that what was said may mean, the likeliest are asked for, and no more than can be."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from onboard.roster import candidates, index_asked


@pytest.mark.parametrize("seed", range(5))
def test_the_likeliest_pairs_are_those_of_every_pair_weighed(
    monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    pick = Random(seed)
    given = set(range(0, 300, 3))
    monkeypatch.setattr(index_asked, "given", lambda connection, numbers: given & set(numbers))
    monkeypatch.setattr(candidates, "MOST_PAIRS", 400)
    near = [
        sorted((pick.randrange(0, 30) / 2, pick.randrange(300)) for _ in range(40))
        for _ in range(3)
    ]
    both, most = [(near[0], near[1]), (near[1], near[2])], 20.0
    least: dict[int, float] = {}
    for one, other in both:
        for (x, a), (y, b) in (*product(one, other), *product(other, one)):
            if a in given and x + y <= most:
                pair = index_asked.pair_of(a, b)
                least[pair] = min(x + y, least.get(pair, most))
    wanted = sorted(least.items(), key=lambda pair: (pair[1], pair[0]))[:400]
    assert len(least) > 400
    assert list(candidates._likely_pairs(None, both, most).items()) == wanted  # type: ignore[arg-type]
