"""Here or in processes: the same results, in the same order, and no more in memory than need be."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from time import sleep

import pytest

from onboard import engines
from onboard.errors import EngineTrouble


def times(factor: int, part: int) -> int:
    return factor * part


def refuse(part: int) -> int:
    if part == 3:
        raise ValueError("three")
    return part


def stop_at_three(part: int) -> int:
    if part == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return part


@pytest.mark.parametrize("processes", [1, 2])
def test_results_come_in_order_and_parts_are_read_as_they_are_wanted(processes: int) -> None:
    read: list[int] = []

    def parts() -> Iterator[int]:
        for part in range(100):
            read.append(part)
            yield part

    with engines.choose(processes, partial(times, 3)) as engine:
        results = engine.map(parts())
        assert next(results) == 0
        assert len(read) <= 2 * processes + 1
        assert list(results) == [3 * part for part in range(1, 100)]


def whose(part: int) -> tuple[int, int]:
    return part, os.getpid()


def test_this_process_does_the_first_part_and_shares_the_rest_with_copies_of_it() -> None:
    by: list[int] = []

    def parts() -> Iterator[int]:
        while len(set(by)) < 2 or len(by) < 20:
            yield len(by)
            sleep(0.01)

    with engines.choose(2, whose, also_here=True) as engine:
        for at, (part, pid) in enumerate(engine.map(parts())):
            assert part <= at  # in order, and asked for a few ahead
            by.append(pid)
    assert by[0] == os.getpid()
    assert len(set(by)) == 2


def slow_elsewhere(here: int, part: int) -> int:
    sleep(0 if os.getpid() == here else 0.2)
    return part


def test_this_process_does_not_wait_for_a_slow_one_nor_runs_far_ahead_of_it() -> None:
    read: list[int] = []

    def parts() -> Iterator[int]:
        for part in range(60):
            read.append(part)
            yield part
            sleep(0.02)

    with engines.choose(2, partial(slow_elsewhere, os.getpid()), also_here=True) as engine:
        for at, part in enumerate(engine.map(parts())):
            assert part == at
            assert len(read) <= at + 14


def test_the_others_have_work_while_a_result_is_dealt_with() -> None:
    by: list[int] = []
    read: list[int] = []

    def parts() -> Iterator[int]:
        while len(set(by)) < 2 or len(by) < 40:
            read.append(len(by))
            yield len(by)

    with engines.choose(2, whose, also_here=True) as engine:
        for at, (_, pid) in enumerate(engine.map(parts())):
            by.append(pid)
            assert len(by) >= 40 or len(read) >= at + 3
            sleep(0.02)


loaded: list[int] = []  # by the first part, as a table is


def load_once(part: int) -> tuple[int, int]:
    if not loaded:
        loaded.append(os.getpid())
    return loaded[0], os.getpid()


def test_a_copy_has_what_was_loaded_here() -> None:
    loaded.clear()
    with engines.choose(2, load_once, also_here=True) as engine:
        by_whom, where = zip(*engine.map(range(40)), strict=True)
    assert set(by_whom) == {os.getpid()}
    assert len(set(where)) == 2


def test_a_copy_leaves_the_screen_alone() -> None:
    """Who writes there from another thread, as a progress bar does, may hold it just as the copy is made: whoever waited
    for that in the copy would wait for ever."""
    code = (
        "import os, sys, time\n"
        "from onboard import engines\n"
        "class Screen:\n"
        "    mine = os.getpid()\n"
        "    def write(self, text): pass\n"
        "    def flush(self): time.sleep(0 if os.getpid() == self.mine else 60)\n"
        "sys.stdout = Screen()\n"
        "with engines.choose(2, lambda part: os.getpid(), also_here=True) as engine:\n"
        "    assert len(set(engine.map(range(20)))) == 2\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=30)


def test_who_works_beside_other_threads_is_not_copied() -> None:
    def work() -> set[int]:
        with engines.choose(2, whose, also_here=True) as engine:
            return {pid for _, pid in engine.map(range(20))}

    with ThreadPoolExecutor(1) as beside:
        assert beside.submit(work).result() == {os.getpid()}


def test_who_is_helped_alone_hears_ctrl_c() -> None:
    """A terminal sends it to both; what is said of it is said once, and the copy ends."""
    code = (
        "import os, signal, sys, time\n"
        "from onboard import engines\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "def parts():\n"
        "    yield from range(20)\n"
        "    time.sleep(0.5)\n"  # the copy has done its own by then, and waits for more
        "    print('waits', flush=True)\n"
        "    time.sleep(60)\n"
        "try:\n"
        "    with engines.choose(2, lambda part: part, also_here=True) as engine:\n"
        "        list(engine.map(parts()))\n"
        "except KeyboardInterrupt:\n"
        "    sys.exit('stopped')\n"
    )
    run = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
    )  # fmt: skip
    assert run.stdout is not None
    assert run.stdout.readline() == "waits\n"
    os.killpg(run.pid, signal.SIGINT)
    assert run.communicate(timeout=60)[1] == "stopped\n"
    with pytest.raises(ProcessLookupError):
        os.killpg(run.pid, 0)


def test_a_copy_ends_with_the_process_that_it_helps() -> None:
    """However that ends: a copy has members' data in its memory."""
    code = (
        "import os, signal, sys, time\n"
        "from onboard import engines\n"
        "with engines.choose(2, lambda part: os.getpid(), also_here=True) as engine:\n"
        "    print(max(set(engine.map(range(20))) - {os.getpid()}), flush=True)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    ended = subprocess.run([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    copy = int(ended.stdout)
    for _ in range(100):
        if not Path(f"/proc/{copy}").exists():
            break
        sleep(0.05)
    else:
        pytest.fail("the copy lives on")


@pytest.mark.parametrize("processes", [1, 2])
def test_what_a_part_raises_is_raised_here(processes: int) -> None:
    with pytest.raises(ValueError, match="three"):
        with engines.choose(processes, refuse) as engine:
            list(engine.map(range(1000)))


def test_a_task_beside_runs_in_another_process_or_is_left_to_who_asks() -> None:
    with engines.choose(2, refuse) as engine:
        answer = engine.beside(os.getpid)
        assert answer is not None
        assert answer() != os.getpid()
    with engines.choose(2, refuse, small=True) as engine:
        assert engine.beside(os.getpid) is None


def test_a_helper_that_is_stopped_from_outside_is_told_in_words() -> None:
    with pytest.raises(EngineTrouble, match="most often because memory ran out"):
        with engines.choose(2, stop_at_three) as engine:
            list(engine.map(range(10)))
