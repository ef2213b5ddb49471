"""The checklist of the desk's security: each requirement of its level is answered, once."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

HERE = Path(__file__).parent


def test_each_requirement_of_the_level_is_answered_once() -> None:
    wanted = [
        line
        for line in (HERE / "facts" / "asvs_level_2.txt").read_text().splitlines()
        if line[0] != "#"
    ]
    page = (HERE.parent / "docs" / "asvs.md").read_text("utf-8")
    answered = [
        number
        for line in page.splitlines()
        if re.match(r"\| \d", line)
        for number in re.findall(r"\d+\.\d+\.\d+", line.split("|")[1])
    ]
    assert Counter(answered) == Counter(wanted)
