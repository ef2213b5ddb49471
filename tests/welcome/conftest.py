"""Templates of the co-op's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from packets_made import COOP

from onboard.settings import Settings


@pytest.fixture
def templates(tmp_path: Path) -> Callable[[str, str | bytes], Settings]:
    """Writes a template of the co-op's own; gives the settings that use it."""

    def write(name: str, content: str | bytes) -> Settings:
        file = tmp_path / "words" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content.encode() if isinstance(content, str) else content)
        return replace(COOP, templates=tmp_path / "words")

    return write
