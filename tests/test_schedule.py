"""What docs/schedule.md shows is taken by cron, systemd and the command itself."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from onboard.cli import commands

PAGE = (Path(__file__).parents[1] / "docs" / "schedule.md").read_text("utf-8")
RANGES = ((0, 59), (0, 23), (1, 31), (1, 12), (0, 7))  # of the fields of crontab(5)


def blocks(kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```", PAGE, re.M | re.S)


def lines_of_cron() -> list[str]:
    (block,) = blocks("cron")
    return [line for line in block.splitlines() if line and not line.startswith("#")]


def see_that_it_is_read(words: list[str]) -> None:
    """The command takes these words: every option is one of its own."""
    command = commands.load(words[0])
    with command.make_context(words[0], [word for word in words[1:] if word != ">/dev/null"]):
        pass


def test_cron_takes_the_lines() -> None:
    jobs = [line for line in lines_of_cron() if not re.match(r"[A-Z]+=", line)]
    assert len(jobs) == 4
    for line in jobs:
        *fields, command = line.split(None, 5)
        for field, (least, most) in zip(fields, RANGES, strict=True):
            for part in field.split(","):
                span, _, step = part.partition("/")
                assert not step or int(step) > 0
                numbers = [] if span == "*" else [int(n) for n in span.split("-")]
                assert all(least <= number <= most for number in numbers), line
        assert not re.search(r"(?<!\\)%", command)
        see_that_it_is_read(shlex.split(command.partition("$ONBOARD ")[2]))


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="systemd is not installed here")
def test_systemd_takes_the_units(tmp_path: Path) -> None:
    service, timer = blocks("ini")
    (start,) = re.findall(r"^ExecStart=(.*)$", service, re.M)
    see_that_it_is_read(shlex.split(start)[1:])
    program = shlex.split(start)[0]
    (tmp_path / "onboard-today.service").write_text(service.replace(program, "/bin/true"), "utf-8")
    (tmp_path / "onboard-today.timer").write_text(timer, "utf-8")
    done = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", "onboard-today.service", "onboard-today.timer"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    said = [line for line in (done.stdout + done.stderr).splitlines() if "onboard-today" in line]
    assert said == []
    (when,) = re.findall(r"^OnCalendar=(.*)$", timer, re.M)
    subprocess.run(["systemd-analyze", "calendar", when], check=True, capture_output=True)


def test_the_task_scheduler_is_given_a_line_that_the_command_takes() -> None:
    (block,) = blocks("bat")
    (inner,) = re.findall(r'/TR "(.*)"$', block, re.M)
    assert len(inner) <= 261  # schtasks takes no more
    _, *words = shlex.split(inner.replace(r"\"", '"').replace("\\", "/"))
    see_that_it_is_read(words)
