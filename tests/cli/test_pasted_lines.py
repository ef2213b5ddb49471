"""The line that a report asks to be typed: whole, once, and in a sentence that reads."""

from __future__ import annotations

import sys

import pytest

from onboard.cli.common import _with_whole_lines

WORDS = "Write same in pairs.csv, and run the same line with --ruled pairs.csv."


@pytest.mark.parametrize("typed_before", [[], ["--ruled", "pairs.csv"]])
def test_the_line_is_whole_and_says_nothing_twice(
    monkeypatch: pytest.MonkeyPatch, typed_before: list[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["onboard", "duplicates", "m.csv", *typed_before])
    assert _with_whole_lines(WORDS) == (
        "Write same in pairs.csv. Then type: onboard duplicates m.csv --ruled pairs.csv"
    )
