"""Charts: everything counted is seen, in the order it was given, and no word lies on another."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onboard.reports import charts

WORDS = {"dark": "act", "light": "ask"}
NUMBERS = st.integers(0, 2_000_000)


@given(st.lists(st.tuples(NUMBERS, NUMBERS), max_size=9))
def test_every_number_has_a_part_that_is_seen_and_no_bar_leaves_the_drawing(
    numbers: list[tuple[int, int]],
) -> None:
    rows = [(f"Group {at}", row) for at, row in enumerate(numbers)]
    chart = charts.bars(rows, WORDS)
    assert [bar.name for bar in chart.bars] == [name for name, _ in rows]
    for bar, (dark, light) in zip(chart.bars, numbers, strict=True):
        assert [style for style, _, _ in bar.parts] == ["dark"] * (dark > 0) + ["light"] * (
            light > 0
        )
        end = 0.0
        for _, x, wide in bar.parts:
            assert x == pytest.approx(end)
            assert wide >= 2
            end = x + wide
        assert end <= charts.WIDE + 0.01
        assert bar.y < chart.high


def test_a_bar_is_told_in_numbers_and_words() -> None:
    chart = charts.bars([("Reach", (9, 1436)), ("Twice", (0, 1))], WORDS)
    assert [bar.told for bar in chart.bars] == ["9 act · 1,436 ask", "1 ask"]
    assert chart.told == "Reach: 9 act, 1,436 ask; Twice: 1 ask."


@given(st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=12))
def test_lines_stay_within_and_their_words_apart(numbers: list[tuple[int, int]]) -> None:
    times = [f"Day {at}" for at in range(len(numbers))]
    dark, light = ([pair[at] for pair in numbers] for at in (0, 1))
    chart = charts.lines(times, {"dark": dark, "light": light}, WORDS)
    assert chart.times[0] == (times[-1], chart.lines[0].points[-1][0])
    for (_, x), (_, before) in zip(chart.times, chart.times[1:], strict=False):
        assert x - before >= 60
    assert {line.style for line in chart.lines} == {"dark", "light"}
    for line in chart.lines:
        assert len(line.points) == len(times)
        assert all(0 <= x <= charts.WIDE and 0 <= y <= chart.high for x, y in line.points)
        assert -10 < line.label_y < chart.high
    first, other = chart.lines
    assert first.label_y - other.label_y >= 18
    assert chart.told.startswith(
        f"Day 0 to {times[-1]}. act: from {dark[0]:,} to {dark[-1]:,}; ask: "
    )


@pytest.mark.parametrize("most", [0, 1, 3, 4, 5, 97, 209, 5_000, 123_456, 1_500_000])
def test_the_numbers_beside_a_chart_are_few_whole_and_unlike(most: int) -> None:
    steps = charts._steps(most)
    assert steps[0] == 0 < most + 1 <= steps[-1] + 1
    assert 2 <= len(steps) <= 6
    assert len(set(steps)) == len(steps)
