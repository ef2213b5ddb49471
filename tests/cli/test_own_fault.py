"""A fault of the program itself: told in words, and nobody's data with it."""

from __future__ import annotations

import stat
import tempfile
from pathlib import Path
from typing import Any

import pytest
from office import onboard

from onboard.cli import faults

NAME = "Pat Lee"


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The program with a fault; the folder where it may leave a file."""

    phrase = " ".join(("correct", "horse"))  # the file quotes lines of code

    def fail(*_: Any, **__: Any) -> None:
        try:
            raise KeyError(phrase)
        except KeyError as error:
            raise ValueError(f"of {NAME}: {phrase}") from error

    monkeypatch.setattr("onboard.office.open_office", fail)
    monkeypatch.delenv(faults.SHOWN, raising=False)
    kept = tmp_path / "kept"
    kept.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(kept))
    return kept


def test_it_is_told_in_words_and_where_it_happened_is_kept(office: Path, broken: Path) -> None:
    said = onboard("find", "Lee")
    (file,) = broken.iterdir()
    assert said.code == 2
    assert said.err == (
        "This is a fault of the program (ValueError), not of what you did. What was not yet recorded "
        "has not been changed. Tell whoever looks after the program. Where it happened is in "
        f"{file}: send that file along. No member's data is in it.\n"
    )
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    report = file.read_text()
    assert "ValueError" in report
    assert "KeyError" in report
    assert 'onboard/cli/commands.py", line' in report
    assert NAME not in said.err + report
    assert "correct horse" not in report


def test_a_developer_sees_pythons_own_words(
    office: Path, broken: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(faults.SHOWN, "1")
    with pytest.raises(ValueError, match="of Pat Lee"):
        onboard("find", "Lee")
    assert not list(broken.iterdir())


def test_no_room_for_the_file(office: Path, broken: Path) -> None:
    broken.rmdir()
    said = onboard("find", "Lee")
    assert said.code == 2
    assert said.err.endswith("set ONBOARD_TRACEBACK=1 and run the same line again.\n")
