"""A co-op whose members were taken over from a list."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from onboard import intake
from onboard.office import Office, open_office
from onboard.tasks.adopt_members import adopt_members


@contextmanager
def taken_over(folder: Path, settings: str, members: str) -> Iterator[Office]:
    """The office of these settings, with each member of this list, until the block ends."""
    (folder / "onboard.toml").write_text(settings, "utf-8")
    (folder / "members.csv").write_text(members, encoding="utf-8")
    office = open_office(folder / "onboard.toml", who="pat")
    file = intake.open_rows(folder / "members.csv", needed=("name", "handle"))
    done = adopt_members(office, file.rows(), file="members.csv", keep=True)
    assert done.adopted == len(members.splitlines()) - 1
    yield office
    office.close()
