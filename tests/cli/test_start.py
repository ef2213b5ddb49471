"""What happens before a command is at work: what is loaded, and what stops it."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path

import pytest
from office import onboard, program

from onboard.cli import commands

HEAVY = (
    "alembic", "babel", "icalendar", "jinja2", "numpy", "openpyxl", "python_calamine",
    "rich.progress", "segno", "typst", "usaddress", "xlsxwriter", "zipcodes",
)  # fmt: skip


def loaded(folder: Path, *words: str) -> set[str]:
    """The modules that are loaded when the command ends."""
    script = (
        "import sys\nfrom onboard.cli import main\ntry:\n    main()\nfinally:\n"
        "    open('loaded', 'w').write('\\n'.join(sys.modules))\n"
    )
    done = subprocess.run([sys.executable, "-c", script, *words], cwd=folder, capture_output=True, check=False)  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    return set((folder / "loaded").read_text().splitlines())


def test_the_help_loads_no_command(office: Path) -> None:
    modules = loaded(office, "--help")
    assert not modules & {*HEAVY, "sqlalchemy", "phonenumbers", "onboard.office"}
    ours = {name for name in modules if name.startswith("onboard.")}
    assert ours == {"onboard.cli", "onboard.cli.commands", "onboard.errors"}


def test_the_help_of_a_command_loads_that_command(office: Path) -> None:
    modules = loaded(office, "find", "--help")
    assert "onboard.cli.find" in modules
    assert not modules & {*HEAVY, "onboard.cli.batch"}


def test_to_find_a_member_loads_nothing_that_only_other_tasks_need(office: Path) -> None:
    assert onboard("batch", "forms.csv", "--record").code == 1
    more = {
        "email_validator", "markdown_it", "onboard.clean.address", "onboard.clean.phone",
        "onboard.intake", "onboard.roster.change", "onboard.windows", "phonenumbers",
        "sqlalchemy.dialects.postgresql",
    }  # fmt: skip
    assert not loaded(office, "find", "Kym") & {*HEAVY, *more}
    # Whoever is found for certain is shown with what is at hand to check the caller by.
    assert not loaded(office, "find", "patlee") & {
        "alembic",
        "icalendar",
        "jinja2",
        "markdown_it",
        "numpy",
    }


def test_no_garbage_is_looked_for_among_what_was_loaded(office: Path) -> None:
    """Looking there took a quarter of the time of a look-up."""
    script = (
        "import gc, sys\nfrom onboard.cli import main\nlooked = []\n"
        "gc.callbacks.append(lambda *_: looked.append(gc.get_freeze_count()))\ntry:\n    main()\nfinally:\n"
        "    gc.callbacks.clear()\n    print(gc.isenabled(), gc.get_freeze_count() > 100_000, 0 in looked, file=sys.stderr)\n"
    )
    words = [sys.executable, "-c", script, "find", "Kym"]
    done = subprocess.run(words, cwd=office, capture_output=True, text=True, check=False)
    assert done.stderr == "True True False\n"


@pytest.mark.parametrize("name", commands.COMMANDS)
def test_a_command_is_listed_with_the_first_sentence_of_its_help(name: str) -> None:
    listed = commands.HEADINGS[commands.COMMANDS[name]][name]
    first = inspect.cleandoc(commands.load(name).help or "").split("\n\n")[0]
    assert listed == " ".join(first.split())


@pytest.mark.parametrize("before", [(), ("--",)])
def test_the_command_that_is_listed_is_the_one_that_runs(office: Path, before: tuple[str]) -> None:
    assert onboard(*before, "undo").out == "There is nothing to undo.\n"


STOPPED = "Stopped. What was saved by then stays saved; nothing else changed.\n"


@pytest.mark.parametrize("module", ["onboard.errors", "typer", "sqlalchemy"])
def test_it_is_stopped_while_it_loads(office: Path, tmp_path: Path, module: str) -> None:
    """The interruption comes when `module` is about to be loaded."""
    (tmp_path / "sitecustomize.py").write_text(
        "import os, signal, sys\n"
        "class Press:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        f"        if name == {module!r}:\n"
        "            os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Press())\n"
    )
    said = program("find", "Lee", cwd=office, PYTHONPATH=str(tmp_path))
    assert (said.code, said.err) == (2, STOPPED)


@pytest.mark.parametrize(
    "words",
    [
        ("find", b"L\xff\xe9"), ("find", "Lee", "--site", b"\xff"), ("undo", "--by", b"\xff"),
        ("batch", b"forms\xff.csv"), ("disclose", b"pat\xfflee"), ("--settings\udcff", "find"),
        (b"f\xffnd",), ("export", b"\xff.csv"), ("undo", "--settings", b"\xff.toml"),
    ],
)  # fmt: skip
def test_an_argument_that_is_not_text(office: Path, words: tuple[str | bytes, ...]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "onboard", *words], cwd=office, capture_output=True, check=False
    )
    assert done.returncode == 2
    err = done.stderr.decode()
    assert "cannot be read: it is not UTF-8 text" in err
    assert "\\udcff" in err
    assert "Traceback" not in err


def test_a_screen_without_the_letters_is_no_fault(office: Path) -> None:
    said = program("find", "Peña", cwd=office, PYTHONIOENCODING="ascii")
    assert said.code in (0, 1)
    assert "fault" not in said.err
