"""The bar of a long work never goes back, ends at the whole, and is right about the time left where costs are."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from random import Random

import pytest
from match import people_with_truth as facts

from onboard import intake
from onboard.reports import duplicates as lists
from onboard.tasks import find_duplicates as module
from onboard.tasks.course import Course
from onboard.tasks.list_duplicates import Lists, list_duplicates

SIGNUPS = Path(__file__).parents[1] / "facts" / "duplicates" / "signups_open_5k.csv"


def test_where_things_cost_what_they_should_the_share_is_the_share_of_the_time() -> None:
    costs = {"read": 3.0, "judge": 8.0, "settle": 50.0}
    things = {"read": 400.0, "judge": 90.0, "settle": 7.0}
    total = sum(costs[step] * things[step] for step in costs)
    heard: list[float] = []
    course = Course(costs, heard.append)
    course.expect(**things)
    over = 0.0
    for step in costs:
        for _ in range(int(things[step])):
            course.go(step, 1)
            over += costs[step]
            assert heard[-1] == pytest.approx(over / total)
    assert heard[-1] == 1


@pytest.mark.parametrize("seed", range(20))
def test_whatever_turns_out_it_never_goes_back(seed: int) -> None:
    chance = Random(seed)
    steps = ["read", "alike", "judge"]
    heard: list[float] = []
    course = Course({step: chance.random() * 9 for step in steps}, heard.append)
    course.expect(**{step: chance.randrange(100) for step in steps})
    for at, step in enumerate(steps):
        for _ in range(chance.randrange(30)):
            course.go(step, chance.randrange(9))
        course.over(step)
        course.expect(**{later: chance.randrange(500) for later in steps[at + 1 :]})
    assert heard == sorted(heard)
    assert heard[-1] == 1


def test_each_step_of_a_search_brings_the_bar_on(monkeypatch: pytest.MonkeyPatch) -> None:
    ends: list[tuple[str, float]] = []
    heard: list[float] = []
    over = Course.over

    def noted(course: Course, step: str) -> None:
        over(course, step)
        ends.append((step, heard[-1]))

    monkeypatch.setattr(Course, "over", noted)
    found = facts.find(SIGNUPS, progress=heard.append)
    assert heard == sorted(heard)
    shares = [share for step, share in ends if step != "start"]
    assert [step for step, _ in ends if step != "start"] == ["read", "alike", "judge", "settle"]
    assert all(one < other for one, other in pairwise(shares))
    assert shares[-1] == 1
    assert found.pairs
    assert set(module.COSTS) == {"start", "read", "alike", "judge", "settle"}


def test_writing_the_list_brings_the_bar_on_pair_by_pair(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lists, "AT_ONCE", 50)
    heard: list[float] = []
    sheet = intake.open_rows(SIGNUPS, needed=())
    found, _ = list_duplicates(sheet, Lists(tmp_path / "pairs.csv"), progress=heard.append)
    assert heard == sorted(heard)
    assert heard[-1] == 1
    whole, rest = divmod(len(found.pairs), 50)
    assert whole > 3
    assert rest
    writing = heard[-3 - whole - 1 : -2]  # then it is over, and all is
    steps = [later - one for one, later in pairwise(writing)]
    assert steps == pytest.approx([steps[0]] * whole + [steps[0] * rest / 50])


def test_steps_that_are_added_later_count_and_others_are_passed_over() -> None:
    heard: list[float] = []
    course = Course({"write": 1.0}, heard.append)
    course.add({"read": 1.0})
    course.expect(read=10, write=30, print=70)
    course.over("read")
    course.go("write", 15)
    assert heard == [0.25, 0.625]
