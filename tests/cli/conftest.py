"""A co-op's folder to work in."""

from __future__ import annotations

from pathlib import Path

import pytest
from office import KIM, PAT, SAM, SETTINGS, write_csv


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with settings and forms.csv: two sound forms, one without an email."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = tmp_path / "our co-op"
    folder.mkdir()
    (folder / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    write_csv(folder / "forms.csv", [PAT, KIM, SAM])
    monkeypatch.chdir(folder)
    return folder
