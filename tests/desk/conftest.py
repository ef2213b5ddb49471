"""A co-op's folder with two members enrolled."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from cli.office import KIM, PAT, SETTINGS, onboard, write_csv

DESK = """
[desk]
may_reissue = ["robin"]
"""


@pytest.fixture(scope="session")
def enrolled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder as every test finds it; made once."""
    folder = tmp_path_factory.mktemp("enrolled")
    (folder / "onboard.toml").write_text(SETTINGS + DESK, encoding="utf-8")
    file = write_csv(folder / "forms.csv", [PAT, KIM])
    place = ("--settings", folder / "onboard.toml")
    assert onboard("batch", file, "--record", *place).code == 0
    return folder


@pytest.fixture
def office(enrolled: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with settings, and a roster of Pat Lee (1) and Kim Vale (2)."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = tmp_path / "our co-op"
    shutil.copytree(enrolled, folder)
    monkeypatch.chdir(folder)
    return folder
