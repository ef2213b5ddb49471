"""A co-op's folder with two members enrolled."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.office import KIM, PAT, SETTINGS, onboard, write_csv

DESK = """
[desk]
may_reissue = ["robin"]
"""


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with settings, and a roster of Pat Lee (1) and Kim Vale (2)."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = tmp_path / "our co-op"
    folder.mkdir()
    (folder / "onboard.toml").write_text(SETTINGS + DESK, encoding="utf-8")
    write_csv(folder / "forms.csv", [PAT, KIM])
    monkeypatch.chdir(folder)
    assert onboard("batch", "forms.csv", "--record").code == 0
    return folder
