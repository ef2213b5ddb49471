"""A year day by day: everybody hears what is due to them once, nobody anything else, whenever the program is killed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from reminded_year import Year, days


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a program is killed in a process of its own")
def test_a_year_day_by_day(tmp_path: Path) -> None:
    year = Year(tmp_path, members=30, seed=4, as_one=True)
    for day in days():
        year.one_day(day)
    year.close()
    assert year.killed == year.kills == 5
    assert len(year.told) > 150
    assert {way for ways in year.told.values() for way in ways} == {"email", "letter", "text"}
    assert {kind for *_, kind in year.told} == {"opens soon", "open now", "closes soon", "no order"}
    assert year.moved_told.total() > 0
    # On some days a real mail server put off, refused and hung up, before a message and after it.
    assert year.moods == 5
    assert {said[0] for said in year.heard} == {"2", "4", "5", "d"}
    assert {"drop", "drop after"} <= year.heard.keys()
    assert year.refused.total() >= 2
